"""The balance of skin: salt to rub on, water left by weighing, and the soonest minute at which it can puff.

Puffing wants little but not no water, and gelatinised collagen, at high heat. Here only weights and heat are counted, so a
minute told is a floor; `forecast` marches heat and moisture and gives the minute with its spread.
"""

from __future__ import annotations

from collections.abc import Sequence

from ingle.crafts._lines import band, require
from ingle.crafts.skin.things import (
    FAT_NOT_MODELLED,
    HOURS_NOT_MODELLED,
    SALT_NOT_MODELLED,
    Crackling,
    DriedSkin,
    RindSalt,
    Skin,
    Stage,
)
from ingle.ground.errors import OutOfRange
from ingle.ground.tables import toml_table


def rind_salt(skin: Skin, fresh_share: float | None = None) -> RindSalt:
    """Salt to rub on: 1 to 2 % of a fresh rind, half of it for a cured one, none and a soak above 2.5 %."""
    usual, line, soak = (
        band("skin", "salt_per_skin"),
        band("skin", "soak_above").likely,
        band("skin", "soak_min").likely,
    )
    share = usual.likely if fresh_share is None else require(fresh_share, "salt", 0.0, 0.1, "g/g")
    if skin.salt_per_skin > line:
        return RindSalt(0.0, soak, f"Soak it {soak:.0f} min in cold water, dry it, and add no salt.", usual.sure)
    if skin.salt_per_skin > 0.0:
        salt = 0.5 * share * skin.raw_g
        return RindSalt(salt, 0.0, f"Rub on {salt:.1f} g, half the usual: the cure has salted it.", usual.sure)
    return RindSalt(
        share * skin.raw_g,
        0.0,
        f"Rub on {share * skin.raw_g:.1f} g of coarse salt and brush it off before the oven.",
        usual.sure,
    )


def dry(skin: Skin, *, dried_g: float | None = None, hours: float | None = None, salt_rubbed_g: float = 0.0,
        salt_kept: float = 0.5) -> DriedSkin:  # fmt: skip
    """Skin after its time uncovered in the fridge.

    With ``dried_g`` (weighed, salt brushed off) the water left follows from the balance. With hours alone the
    skin is taken as wet as raw, and the hours are judged by practice (12 to 72 h, 24 planned).
    ``salt_kept`` is the share of the rubbed salt that stays after brushing (assumed).
    """
    require(salt_rubbed_g, "salt rubbed on", 0.0, skin.raw_g, "g")
    require(salt_kept, "salt kept", 0.0, 1.0, "g/g")
    salt = skin.raw_g * skin.salt_per_skin + salt_rubbed_g * salt_kept
    wettest = skin.raw_g * skin.water_per_skin
    bone_dry = skin.raw_g - wettest + salt_rubbed_g * salt_kept
    level, act = _drying(hours)
    if dried_g is None:
        mass, water = bone_dry + wettest, wettest
    else:
        require(
            dried_g,
            "dried skin",
            bone_dry,
            bone_dry + wettest,
            "g",
            "Weigh it again with the salt brushed off, on the same scale.",
        )
        mass, water = dried_g, dried_g - bone_dry
    left_out = (SALT_NOT_MODELLED,) if dried_g is not None else (SALT_NOT_MODELLED, HOURS_NOT_MODELLED)
    return DriedSkin(skin, mass, water, salt, water / mass, dried_g is not None, level, act, left_out)


def oven_programme(skin: Skin, fan: bool = False) -> tuple[Stage, Stage]:
    """Two stages for skin alone: hot until it blisters, then 180 degC until golden. Smoked: 200.

    Conventional settings; a fan oven is set 20 K lower for the same heat (makers say 10 to 20).
    """
    hot = band("skin", "hot_stage_smoked_c" if skin.smoked else "hot_stage_c").likely
    less = 20.0 if fan else 0.0
    return Stage(hot - less, 25.0), Stage(180.0 - less, 15.0)


