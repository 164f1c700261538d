"""Brine: what is in it, what to weigh for it, what a float says of it, and how to bring it to another strength."""

from __future__ import annotations

from ingle.crafts import brine as craft
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.jobs.figures import Act, BenchAnswer, Care, Figure, Group

ROOM_C = 20.0
_NOTHING_G = 1e-6  # of an addition: rounding
NOT_CHECKED = ("what a piece takes up from it and how soon", "nitrite: plain salt is reckoned", "how long a used brine keeps")
CAUTIONS = (
    Care("Cold before the meat goes in: 4 C or colder, and kept so."),
    Care("Used brine holds what came out of raw meat: throw it away."),
)
_SATURATION, _STRENGTH, _DENSITY, _SALOMETER = "solutions.nacl_saturation", "balances.brine_strength", "solutions.nacl_density", "solutions.salometer"
_WAYS = "salt with water, a strength, degrees salometer, or a density"


def brine(
    *, salt_g: float | None = None, water_g: float | None = None, volume_l: float | None = None, strength: float | None = None,
    salometer: float | None = None, density: float | None = None, temperature_c: float = ROOM_C, wanted: float | None = None,
) -> BenchAnswer:  # fmt: skip
    """Reckon one brine, and what brings it to the strength ``wanted``.

    Parameters
    ----------
    salt_g, water_g : float, optional
        What is put together. [g]
    strength, salometer, density : float, optional
        In place of the salt, one of: salt per brine [g/g], degrees of a 60 F salometer, density [kg/m3].
    volume_l : float, optional
        Of the brine, in place of its water. [l]; neither: one litre.
    wanted : float, optional
        Strength that it shall have. [g/g]

    Raises
    ------
    BadBrief
        No way of saying how strong it is, or two that may contradict each other.
    OutOfRange
        Stronger than what dissolves; a temperature that the tables do not know.
    """
    said = [v for v in (salt_g, strength, salometer, density) if v is not None]
    if len(said) != 1:
        raise BadBrief(
            f"{len(said)} of {_WAYS} are given." if said else f"None of {_WAYS} is given.", field="salt", value=len(said), limit="one of them",
            remedy="Say how strong it is in one way.",
        )  # fmt: skip
    made, assumed = _made(salt_g, water_g, volume_l, _strength(strength, salometer, density, temperature_c), temperature_c)
    if salometer is not None:
        assumed += ("the salometer was read in a brine of 60 F (15.6 C), on a scale that ends at saturation",)
    groups = [_weigh(made), _told(made)]
    if wanted is not None:
        groups.append(_corrected(made, wanted))
    left = () if not made.saturated else (
        Act("near", f"{made.undissolved_g:.0f} g of the salt stay at the bottom: at {temperature_c:g} C no more dissolves.",
            "what lies there goes into the brine as the meat takes salt out", _SATURATION),
    )  # fmt: skip
    return BenchAnswer(f"{units.show_mass(made.salt_g)} of salt in {units.show_mass(made.water_g)} of water at {temperature_c:g} C", tuple(groups), acts=left, assumed=assumed,
                       not_checked=NOT_CHECKED, cautions=CAUTIONS)  # fmt: skip


def _strength(strength: float | None, salometer: float | None, density: float | None, temperature_c: float) -> float | None:
    if salometer is not None:
        return craft.strength_from_salometer(salometer)
    return craft.strength_from_density(density, temperature_c) if density is not None else strength


def _made(salt_g: float | None, water_g: float | None, volume_l: float | None, strength: float | None, temperature_c: float) -> tuple[craft.Brine, tuple[str, ...]]:
    if water_g is not None and volume_l is not None:
        raise BadBrief("Water and the brine's volume are both given.", field="volume", value=f"{volume_l:g} l", limit="one of both", remedy="Give the water, or the litres of brine.")
    if strength is None:
        if water_g is None:
            raise BadBrief("The water is missing.", field="water", value="missing", limit="like 1kg", remedy="Weigh the water that the salt goes into.")
        assert salt_g is not None
        return craft.brine(salt_g, water_g, temperature_c), ()
    if water_g is not None:
        return craft.salt_for(water_g, strength, temperature_c), ()
    return craft.brine_of_volume(1.0 if volume_l is None else volume_l, strength, temperature_c), (() if volume_l is not None else ("one litre of brine",))


def _weigh(made: craft.Brine) -> Group:
    return Group("Weigh", {
        "salt_g": Figure("Salt", made.salt_g, "g", _STRENGTH), "water_g": Figure("Water", made.water_g, "g", _STRENGTH),
        "brine_g": Figure("Clear brine", made.brine_g, "g", _STRENGTH), "volume_l": Figure("It fills", made.volume_l, "l", _DENSITY),
    })  # fmt: skip


def _told(made: craft.Brine) -> Group:
    litre_of_water = units.grams(made.salt_per_water)
    found = {
        "salt_per_brine": Figure("Salt per brine, by weight", units.per_hundred(made.salt_per_brine), "%", _STRENGTH),
        "salt_per_kg_water": Figure("Salt per kg of water", litre_of_water, "g", _STRENGTH),
        "salt_g_per_l": Figure("Salt per litre of brine", made.salt_g_per_l, "g", _DENSITY),
        "salometer": Figure("Salometer, 60 F", made.salometer_deg, "degrees", _SALOMETER),
        "density": Figure("Density", made.density_kg_per_m3, "kg/m3", _DENSITY),
        "saturation": Figure("Full at this temperature", units.per_hundred(made.saturation_per_brine), "%", _SATURATION),
    }
    if made.saturated:
        found["undissolved_g"] = Figure("Undissolved", made.undissolved_g, "g", _SATURATION)
    return Group("Strength", found)


def _corrected(made: craft.Brine, wanted: float) -> Group:
    salt, water = craft.correct(made, wanted)
    found = {
        key: Figure(name, mass, "g", _STRENGTH)
        for key, name, mass in (("add_salt_g", "Salt to add", salt), ("add_water_g", "Water to add", water)) if mass > _NOTHING_G
    }  # fmt: skip
    return Group(f"For {units.show_fraction(wanted)}", found, "" if found else "It has that strength.")
