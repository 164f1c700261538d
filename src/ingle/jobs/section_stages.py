"""A history of stages in a drawn cross-section: what `ingle cure --section NAME --stages FILE` tells."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure import section_history, section_map
from ingle.crafts.cure.base import base_of
from ingle.crafts.cure.history_file import read_history
from ingle.crafts.cure.section import Section
from ingle.crafts.cure.section_history import Frame, Place, SectionTold
from ingle.ground import units
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.things import Piece
from ingle.jobs.cure import CAUTIONS
from ingle.jobs.section import drawing

THICKNESS_OFF = 0.15  # between the piece as measured and as drawn: more, and one of them is another piece
NOT_IN_IT = ("the spread: one likely piece is told, the window of the same thickness says how sure", "the two cut ends", "bone")


@dataclass(frozen=True)
class SectionHistory:
    """The answer. Everything is of one likely piece."""

    piece: Piece
    section: Section
    told: SectionTold
    base_g: float  # green weight without rind
    length_mm: float  # of a piece of this weight with this cut
    assumed: tuple[str, ...]
    cautions: tuple[str, ...] = CAUTIONS
    not_in_it: tuple[str, ...] = NOT_IN_IT

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/README.md); fields row by row, null outside and in the rind."""
        told = self.told
        columns = {"core": told.core, "lean": told.lean, "fat": told.fat, "mean": told.whole, "surface": told.surface}
        columns |= {"nitrite_core": told.nitrite_core, "change_pct": told.change_pct}
        return {
            "section": self.section.name, "width_mm": units.millimetres(told.map.size_m[1]),
            "height_mm": units.millimetres(told.map.size_m[0]), "length_mm": self.length_mm, "base_g": self.base_g,
            "ready_h": told.ready_h if np.isfinite(told.ready_h) else None, "what": "core holds 90 % of the wished salt",
            "core_place_mm": list(told.core_place_mm),
            "curve": [
                {"h": float(h)} | {k: _none(float(v[i])) for k, v in columns.items()} for i, h in enumerate(told.hours)
            ],
            "after": [
                {"kind": a.kind, "h": a.hours, "change_pct": a.change_pct.likely, "brine_g_per_kg": a.brine_g_per_kg.likely,
                 "brine_strength": a.brine_strength, "mean_salt_g_per_100g": a.mean_salt.likely} for a in told.after
            ],
            "frames": [_frame(f) for f in told.frames], "worst": _place(told.worst), "worst_lean": _place(told.worst_lean),
            "unit": "g salt per 100 g of tissue; nitrite mg/kg", "hardening": told.hardening, "assumed": list(self.assumed),
            "closes": told.closes, "water_closes": told.water_closes, "not_in_it": list(self.not_in_it), "cautions": list(self.cautions),
        }  # fmt: skip


def _frame(frame: Frame) -> dict[str, Any]:
    return {
        "kind": frame.kind, "h": frame.hours, "salt_g_per_100g": _rows(frame.salt, 3), "nitrite_mg_per_kg": _rows(frame.nitrite, 1),
        "water_phase_salt_pct": _rows(frame.water_phase_salt, 3), "water_activity": _rows(frame.water_activity, 4),
        "water_g_per_100g": _rows(frame.water, 2),
    }  # fmt: skip


def _rows(field: NDArray[np.float64], digits: int) -> list[list[float | None]]:
    return [[_none(float(v)) for v in row] for row in np.round(field, digits)]


def _place(place: Place) -> dict[str, Any]:
    return vars(place) | {"place_mm": list(place.place_mm)}


def _none(value: float) -> float | None:
    return value if np.isfinite(value) else None


def section_by_stages(
    name: str, path: Path, *, wished_salt: float | None = None, diffusivity: float | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> SectionHistory:  # fmt: skip
    """Take a drawn cut through the stages of a file.

    Parameters
    ----------
    name : str
        Of a shipped drawing, or a file with one.
    path : Path
        The piece and its stages, as for `ingle cure --stages`.

    Raises
    ------
    BadBrief, OutOfRange
        As `read_history` and `drawing`; and where the piece and the drawing cannot be the same.
    """
    section = drawing(name)
    piece, stages = read_history(path)
    found = section_map.tissue_map(section, section_history.ACROSS)
    grams, assumed = _base(piece, found)
    _require_same(piece, section)
    told = section_history.run(section, grams, stages, wished=wished_salt, diffusivity=diffusivity, seen=progress)
    known = section_map.tissues()
    per_mm = sum(m for n, m in section_map.mass_per_metre(found, known).items() if n != "rind")  # kg/m is g/mm
    return SectionHistory(piece, section, told, grams, grams / per_mm, (*assumed, *told.assumed))


def _base(piece: Piece, found: section_map.TissueMap) -> tuple[float, tuple[str, ...]]:
    """Green weight without rind [g]: by the piece's own words, or by the drawing where they say nothing of its rind."""
    mass = section_map.mass_per_metre(found, section_map.tissues())
    if piece.skin != "none":
        if mass["rind"] == 0:
            raise BadBrief(
                f"The piece has a rind ({piece.skin}), the drawing has none.", field="piece.skin", value=piece.skin, limit="none",
                remedy='Draw the rind as a layer, or write skin = "none".',
            )  # fmt: skip
        return base_of(piece).skin_free_g, (base_of(piece).words,)
    share = mass["rind"] / sum(mass.values())
    said = (f"the rind is {units.show_fraction(share, 0)} of the weight, by the drawing",) if share > 0 else ()
    return piece.weight_g * (1 - share), said


def _require_same(piece: Piece, section: Section) -> None:
    """Refuse a thickness that the drawing does not have."""
    if piece.thickness_mm is None:
        return
    left, top, right, bottom = (units.millimetres(v) for v in section.box)
    sizes = [
        s for s, ends in ((bottom - top, ("top", "bottom")), (right - left, ("left", "right"))) if not set(ends) & set(section.goes_on)
    ]
    drawn = min(sizes, default=bottom - top)
    if abs(piece.thickness_mm / drawn - 1) > THICKNESS_OFF:
        raise OutOfRange(
            f"The piece is {piece.thickness_mm:g} mm thick, the drawing {drawn:g} mm.", field="piece.thickness",
            value=f"{piece.thickness_mm:g} mm", limit=f"{drawn:g} mm within {units.show_fraction(THICKNESS_OFF, 0)}",
            remedy="Draw the cut as it is measured, or leave the thickness out: the drawing tells it.",
        )  # fmt: skip
