"""Lines of equal value through a field on cells, as closed rings, so that they can be filled and drawn alike."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# cividis (Nunez, Anderton and Renslow 2018, PLoS ONE 13(7):e0199239): places 0 to 255 and their colours; straight lines
# between them stay within 3 of 255 of the full table
_CIVIDIS = (
    (0, "#00224E"), (17, "#002E6C"), (23, "#013271"), (30, "#163770"), (51, "#35456C"), (85, "#575D6D"),
    (119, "#757575"), (153, "#948E77"), (187, "#B7A96E"), (221, "#DBC75A"), (246, "#F6DC3F"), (255, "#FEE838"),
)  # fmt: skip

# crossing of a cell's sides by its corners' code (1 top left, 2 top right, 4 bottom right, 8 bottom left above
# the level): pairs of sides, 0 top, 1 right, 2 bottom, 3 left
_PAIRS = {
    1: ((3, 0),), 2: ((0, 1),), 3: ((3, 1),), 4: ((1, 2),), 6: ((0, 2),), 7: ((3, 2),), 8: ((2, 3),), 9: ((2, 0),),
    11: ((2, 1),), 12: ((1, 3),), 13: ((1, 0),), 14: ((0, 3),),
}  # fmt: skip
_SADDLE = {  # (code, whether the middle is above): which corners join
    (5, True): ((0, 1), (2, 3)), (5, False): ((3, 0), (1, 2)), (10, True): ((3, 0), (1, 2)), (10, False): ((0, 1), (2, 3)),
}  # fmt: skip


def cividis(share: float) -> str:
    """The colour at 0 (low) to 1 (high) as ``#RRGGBB``."""
    at = 255.0 * min(max(share, 0.0), 1.0)
    places = [p for p, _ in _CIVIDIS]
    parts = [np.interp(at, places, [int(c[i : i + 2], 16) for _, c in _CIVIDIS]) for i in (1, 3, 5)]
    return "#" + "".join(f"{round(float(v)):02X}" for v in parts)


def filled(values: Floats) -> Floats:
    """The field with its holes (not a number) closed from their neighbours, ring by ring; at least one value needed."""
    out = np.array(values, float)
    if not np.isfinite(out).any():
        raise ValueError("a field without a single number cannot be drawn")
    while not (known := np.isfinite(out)).all():
        near = np.pad(np.where(known, out, 0.0), 1), np.pad(known.astype(float), 1)
        total, count = (
            np.sum([np.roll(a, (i, j), (0, 1)) for i in (-1, 0, 1) for j in (-1, 0, 1)], axis=0)[1:-1, 1:-1]
            for a in near
        )
        grow = ~known & (count > 0)
        out[grow] = total[grow] / count[grow]
    return out


def rings(x: Floats, y: Floats, values: Floats, level: float) -> list[Floats]:
    """Closed lines around all that is ``level`` or more.

    Parameters
    ----------
    x, y : ndarray, shapes (nx,), (ny,)
        Places of the values, rising.
    values : ndarray, shape (ny, nx)
        A field without holes.

    Returns
    -------
    list of ndarray, shape (n, 2)
        Corners of each ring, the first not repeated. Where the field is above the level at its border, the ring runs
        half to one cell outside.
    """
    span = float(np.ptp(values)) or 1.0
    field = np.pad(np.where(values == level, level + 1e-9 * span, values), 1, constant_values=level - span)
    xs = np.concatenate([[2 * x[0] - x[1]], x, [2 * x[-1] - x[-2]]])
    ys = np.concatenate([[2 * y[0] - y[1]], y, [2 * y[-1] - y[-2]]])
    above = field >= level
    code = above[:-1, :-1] + 2 * above[:-1, 1:] + 4 * above[1:, 1:] + 8 * above[1:, :-1]
    joined: dict[tuple[int, int, int], list[tuple[int, int, int]]] = {}
    for i, j in np.argwhere((code != 0) & (code != 15)).tolist():
        middle = bool(field[i : i + 2, j : j + 2].mean() >= level)
        sides = ((0, i, j), (1, i, j + 1), (0, i + 1, j), (1, i, j))  # kind 0: level side, 1: upright side
        for a, b in _PAIRS.get(int(code[i, j]), ()) or _SADDLE[int(code[i, j]), middle]:
            joined.setdefault(sides[a], []).append(sides[b])
            joined.setdefault(sides[b], []).append(sides[a])
    found = []
    while joined:
        start = at = next(iter(joined))
        ring = []
        while True:
            ring.append(_place(xs, ys, field, level, at))
            step = joined[at].pop()
            joined[step].remove(at)
            if not joined[at]:
                del joined[at]
            at = step
            if at == start:
                joined.pop(at, None)
                break
        found.append(np.array(ring))
    return found


def _place(xs: Floats, ys: Floats, field: Floats, level: float, side: tuple[int, int, int]) -> tuple[float, float]:
    """Where the level crosses one side of a cell, by a straight line between its ends."""
    kind, i, j = side
    k, m = (i, j + 1) if kind == 0 else (i + 1, j)
    part = (level - field[i, j]) / (field[k, m] - field[i, j])
    return float(xs[j] + part * (xs[m] - xs[j])), float(ys[i] + part * (ys[k] - ys[i]))
