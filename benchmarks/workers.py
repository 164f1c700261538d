"""When other cores pay: a history of four stages worked out here, on two cores, and by two workers of a cluster on this machine."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from distributed import LocalCluster

from benchmarks.engine import STAGES
from benchmarks.run import Row, best
from ingle.crafts.cure.history import run
from ingle.ground.memory import keep_freed
from ingle.ground.things import Piece
from ingle.jobs.workers import workers

USUAL, MANY = 512, 8192


def once(members: int, **who: Any) -> None:
    """Workers are started, asked and ended, as a command does."""
    with workers(**who) as each:
        run(Piece(1000.0, 50.0), STAGES, members=members, each=each)


def rows() -> Iterator[Row]:
    """Told, not demanded: what two cores give depends on who else uses them."""
    keep_freed()  # as the command does
    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=":0", protocol="tcp") as cluster:
        for members, target in ((USUAL, 2.0), (MANY, 12.0)):
            here = best(lambda members=members: once(members), 2)
            for name, who in (("two cores", {"cores": 2}), ("cluster of two", {"cluster": cluster.scheduler_address})):
                yield Row(
                    f"history, {members:,} members, {name}", best(lambda m=members, w=who: once(m, **w), 2), target,
                    "this process alone", here, goal=True,
                )  # fmt: skip
