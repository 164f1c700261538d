"""How much of each cell is lean, fat or rind: exact, by cutting the drawing into trapezia.

The height is cut at every corner, at every place where two lines cross and where a line crosses a border
between columns of cells. Between two cuts the lines keep their order and their columns, so that the area between two
neighbours in one column is a trapezium: its mean width times its height.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.section import LEAN, OUTSIDE, TISSUES, Section

Floats = NDArray[np.float64]
_SAME = 1e-12  # cuts closer than this part of the height are one


def cover(section: Section, x_edges: Floats, y_edges: Floats) -> Floats:
    """Area of each tissue in each cell.

    Parameters
    ----------
    x_edges, y_edges : ndarray, shapes (nx + 1,), (ny + 1,)
        Borders of the cells, rising, y from the top down. [m]

    Returns
    -------
    ndarray, shape (3, ny, nx)
        Lean, fat, rind. [m2] The sum over all cells is the area inside the outline to rounding, if the cells
        cover it.
    """
    x0, y0, x1, y1, owner = _lines(section)
    slope = (x1 - x0) / (y1 - y0)  # sideways per downwards
    cuts = _cuts(x0, y0, y1, slope, x_edges, y_edges)
    middle, tall = (cuts[1:] + cuts[:-1]) / 2, np.diff(cuts)
    here = (y0 <= middle[:, None]) & (middle[:, None] < y1)
    x = np.where(here, x0 + (middle[:, None] - y0) * slope, np.inf)
    most = int(here.sum(axis=1).max(initial=0))
    order = np.argsort(x, axis=1, kind="stable")[:, :most]
    x = np.take_along_axis(x, order, axis=1)
    tissue = _between(section, owner[order])
    row = np.clip(np.searchsorted(y_edges, middle, side="right") - 1, 0, y_edges.size - 2)
    area = np.zeros((len(TISSUES) + 1, y_edges.size - 1, x_edges.size - 1))
    for k in range(most - 1):
        wide = np.minimum(x[:, k + 1, None], x_edges[1:]) - np.maximum(x[:, k, None], x_edges[:-1])
        np.add.at(area, (tissue[:, k], row), np.maximum(wide, 0.0) * tall[:, None])
    return area[LEAN:]


def _lines(section: Section) -> tuple[Floats, Floats, Floats, Floats, NDArray[np.int64]]:
    """All sides that are not level, each from its upper to its lower end, with the number of its closed line."""
    sides, owner = [], []
    for at, points in enumerate((section.outline, *(p.points for p in section.patches))):
        a = np.asarray(points, float)
        sides.append(np.hstack([a, np.roll(a, -1, axis=0)]))
        owner += [at] * len(a)
    x0, y0, x1, y1 = np.concatenate(sides).T
    up = y0 > y1
    x0, x1, y0, y1 = np.where(up, x1, x0), np.where(up, x0, x1), np.where(up, y1, y0), np.where(up, y0, y1)
    slanted = y0 < y1
    return x0[slanted], y0[slanted], x1[slanted], y1[slanted], np.asarray(owner, dtype=np.int64)[slanted]


def _cuts(x0: Floats, y0: Floats, y1: Floats, slope: Floats, x_edges: Floats, y_edges: Floats) -> Floats:
    """Heights between which nothing changes its order or its column, rising."""
    with np.errstate(divide="ignore", invalid="ignore"):
        columns = y0[:, None] + (x_edges - x0[:, None]) / slope[:, None]
        meet = (x0[None, :] - x0[:, None] + slope[:, None] * y0[:, None] - slope[None, :] * y0[None, :]) / (
            slope[:, None] - slope[None, :]
        )
    columns = columns[(columns > y0[:, None]) & (columns < y1[:, None])]
    meet = meet[(meet > np.maximum.outer(y0, y0)) & (meet < np.minimum.outer(y1, y1))]
    cuts = np.unique(np.concatenate([y_edges, y0, y1, columns, meet]))
    cuts = cuts[(cuts >= y_edges[0]) & (cuts <= y_edges[-1])]
    return cuts[np.concatenate([[True], np.diff(cuts) > _SAME * (y_edges[-1] - y_edges[0])])]


def _between(section: Section, owner: NDArray[np.int64]) -> NDArray[np.int64]:
    """The tissue right of each crossing: the last patch that has been entered and not left, lean if none."""
    body = np.cumsum(owner == 0, axis=1) % 2 == 1
    tissue = np.where(body, LEAN, OUTSIDE)
    for at, patch in enumerate(section.patches, start=1):
        within = np.cumsum(owner == at, axis=1) % 2 == 1
        tissue = np.where(body & within, patch.tissue, tissue)
    return tissue