def crackle(dried: DriedSkin, stages: Sequence[Stage], sides: int = 2) -> Crackling:
    """Put dried skin through an oven programme.

    Parameters
    ----------
    dried : DriedSkin
    stages : sequence of Stage
        Oven temperature as measured, and minutes.
    sides : int
        2 on a rack, 1 on a tray.

    Notes
    -----
    Yield: all water but 2 % goes, and 12 to 70 % of the fat. Puffing: the water must first fall to 15 % of
    the skin; the heat for that, over what the oven can give one face or two, is the soonest it can puff. From
    then on the oven must stand at 180 degC or more. Both thresholds are assumptions (see ``doubt``).
    """
    if not stages:
        raise OutOfRange(
            "an oven programme needs at least 1 stage; none was given.",
            field="stages",
            value=0,
            limit=1,
            remedy="Give oven_c and minutes.",
        )
    for stage in stages:
        require(stage.oven_c, "oven", 20.0, 350.0, "C")
        require(stage.minutes, "minutes", 0.0, 1440.0, "min")
    require(sides, "sides", 1, 2, "")
    run_off = band("skin", "fat_run_off")
    low, likely, high = (_mass_at(dried, share) for share in (run_off.high, run_off.likely, run_off.low))
    fat = dried.skin.raw_g * dried.skin.fat_per_skin
    puffs, minutes, why, act = _puff(dried, stages, sides)
    raw, threshold = dried.skin.raw_g, band("skin", "puff_water")
    return Crackling(
        low_g=low, likely_g=likely, high_g=high, per_raw_skin=(low / raw, likely / raw, high / raw),
        water_gone_g=dried.mass_g - fat * run_off.likely - likely, fat_run_off_g=fat * run_off.likely,
        salt_per_crackling=dried.salt_g / likely, puffs=puffs,
        minutes_before_puff=minutes, why=why, act=act, hold_h=band("skin", "hold_h").low, sure="derived",
        doubt=f"{threshold.doubt} {band('skin', 'puff_temperature_c').doubt}",
        not_modelled=(*dried.not_modelled, FAT_NOT_MODELLED),
    )  # fmt: skip


def _drying(hours: float | None) -> tuple[str, str]:
    usual = band("skin", "dry_h")
    if hours is None:
        return "cannot_say", "Note when it went into the fridge, and weigh it before and after."
    require(hours, "hours of drying", 0.0, 2000.0, "h")
    if hours < usual.low:
        return "over", f"Leave it {usual.low - hours:.0f} h longer, uncovered."
    if hours > usual.high:
        return "near", "Crackle it now, or freeze it: it has been open longer than usual."
    if hours < usual.likely:
        return "near", f"{usual.likely - hours:.0f} h more would make it surer."
    return "within", ""


def _mass_at(dried: DriedSkin, fat_run_off: float) -> float:
    fat = dried.skin.raw_g * dried.skin.fat_per_skin
    solids = dried.mass_g - dried.water_g - fat * fat_run_off
    return solids / (1.0 - band("skin", "water_per_crackling").likely)


def _puff(dried: DriedSkin, stages: Sequence[Stage], sides: int) -> tuple[str, float | None, str, str]:
    wet, hot = band("skin", "puff_water"), band("skin", "puff_temperature_c").low
    if dried.weighed and dried.water_per_dried < wet.low:
        return (
            "over",
            None,
            f"too dry: below {100.0 * wet.low:.0f} % water there is no steam to blow it up.",
            "Crisp it thin as it is; it will not blister.",
        )
    solids = dried.mass_g - dried.water_g
    to_go = max(0.0, dried.water_g - solids * wet.high / (1.0 - wet.high))
    ready = _minutes_to_boil(dried, to_go, stages, sides)
    if ready is None:
        return (
            "over",
            None,
            "the programme ends before the skin is dry enough.",
            "Dry it longer in the fridge, or give the hot stage more time.",
        )
    passed, enough = 0.0, False
    for stage in stages:
        passed += stage.minutes
        enough = enough or (passed > ready and stage.oven_c >= hot)
    if not enough:
        return (
            "over",
            ready,
            f"the oven is below {hot:g} C once the skin is dry enough.",
            f"Finish at {hot + 40:g} C until it blisters.",
        )
    if not dried.weighed:
        return (
            "near",
            ready,
            "it can, as far as the oven goes; how dry it went in is not known.",
            "Weigh the skin before and after drying.",
        )
    return "within", ready, "it reaches 15 % water while the oven is hot enough.", ""


def _minutes_to_boil(dried: DriedSkin, to_go_g: float, stages: Sequence[Stage], sides: int) -> float | None:
    """Soonest minute at which ``to_go_g`` of water can have been boiled off; None if never."""
    law = toml_table("laws", "boiling.toml")
    boils, skin = law["water"]["boils_at_c"], law["skin"]
    area = dried.skin.raw_g / 1000.0 / (skin["density_kg_m3"] * dried.skin.thickness_mm / 1000.0) * sides
    warming = dried.mass_g / 1000.0 * skin["specific_heat_j_kgk"] * (boils - 5.0)
    need = warming + to_go_g / 1000.0 * law["water"]["latent_j_kg"]
    passed = 0.0
    for stage in stages:
        power = band("skin", "transfer_w_m2k").likely * area * max(0.0, stage.oven_c - boils)
        whole = power * stage.minutes * 60.0
        if whole >= need and power > 0.0:
            return passed + need / power / 60.0
        need, passed = need - whole, passed + stage.minutes
    return None
