"""What makes one plan nicer than another: each wish as a number to make small.

`WISHES` holds for each wish how to put it to the solver and how to read it from a finished plan, both in
the same unit. The second is plain arithmetic on placed steps, so that a plan can be measured without a
solver.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from ortools.sat.python import cp_model

from ingle.planning.problem import Placed, Problem
from ingle.planning.schedule_model import Model, Stretch

LAST_MIN = 180  # the last three hours before the table: a choice of this project, no source
Windows = tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Wish:
    """One wish: put to the solver in `scale` units, read from a plan in `unit`."""

    ask: Callable[[Model], Any]  # linear expression to make small, in whole `unit` / scale
    read: Callable[[Problem, tuple[Placed, ...], dict[str, bool]], int]
    unit: str
    in_grains: bool  # the expression counts grains, not units


def ask_sleep(m: Model) -> Any:
    """Minutes of hands that fall into the night."""
    return hands_inside(m, m.problem.nights)


def read_sleep(problem: Problem, placed: tuple[Placed, ...], _choices: dict[str, bool]) -> int:
    """Minutes of hands that fall into the night, in a schedule."""
    return _minutes_inside(problem, placed, problem.nights)


def ask_freshness(m: Model) -> Any:
    """Minutes by which food stands longer before the table than is best for it, by its weight."""
    lost = []
    for laid in m.tasks.values():
        task, g = laid.task, m.grain
        if task.best_min is None or not task.fresh_weight:
            continue
        most = max(0, (m.problem.table_min - task.best_min - m.bounds[task.id].earliest_end) // g)
        late = m.cp.new_int_var(0, most, "")
        m.say(m.cp.add(late >= m.table - task.best_min // g - laid.end), laid.here)
        lost.append(task.fresh_weight * late)
    return sum(lost)


def read_freshness(problem: Problem, placed: tuple[Placed, ...], _choices: dict[str, bool]) -> int:
    """Minutes past their best, by weight of the food, in a schedule."""
    tasks = {task.id: task for task in problem.tasks}
    lost = 0
    for put in placed:
        task = tasks[put.task]
        if task.best_min is not None:
            lost += task.fresh_weight * max(0, problem.table_min - put.end_min - task.best_min)
    return lost


def ask_visits(m: Model) -> Any:
    """Parts of days in which any hands begin, and what the choices taken are worth in visits."""
    blocks = sorted(m.problem.visit_blocks)
    used = [m.cp.new_bool_var("") for _ in blocks]
    for stretch in m.stretches:
        _begins_in_a_block(m, stretch, blocks, used)
    worth = m.problem.choice_cost
    return sum(used) + sum(worth.get(name, 0) * taken for name, taken in m.choices.items())


def _begins_in_a_block(m: Model, stretch: Stretch, blocks: list[tuple[int, int]], used: list[Any]) -> None:
    g = m.grain
    possible = cp_model.Domain(stretch.first, stretch.last).intersection_with(
        _union(_begins(cook.windows, stretch.length, g) for cook in m.problem.cooks)
    )
    where, covered = [], cp_model.Domain.from_values([])
    for (a, b), use in zip(blocks, used, strict=True):
        inside = possible.intersection_with(cp_model.Domain(a // g, b // g - 1))
        if inside.is_empty():
            continue
        here = m.cp.new_bool_var("")
        m.cp.add_linear_expression_in_domain(stretch.begin, inside).only_enforce_if(here)
        m.cp.add_implication(here, use)
        where.append(here)
        covered = covered.union_with(inside)
    outside = possible.intersection_with(covered.complement())
    if not outside.is_empty():
        elsewhere = m.cp.new_bool_var("")
        m.cp.add_linear_expression_in_domain(stretch.begin, outside).only_enforce_if(elsewhere)
        where.append(elsewhere)
    if stretch.here is True:
        m.cp.add_exactly_one(where)
    else:
        m.cp.add_at_most_one(where)
        m.cp.add_bool_or([*where, ~stretch.here])


def _begins(windows: Windows, length: int, grain: int) -> cp_model.Domain:
    return cp_model.Domain.from_intervals(
        [[a // grain, b // grain - length] for a, b in windows if b - a >= length * grain]
    )


def _union(domains: Iterable[cp_model.Domain]) -> cp_model.Domain:
    whole = cp_model.Domain.from_values([])
    for domain in domains:
        whole = whole.union_with(domain)
    return whole


def read_visits(problem: Problem, placed: tuple[Placed, ...], choices: dict[str, bool]) -> int:
    """Visits to the kitchen in a schedule, and what its choices are worth in visits."""
    begins = [begin for begin, _ in hands_of(problem, placed)]
    visits = sum(any(a <= t < b for t in begins) for a, b in problem.visit_blocks)
    return visits + sum(problem.choice_cost.get(name, 0) for name, taken in choices.items() if taken)


def ask_slack(m: Model) -> Any:
    """Minutes of hands in the last three hours before the table: the fewer, the more room for mishaps."""
    return hands_inside(m, _last_hours(m.problem))


def read_slack(problem: Problem, placed: tuple[Placed, ...], _choices: dict[str, bool]) -> int:
    """Minutes of hands in the last three hours, in a schedule."""
    return _minutes_inside(problem, placed, _last_hours(problem))


def _last_hours(problem: Problem) -> Windows:
    return ((problem.table_min - LAST_MIN, problem.table_min),)


WISHES = {
    "sleep": Wish(ask_sleep, read_sleep, "min", True),
    "freshness": Wish(ask_freshness, read_freshness, "min", True),
    "visits": Wish(ask_visits, read_visits, "visits", False),
    "slack": Wish(ask_slack, read_slack, "min", True),
}


def hands_inside(m: Model, windows: Windows, cook: str | None = None) -> Any:
    """Grains of hands (of one cook, or of all) that fall into the windows.

    For each stretch a ladder of literals "more than j grains inside": false forbids every begin at which
    more would fall inside. Begins outside the stretch's reach cost nothing.
    """
    total = []
    for stretch in m.stretches:
        if stretch.here is False or (cook is not None and cook not in stretch.by):
            continue
        inside = _overlaps(stretch, windows, m.grain)
        who = stretch.here if cook is None else stretch.by[cook]
        for j in range(int(inside.max(initial=0))):
            fine = _domain_where(inside <= j, stretch.first)
            more = m.cp.new_bool_var("")
            m.say(m.cp.add_linear_expression_in_domain(stretch.begin, fine), ~more, who)
            total.append(more)
    return sum(total)


def _overlaps(stretch: Stretch, windows: Windows, grain: int) -> np.ndarray:
    """Grains inside the windows for every begin from stretch.first to stretch.last."""
    count = stretch.last - stretch.first + 1
    marks = np.zeros(count + stretch.length, dtype=np.int64)
    for a, b in windows:
        marks[max(a // grain - stretch.first, 0) : max(b // grain - stretch.first, 0)] = 1
    sums = np.concatenate([[0], np.cumsum(marks)])
    return sums[stretch.length : stretch.length + count] - sums[:count]


def _domain_where(mask: np.ndarray, first: int) -> cp_model.Domain:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], mask.astype(np.int8), [0]])))
    return cp_model.Domain.from_intervals(
        [[first + int(a), first + int(b) - 1] for a, b in zip(edges[::2], edges[1::2], strict=True)]
    )


def hands_of(problem: Problem, placed: tuple[Placed, ...]) -> list[tuple[int, int]]:
    """Every attended stretch of a plan as (begin, end), without those before now."""
    tasks = {task.id: task for task in problem.tasks}
    hands = []
    for put in placed:
        task = tasks[put.task]
        if put.cook_start is not None:
            hands.append((put.start_min, put.start_min + task.hands_start_min))
        if put.cook_end is not None:
            hands.append((put.end_min - task.hands_end_min, put.end_min))
        if task.tend is not None:
            hands += [(minute, minute + task.tend.lasts_min) for minute, _ in put.tends]
    return hands


def _minutes_inside(problem: Problem, placed: tuple[Placed, ...], windows: Windows) -> int:
    return sum(max(0, min(end, b) - max(begin, a)) for begin, end in hands_of(problem, placed) for a, b in windows)
