"""Bodies cut into cells: slab, cylinder, sphere, box, short cylinder, and a drawn cross-section.

Every grid is rectangular in its own coordinates. A one-dimensional body is a row of cells whose faces carry
their true area, so that what leaves one cell enters the next to the last bit.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange

Floats = NDArray[np.float64]


class Faces(NamedTuple):
    """Outer faces across one axis."""

    cells: NDArray[np.int64]
    axis: int
    area: Floats  # [m2]
    half: Floats  # half width of the cell behind each [m]


@dataclass(frozen=True)
class Grid:
    """Cells, their faces, and the names of the outer sides. Built by the functions below.

    Inside, arrays are three-dimensional with leading axes of length 1; `shape` is the body's own.
    """

    shape: tuple[int, ...]  # what `values` look like from outside
    edges: tuple[Floats, Floats, Floats]  # positions of cell faces along each axis [m]
    area: tuple[Floats, Floats, Floats]  # of the faces across each axis, one more than cells there [m2]
    volume: Floats  # of each cell, 0 outside the body [m3]
    sides: Mapping[str, tuple[int, int]]  # name -> (axis, -1 low or +1 high)
    round_axis: int = -1  # axis that begins at a centre line, or -1

    @property
    def inside(self) -> NDArray[np.bool_]:
        """Cells that belong to the body."""
        return self.volume > 0.0

    @property
    def centres(self) -> tuple[Floats, ...]:
        """Positions of the cell centres along the body's own axes. [m]"""
        own = [(e[1:] + e[:-1]) / 2.0 for e in self.edges]
        return tuple(own[3 - len(self.shape):])

    @property
    def halves(self) -> tuple[Floats, Floats, Floats]:
        """Half widths of the cells along each axis. [m]"""
        x, y, z = (np.diff(e) / 2.0 for e in self.edges)
        return x, y, z

    def full(self, values: ArrayLike) -> Floats:
        """A number or an array of `shape` as the inner three-dimensional array."""
        told = np.asarray(values, dtype=float)
        if told.shape not in ((), self.shape):
            raise OutOfRange(
                f"An array of shape {told.shape} does not fit a grid of shape {self.shape}.",
                field="values", value=told.shape, limit=self.shape,
                remedy="Give one number, or one value for each cell.",
            )
        return np.ascontiguousarray(np.broadcast_to(told, self.shape).reshape(self.volume.shape))

    def faces(self, side: str) -> list[Faces]:
        """The outer faces of a side, one entry for each axis and direction.

        "rim" names every face between the body and the empty cells of a drawn cross-section.
        """
        if side not in self.sides:
            raise OutOfRange(
                f"This body has no side called {side!r}.", field="side", value=side, limit=sorted(self.sides),
                remedy="Its sides are " + ", ".join(sorted(self.sides)) + ".",
            )
        axis, end = self.sides[side]
        if side == "rim":
            return [faces for axis in (1, 2) for faces in self._bordering(axis)]
        at = 0 if end < 0 else self.volume.shape[axis] - 1
        there = np.take(self.inside, at, axis)
        cells = np.take(self._numbers, at, axis)[there]
        area = np.take(self.area[axis], at + (end > 0), axis)[there]
        return [Faces(cells, axis, area, np.full(cells.size, self.halves[axis][at]))]

    @property
    def _numbers(self) -> NDArray[np.int64]:
        return np.arange(self.volume.size).reshape(self.volume.shape)

    def _bordering(self, axis: int) -> list[Faces]:
        """Faces across one axis between cells inside and empty ones."""
        body, cells = np.moveaxis(self.inside, axis, 0), np.moveaxis(self._numbers, axis, 0)
        area = np.moveaxis(self.area[axis], axis, 0)[1:-1]
        half = np.broadcast_to(self.halves[axis][:, None, None], body.shape)
        below, above = slice(None, -1), slice(1, None)
        return [
            Faces(cells[mine][edge], axis, area[edge], half[mine][edge])
            for mine, other in ((below, above), (above, below))
            for edge in [body[mine] & ~body[other]]
        ]


def cell_edges(length: float, cells: int, *, fine: Iterable[str] = (), grade: float = 1.0) -> Floats:
    """Positions of the faces of a row of cells, narrow towards the fine ends.

    Parameters
    ----------
    length : float
        Length of the row. [m]
    cells : int
        Number of cells.
    fine : of "low", "high"
        Ends at which the cells are narrow.
    grade : float
        Widest cell / narrowest cell, 1 or more; kept on refinement, so that the error falls with its square.
    """
    if not (length > 0.0 and np.isfinite(length)) or cells < 1 or grade < 1.0:
        raise OutOfRange(
            f"A row of {cells} cells, {length:g} m long and graded {grade:g}, is not possible.",
            field="cells", value=cells, limit="1 cell and more, a length above 0 m, a grade of 1 and more",
            remedy="Give a length above 0 m, one cell or more, a grade of 1 or more.",
        )
    ends, n = set(fine), np.arange(cells)
    if not ends or grade == 1.0 or cells < 2:
        widths = np.ones(cells)
    elif ends == {"low", "high"}:
        depth = np.minimum(n, cells - 1 - n)
        widths = grade ** (depth / max(depth.max(), 1))
    else:
        widths = grade ** (n / (cells - 1))
        widths = widths[::-1] if ends == {"high"} else widths
    edges = np.concatenate([[0.0], np.cumsum(widths)]) * (length / widths.sum())
    edges[-1] = length
    return edges


