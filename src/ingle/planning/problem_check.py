"""Is a scheduling problem in itself in order?

What no plan could mean (an unknown name, hands longer than the step) is refused here. What a plan
cannot meet (too few litres, too few hours) is left to the solver, which answers with a clash.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from graphlib import CycleError, TopologicalSorter

from ingle.ground.errors import BadBrief, OutOfRange
from ingle.planning.problem import Link, Place, Problem, Task

WISHES = ("sleep", "freshness", "visits", "slack")


def check(problem: Problem) -> None:
    """Refuse a problem that contradicts itself.

    Raises
    ------
    BadBrief
        A name is unknown, used twice, or the steps follow each other in a circle.
    OutOfRange
        A time, amount or capacity is impossible by itself.
    """
    _check_names(problem)
    _check_clock(problem)
    for place in problem.places:
        _check_place(place)
    for task in problem.tasks:
        _check_durations(task)
        _check_tend(task)
        _check_uses(task)
    for link in problem.links:
        _check_link(link)
    _check_no_circle(problem)


def _check_names(problem: Problem) -> None:
    tasks = _unique("task", (t.id for t in problem.tasks))
    places = _unique("place", (p.key for p in problem.places))
    _unique("cook", (c.key for c in problem.cooks))
    choices = _unique("choice", problem.choices)
    _known("wish", problem.wishes, set(WISHES), "wishes")
    _known("choice", problem.choice_cost, choices, "choice_cost")
    _unique("wish", problem.wishes)
    for link in problem.links:
        _known("task", (link.before, link.after), tasks, f"link {link.before} -> {link.after}")
        _known("choice", _named(link.only_if, link.unless), choices, f"link {link.before} -> {link.after}")
    for task in problem.tasks:
        _known("task", _named(task.next_id, task.next_else), tasks, task.id)
        _known("choice", _named(task.only_if, task.unless), choices, task.id)
        for use in task.uses + task.waits_in:
            _known("place", (use.kit, *use.or_kit), places, task.id)


def _named(*names: str | None) -> tuple[str, ...]:
    return tuple(name for name in names if name is not None)


def _unique(kind: str, names: Iterable[str]) -> set[str]:
    counts = Counter(names)
    for name, count in counts.items():
        if count > 1:
            raise BadBrief(
                f"The {kind} {name} is given {count} times.",
                field=kind,
                value=name,
                remedy=f"Give every {kind} a name of its own.",
            )
    return set(counts)


def _known(kind: str, names: Iterable[str], known: set[str], field: str) -> None:
    for name in names:
        if name not in known:
            choices = ", ".join(sorted(known)) or "none"
            raise BadBrief(
                f"{field}: the {kind} {name} is not known. There are: {choices}.",
                field=field,
                value=name,
                limit=sorted(known),
                remedy=f"Use one of these, or add the {kind} {name}.",
            )


def _check_clock(problem: Problem) -> None:
    if problem.start.tzinfo is None:
        raise BadBrief(
            "The start of the plan has no time zone.",
            field="start",
            value=problem.start,
            remedy='Give one, for example zone = "Europe/London".',
        )
    if problem.grain < 1:
        raise OutOfRange(
            f"A grain of {problem.grain} min is less than 1 min.",
            field="grain",
            value=problem.grain,
            limit=1,
            remedy="Use a grain of 5 min.",
        )
    if problem.table_min <= 0:
        raise OutOfRange(
            f"The table stands {-problem.table_min} min before the plan begins.",
            field="table_min",
            value=problem.table_min,
            limit=0,
            remedy="Begin the plan sooner or set a later table.",
        )
    for cook in problem.cooks:
        _ordered(f"hours of {cook.name}", cook.windows)
    _ordered("nights", problem.nights)
    _ordered("visit_blocks", problem.visit_blocks)


def _ordered(field: str, windows: tuple[tuple[int, int], ...]) -> None:
    for begin, end in windows:
        if end <= begin:
            raise OutOfRange(
                f"{field}: a stretch ends at minute {end}, before it begins at minute {begin}.",
                field=field,
                value=(begin, end),
                remedy="Give the earlier time first.",
            )


def _check_place(place: Place) -> None:
    if place.capacity < 0 or place.change_min < 0:
        raise OutOfRange(
            f"{place.name}: capacity {place.capacity} and {place.change_min} min to change cannot be below 0.",
            field=place.key,
            value=(place.capacity, place.change_min),
            limit=0,
            remedy="Give what the place holds and how long it takes to change heat.",
        )


def _check_durations(task: Task) -> None:
    if not 0 <= task.least_min <= task.most_min:
        raise OutOfRange(
            f"{task.id}: lasts from {task.least_min} min to {task.most_min} min.",
            field=task.id,
            value=(task.least_min, task.most_min),
            limit="0 min <= least <= most",
            remedy="Give the shorter time first, none below 0 min.",
        )
    hands = task.hands_start_min + task.hands_end_min
    if min(task.hands_start_min, task.hands_end_min) < 0 or hands > task.least_min:
        raise OutOfRange(
            f"{task.id}: {task.hands_start_min} min + {task.hands_end_min} min of hands do not fit the "
            f"{task.least_min} min the step lasts.",
            field=task.id,
            value=hands,
            limit=task.least_min,
            remedy="Shorten the hands or lengthen the step.",
        )
    for field in ("rest_min", "best_min", "last_min", "fresh_weight"):
        value = getattr(task, field)
        if value is not None and value < 0:
            raise OutOfRange(
                f"{task.id}: {field} is {value}, below 0.",
                field=f"{task.id}.{field}",
                value=value,
                limit=0,
                remedy="Give 0 or more.",
            )


def _check_tend(task: Task) -> None:
    tend = task.tend
    if tend is None:
        return
    if tend.lasts_min < 1 or tend.slack_min < 0 or tend.every_min < 2 * tend.slack_min + tend.lasts_min:
        raise OutOfRange(
            f"{task.id}: {tend.name} every {tend.every_min} min for {tend.lasts_min} min, {tend.slack_min} min "
            "either way, would let two visits meet.",
            field=f"{task.id}.tend",
            value=tend.every_min,
            limit=2 * tend.slack_min + tend.lasts_min,
            remedy="Come less often, or allow less slack: twice the slack plus the visit must fit the interval.",
        )
    if task.hands_start_min > tend.every_min - tend.slack_min:
        raise OutOfRange(
            f"{task.id}: {tend.name} may come {tend.every_min - tend.slack_min} min after the start, within the "
            f"{task.hands_start_min} min of hands that open the step.",
            field=f"{task.id}.tend",
            value=tend.every_min - tend.slack_min,
            limit=task.hands_start_min,
            remedy="Come later, allow less slack, or shorten the opening hands.",
        )


def _check_uses(task: Task) -> None:
    for use in task.uses + task.waits_in:
        if use.amount < 1:
            raise OutOfRange(
                f"{task.id}: takes {use.amount} of {use.kit}.",
                field=task.id,
                value=use.amount,
                limit=1,
                remedy="Take 1 or more, or leave the place out.",
            )


def _check_link(link: Link) -> None:
    if link.most_min is not None and link.most_min < link.least_min:
        raise OutOfRange(
            f"{link.after} comes at least {link.least_min} min and at most {link.most_min} min after {link.before}.",
            field=f"{link.before} -> {link.after}",
            value=(link.least_min, link.most_min),
            remedy="Give the shorter time first.",
        )


def _check_no_circle(problem: Problem) -> None:
    """Links that always hold and look forward may not lead back to where they began."""
    before: dict[str, set[str]] = {task.id: set() for task in problem.tasks}
    for link in problem.links:
        if link.only_if is None and link.unless is None and link.least_min >= 0:
            before[link.after].add(link.before)
    try:
        TopologicalSorter(before).prepare()
    except CycleError as error:
        circle = " -> ".join(error.args[1])
        raise BadBrief(
            f"These steps wait for each other in a circle: {circle}.",
            field="links",
            value=circle,
            remedy="Take one of these links out.",
        ) from None
