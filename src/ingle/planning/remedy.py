"""Changes to an impossible meal, each small, each said in one line, each a plain edit of the problem."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ingle.planning.problem import Cook, Place, Problem, Task, Use
from ingle.planning.spans import DAY, moment

Windows = tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Remedy:
    """One change that was tried and found to free a plan.

    Kinds: start_earlier, table_later, litres, shelves, rails, places, oven, hours, leave_out.
    """

    text: str  # "Begin 3 d earlier."
    kind: str
    target: str  # key of the place, cook or part; "" for the whole plan
    amount: float
    unit: str
    windows: Windows = ()  # hours only: the spells to add, in minutes from the problem's start


def apply(problem: Problem, remedy: Remedy) -> Problem:
    """The problem with one remedy carried out."""
    match remedy.kind:
        case "start_earlier":
            return start_earlier(problem, round(remedy.amount))
        case "table_later":
            return table_later(problem, round(remedy.amount))
        case "litres" | "shelves" | "rails" | "places":
            return enlarge(problem, remedy.target, round(remedy.amount))
        case "oven":
            return another_oven(problem, remedy.target)
        case "hours":
            return more_hours(problem, remedy.target, remedy.windows)
        case "leave_out":
            return leave_out(problem, remedy.target)
    raise ValueError(f"{remedy.kind} is no kind of remedy.")


def start_earlier(problem: Problem, days: int) -> Problem:
    """The same meal with the plan begun whole days earlier; hours repeat as `widen` says."""
    by = days * DAY
    opened = widen(problem, days, 0)
    return replace(
        opened,
        start=moment(problem.start, -by),
        table_min=problem.table_min + by,
        tasks=tuple(_shifted(task, by) for task in problem.tasks),
        cooks=tuple(replace(cook, windows=_moved(cook.windows, by)) for cook in opened.cooks),
        nights=_moved(opened.nights, by),
        visit_blocks=_moved(opened.visit_blocks, by),
    )


def _shifted(task: Task, by: int) -> Task:
    def move(minute: int | None) -> int | None:
        return None if minute is None else minute + by

    return replace(
        task,
        not_before_min=move(task.not_before_min),
        not_after_min=move(task.not_after_min),
        fixed_start_min=move(task.fixed_start_min),
    )


def _moved(windows: Windows, by: int) -> Windows:
    return tuple((a + by, b + by) for a, b in windows)


def table_later(problem: Problem, days: int) -> Problem:
    """The same meal at the same hour whole days later; hours repeat as `widen` says."""
    return replace(widen(problem, 0, days), table_min=problem.table_min + days * DAY)


def widen(problem: Problem, before: int, after: int) -> Problem:
    """Hours, nights and parts of days for more days before the start and after the table.

    They repeat by the week, or by the whole days there are in a shorter plan.
    """
    period = max(1, min(7, problem.table_min // DAY)) * DAY
    table = problem.table_min

    def more(windows: Windows) -> Windows:
        first = [w for w in windows if 0 <= w[0] < period]
        last = [w for w in windows if table - period <= w[0] < table]
        back = [(a - k, b - k) for k in range(period, before * DAY + period, period) for a, b in first]
        forth = [(a + k, b + k) for k in range(period, after * DAY + period, period) for a, b in last]
        new = [(a, b) for a, b in back if a >= -before * DAY] + [(a, b) for a, b in forth if a < table + after * DAY]
        free = [(a, b) for a, b in new if all(b <= x or y <= a for x, y in windows)]
        return tuple(sorted({*windows, *free}))

    return replace(
        problem,
        cooks=tuple(replace(cook, windows=more(cook.windows)) for cook in problem.cooks),
        nights=more(problem.nights),
        visit_blocks=more(problem.visit_blocks),
    )


def enlarge(problem: Problem, key: str, by: int) -> Problem:
    """The same kitchen with more room in one place."""
    return replace(
        problem,
        places=tuple(
            replace(place, capacity=place.capacity + by) if place.key == key else place for place in problem.places
        ),
    )


def another_oven(problem: Problem, key: str) -> Problem:
    """The same kitchen with a second oven like the first, for all that the first would do for."""
    taken = {place.key for place in problem.places}
    new = next(f"{key}-{n}" for n in range(2, len(taken) + 3) if f"{key}-{n}" not in taken)

    def also(uses: tuple[Use, ...]) -> tuple[Use, ...]:
        return tuple(replace(use, or_kit=(*use.or_kit, new)) if key in (use.kit, *use.or_kit) else use for use in uses)

    places: list[Place] = []
    for place in problem.places:
        places += [place, replace(place, key=new, name=f"{place.name}, the second")] if place.key == key else [place]
    return replace(
        problem,
        places=tuple(places),
        tasks=tuple(replace(task, uses=also(task.uses), waits_in=also(task.waits_in)) for task in problem.tasks),
    )


def more_hours(problem: Problem, key: str, spells: Windows) -> Problem:
    """The same kitchen with one cook there for more hours."""

    def longer(cook: Cook) -> Cook:
        return replace(cook, windows=joined((*cook.windows, *spells))) if cook.key == key else cook

    return replace(problem, cooks=tuple(map(longer, problem.cooks)))


def joined(windows: Windows) -> Windows:
    """Windows in order, those that touch or overlap made one."""
    whole: list[tuple[int, int]] = []
    for begin, end in sorted(windows):
        if whole and begin <= whole[-1][1]:
            whole[-1] = (whole[-1][0], max(end, whole[-1][1]))
        else:
            whole.append((begin, end))
    return tuple(whole)


def leave_out(problem: Problem, part: str) -> Problem:
    """The same meal without one part: what others would take from it is bought instead."""
    gone = {task.id for task in problem.tasks if task.part == part}

    def kept(task: Task) -> Task:
        if task.next_id not in gone and task.next_else not in gone:
            return task
        return replace(task, waits_in=(), next_id=None, next_else=None)

    return replace(
        problem,
        tasks=tuple(kept(task) for task in problem.tasks if task.id not in gone),
        links=tuple(k for k in problem.links if k.before not in gone and k.after not in gone),
    )
