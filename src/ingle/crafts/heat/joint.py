"""The piece as heat sees it: its shape, its sizes and what it is made of."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ingle.crafts.heat import laws
from ingle.ground import units
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.flesh import lean_density
from ingle.ground.tables import toml_table
from ingle.physics import matter

SHAPES = ("slab", "cylinder", "sphere", "box", "ellipsoid")
USUAL_PART = "lean-pork"
ELLIPSOID_AS_BOX = 0.9
"""Sides of the box an egg-shaped piece is taken for, as a share of its axes: sqrt(3)/2 = 0.866 has the slowest mode of a
ball with held face, 1 its volume per face; a ham of 102 x 165 x 279 mm in blast air asks for 0.886 (derived)."""
_MISFIT = 0.15


@dataclass(frozen=True)
class Joint:
    """One piece to heat or cool. Lengths in mm, None = not measured; physical numbers in SI, None = from the part."""

    part: str = USUAL_PART
    shape: str = "box"
    weight_g: float | None = None
    thickness_mm: float | None = None  # or the diameter
    width_mm: float | None = None
    length_mm: float | None = None
    conductivity: float | None = None  # [W/m K]
    density: float | None = None  # [kg/m3]
    specific_heat: float | None = None  # [J/kg K]

    @property
    def given(self) -> bool:
        """True where all three physical numbers are given."""
        return None not in (self.conductivity, self.density, self.specific_heat)


@dataclass(frozen=True)
class Sizes:
    """Lengths of the body that is marched, in m; None where it has no end that way."""

    shape: str  # slab, cylinder, sphere, box
    thickness: float
    width: float | None
    length: float | None
    aspect_open: bool  # width and length come from the weight: their ratio is drawn
    words: tuple[str, ...]  # what was assumed


def density(joint: Joint) -> float:
    """Of the piece as it was measured. [kg/m3]"""
    if joint.density is not None:
        return joint.density
    return float(matter.density(laws.composition(joint.part), laws.matter(), laws.matter().reference_c))


def sizes(joint: Joint) -> Sizes:
    """The body a piece is taken for.

    Raises
    ------
    BadBrief, OutOfRange
        A size that is missing, a thickness above the width, a weight that does not fit the sizes (15 %).
    """
    if joint.shape not in SHAPES:
        raise OutOfRange(
            f"shape {joint.shape!r} is not one of {', '.join(SHAPES)}.", field="shape", value=joint.shape, limit=SHAPES,
            remedy="Take the closest: box for a joint, cylinder for a rolled one, slab for a flat piece.",
        )  # fmt: skip
    volume = None if joint.weight_g is None else units.kilograms(joint.weight_g) / density(joint)
    t, w, ln = (None if v is None else units.metres(v) for v in (joint.thickness_mm, joint.width_mm, joint.length_mm))
    told = {"slab": _slab, "cylinder": _cylinder, "sphere": _sphere, "box": _box, "ellipsoid": _ellipsoid}[joint.shape](t, w, ln, volume)
    _fits(joint, told, volume)
    return told


def _missing(field: str, how: str) -> BadBrief:
    return BadBrief(f"The {field} is missing.", field=field, value="missing", limit="in mm", remedy=how)


_SKEWER = "Push a skewer through the thickest place and measure that, in mm: --thickness 70mm."


def _slab(t: float | None, w: float | None, ln: float | None, volume: float | None) -> Sizes:  # noqa: ARG001
    if t is None:
        raise _missing("thickness", _SKEWER)
    _ordered(t, w, ln)
    return Sizes("slab", t, None, None, False, ("its edges are left out: heat takes the thickness only",))


def _cylinder(t: float | None, w: float | None, ln: float | None, volume: float | None) -> Sizes:  # noqa: ARG001
    if t is None:
        raise _missing("diameter", "Measure across the thickest place, in mm: --diameter 100mm.")
    if ln is None and volume is not None:
        ln = volume / (math.pi / 4.0 * t * t)
        return Sizes("cylinder", t, None, ln, False, (f"length {units.millimetres(ln):.0f} mm from weight and diameter",))
    return Sizes("cylinder", t, None, ln, False, () if ln else ("its ends are left out: no length was given",))


def _sphere(t: float | None, w: float | None, ln: float | None, volume: float | None) -> Sizes:  # noqa: ARG001
    if t is None and volume is None:
        raise _missing("diameter", "Measure across it, in mm: --diameter 90mm, or give the weight.")
    if t is None and volume is not None:
        t = (6.0 * volume / math.pi) ** (1.0 / 3.0)
        return Sizes("sphere", t, None, None, False, (f"diameter {units.millimetres(t):.0f} mm from the weight",))
    assert t is not None
    return Sizes("sphere", t, None, None, False, ())


def _box(t: float | None, w: float | None, ln: float | None, volume: float | None) -> Sizes:
    if t is None:
        raise _missing("thickness", _SKEWER)
    if w is not None and ln is not None:
        _ordered(t, w, ln)
        return Sizes("box", t, min(w, ln), max(w, ln), False, ())
    if volume is None:
        raise BadBrief(
            "Neither weight nor width and length are given.", field="weight", value="missing", limit="like 1.3kg",
            remedy="Weigh the piece: --weight 1.3kg; or give --width and --length, or --shape slab for a wide flat one.",
        )  # fmt: skip
    area = volume / t
    one = w or ln
    if one is not None:
        other = area / one
        _ordered(t, min(one, other), max(one, other))
        return Sizes("box", t, min(one, other), max(one, other), False, (f"{units.millimetres(other):.0f} mm the other way, from the weight",))
    ratio = aspect(0.5)
    width = math.sqrt(area / ratio)
    if width < t:
        width = max(width, math.sqrt(area / float(toml_table("laws", "cooking.toml")["aspect"]["high"])))
        width, length = (t, area / t) if area / t >= t else (width, area / width)
        if length < 0.7 * t:
            raise OutOfRange(
                f"A piece of {joint_words(volume)} cannot be {units.millimetres(t):.0f} mm at its thinnest way through.",
                field="thickness", value=f"{units.millimetres(t):.0f} mm", limit=f"{units.millimetres(volume ** (1 / 3)):.0f} mm for a cube",
                remedy="Push a skewer through the thickest place of the thinnest way, and weigh the piece again.",
            )  # fmt: skip
        return Sizes("box", t, width, length, False, (f"{_mm(width)} x {_mm(length)} from the weight",))
    return Sizes("box", t, width, area / width, True, (f"{_mm(width)} x {_mm(area / width)} from the weight",))


def _ellipsoid(t: float | None, w: float | None, ln: float | None, volume: float | None) -> Sizes:
    if t is None:
        raise _missing("thickness", _SKEWER)
    if volume is not None and (w is None or ln is None):
        area = 6.0 / math.pi * volume / t
        ln = ln or math.sqrt(area * aspect(0.5))
        w = w or area / ln
    if w is None or ln is None:
        raise _missing("weight", "Weigh it, or give --width and --length.")
    _ordered(t, w, ln)
    s = ELLIPSOID_AS_BOX
    return Sizes("box", s * t, s * min(w, ln), s * max(w, ln), False, (f"an egg shape is taken for the box with {s:g} of its axes",))


def joint_words(volume: float) -> str:
    """A volume as the weight that lean pork of it has."""
    return units.show_mass(units.grams(volume * lean_density()))


def _mm(metres: float) -> str:
    return f"{units.millimetres(metres):.0f} mm"


def _ordered(t: float, w: float | None, ln: float | None) -> None:
    for name, wide in (("width", w), ("length", ln)):
        if wide is not None and t > wide * 1.0001:
            raise OutOfRange(
                f"thickness {_mm(t)} is more than the {name} {_mm(wide)}. A piece is thinnest along its thickness.",
                field="thickness", value=_mm(t), limit=_mm(wide), remedy="Push a skewer through the thickest place and measure that, in mm.",
            )  # fmt: skip


def aspect(chance: float) -> float:
    """Length over width of a piece of which only weight and thickness are known."""
    said = toml_table("laws", "cooking.toml")["aspect"]
    return float(said["low"] * (said["high"] / said["low"]) ** chance)


def _fits(joint: Joint, told: Sizes, volume: float | None) -> None:
    """Weight and sizes that disagree by more than 15 % are refused."""
    if volume is None or joint.shape == "slab":
        return
    have = {
        "box": lambda: told.thickness * (told.width or 0) * (told.length or 0),
        "sphere": lambda: math.pi / 6.0 * told.thickness**3,
        "cylinder": lambda: math.pi / 4.0 * told.thickness**2 * (told.length or 0),
    }[told.shape]()
    if joint.shape == "ellipsoid":
        have *= math.pi / 6.0 / ELLIPSOID_AS_BOX**3
    if have and abs(have / volume - 1.0) > _MISFIT:
        raise BadBrief(
            f"A {joint.shape} of these sizes weighs {units.show_mass(units.grams(have * density(joint)))}, not {units.show_mass(joint.weight_g or 0)}.",
            field="weight", value=units.show_mass(joint.weight_g or 0), limit=f"within {units.show_fraction(_MISFIT, 0)} of sizes and density",
            remedy="Measure again, or leave the weight or one size out.",
        )  # fmt: skip
