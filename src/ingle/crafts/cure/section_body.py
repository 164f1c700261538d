"""A drawn section as cells that hold water, matter and solutes: what a history of stages is taken through.

Masses are per kg of green weight without rind, as in ``physics/histories``; cells (N,) are those of lean and fat, row by row.
Fat tissue is taken as lean with lipid between: what holds its water is to that water as in lean, the lipid is inert. (Back fat
of 7.7 % water, USDA NDB 10004, then holds 2.7 % that is neither water nor lipid; the table has 2.9 % protein, from memory.)
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure import section_map
from ingle.crafts.cure.forecast_draw import law
from ingle.crafts.cure.section import FAT, LEAN
from ingle.crafts.cure.section_map import TissueMap
from ingle.ground import units
from ingle.ground.errors import OutOfRange
from ingle.physics import transport
from ingle.physics.histories import Pieces
from ingle.physics.transport_grid import Faces, Grid

Floats = NDArray[np.float64]
_NEARLY, _STRETCHES = 0.85, 12  # filled so far, the cells still differ; 4**12 times the first stretch is never needed
_HALF_FULL = 0.1967  # D t/path**2 of a slab with its face held (Crank 1975, p. 48; by the series)


@dataclass(frozen=True, eq=False)
class CutGrid(Grid):
    """The cells of a drawing for the engine; its one side "wet" are the faces that the drawing calls wet."""

    wet: tuple[Faces, ...] = ()

    def faces(self, side: str) -> list[Faces]:
        """The wet faces, those that look up and down first."""
        return list(self.wet) if side == "wet" else super().faces(side)


@dataclass(frozen=True, eq=False)
class Body:
    """A section at its start, and where what is in it.

    Parameters
    ----------
    found : TissueMap
        The drawing on its cells.
    grid : CutGrid
        The same for the engine.
    at : ndarray of int, shape (N,)
        Numbers of the cells of lean and fat, row by row.
    lean : ndarray of bool, shape (N,)
    mass : float
        Green weight without rind of one metre of the piece. [kg/m]
    water, holds, lipid : ndarray, shape (N,)
        Water of the raw cells, the dry matter that holds it, and what is inert. [kg/kg]
    pace : ndarray, shape (N,)
        Diffusivity over that of lean. [1]
    face_cell : ndarray of int, shape (F,)
        The cell (0 to N - 1) behind each wet face.
    face_m : ndarray, shape (F,)
        Length of each as drawn: without the steps of the cells. [m]
    half_m : ndarray, shape (F,)
        From the face to the middle of its cell. [m]
    core : int
        The cell of lean that salt reaches last.
    path_m : float
        Of the slab that is half full in the same time. [m]
    """

    found: TissueMap
    grid: CutGrid
    at: NDArray[np.int64]
    lean: NDArray[np.bool_]
    mass: float
    water: Floats
    holds: Floats
    lipid: Floats
    pace: Floats
    face_cell: NDArray[np.int64]
    face_m: Floats
    half_m: Floats
    core: int
    path_m: float

    @property
    def pumped(self) -> Floats:
        """The part of what is pumped that comes into each cell: into the lean, by its water. Shape (N,)"""
        into = np.where(self.lean, self.water, 0.0)
        return into / into.sum()

    @property
    def facing(self) -> Floats:
        """The part of the wet faces that each cell has, shape (N,)."""
        return np.asarray(np.bincount(self.face_cell, self.face_m / self.face_m.sum(), self.at.size), float)

    def field(self, values: Floats, elsewhere: float) -> Floats:
        """Values of the cells (N,) in rows and columns, shape (ny, nx)."""
        told = np.full(self.found.tissue.size, elsewhere)
        told[self.at] = values
        return told.reshape(self.found.shape)

    def place_mm(self, cell: int) -> tuple[float, float]:
        """Middle of a cell from the left and from the top. [mm]"""
        row, column = divmod(int(self.at[cell]), self.found.shape[1])
        x, y = self.found.x_m, self.found.y_m
        return float(x[column] + x[column + 1] - 2 * x[0]) * 500, float(y[row] + y[row + 1] - 2 * y[0]) * 500

    def fresh(self, solutes: int) -> Pieces:
        """The raw piece as one member, without solutes."""
        nothing = np.zeros((solutes, 1))
        return Pieces(
            water=self.water[:, None], solute=np.zeros((self.at.size, solutes, 1)), dry_matter=(self.holds + self.lipid)[:, None],
            brine=np.zeros(1), dissolved=nothing, poured=nothing, poured_water=np.zeros(1), lost=nothing, evaporated=np.zeros(1),
        )  # fmt: skip


def body_of(found: TissueMap) -> Body:
    """The cells of a drawing with the likely values of its tissues.

    Raises
    ------
    OutOfRange
        No lean, or no face that brine can reach.
    """
    known = section_map.tissues()
    tissue = found.tissue.ravel()
    at = np.flatnonzero((tissue == LEAN) | (tissue == FAT))
    lean = tissue[at] == LEAN
    if not lean.any():
        raise OutOfRange("The drawing holds no lean: there is nothing to cure.", field="section", value="no lean", limit="some lean",
                         remedy="Draw the lean too.")  # fmt: skip
    if not found.wet.row.size:
        raise OutOfRange("No face of the drawing meets the brine: all is under rind, or goes on.", field="section", value="no wet face",
                         limit="one open side", remedy="Leave one side out of goes_on, or draw the rind on one face only.")  # fmt: skip
    per_m3 = np.where(lean, known["lean"].density, known["fat"].density) * found.cell_m2
    mass = float(per_m3.sum())
    water = per_m3 / mass * np.where(lean, known["lean"].water, known["fat"].water)
    water0 = law()["water"]["lean"]["value"]
    holds = water * (1 - water0) / water0
    grid, cell, face, half = _wet_grid(found, at)
    pace = np.where(lean, known["lean"].pace, known["fat"].pace)
    body = Body(found, grid, at, lean, mass, water, holds, per_m3 / mass - water - holds, pace, cell, face, half, 0, 1.0)
    core, path = _reach(body)
    return replace(body, core=core, path_m=path)


def _wet_grid(found: TissueMap, at: NDArray[np.int64]) -> tuple[CutGrid, NDArray[np.int64], Floats, Floats]:
    """The engine's grid with its wet faces; cell, drawn length and half width of each face."""
    plain = transport.plane_grid(found.size_m, found.shape, inside=found.inside)
    steps = np.array([found.size_m[0] / found.shape[0], found.size_m[1] / found.shape[1]])
    cell = found.wet.row * found.shape[1] + found.wet.column
    sides = []
    for axis in (0, 1):
        mine = cell[found.wet.axis == axis]
        sides.append(Faces(mine, axis + 1, np.full(mine.size, steps[1 - axis]), np.full(mine.size, steps[axis] / 2)))
    grid = CutGrid(plain.shape, plain.edges, plain.area, plain.volume, {**plain.sides, "wet": (-1, 0)}, wet=tuple(sides))
    cells = np.concatenate([s.cells for s in sides])
    length = np.concatenate([s.area for s in sides])
    return grid, np.searchsorted(at, cells), length * (found.wet_m / length.sum()), np.concatenate([s.half for s in sides])


