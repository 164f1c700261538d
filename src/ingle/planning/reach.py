"""How early and how late each step can be, from durations, links and the table alone.

Plain propagation, no solver. It narrows the model (fewer hours to consider), never the answer.
"""

from __future__ import annotations

from dataclasses import dataclass

from ingle.planning.problem import Link, Problem, Task


@dataclass(frozen=True)
class Reach:
    """Bounds on one step, in minutes from the problem's start."""

    earliest_start: int
    latest_start: int
    earliest_end: int
    latest_end: int


def reach(problem: Problem) -> dict[str, Reach]:
    """Bounds of every task; a task that cannot be placed at all keeps its loose ones."""
    tasks = {task.id: task for task in problem.tasks}
    bounds = {task.id: _alone(task, problem) for task in problem.tasks}
    links = [link for link in problem.links if _binds(link, tasks[link.before], tasks[link.after])]
    back = [link for link in problem.links if _binds(link, tasks[link.after], tasks[link.before])]
    for _ in range(len(tasks) + 1):
        old = dict(bounds)
        for link in links:
            _push(bounds, link, tasks[link.after])
        for link in back:
            _pull(bounds, link, tasks[link.before])
        if old == bounds:
            break
    loose = {task.id: _alone(task, problem) for task in problem.tasks}
    return {key: b if _possible(b) else loose[key] for key, b in bounds.items()}


def _possible(b: Reach) -> bool:
    return b.earliest_start <= b.latest_start and b.earliest_end <= b.latest_end


def _alone(task: Task, problem: Problem) -> Reach:
    """What the task says about itself."""
    first = task.fixed_start_min if task.fixed_start_min is not None else max(task.not_before_min or 0, 0)
    last_end = problem.table_min - task.rest_min
    if task.not_after_min is not None:
        last_end = min(last_end, task.not_after_min)
    first_end = first + task.least_min
    if task.last_min is not None:
        first_end = max(first_end, problem.table_min - task.last_min)
    last = task.fixed_start_min if task.fixed_start_min is not None else last_end - task.least_min
    return Reach(max(first, first_end - task.most_min), last, first_end, min(last_end, last + task.most_min))


def _binds(link: Link, cause: Task, effect: Task) -> bool:
    """Whenever `effect` is in the plan, `cause` and the link are too."""
    when = (effect.only_if, effect.unless)
    always = (None, None)
    return (cause.only_if, cause.unless) in (always, when) and (link.only_if, link.unless) in (always, when)


def _push(bounds: dict[str, Reach], link: Link, after: Task) -> None:
    """Move `after` by what is known of `before`."""
    before, now = bounds[link.before], bounds[link.after]
    first = max(now.earliest_start, before.earliest_end + link.least_min)
    last = now.latest_start
    if link.most_min is not None:
        last = min(last, before.latest_end + link.most_min)
    bounds[link.after] = Reach(
        first, last, max(now.earliest_end, first + after.least_min), min(now.latest_end, last + after.most_min)
    )


def _pull(bounds: dict[str, Reach], link: Link, before: Task) -> None:
    """Move `before` by what is known of `after`."""
    now, after = bounds[link.before], bounds[link.after]
    last = min(now.latest_end, after.latest_start - link.least_min)
    first = now.earliest_end
    if link.most_min is not None:
        first = max(first, after.earliest_start - link.most_min)
    bounds[link.before] = Reach(
        max(now.earliest_start, first - before.most_min), min(now.latest_start, last - before.least_min), first, last
    )
