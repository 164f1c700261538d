"""What a cook says of a rind, its fridge and its oven, under the names of the options of ``crackle``; the command and the page fill it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from ingle.crafts.heat.stage import said
from ingle.crafts.skin import Skin, Stage
from ingle.crafts.skin.answer import Rind
from ingle.faces.heat_given import kelvins
from ingle.ground import units
from ingle.ground.errors import BadBrief

if TYPE_CHECKING:
    from ingle.planning.kit import Oven

_DEFAULT_MM = 3.0
CHECKED_SD_C = float(said("oven")["true"]["sd_c"])  # of an oven somebody measured


def rind_of(given: Mapping[str, Any]) -> Rind:
    """The rind, its fat, the salt on it, its weight after drying."""
    water, cured = given["water"], given["cured"]
    skin: dict[str, Any] = {"smoked": given["smoked"]}
    if water is not None:
        skin["water_per_skin"] = units.fraction(water, "water", low=0.2, high=0.8)
        skin["fat_per_skin"] = Skin(1.0).fat_per_skin * (1.0 - skin["water_per_skin"]) / (1.0 - Skin(1.0).water_per_skin)
    if cured is not None:
        skin["salt_per_skin"] = units.fraction(cured, "cured", high=0.2)
    thick = given["thickness"]
    return Rind(
        Skin(
            units.mass_g(given["weight"], "weight"),
            thickness_mm=_DEFAULT_MM if thick is None else units.length_mm(thick, "thickness", low=0.5, high=20.0), **skin,
        ),
        fat_mm=_fat(given["fat"]),
        salt_rubbed_g=0.0 if given["salt"] is None else units.mass_g(given["salt"], "salt", zero=True),
        dried_g=None if given["dried_weight"] is None else units.mass_g(given["dried_weight"], "dried-weight"),
        water_known=water is not None, thickness_known=thick is not None,
    )  # fmt: skip


def _fat(text: str) -> float:
    """A layer of fat; none is written 0mm."""
    none = text.strip().lower().removesuffix("mm").strip() == "0"
    return 0.0 if none else units.length_mm(text, "fat", high=10.0)


def programme_of(given: Mapping[str, Any], oven: Oven | None = None) -> dict[str, Any]:
    """Fridge and oven, as `jobs.crackle.crackle` asks for them; ``oven`` is that of the kitchen's file."""
    return {
        "oven": tuple(_stage(text, "oven") for text in given["oven"]),
        "fridge_h": 0.0 if given["fridge"] is None else units.duration_h(given["fridge"], "fridge", high=240.0),
        "fridge_c": units.temperature_c(given["fridge_temperature"], "fridge-temperature"),
        "humidity": None if given["humidity"] is None else units.fraction(given["humidity"], "humidity"),
        "covered": given["covered"], "fridge_fan": given["fridge_fan"], "rack": given["rack"], **_oven_is(given, oven),
        "recrisp": None if given["recrisp"] is None else _stage(given["recrisp"], "recrisp"),
    }  # fmt: skip


def _oven_is(given: Mapping[str, Any], oven: Oven | None) -> dict[str, Any]:
    """Fan and dial of the oven: as said, else as the kitchen's file has them, else not known."""
    said_off = given["oven_offset"]
    told: dict[str, Any] = {"fan": given["fan"] or bool(oven and oven.fan)}
    if said_off is not None:
        return told | {"offset_c": kelvins(said_off, "oven-offset"), "offset_sd_c": CHECKED_SD_C}
    if oven is not None and oven.offset_mean_c is not None:
        return told | {"offset_c": oven.offset_mean_c, "offset_sd_c": CHECKED_SD_C if oven.offset_sd_c is None else oven.offset_sd_c}
    return told


def _stage(text: str, field: str) -> Stage:
    warm, comma, long = text.partition(",")
    if not comma:
        raise BadBrief(
            f"{field} {text!r} is not TEMP,TIME.", field=field, value=text, limit="TEMP,TIME", remedy="Write it like 220C,20min."
        )
    return Stage(
        units.temperature_c(warm, field, low=20.0, high=300.0), 60.0 * units.duration_h(long, field, high=24.0, zero=False)
    )
