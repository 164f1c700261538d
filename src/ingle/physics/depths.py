"""One dimension that stands in for a body: cells from the core to the surface, each as large as the shell it is.

Slab, cylinder and sphere are exact. A box, or a cylinder with its ends, is taken as nested shells of its own shape, each at one
concentration: face and volume are the body's own, so that what passes in and out is right from the first hour. Flat shells would
let the core hear of the edges too soon; the way inside is slowed until the slowest mode fades as the body's own does.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics.rootfind import find_root

Floats = NDArray[np.float64]
WAYS: dict[str, tuple[float, ...]] = {"slab": (1.0,), "cylinder": (1.0, 1.0), "sphere": (1.0, 1.0, 1.0)}


@dataclass(frozen=True)
class Depth:
    """Graded cells from the core (0) to the surface (1)."""

    ways: tuple[
        float, ...
    ]  # the shortest path over the path of each way in: (1,) slab, (1, 1) cylinder, (1, 1, 1) sphere
    edges: Floats  # (N + 1,)
    passes: Floats | None = None  # how freely each cell lets through beside the tissue itself, (N,); None: as freely

    @property
    def order(self) -> float:
        """Face times path over volume: 1 slab, 2 cylinder, 3 sphere."""
        return sum(self.ways)

    @cached_property
    def share(self) -> Floats:
        """Volume of each cell as a share of the piece, shape (N,)."""
        return np.diff(self._volume)

    @cached_property
    def face(self) -> Floats:
        """Face of each edge times path over volume of the piece, shape (N + 1,)."""
        sides = self._sides
        return np.sum([w * np.prod(np.delete(sides, i, 0), 0) for i, w in enumerate(self.ways)], 0)

    @cached_property
    def middle(self) -> Floats:
        """Middle of each cell, shape (N,)."""
        return (self.edges[1:] + self.edges[:-1]) / 2

    @property
    def _sides(self) -> Floats:
        return 1.0 - np.array(self.ways)[:, None] * (1.0 - self.edges)

    @property
    def _volume(self) -> Floats:
        return np.asarray(np.prod(self._sides, 0))


def depth(kind: str, cells: int = 32, first: float = 0.006) -> Depth:
    """Cells that widen from the surface inward.

    Parameters
    ----------
    kind : {"slab", "cylinder", "sphere"}
    cells : int
    first : float
        Width of the outermost cell as a share of the path.
    """
    if kind not in WAYS:
        raise OutOfRange(f"{kind!r} is not one of {', '.join(WAYS)}.", field="kind", value=kind, limit=tuple(WAYS))
    return Depth(WAYS[kind], _edges(cells, first))


def nested(ways: tuple[float, ...], slowest: float, cells: int = 32, first: float = 0.006) -> Depth:
    """A body with several ways in, as nested shells of its shape.

    Parameters
    ----------
    ways : tuple of float
        The shortest path over the path of each way, a round one twice: (1, 0.4, 0.25) for a box of 50 x 125 x 200 mm.
    slowest : float
        Square of the slowest root of the body with its face held, in the shortest path: the sum of (root x way)**2. [1]
    cells, first
        As in `depth`.

    Notes
    -----
    Inside, cells pass 1 - (1 - g) sqrt(depth) as freely, and g is chosen so that the slowest mode is the one given. The square
    root is ours: it leaves the surface as it is. Beside exact products (sides of 1 : 1 : 1 to 1 : 10 : 100, in scant brine and in
    plenty) the whole stays within 2.5 % and the core within 11 % of the final salt; in scant brine the hour at which the core of
    a broad box holds 90 % of it is up to 27 % early, for edges run ahead and a shell at one concentration cannot tell.
    """
    if not ways or max(ways) != 1.0 or min(ways) <= 0:
        raise OutOfRange(
            f"ways in are {ways}; the largest is 1 and none is 0.", field="ways", value=ways, limit="above 0 to 1"
        )
    flat = Depth(ways, _edges(cells, first))

    def slowed(g: Floats) -> Floats:
        return 1.0 - (1.0 - g) * np.sqrt(1.0 - flat.middle)

    def too_fast(g: Floats) -> Floats:
        return np.asarray(_slowest(flat, slowed(g)) - slowest)

    if too_fast(np.array(1.0)) <= 0:  # a plate so wide that its sides count for nothing
        return flat
    return Depth(ways, flat.edges, slowed(find_root(too_fast, 0.02, 1.0, tolerance=1e-6)))


def _slowest(cells: Depth, passes: Floats) -> float:
    """Square of the slowest root with the face held: smallest eigenvalue of the cells' own balance."""
    links = between(cells, cells.share * passes)
    balance: NDArray[Any] = (
        np.diag(links + np.concatenate([[0.0], links[:-1]])) - np.diag(links[:-1], 1) - np.diag(links[:-1], -1)
    )
    root = 1 / np.sqrt(cells.share)
    return float(np.linalg.eigvalsh(root[:, None] * balance * root[None])[0])


def between(cells: Depth, carries: Floats) -> Floats:
    """Conductance over path squared and diffusivity, from each cell to the next and from the last to the surface.

    Parameters
    ----------
    carries : ndarray, shape (N, ...)
        What carries in each cell (kg water per kg, say), times how freely it lets through.

    Returns
    -------
    ndarray, shape (N, ...)
    """
    widths = np.diff(cells.edges)
    along = (slice(None), *(None,) * (carries.ndim - 1))
    resists = (widths / 2 * cells.share)[along] / carries
    inside = cells.face[1:-1][along] / (resists[:-1] + resists[1:])
    return np.concatenate([inside, (cells.face[-1] / resists[-1])[None]])


def _edges(cells: int, first: float) -> Floats:
    if first * cells >= 1:
        return np.linspace(0, 1, cells + 1)
    low, high = 1.0 + 1e-9, 3.0
    for _ in range(80):
        ratio = (low + high) / 2
        low, high = (ratio, high) if first * (ratio**cells - 1) / (ratio - 1) < 1 else (low, ratio)
    widths = first * low ** np.arange(cells)
    inward = np.concatenate([[0.0], np.cumsum(widths / widths.sum())])
    return 1.0 - inward[::-1]