def _reach(body: Body) -> tuple[int, float]:
    """The cell of lean that is filled last, and the path of the slab that is half full in the same time.

    Where a face is held at 1, a slab of one path is half full at D t/path**2 = 0.197 (Crank 1975: 0.049 of its thickness squared).
    """
    storage = body.water / body.found.cell_m2
    field = transport.Field(storage=body.field(storage, 1.0), conductance=body.field(storage * body.pace, 0.0))
    begin, state, share = (float(np.min(body.found.size_m)) / 20) ** 2, None, body.water / body.water.sum()
    times, filled, late = [0.0], [0.0], body.water
    for _ in range(_STRETCHES):  # each four times as long as the one before, until nearly all is filled
        ends = np.array([0.0, *np.geomspace(begin / 4, begin, 12)])
        told = transport.run(body.grid, field, {"wet": transport.Held(1.0)}, ends, tol=3e-3, scale=1.0, state=state)
        assert told.values is not None
        held = told.values.reshape(ends.size, -1)[1:, body.at]
        times, filled = [*times, *(times[-1] + ends[1:])], [*filled, *(held @ share)]
        late, state, begin = held[-1], told.state, 4 * begin
        if filled[-1] > _NEARLY:
            break
    if filled[-1] < 0.5:
        raise OutOfRange("More than half of the drawn piece lies where no brine comes.", field="section", value=f"{units.show_fraction(filled[-1], 0)} reached",
                         limit="half of it", remedy="Draw the rind on one face only, or leave a side out of goes_on.")  # fmt: skip
    return int(np.argmin(np.where(body.lean, late, np.inf))), float(np.sqrt(np.interp(0.5, filled, times) / _HALF_FULL))
