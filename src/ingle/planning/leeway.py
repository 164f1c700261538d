"""How far a step may move while all the rest stays as it is."""

from __future__ import annotations

from collections.abc import Callable

from ingle.planning.problem import Placed, Problem, Task

_FARTHEST_MIN = 3 * 24 * 60


def leeway(problem: Problem, placed: tuple[Placed, ...], taken: dict[str, bool]) -> dict[str, tuple[int, int]]:
    """Earliest and latest start [min] of every step, its length and everything else as planned.

    Looks at links, dates, freshness and hands. Kit that is shared (oven, smoker, litres) is not looked at: a step that
    uses such kit gets no leeway of its own and is left out.
    """
    tasks = {t.id: t for t in problem.tasks}
    at = {p.task: p for p in placed}
    busy = _busy(tasks, placed)
    found = {}
    for p in placed:
        task = tasks[p.task]
        if task.fixed_start_min is not None or task.tend is not None or any(u.kit for u in task.uses):
            continue
        may = _may(problem, task, p, at, busy, taken)
        found[p.task] = (_reach(may, p.start_min, -problem.grain), _reach(may, p.start_min, problem.grain))
    return found


def _reach(may: Callable[[int], bool], start: int, step: int) -> int:
    """The farthest start that can be reached without crossing one that may not be."""
    now = start
    while abs(now + step - start) <= _FARTHEST_MIN and may(now + step):
        now += step
    return now


def _busy(tasks: dict[str, Task], placed: tuple[Placed, ...]) -> list[tuple[str, str, int, int]]:
    """Attended stretches of all: (task, cook, from, to)."""
    found = []
    for p in placed:
        task = tasks[p.task]
        if p.cook_start is not None:
            found.append((p.task, p.cook_start, p.start_min, p.start_min + task.hands_start_min))
        if p.cook_end is not None:
            found.append((p.task, p.cook_end, p.end_min - task.hands_end_min, p.end_min))
        if task.tend is not None:
            found += [(p.task, cook, minute, minute + task.tend.lasts_min) for minute, cook in p.tends]
    return found


def _may(
    problem: Problem,
    task: Task,
    p: Placed,
    at: dict[str, Placed],
    busy: list[tuple[str, str, int, int]],
    taken: dict[str, bool],
) -> Callable[[int], bool]:
    """Whether a task may start at a minute, with all others where they are."""
    length = p.end_min - p.start_min
    windows = {c.key: c.windows for c in problem.cooks}
    others = [b for b in busy if b[0] != task.id]
    low, high = _linked(problem, task, length, at, taken)
    hands = [(0, task.hands_start_min, p.cook_start), (length - task.hands_end_min, length, p.cook_end)]

    def may(start: int) -> bool:
        if not low <= start <= high:
            return False
        for begin, end, cook in hands:
            if cook is None or begin == end:
                continue
            a, b = start + begin, start + end
            if not any(x <= a and b <= y for x, y in windows[cook]):
                return False
            if any(cook == who and a < y and x < b for _, who, x, y in others):
                return False
        return True

    return may


def _linked(
    problem: Problem, task: Task, length: int, at: dict[str, Placed], taken: dict[str, bool]
) -> tuple[int, int]:
    """Earliest and latest start by links, dates and freshness."""
    low = max(0, task.not_before_min or 0)
    high = problem.table_min - task.rest_min - length
    if task.last_min is not None:
        low = max(low, problem.table_min - task.last_min - length)
    if task.best_min is not None:  # moving must not lose freshness that the plan has
        low = max(low, min(at[task.id].start_min, problem.table_min - task.best_min - length))
    if task.not_after_min is not None:
        high = min(high, task.not_after_min - length)
    for link in problem.links:
        if (link.only_if and not taken.get(link.only_if)) or (link.unless and taken.get(link.unless)):
            continue
        if link.after == task.id and link.before in at:
            end = at[link.before].end_min
            low = max(low, end + link.least_min)
            high = high if link.most_min is None else min(high, end + link.most_min)
        if link.before == task.id and link.after in at:
            begin = at[link.after].start_min
            high = min(high, begin - link.least_min - length)
            low = low if link.most_min is None else max(low, begin - link.most_min - length)
    return low, high
