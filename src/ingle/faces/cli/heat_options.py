"""Options that ``cook`` and ``chill`` share, turned into a piece and its stages."""

from __future__ import annotations

import re
from typing import Any

import click

from ingle.crafts.heat.joint import SHAPES, Joint
from ingle.crafts.heat.stage import Stage
from ingle.faces.cli.options import several
from ingle.ground import units
from ingle.ground.errors import BadBrief, OutOfRange

piece_options = several(
    click.option("--part", metavar="CUT", help="collar, loin, belly, leg, shoulder, beef, poultry ... (see ingle sources composition)."),
    click.option("--weight", metavar="MASS", help="Like 1.3kg."),
    click.option("--thickness", metavar="LENGTH", help="Thickest place through the thinnest way, like 70mm."),
    click.option("--diameter", metavar="LENGTH", help="Of a round piece."),
    click.option("--width", metavar="LENGTH"),
    click.option("--length", metavar="LENGTH"),
    click.option("--shape", type=click.Choice(SHAPES), help="Left out: a box; round when a diameter is given."),
    click.option("--h", "film", metavar="W/M2K", help="Heat transfer at the face, all told, in W/m2K; vapour is then left out."),
    click.option("--conductivity", metavar="W/MK", help="In W/m K."),
    click.option("--density", metavar="KG/M3", help="In kg/m3."),
    click.option("--specific-heat", metavar="J/KGK", help="In J/kg K."),
)

judge_options = several(
    click.option("--rules", default="", metavar="NAMES", help="Countries (us, gb ...) or rules by name. Left out: all, the strictest marked."),
    click.option("--probe-error", metavar="TEMP", help="How far the thermometer may be off, like 1C."),
    click.option("--chart", type=click.Path(dir_okay=False), help="Write a picture: .svg, .png or .html."),
)


def joint_of(given: dict[str, Any], usual: str = "lean-pork") -> Joint:
    """The piece from the options."""
    length = lambda key: None if given[key] is None else units.length_mm(given[key], key)  # noqa: E731
    if given["thickness"] is not None and given["diameter"] is not None:
        raise BadBrief(
            "Thickness and diameter are both given.", field="diameter", value=given["diameter"], limit="one of both",
            remedy="Give the diameter of a round piece, the thickness of any other.",
        )  # fmt: skip
    shape = given["shape"] or ("cylinder" if given["diameter"] is not None else "box")
    return Joint(
        part=given["part"] or usual, shape=shape, weight_g=None if given["weight"] is None else units.mass_g(given["weight"], "weight"),
        thickness_mm=length("thickness") if given["diameter"] is None else length("diameter"), width_mm=length("width"), length_mm=length("length"),
        conductivity=plain(given["conductivity"], "conductivity", 0.01, 100.0, "W/m K"),
        density=plain(given["density"], "density", 100.0, 3000.0, "kg/m3"),
        specific_heat=plain(given["specific_heat"], "specific-heat", 500.0, 6000.0, "J/kg K"),
    )  # fmt: skip


def plain(given: str | None, field: str, low: float, high: float, unit: str) -> float | None:
    """A number whose one unit the option's help names; the unit may stand behind it."""
    if given is None:
        return None
    found = re.fullmatch(r"\s*([-+]?[\d.]+(?:[eE][-+]?\d+)?)\s*([A-Za-z].*)?\s*", given)
    said = re.sub(r"[\s/.()*^\u00b7]", "", (found.group(2) or "") if found else "").lower()
    if not found or said not in ("", re.sub(r"[\s/.()*^]", "", unit).lower()):
        raise BadBrief(
            f"{field} {given!r} is not a number in {unit}.", field=field, value=given, limit=f"in {unit}", remedy=f"Write it like {low * 2:g}, in {unit}."
        )
    value = float(found.group(1))
    if not low <= value <= high:
        raise OutOfRange(
            f"{field} is {value:g} {unit}; here it lies between {low:g} and {high:g}.", field=field, value=f"{value:g} {unit}",
            limit=f"{low:g} to {high:g} {unit}", remedy=f"Check the number and its unit: {unit}.",
        )  # fmt: skip
    return value


def kelvins(given: str | None, field: str) -> float:
    """A difference of temperatures, in C (or K); 1.8F is 1."""
    if given is None:
        return 0.0
    found = re.fullmatch(r"\s*([-+]?[\d.]+)\s*([CcKkFf])\s*", given)
    if not found:
        raise BadBrief(f"{field} {given!r} is not a difference of temperatures.", field=field, value=given, limit="like 1C", remedy="Write it like 1C.")
    return float(found.group(1)) / (1.8 if found.group(2) in "Ff" else 1.0)


def seconds(given: str | None, field: str) -> float | None:
    """A duration."""
    return None if given is None else units.seconds(units.duration_h(given, field))


def named(rules: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Countries and rules by name, parted."""
    words = [w.strip().lower() for w in re.split(r"[,\s]+", rules) if w.strip()]
    countries = tuple(w for w in words if len(w) <= 3 or w == "codex")
    return countries, tuple(w for w in words if w not in countries)


def humidity_of(given: str | None, field: str = "humidity") -> float | None:
    """Relative humidity."""
    return None if given is None else units.fraction(given, field)


def film_of(given: dict[str, Any]) -> float | None:
    """The coefficient."""
    return plain(given["film"], "h", 0.5, 2000.0, "W/m2K")


def stage_line(s: Stage) -> str:
    """A stage in a few words."""
    end = f"to {s.until_c:g} C inside" if s.until_c is not None else units.show_hours(units.hours(s.lasts_s or 0.0))
    return f"{s.kind} {s.air_c:g} C, {end}{', wrapped' if s.wrapped else ''}"
