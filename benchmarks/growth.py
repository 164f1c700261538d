"""How the time grows with the size of a problem: twice the cells, steps or members, twice the time."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from benchmarks import problems_transport as problems
from benchmarks.engine import STAGES
from benchmarks.run import Row, best
from benchmarks.series import ALPHA, BODY, DIFFUSIVITY, FEW, TIMES
from ingle.crafts.cure.history import run
from ingle.ground.things import Piece
from ingle.physics import series_compiled


def grown(name: str, sizes: Sequence[int], of: Callable[[int], object], target: float, *, tries: int = 3, goal: bool = False) -> Row:
    """The time at the largest size and how it grew. Sizes large enough that the start of a run does not count."""
    of(sizes[0])
    seconds = [best(lambda size=size: of(size), tries) for size in sizes]  # type: ignore[misc]
    told = ", ".join(f"{size:,}: {second * 1000:,.1f} ms" for size, second in zip(sizes, seconds, strict=True))
    return Row(name, seconds[-1], target, note=told, goal=goal, slope=problems.slope(list(sizes), seconds))


def rows() -> Iterator[Row]:
    """The engine's marches over cells and steps are held to their promise as long as they fit the cache; the rest is told."""
    yield grown("slab by the march, 200 steps, over cells", (1600, 3200, 6400, 12800), problems.slab_run, 1.0)
    yield grown(
        "slab by the march, 1,600 cells, over steps", (100, 200, 400, 800), lambda n: problems.slab_run(1600, steps=n), 1.0
    )
    box = lambda n: problems.cure_run(round(n ** (1 / 3)), steps=200, varied=True, method="split")  # noqa: E731
    yield grown("box by axes, uneven, 200 steps, over cells", (18**3, 22**3, 28**3, 36**3), box, 1.0, tries=5)
    yield grown("the same, until it no longer fits the cache", (36**3, 46**3, 58**3), box, 10.0, goal=True)
    piece = Piece(1000.0, 50.0)
    yield grown(
        "history of four stages, over members", (512, 1024, 2048, 4096), lambda n: run(piece, STAGES, members=n), 16.0, tries=2, goal=True
    )
    yield grown(
        f"box in a finite bath, {FEW} terms, over members", (1000, 2000, 4000, 8000),
        lambda n: series_compiled.product_bath(BODY.factors, np.tile(DIFFUSIVITY * TIMES, (n, 1)), ALPHA, nodes=FEW), 0.6, tries=5, goal=True,
    )  # fmt: skip
