"""Rules of places: litres, shelves, rails, and one heat in an oven at a time."""

from __future__ import annotations

from itertools import combinations
from typing import Any

from ingle.planning.problem import Task, Use
from ingle.planning.schedule_model import LAG, ROOM, Held, Model, room
from ingle.planning.spans import span


def kit_is_held_while_in_use(m: Model) -> None:
    """A step holds its share of kit from its start to its end, in one of the places that would do."""
    for laid in m.tasks.values():
        task, b = laid.task, m.bounds[laid.task.id]
        fixed = task.least_min // m.grain if task.least_min == task.most_min and not m.explaining else None
        for use in task.uses:
            _hold(m, task, use, laid.start, fixed, laid.end, laid.here, b.earliest_start, b.latest_end)


def food_keeps_its_place_between_steps(m: Model) -> None:
    """What waits for its next step keeps its litres, shelves or rails until that step begins."""
    for laid in m.tasks.values():
        task = laid.task
        if not task.waits_in:
            continue
        until, last = _end_of_wait(m, task)
        if task.next_id is not None:
            because = m.reason(
                f"What {task.name} gives keeps its place until {m.tasks[task.next_id].task.name}.",
                LAG,
                task,
                m.tasks[task.next_id].task,
            )
        else:
            because = m.reason(f"What {task.name} gives keeps its place until the table.", LAG, task)
        here = m.both(laid.here, because)
        for use in task.waits_in:
            _hold(m, task, use, laid.end, None, until, here, m.bounds[task.id].earliest_end, last)


def _end_of_wait(m: Model, task: Task) -> tuple[Any, int]:
    """Start of the next step that is in the plan, else the table; with its latest minute."""
    follow = [m.tasks[key] for key in (task.next_id, task.next_else) if key is not None]
    if not follow:
        return m.table, m.problem.table_min
    if follow[0].here is True or _together(task, follow[0].task):
        return follow[0].start, m.bounds[follow[0].task.id].latest_start
    until = m.cp.new_int_var(m.first, m.last, "")
    gone: list[Any] = []
    for laid in follow:
        m.say(m.cp.add(until == laid.start), laid.here, *gone)
        if laid.here is True:
            break
        gone.append(~laid.here)
    else:
        m.say(m.cp.add(until == m.table), *gone)
    return until, m.problem.table_min


def _together(one: Task, other: Task) -> bool:
    return (one.only_if, one.unless) == (other.only_if, other.unless)


def _options(use: Use) -> tuple[str, ...]:
    """Every place that would do for this use, the named one first."""
    return (use.kit, *(key for key in use.or_kit if key != use.kit))


def _hold(
    m: Model, task: Task, use: Use, begin: Any, size: int | None, end: Any, here: Any, first: int, last: int
) -> None:
    """Hold a share of exactly one of the places that would do."""
    keys = _options(use)
    where = {keys[0]: here} if len(keys) == 1 else {key: m.cp.new_bool_var("") for key in keys}
    if len(keys) > 1:
        m.say(m.cp.add_exactly_one(where.values()), here)
        for literal in where.values():
            if here is not True:
                m.cp.add_implication(literal, here)
    for key, literal in where.items():
        m.held.append(
            Held(task, use, m.places[key], begin, end, literal, m.interval(begin, size, end, literal), first, last)
        )


def no_place_is_overfull(m: Model) -> None:
    """Litres, shelves and rails in use at one time never exceed what the place has."""
    for place in m.problem.places:
        inside = []
        for held in (h for h in m.held if h.place is place):
            if held.use.amount > place.capacity:
                because = m.reason(
                    f"{held.task.name} takes {room(place, held.use.amount)}, {place.name} has {place.capacity}.",
                    ROOM,
                    held.task,
                    key=place.key,
                )
                m.say(m.cp.add_bool_or([]), because, held.here)
            else:
                inside.append(held)
        most = sum(h.use.amount for h in inside)
        if most <= place.capacity:
            continue
        capacity = place.capacity
        if m.explaining:
            because = m.reason(f"{place.name} has {room(place, place.capacity)}.", ROOM, key=place.key)
            capacity = place.capacity + most * (1 - because)
        m.cp.add_cumulative([h.interval for h in inside], [h.use.amount for h in inside], capacity)


def an_oven_has_one_heat_at_a_time(m: Model) -> None:
    """Two uses at different heats never meet, and leave the oven time to change between them.

    The change counts between any two uses at different heats, whoever comes first. Heating up from
    cold is part of the step itself. A use without a heat shares with any.
    """
    for place in m.problem.places:
        because = m.reason(
            f"{place.name} has one heat at a time and takes {span(place.change_min)} to change.", ROOM, key=place.key
        )
        heated = [h for h in m.held if h.place is place and h.use.mode is not None]
        for one, other in combinations(heated, 2):
            if one.use.mode == other.use.mode or _never_meet(m, one, other, place.change_min):
                continue
            first = m.cp.new_bool_var("")
            gap = place.change_min // m.grain
            m.say(m.cp.add(one.end + gap <= other.begin), because, one.here, other.here, first)
            m.say(m.cp.add(other.end + gap <= one.begin), because, one.here, other.here, ~first)


def _never_meet(m: Model, one: Held, other: Held, gap: int) -> bool:
    if m.explaining:
        return False
    return one.last + gap <= other.first or other.last + gap <= one.first
