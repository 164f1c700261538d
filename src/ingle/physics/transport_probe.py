"""Values at a place: weights on a few cells that are exact for smooth profiles to second order and better."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import product

import numpy as np

from ingle.ground.errors import OutOfRange
from ingle.physics.transport_grid import Floats, Grid
from ingle.physics.transport_shapes import Watch


def at_point(grid: Grid, place: Sequence[float], *, sealed: Iterable[str] = ()) -> dict[int, float]:
    """Weights of the cells around a place, for ``watch``.

    Parameters
    ----------
    place : sequence of float
        Position along each axis of the body. [m]
    sealed : names of sides
        Sides that are sealed or planes of symmetry: there the profile is flat, which is used. A centre line
        is always flat.
    """
    edges = grid.edges[3 - len(grid.shape):]
    if len(place) != len(edges) or any(not e[0] <= x <= e[-1] for x, e in zip(place, edges, strict=True)):
        raise OutOfRange(
            f"The place {tuple(place)} m is not in the body.", field="place", value=tuple(place),
            limit=[(float(e[0]), float(e[-1])) for e in edges], remedy="Give a position in the body along each axis.",
        )
    flat = {grid.sides[side] for side in sealed} | ({(grid.round_axis, -1)} if grid.round_axis >= 0 else set())
    first = 3 - len(grid.shape)
    along = [
        _weights(e, x, (axis, -1) in flat, (axis, 1) in flat)
        for axis, (e, x) in enumerate(zip(edges, place, strict=True), start=first)
    ]
    return {
        int(np.ravel_multi_index([n for n, _ in corner], grid.shape)): float(np.prod([w for _, w in corner]))
        for corner in product(*along)
    }


def _weights(edges: Floats, x: float, flat_low: bool, flat_high: bool) -> list[tuple[int, float]]:
    """Weights along one axis: a parabola through three centres, an even one at a flat end."""
    at = (edges[1:] + edges[:-1]) / 2.0
    n = at.size
    if n == 1:
        return [(0, 1.0)]
    for flat, end, order in ((flat_low, edges[0], (0, 1)), (flat_high, edges[-1], (n - 1, n - 2))):
        near, far = abs(at[order[0]] - end), abs(at[order[1]] - end)
        if flat and abs(x - end) < near:
            share = (far**2 - (x - end) ** 2) / (far**2 - near**2)
            return [(order[0], share), (order[1], 1.0 - share)]
    first = int(np.clip(np.searchsorted(at, x) - 1, 0, max(n - 3, 0)))
    cells = range(first, min(first + 3, n))
    return [(i, float(np.prod([(x - at[j]) / (at[i] - at[j]) for j in cells if j != i]))) for i in cells]


def compile_watch(rows: Sequence[Mapping[int, float]]) -> Watch:
    """Watches as a sparse matrix by rows."""
    first = np.concatenate([[0], np.cumsum([len(row) for row in rows])]).astype(np.int64)
    return Watch(
        first,
        np.array([cell for row in rows for cell in row], dtype=np.int64),
        np.array([weight for row in rows for weight in row.values()], dtype=float),
    )
