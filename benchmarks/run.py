"""``make bench``: every benchmark, best of three, beside its target and a general-purpose peer in the same run.

Prints name, measured, target, peer, ratio. Exit 1 when a target is missed. Ratios carry over between machines, seconds
do not: a machine that is busy misses targets it meets when idle. "Cold" is a new process with warm file and bytecode caches.
"""

from __future__ import annotations

import importlib
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass

TABLES = (
    "benchmarks.start", "benchmarks.forecast", "benchmarks.series", "benchmarks.plan", "benchmarks.engine", "benchmarks.growth",
    "benchmarks.workers", "benchmarks.heat", "benchmarks.logs", "benchmarks.germs", "benchmarks.notebook", "benchmarks.web",
)  # fmt: skip


STRAIGHT = 0.1  # how far the growth of cost may lie from straight


@dataclass(frozen=True)
class Row:
    """One line of the table. ``measured`` and ``target`` in seconds; ``peer_s`` None where no peer expresses the problem."""

    name: str
    measured: float
    target: float
    peer: str = ""
    peer_s: float | None = None
    least_ratio: float | None = None
    note: str = ""
    goal: bool = False  # told, not demanded
    slope: float | None = None  # how the time grows with the size: 1 is twice the time for twice the size

    @property
    def ratio(self) -> float | None:
        """How many times slower the peer is."""
        return None if self.peer_s is None else self.peer_s / self.measured

    @property
    def met(self) -> bool:
        """Whether time, ratio and growth are as promised."""
        ratio = self.ratio
        straight = self.slope is None or abs(self.slope - 1.0) <= STRAIGHT
        quick = self.least_ratio is None or (ratio is not None and ratio >= self.least_ratio)
        return self.measured <= self.target and quick and straight


def ms(seconds: float) -> str:
    """Milliseconds with what can be read of them."""
    return f"{seconds * 1000:,.3f}" if seconds < 0.001 else f"{seconds * 1000:,.1f}"


def best(call: Callable[[], object], times: int = 3) -> float:
    """Shortest of a few runs [s]."""
    found = []
    for _ in range(times):
        begin = time.perf_counter()
        call()
        found.append(time.perf_counter() - begin)
    return min(found)


def cold(*words: str, times: int = 5) -> float:
    """Shortest time of a new process [s]."""
    return best(lambda: subprocess.run(words, capture_output=True, check=True), times)


def main() -> int:
    """Run the tables that are named on the command line, or all."""
    names = [t for t in TABLES if not sys.argv[1:] or t.rpartition(".")[2] in sys.argv[1:]]
    missed = 0
    print(f"{'name':<44} {'measured':>10} {'target':>9}  {'ratio':>8}  peer")
    for name in names:
        for row in importlib.import_module(name).rows():
            mark = "" if row.met else "  goal not met" if row.goal else "  MISSED"
            missed += not row.met and not row.goal
            ratio = "-" if row.ratio is None else f"{row.ratio:,.1f}x"
            peer = row.peer if row.peer_s is None else f"{row.peer} {ms(row.peer_s)} ms"
            target = f"{row.target * 1000:,.3g}" if row.target < 0.001 else f"{row.target * 1000:,.0f}"
            print(f"{row.name:<44} {ms(row.measured):>7} ms {target:>6} ms  {ratio:>8}  {peer}{mark}")
            if row.slope is not None:
                print(f"    time grows as size^{row.slope:.2f}; asked: 1.0 within {STRAIGHT:g}")
            if row.note:
                print(f"    {row.note}")
    print("all targets met" if not missed else f"{missed} missed")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
