"""Rules of time: how long a step lasts, what waits for what, and the hour of the table."""

from __future__ import annotations

from ingle.planning.schedule_model import DATE, FRAME, LAG, LASTS, Laid, Model
from ingle.planning.spans import clock, span


def steps_take_their_time(m: Model) -> None:
    """A step lasts no less than its shortest and no more than its longest time."""
    for task in m.problem.tasks:
        bounds, g = m.bounds[task.id], m.grain
        here = m.when(task.only_if, task.unless)
        start = m.moment(bounds.earliest_start // g, bounds.latest_start // g, here)
        if task.least_min == task.most_min and not m.explaining:
            m.tasks[task.id] = Laid(task, start, start + task.least_min // g, here)
            continue
        end = m.moment(bounds.earliest_end // g, bounds.latest_end // g, here)
        m.tasks[task.id] = Laid(task, start, end, here)
        words = f"{task.name} takes {_between(task.least_min, task.most_min)}"
        because = m.reason(f"{words}{_why(task.reason, task.name, words)}.", LASTS, task)
        m.cp.add(end >= start)
        m.say(m.cp.add(end - start >= task.least_min // g), because, here)
        m.say(m.cp.add(end - start <= task.most_min // g), because, here)


def _why(reason: str, name: str, said: str) -> str:
    """In brackets, without the name that stands there already, where it says more than the sentence it follows."""
    more = reason.removeprefix(f"{name}: ")
    return f" ({more})" if more and more not in said and not more.startswith((f"{name} takes ", "follows ")) else ""


def _between(least: int, most: int | None) -> str:
    """ "3 h", "3 h to 4 h", "at least 3 h", "at most 4 h"."""
    if most is None:
        return f"at least {span(least)}"
    if least == most:
        return span(least)
    return f"{span(least)} to {span(most)}" if least > 0 else f"at most {span(most)}"


def nothing_begins_before_the_start(m: Model) -> None:
    """No step begins before now, unless it has begun already."""
    because = m.reason(f"Nothing begins before {clock(m.problem, 0)}.", FRAME, key="start")
    for laid in m.tasks.values():
        if laid.task.fixed_start_min is None:
            m.say(m.cp.add(laid.start >= 0), because, laid.here)


def steps_wait_for_each_other(m: Model) -> None:
    """A step begins after the one before it, not too soon and not too late."""
    for link in m.problem.links:
        before, after = m.tasks[link.before], m.tasks[link.after]
        here = (before.here, after.here, m.when(link.only_if, link.unless))
        gap = "" if link.least_min == 0 and link.most_min is None else f" {_between(link.least_min, link.most_min)}"
        gap = " right" if link.most_min == 0 else gap
        words = f"{after.task.name} comes{gap} after {before.task.name}"
        because = m.reason(f"{words}{_why(link.reason, after.task.name, words)}.", LAG, before.task, after.task)
        m.say(m.cp.add(after.start >= before.end + link.least_min // m.grain), because, *here)
        if link.most_min is not None:
            m.say(m.cp.add(after.start <= before.end + link.most_min // m.grain), because, *here)


def all_is_done_by_the_table(m: Model) -> None:
    """Every step has ended, and rested as long as it must, when the dish stands on the table."""
    hour = f"The table stands at {clock(m.problem, m.problem.table_min)}."
    for laid in m.tasks.values():
        because = m.reason(hour, FRAME, key="table")
        m.say(m.cp.add(laid.end <= m.table), because, laid.here)
        if laid.task.rest_min:
            rested = m.reason(
                f"{laid.task.name} ends at least {span(laid.task.rest_min)} before the table.", DATE, laid.task
            )
            m.say(m.cp.add(laid.end <= m.table - laid.task.rest_min // m.grain), because, rested, laid.here)


def nothing_is_kept_too_long(m: Model) -> None:
    """What a step gives is eaten within its longest keeping time."""
    hour = f"The table stands at {clock(m.problem, m.problem.table_min)}."
    for laid in m.tasks.values():
        if laid.task.last_min is not None:
            because = m.reason(
                f"{laid.task.name} ends at most {span(laid.task.last_min)} before the table.", DATE, laid.task
            )
            m.say(
                m.cp.add(laid.end >= m.table - laid.task.last_min // m.grain),
                m.reason(hour, FRAME, key="table"),
                because,
                laid.here,
            )


def dates_are_kept(m: Model) -> None:
    """A step with an earliest, a latest or a promised hour keeps to it."""
    for laid in m.tasks.values():
        task, g = laid.task, m.grain
        if task.not_before_min is not None:
            because = m.reason(
                f"{task.name} begins no sooner than {clock(m.problem, task.not_before_min)}.", DATE, task
            )
            m.say(m.cp.add(laid.start >= task.not_before_min // g), because, laid.here)
        if task.not_after_min is not None:
            because = m.reason(f"{task.name} ends no later than {clock(m.problem, task.not_after_min)}.", DATE, task)
            m.say(m.cp.add(laid.end <= task.not_after_min // g), because, laid.here)
        if task.fixed_start_min is not None:
            because = m.reason(f"{task.name} begins at {clock(m.problem, task.fixed_start_min)}, as set.", DATE, task)
            m.say(m.cp.add(laid.start == task.fixed_start_min // g), because, laid.here)
