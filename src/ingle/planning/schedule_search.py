"""One call of the solver: with a time limit, a way to stop it, and its answer as plain numbers."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from ortools.sat.python import cp_model

SEED = 1815
POLL_S = 0.05


@dataclass(frozen=True)
class Answer:
    """What one search found: the value of every variable, or none, and whether it searched to the end."""

    status: str  # "optimal" | "feasible" | "infeasible" | "unknown"
    values: tuple[int, ...] | None
    bound: int | None
    value: Callable[..., int] | None = None  # value of a literal or a simple expression
    core: tuple[int, ...] = ()  # literals that cannot all hold, where the model was asked under assumptions

    @property
    def found(self) -> bool:
        """Whether there are values."""
        return self.values is not None

    def of(self, what: Any) -> int:
        """The value of a literal or a simple expression in this answer; numbers stand for themselves."""
        if isinstance(what, (bool, int)):
            return int(what)
        if self.value is None:
            raise ValueError("A search that found nothing has no values.")
        return self.value(what)


def run(
    cp: cp_model.CpModel,
    limit_s: float,
    *,
    workers: int = 1,
    stop: Callable[[], bool] | None = None,
    hint: tuple[int, ...] | None = None,
    first_only: bool = False,
    plain: bool = False,
) -> Answer:
    """Search one model.

    Parameters
    ----------
    cp : CpModel
        The model, with or without an objective.
    limit_s : float
        Longest time. [s]
    workers : int
        Threads. One follows the same path each time; several race, and may end at another plan as good.
    stop : callable, optional
        Asked about every 0.05 s; True ends the search with the best found so far.
    hint : tuple of int, optional
        Values of the first variables in an earlier answer.
    first_only : bool
        Stop at the first plan.
    plain : bool
        Neither simplify the model first nor relax it: slower, and with fewer parts that could err.
    """
    solver = cp_model.CpSolver()
    solver.parameters.random_seed = SEED
    solver.parameters.num_workers = max(1, workers)
    solver.parameters.cp_model_probing_level = 0  # probing cost more than it saved on every problem tried
    solver.parameters.max_time_in_seconds = max(limit_s, 0.01)
    solver.parameters.stop_after_first_solution = first_only
    if plain:
        solver.parameters.cp_model_presolve = False
        solver.parameters.linearization_level = 0
    if hint is not None:
        cp.clear_hints()
        for index, value in enumerate(hint):
            cp.add_hint(cp.get_int_var_from_proto_index(index), value)
    with _watched(solver, stop):
        status = solver.solve(cp)
    return _read(solver, status)


def _read(solver: cp_model.CpSolver, status: Any) -> Answer:
    name = {cp_model.OPTIMAL: "optimal", cp_model.FEASIBLE: "feasible", cp_model.INFEASIBLE: "infeasible"}.get(
        status, "unknown"
    )
    if name in ("optimal", "feasible"):
        return Answer(name, tuple(solver.response_proto.solution), round(solver.best_objective_bound), solver.value)
    core = tuple(solver.sufficient_assumptions_for_infeasibility()) if name == "infeasible" else ()
    return Answer(name, None, None, None, core)


@contextmanager
def _watched(solver: cp_model.CpSolver, stop: Callable[[], bool] | None) -> Iterator[None]:
    """Ask `stop` from a thread of its own while the solver works."""
    if stop is None:
        yield
        return
    done = threading.Event()

    def watch() -> None:
        while not done.wait(POLL_S):
            if stop():
                solver.stop_search()
                return

    watcher = threading.Thread(target=watch, daemon=True)
    watcher.start()
    try:
        yield
    finally:
        done.set()
        watcher.join()


class Clock:
    """Time left of a limit."""

    def __init__(self, limit_s: float):
        self.began = time.perf_counter()
        self.limit_s = limit_s

    @property
    def spent(self) -> float:
        """Since the beginning. [s]"""
        return time.perf_counter() - self.began

    @property
    def left(self) -> float:
        """Of the limit. [s]"""
        return max(0.0, self.limit_s - self.spent)
