"""The smallest changes that free an impossible meal: each is carried out and solved before it is told."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from ingle.planning.problem import Cook, Place, Problem
from ingle.planning.remedy import Remedy, Windows, apply, joined, more_hours
from ingle.planning.schedule_model import UNITS, room
from ingle.planning.schedule_rules import build
from ingle.planning.schedule_search import Clock, run
from ingle.planning.schedule_wishes import hands_inside
from ingle.planning.spans import DAY, clock, span

MOST_DAYS = 90  # no remedy moves the start or the table further than this
OPEN = (6 * 60, 22 * 60)  # longest hours a cook is asked for: 06:00 to 22:00
TRY_S = 2.0  # longest single try

# What a change asks of a cook, in "days earlier": sets only the order in which remedies are told.
# Common practice, no source.
EFFORT = {
    "start_earlier": 1.0,
    "litres": 0.2,
    "hours": 0.7,
    "shelves": 2.0,
    "rails": 2.0,
    "places": 2.0,
    "table_later": 6.0,
    "oven": 30.0,
    "leave_out": 40.0,
}


def remedies(problem: Problem, keys: frozenset[str] | None, parts: frozenset[str], time: Clock) -> tuple[Remedy, ...]:
    """Single changes that free a plan, smallest effort first.

    Parameters
    ----------
    problem : Problem
        An impossible problem on its grain.
    keys : frozenset of str, optional
        What a clash hangs on: "start", "table", "hands", keys of places. A change that moves none of it
        cannot help and is not tried. None where no clash is known: all are tried.
    parts : frozenset of str
        Parts the clash speaks of.
    time : Clock
        Time left; what it does not reach is not told.
    """
    tried = [search() for search in _searches(problem, keys, parts, time)]
    return tuple(sorted((r for r in tried if r is not None), key=lambda r: EFFORT[r.kind] * max(r.amount, 0.1)))


def _searches(
    problem: Problem, keys: frozenset[str] | None, parts: frozenset[str], time: Clock
) -> Iterator[Callable[[], Remedy | None]]:
    """One search per candidate, the likeliest first, in case time runs out."""

    def moves(key: str) -> bool:
        return keys is None or key in keys

    begun = any(t.fixed_start_min is not None and t.fixed_start_min < 0 for t in problem.tasks)
    if moves("start") and not begun:
        yield partial(_smallest, problem, time, MOST_DAYS, partial(_start_earlier, problem))
    if moves("table"):
        step = 7 if problem.table_min >= 7 * DAY else 1  # the same weekday: hours differ between them
        yield partial(_smallest, problem, time, MOST_DAYS // step, lambda n: _table_later(problem, n * step))
    for place in (place for place in problem.places if moves(place.key)):
        taken = sum(u.amount for t in problem.tasks for u in t.uses + t.waits_in if place.key in (u.kit, *u.or_kit))
        if taken > place.capacity:
            yield partial(_smallest, problem, time, taken - place.capacity, partial(_more_room, place))
        if place.kind == "oven" and taken:
            yield partial(_if_it_frees, problem, time, _another_oven(place))
    for cook in problem.cooks if moves("hands") else ():
        yield partial(_more_hours, problem, cook, time)
    all_parts = dict.fromkeys(t.part for t in problem.tasks)
    for part in all_parts if len(all_parts) > 1 else ():
        if keys is None or part in parts:
            yield partial(_if_it_frees, problem, time, _leave_out(part))


def frees(problem: Problem, time: Clock) -> bool:
    """Does the problem have a plan? Not found in time counts as no."""
    return time.left > 0 and run(build(problem).cp, min(TRY_S, time.left), first_only=True).found


def _if_it_frees(problem: Problem, time: Clock, remedy: Remedy) -> Remedy | None:
    return remedy if frees(apply(problem, remedy), time) else None


def _smallest(problem: Problem, time: Clock, most: int, make: Callable[[int], Remedy]) -> Remedy | None:
    """The remedy with the smallest whole amount that frees a plan, by doubling and halving."""

    def works(amount: int) -> bool:
        return frees(apply(problem, make(amount)), time)

    low, high = 0, 1
    while high < most and not works(high):
        low, high = high, min(2 * high, most)
    if high == most and not works(most):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if works(middle) else (middle, high)
    return make(high)


def _start_earlier(problem: Problem, days: int) -> Remedy:
    return Remedy(f"Begin {days} d earlier, on {clock(problem, -days * DAY)}.", "start_earlier", "", days, "d")


def _table_later(problem: Problem, days: int) -> Remedy:
    when = clock(problem, problem.table_min + days * DAY)
    return Remedy(f"Set the table {days} d later, on {when}.", "table_later", "", days, "d")


def _more_room(place: Place, amount: int) -> Remedy:
    text = f"Make room for {room(place, amount)} more in {place.name}: {place.capacity + amount} in all."
    unit = UNITS.get(place.kind, "places")
    return Remedy(text, unit, place.key, amount, unit)


def _another_oven(place: Place) -> Remedy:
    return Remedy(f"Borrow one more oven like {place.name}.", "oven", place.key, 1, "oven")


def _leave_out(part: str) -> Remedy:
    return Remedy(f"Leave out {part}.", "leave_out", part, 1, "part")


def _more_hours(problem: Problem, cook: Cook, time: Clock) -> Remedy | None:
    """The fewest minutes outside a cook's hours, between 06:00 and 22:00, that free a plan."""
    days = _open_days(problem)
    opened = replace(
        problem,
        cooks=tuple(replace(c, windows=joined((*c.windows, *days))) if c.key == cook.key else c for c in problem.cooks),
    )
    if not frees(opened, time):
        return None
    model = build(opened)
    model.cp.minimize(hands_inside(model, _outside(cook.windows, problem), cook.key))
    answer = run(model.cp, min(2 * TRY_S, time.left))
    if not answer.found:
        return None
    g = problem.grain
    hands = [
        (answer.of(s.begin) * g, (answer.of(s.begin) + s.length) * g)
        for s in model.stretches
        if cook.key in s.by and answer.of(s.by[cook.key])
    ]
    spells = joined(tuple(part for begin, end in hands for part in _cut(begin, end, cook.windows)))
    remedy = _hours_remedy(problem, cook, spells)
    return remedy if spells and frees(more_hours(problem, cook.key, spells), time) else None


