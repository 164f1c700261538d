"""A drawn cut on a grid of cells, for an engine that knows only cells: tissue, wet faces, water, weight.

Row 0 is the top, column 0 the left. Each cell has one ruling tissue (the one with the largest share; a cell less than
half filled is outside) and the exact share of all three. Whether a face is wet is asked of the drawing, not of the
cells: a rind thinner than a cell still seals.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.section import OUTSIDE, RIND, SIDES, TISSUES, Section, tissue_at
from ingle.crafts.cure.section_cover import cover
from ingle.ground.errors import OutOfRange
from ingle.ground.tables import source, toml_table

Floats = NDArray[np.float64]
MOST_CELLS = 1000  # along one side: a million cells are more than any answer needs
_STEPS = 4000  # parts into which the outline is cut to see what lies under it


@dataclass(frozen=True)
class Tissue:
    """What one tissue is to salt: `data/laws/tissues.toml`, with sources and ends."""

    name: str
    water: float  # per weight of the tissue [1]
    pace: float  # diffusivity over that of lean [1]
    density: float  # [kg/m3]
    sealed: bool = False  # nothing passes


class WetFaces(NamedTuple):
    """Faces through which brine is met. One entry a face."""

    row: NDArray[np.int64]
    column: NDArray[np.int64]
    axis: NDArray[np.int64]  # 0: the face looks up or down, 1: left or right
    end: NDArray[np.int64]  # -1: up or left, +1: down or right


@dataclass(frozen=True, eq=False)
class TissueMap:
    """A section on cells.

    Parameters
    ----------
    x_m, y_m : ndarray, shapes (nx + 1,), (ny + 1,)
        Borders of columns and rows. [m]
    tissue : ndarray of int8, shape (ny, nx)
        0 outside, 1 lean, 2 fat, 3 rind.
    share : ndarray, shape (3, ny, nx)
        Exact part of each cell that is lean, fat, rind. [1]
    wet : WetFaces
        Outer faces of the cells that are not under rind and not at a side that goes on.
    wet_m : float
        Length of the drawn outline that is wet; the faces of the cells are longer by their steps. [m]
    section : Section
        The drawing.
    """

    x_m: Floats
    y_m: Floats
    tissue: NDArray[np.int8]
    share: Floats
    wet: WetFaces
    wet_m: float
    section: Section

    @property
    def shape(self) -> tuple[int, int]:
        """Rows, columns."""
        return self.tissue.shape[0], self.tissue.shape[1]

    @property
    def size_m(self) -> tuple[float, float]:
        """Height, width of the grid, in the order of `shape`. [m]"""
        return float(self.y_m[-1] - self.y_m[0]), float(self.x_m[-1] - self.x_m[0])

    @property
    def inside(self) -> NDArray[np.bool_]:
        """Cells that belong to the piece, shape (ny, nx)."""
        return self.tissue != OUTSIDE

    @property
    def cell_m2(self) -> float:
        """Area of one cell. [m2]"""
        height, width = self.size_m
        return height * width / self.tissue.size


def tissue_map(section: Section, across: int = 96, down: int | None = None, *, sealed_rind: bool = True) -> TissueMap:
    """The section on ``across`` by ``down`` equal cells; ``down`` left out: cells nearly square.

    ``sealed_rind=False``: the rind lets something through (scored, or a permeance is known), its faces are wet too.

    Raises
    ------
    OutOfRange
        Fewer than 2 or more than 1,000 cells along a side, or so few that a tissue of the drawing rules no cell.
    """
    left, top, right, bottom = section.box
    down = max(2, round(across * (bottom - top) / (right - left))) if down is None else down
    for side, cells in (("across", across), ("down", down)):
        if isinstance(cells, bool) or not isinstance(cells, int | np.integer) or not 2 <= cells <= MOST_CELLS:
            raise OutOfRange(
                f"{cells} cells {side} are not possible.", field=side, value=cells, limit=f"2 to {MOST_CELLS}",
                remedy=f"Take 2 to {MOST_CELLS} cells {side}; 96 are plenty for most pieces.",
            )  # fmt: skip
    x, y = np.linspace(left, right, across + 1), np.linspace(top, bottom, down + 1)
    share = cover(section, x, y) / ((right - left) * (bottom - top) / (across * down))
    rank = share + np.arange(len(TISSUES))[:, None, None] * 1e-9  # of two halves the outer tissue rules
    tissue = np.where(share.sum(axis=0) >= 0.5 - 1e-9, rank.argmax(axis=0) + 1, OUTSIDE).astype(np.int8)
    for code, name in enumerate(TISSUES, start=1):
        if share[code - 1].sum() > 0.5 and not (tissue == code).any():
            raise OutOfRange(
                f"On {across} by {down} cells no cell is {name}: the cells are wider than the {name} is thick.",
                field="across", value=f"{across} by {down}", limit=f"cells narrower than the {name}",
                remedy=f"Take {2 * across} by {2 * down} cells.",
            )  # fmt: skip
    places, lengths, sealed = outline_pieces(section, sealed_rind)
    wet = _wet_faces(x, y, tissue, places, sealed, (RIND,) if sealed_rind else ())
    return TissueMap(x, y, tissue, share, wet, float(lengths[~sealed].sum()), section)


def outline_pieces(section: Section, sealed_rind: bool) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """The outline in short pieces: middles (n, 2) [m], lengths [m], and which of them are sealed."""
    corners = np.asarray(section.outline)
    span = np.roll(corners, -1, axis=0) - corners
    long = np.hypot(*span.T)
    parts = np.maximum(1, np.ceil(long * (_STEPS / long.sum()))).astype(int)
    side = np.repeat(np.arange(len(corners)), parts)
    along = (np.arange(side.size) - np.repeat(np.cumsum(parts) - parts, parts) + 0.5) / parts[side]
    middles = corners[side] + along[:, None] * span[side]
    x, y = corners.T
    turn = 1.0 if np.dot(x, np.roll(y, -1) - np.roll(y, 1)) > 0 else -1.0
    inward = turn * np.stack([-span[:, 1], span[:, 0]], axis=1)[side] / long[side, None]
    under = middles + inward * (1e-6 * long.sum())
    sealed = (tissue_at(section, *under.T) == RIND) & sealed_rind
    left, top, right, bottom = section.box
    for name, axis, at in zip(SIDES, (0, 0, 1, 1), (left, right, top, bottom), strict=True):
        if name in section.goes_on:
            sealed |= np.isclose(middles[:, axis], at, rtol=0.0, atol=1e-9 * long.sum())
    return middles, long[side] / parts[side], sealed


def _wet_faces(
    x: Floats, y: Floats, tissue: NDArray[np.int8], places: Floats, sealed: NDArray[np.bool_], dry: tuple[int, ...]
) -> WetFaces:
    """Outer faces whose nearest piece of outline is wet; a cell ruled by a ``dry`` tissue has none."""
    may = (tissue != OUTSIDE) & ~np.isin(tissue, dry)
    body = np.pad(tissue != OUTSIDE, 1)
    found = []
    for axis, end in ((0, -1), (0, 1), (1, -1), (1, 1)):
        beyond = np.roll(body, -end, axis=axis)[1:-1, 1:-1]
        row, column = np.nonzero(may & ~beyond)
        at_x = x[column + (end > 0)] if axis == 1 else (x[column] + x[column + 1]) / 2
        at_y = y[row + (end > 0)] if axis == 0 else (y[row] + y[row + 1]) / 2
        near = ((at_x[:, None] - places[:, 0]) ** 2 + (at_y[:, None] - places[:, 1]) ** 2).argmin(axis=1)
        keep = ~sealed[near]
        row, column = row[keep], column[keep]
        found.append((row, column, np.full(row.size, axis), np.full(row.size, end)))
    return WetFaces(*(np.concatenate(part).astype(np.int64) for part in zip(*found, strict=True)))


def tissues(which: str = "likely") -> dict[str, Tissue]:
    """Lean, fat and rind as shipped: the ``likely`` values, or the ``low`` or ``high`` end of each."""
    if which not in ("low", "likely", "high"):
        raise OutOfRange(f"{which!r} is no end of a band.", field="which", value=which,
                         limit=("low", "likely", "high"), remedy="Take low, likely or high.")  # fmt: skip
    law = toml_table("laws", "tissues.toml")
    found = {}
    for name in TISSUES:
        water, pace_, density = (law[name][kind][which] for kind in ("water", "pace", "density"))
        found[name] = Tissue(name, water, pace_, density, law[name].get("sealed", {}).get("value", False))
    return found


def tissue_sources() -> dict[str, str]:
    """Where each value of `tissues` comes from: "fat.water" -> name of the source and clause."""
    law = toml_table("laws", "tissues.toml")
    return {
        f"{name}.{kind}": f"{source(said['source']).name}: {said['clause']}"
        for name, kinds in law.items() for kind, said in kinds.items()
    }  # fmt: skip


def areas_m2(found: TissueMap) -> dict[str, float]:
    """Drawn area of each tissue, exact. [m2]"""
    return {name: float(found.share[i].sum() * found.cell_m2) for i, name in enumerate(TISSUES)}


def celled_m2(found: TissueMap) -> dict[str, float]:
    """Area of the cells each tissue rules: what an engine of whole cells works with. [m2]"""
    return {name: float((found.tissue == code).sum() * found.cell_m2) for code, name in enumerate(TISSUES, start=1)}


def fractions(found: TissueMap) -> dict[str, float]:
    """Share of the drawn area that is lean, fat, rind; together 1. [1]"""
    areas = areas_m2(found)
    return {name: area / sum(areas.values()) for name, area in areas.items()}


def mass_per_metre(found: TissueMap, known: Mapping[str, Tissue]) -> dict[str, float]:
    """Mass of each tissue in one metre of the piece. [kg/m]"""
    return {name: area * known[name].density for name, area in areas_m2(found).items()}


def mean_water(found: TissueMap, known: Mapping[str, Tissue], *, rind: bool = False) -> float:
    """Water per green weight, without the rind unless ``rind``. [1]"""
    mass = {n: m for n, m in mass_per_metre(found, known).items() if rind or n != "rind"}
    if not sum(mass.values()) > 0.0:
        raise OutOfRange("The drawing is all rind: there is nothing to cure.", field="section", value="rind only",
                         limit="some lean or fat", remedy="Draw the lean and the fat too.")  # fmt: skip
    return sum(m * known[n].water for n, m in mass.items()) / sum(mass.values())


def field_of(found: TissueMap, values: Mapping[str, float], *, mixed: bool = False) -> Floats:
    """One value a tissue laid on the cells, 0 outside.

    Parameters
    ----------
    values : mapping
        "lean", "fat", "rind" to a value.
    mixed : bool
        Cells of several tissues take the mean by area of what is drawn there (right for contents); otherwise that
        of the ruling tissue.

    Returns
    -------
    ndarray, shape (ny, nx)
    """
    told = np.array([values[name] for name in TISSUES])
    if not mixed:
        return np.concatenate([[0.0], told])[found.tissue]
    filled = found.share.sum(axis=0)
    mean = np.einsum("t,tyx->yx", told, found.share) / np.where(filled > 0.0, filled, 1.0)
    return np.where(found.inside, mean, 0.0)


def storage(found: TissueMap, known: Mapping[str, Tissue], *, mixed: bool = False) -> Floats:
    """Water per volume, 0 outside, shape (ny, nx): what salt per water is multiplied with. [kg/m3]"""
    return field_of(found, {n: t.density * t.water for n, t in known.items()}, mixed=mixed)


def pace(found: TissueMap, known: Mapping[str, Tissue]) -> Floats:
    """Diffusivity over that of lean, by the ruling tissue, 0 where sealed and outside, shape (ny, nx). [1]

    What is 0 takes no salt: leave those cells out of an average.
    """
    return field_of(found, {n: 0.0 if t.sealed else t.pace for n, t in known.items()})
