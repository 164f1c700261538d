"""Exhaustive search: every start, length, cook, visit, place and choice of a tiny problem.

Only the verifier says which plans are good. Meant for a handful of steps on a coarse grain.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from tests.planning.verifier import verify, worth

from ingle.planning.problem import Placed, Problem, Schedule, Task


def best(problem: Problem) -> tuple[int, ...] | None:
    """The lexicographically least worth of all plans, or None where there is none."""
    found = [worth(problem, plan) for plan in plans(problem)]
    return min(found) if found else None


def plans(problem: Problem) -> Iterator[Schedule]:
    """Every plan that keeps all rules."""
    for taken in product((False, True), repeat=len(problem.choices)):
        choices = dict(zip(problem.choices, taken, strict=True))
        yield from _grow(problem, choices, [t for t in problem.tasks if _in(t, choices)], ())


def _in(task: Task, choices: dict[str, bool]) -> bool:
    return (task.only_if is None or choices[task.only_if]) and (task.unless is None or not choices[task.unless])


def _grow(problem: Problem, choices: dict[str, bool], left: list[Task], placed: tuple[Placed, ...]):
    """Add one task after another; a beginning that breaks a rule by itself is not grown on."""
    if not left:
        plan = Schedule(placed, choices, (), "feasible", 0.0, 0.0)
        if not verify(problem, plan):
            yield plan
        return
    for one in _ways(problem, left[0]):
        grown = (*placed, one)
        if _fine_so_far(problem, choices, grown):
            yield from _grow(problem, choices, left[1:], grown)


def _fine_so_far(problem: Problem, choices: dict[str, bool], placed: tuple[Placed, ...]) -> bool:
    """The rules among the tasks placed so far; waits are left to the end, for they need their next step."""
    here = {x.task for x in placed}
    part = Problem(
        problem.start,
        problem.table_min,
        tuple(_no_wait(t) for t in problem.tasks if t.id in here),
        tuple(k for k in problem.links if {k.before, k.after} <= here),
        problem.places,
        problem.cooks,
        problem.nights,
        problem.choices,
        problem.choice_cost,
        problem.wishes,
        problem.visit_blocks,
        problem.grain,
    )
    cut = tuple(
        Placed(
            x.task,
            x.start_min,
            x.end_min,
            x.cook_start,
            x.cook_end,
            x.tends,
            x.places[: len(next(t for t in part.tasks if t.id == x.task).uses)],
        )
        for x in placed
    )
    return not verify(part, Schedule(cut, choices, (), "feasible", 0.0, 0.0))


def _no_wait(task: Task) -> Task:
    return Task(**{**vars(task), "waits_in": (), "next_id": None, "next_else": None})


def _ways(problem: Problem, task: Task) -> Iterator[Placed]:
    cooks = [c.key for c in problem.cooks]
    step = problem.grain
    places = list(product(*[(u.kit, *u.or_kit) for u in task.uses + task.waits_in]))
    for start in range(0, problem.table_min - task.least_min + 1, step):
        for length in range(task.least_min, task.most_min + 1, step):
            visits = list(_visits(task, start, start + length, cooks, step))
            for first in cooks if task.hands_start_min else [None]:
                for last in cooks if task.hands_end_min else [None]:
                    for tends, where in product(visits, places):
                        yield Placed(task.id, start, start + length, first, last, tends, where)


def _visits(task: Task, start: int, end: int, cooks: list[str], step: int) -> Iterator[tuple[tuple[int, str], ...]]:
    """Every combination of hours and cooks for 0, 1, 2... visits; the verifier knows how many are due."""
    if task.tend is None:
        yield ()
        return
    near = [
        [
            (m, c)
            for m in range(start, end, step)
            if abs(m - start - k * task.tend.every_min) <= task.tend.slack_min
            for c in cooks
        ]
        for k in range(1, (end - start) // task.tend.every_min + 1)
    ]
    for count in range(len(near) + 1):
        yield from product(*near[:count])