def _hours_remedy(problem: Problem, cook: Cook, spells: Windows) -> Remedy:
    total = sum(b - a for a, b in spells)
    when = ", ".join(f"{clock(problem, a)} to {clock(problem, b)[-5:]}" for a, b in spells)
    return Remedy(
        f"Have {cook.name} in the kitchen for {span(total)} more: {when}.",
        "hours",
        cook.key,
        round(total / 60, 2),
        "h",
        spells,
    )


def _open_days(problem: Problem) -> Windows:
    """06:00 to 22:00 of every day of the plan, in minutes from its start."""
    midnight = -(problem.start.hour * 60 + problem.start.minute)
    days = [(midnight + d * DAY + OPEN[0], midnight + d * DAY + OPEN[1]) for d in range(problem.table_min // DAY + 2)]
    return tuple((max(a, 0), b) for a, b in days if b > 0)


def _outside(windows: Windows, problem: Problem) -> Windows:
    """All of the plan that lies in none of the windows."""
    return tuple(_cut(0, problem.table_min, windows))


def _cut(begin: int, end: int, windows: Windows) -> list[tuple[int, int]]:
    """What is left of a stretch when the windows are taken out of it."""
    left = []
    for a, b in sorted(windows):
        if b <= begin or a >= end:
            continue
        if a > begin:
            left.append((begin, a))
        begin = max(begin, b)
    return [*left, (begin, end)] if begin < end else left