def slab_grid(thickness: float, cells: int, *, wet: Iterable[str] = ("left", "right"), grade: float = 1.0) -> Grid:
    """A slab; sides "left" and "right". Areas and contents are per square metre of face. [m]"""
    ends = [{"left": "low", "right": "high"}[side] for side in wet]
    return _tensor((cells,), [cell_edges(thickness, cells, fine=ends, grade=grade)], {"left": (2, -1), "right": (2, 1)})


def cylinder_grid(radius: float, cells: int, *, grade: float = 1.0) -> Grid:
    """A long cylinder; side "surface". Areas and contents are per metre of length. [m]"""
    edges = cell_edges(radius, cells, fine=("high",), grade=grade)
    return _radial(edges, 2.0 * np.pi * edges, np.pi * np.diff(edges**2))


def sphere_grid(radius: float, cells: int, *, grade: float = 1.0) -> Grid:
    """A sphere; side "surface". [m]"""
    edges = cell_edges(radius, cells, fine=("high",), grade=grade)
    return _radial(edges, 4.0 * np.pi * edges**2, 4.0 / 3.0 * np.pi * np.diff(edges**3))


def box_grid(
    size: tuple[float, float, float], cells: tuple[int, int, int], *,
    wet: Iterable[str] = ("left", "right", "front", "back", "bottom", "top"), grade: float = 1.0,
) -> Grid:
    """A box; sides "left" "right" along its first size, "front" "back", "bottom" "top". [m]

    ``wet`` only says where cells are narrow. A plane of symmetry is a side that is left sealed.
    """
    sides = {"left": (0, -1), "right": (0, 1), "front": (1, -1), "back": (1, 1), "bottom": (2, -1), "top": (2, 1)}
    return _tensor(tuple(cells), _graded(size, cells, sides, wet, grade), sides)


def plane_grid(
    size: tuple[float, float], cells: tuple[int, int], *, inside: ArrayLike | None = None,
    wet: Iterable[str] = (), grade: float = 1.0,
) -> Grid:
    """A cross-section of one metre depth, rectangular or drawn; sides "front" "back" along its first size,
    "bottom" "top" along its second, and "rim" where it borders on cells that are not ``inside``. [m]

    Parameters
    ----------
    inside : array_like of bool, shape ``cells``
        Cells that belong to the body; left out: all.
    """
    sides = {"front": (1, -1), "back": (1, 1), "bottom": (2, -1), "top": (2, 1)}
    grid = _tensor(tuple(cells), _graded(size, cells, sides, wet, grade, first_axis=1), sides)
    if inside is None:
        return grid
    mask = np.asarray(inside, dtype=bool)
    if mask.shape != grid.shape or not mask.any():
        raise OutOfRange(
            f"A drawing of shape {mask.shape} with {int(mask.sum())} cells inside does not fit {grid.shape} cells.",
            field="inside", value=mask.shape, limit=grid.shape, remedy="Draw at least one cell of the body.",
        )
    return Grid(
        grid.shape, grid.edges, grid.area, grid.volume * mask.reshape(grid.volume.shape), {**sides, "rim": (-1, 0)}
    )


def short_cylinder_grid(
    radius: float, length: float, cells: tuple[int, int], *, wet: Iterable[str] = ("side", "bottom", "top"),
    grade: float = 1.0,
) -> Grid:
    """A cylinder with ends, cells (across, along); sides "side", "bottom", "top". [m]"""
    sides = {"side": (1, 1), "bottom": (2, -1), "top": (2, 1)}
    r, z = _graded((radius, length), cells, sides, wet, grade, first_axis=1)
    ring = np.pi * np.diff(r**2)
    area = (
        np.zeros((2, cells[0], cells[1])),
        (2.0 * np.pi * r[:, None] * np.diff(z))[None],
        np.repeat(ring[:, None], cells[1] + 1, axis=1)[None],
    )
    volume = (ring[:, None] * np.diff(z))[None]
    return Grid(tuple(cells), (np.array([0.0, 1.0]), r, z), area, volume, sides, round_axis=1)


def _graded(
    size: Iterable[float], cells: Iterable[int], sides: Mapping[str, tuple[int, int]], wet: Iterable[str],
    grade: float, first_axis: int = 0,
) -> list[Floats]:
    """Cell edges along each axis, narrow at the wet sides."""
    fine: dict[int, list[str]] = {}
    for side in wet:
        axis, end = sides[side]
        fine.setdefault(axis, []).append("low" if end < 0 else "high")
    return [
        cell_edges(length, n, fine=fine.get(axis, ()), grade=grade)
        for axis, (length, n) in enumerate(zip(size, cells, strict=True), start=first_axis)
    ]


def _tensor(shape: tuple[int, ...], own: list[Floats], sides: Mapping[str, tuple[int, int]]) -> Grid:
    """Rectangular cells; missing leading axes are one metre wide."""
    x, y, z = [np.array([0.0, 1.0])] * (3 - len(own)) + own
    dx, dy, dz = np.diff(x), np.diff(y), np.diff(z)
    area = (
        np.ones(x.size)[:, None, None] * dy[:, None] * dz,
        dx[:, None, None] * np.ones(y.size)[:, None] * dz,
        dx[:, None, None] * dy[:, None] * np.ones(z.size),
    )
    return Grid(shape, (x, y, z), area, dx[:, None, None] * dy[:, None] * dz, sides)


def _radial(edges: Floats, area: Floats, volume: Floats) -> Grid:
    """A one-dimensional body around a centre."""
    n = volume.size
    unit = np.array([0.0, 1.0])
    flat = (np.zeros((2, 1, n)), np.zeros((1, 2, n)), area.reshape(1, 1, n + 1))
    return Grid((n,), (unit, unit, edges), flat, volume.reshape(1, 1, n), {"surface": (2, 1)}, round_axis=2)
