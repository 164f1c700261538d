"""Why a meal is impossible, in reasons that cannot hold together, and what would free it.

Every remedy told here was carried out on the problem and found to give a plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from graphlib import CycleError, TopologicalSorter

from ingle.planning.problem import Cook, Link, Place, Problem
from ingle.planning.problem_check import on_grain
from ingle.planning.remedy import Remedy, apply, joined, more_hours, widen
from ingle.planning.schedule_model import UNITS, Model, build, room
from ingle.planning.schedule_search import Clock, run
from ingle.planning.schedule_wishes import hands_inside
from ingle.planning.spans import DAY, clock, span

MOST_DAYS = 90  # no remedy moves the start or the table further than this
OPEN = (6 * 60, 22 * 60)  # longest hours a cook is asked for: 06:00 to 22:00
TRY_S = 2.0  # longest single try

# What a change asks of a cook, in "days earlier": sets only the order in which remedies are told.
# Common practice, no source.
EFFORT = {"start_earlier": 1.0, "litres": 0.2, "hours": 0.7, "shelves": 2.0, "rails": 2.0, "places": 2.0,
          "table_later": 6.0, "oven": 30.0, "leave_out": 40.0}


def explain(problem: Problem, *, limit_s: float = 20.0) -> tuple[tuple[str, ...], tuple[Remedy, ...]]:
    """Reasons that cannot all hold, and remedies that were tried and work, smallest first.

    Both are empty for a problem that has a plan.

    Parameters
    ----------
    problem : Problem
        A checked problem without a plan.
    limit_s : float
        Longest time; a third goes to the reasons. [s] Cut short, the reasons may be more than needed and
        some remedies untried, but each remedy told works.
    """
    problem = on_grain(problem)
    time = Clock(limit_s)
    found = clash(problem, Clock(limit_s / 3))
    if not found.reasons and frees(problem, time):
        return (), ()
    return found.reasons, remedies(problem, found, time)


@dataclass(frozen=True)
class Clash:
    """Reasons that cannot all hold, and what they hang on: a remedy that moves none of it cannot help."""

    reasons: tuple[str, ...]
    keys: frozenset[str]  # "start", "table", "hands", keys of places
    parts: frozenset[str]

    def hangs_on(self, key: str) -> bool:
        return not self.reasons or key in self.keys


def clash(problem: Problem, time: Clock) -> Clash:
    """A set of reasons that cannot all hold, from which none can be spared.

    Found twice: once for the whole meal, then for those of its steps that the first answer speaks of,
    where letting reasons go one by one is quick.
    """
    model, core = _clash_in(problem, time)
    if core:
        concerned = set().union(*(model.about[words] for words in core))
        smaller, found = _clash_in(_only(problem, concerned), time)
        model, core = (smaller, _spared(smaller, found, time)) if found else (model, core)
    concerned = set().union(*(model.about[words] for words in core))
    return Clash(tuple(sorted(core, key=lambda words: model.rank[words])),
                 frozenset(model.key[words] for words in core) - {""},
                 frozenset(task.part for task in problem.tasks if task.id in concerned))


def _clash_in(problem: Problem, time: Clock) -> tuple[Model, list[str]]:
    """Reasons that cannot hold together, perhaps more than needed; none where no clash was shown."""
    days = _longest_chain(problem) // DAY + 8
    model = build(widen(problem, days, days), wide_days=days)
    model.cp.add_assumptions(list(model.reasons.values()))
    core = set(run(model.cp, time.left, first_only=True).core)
    model.cp.clear_assumptions()
    return model, [words for words, literal in model.reasons.items() if literal.index in core]


def _longest_chain(problem: Problem) -> int:
    """Minutes the longest chain of steps takes at the least: how far letting go of a date can move a step."""
    lasts = {task.id: task.least_min + task.rest_min for task in problem.tasks}
    before: dict[str, list[Link]] = {key: [] for key in lasts}
    for link in problem.links:
        before[link.after].append(link)
    try:
        order = list(TopologicalSorter({key: [k.before for k in links] for key, links in before.items()}).static_order())
    except CycleError:  # only conditional links can make one: take them all
        return sum(lasts.values())
    done: dict[str, int] = {}
    for key in order:
        done[key] = lasts[key] + max((done[k.before] + max(k.least_min, 0) for k in before[key]), default=0)
    return max(done.values(), default=0)


def _only(problem: Problem, concerned: set[str]) -> Problem:
    """The same meal with no other steps than these."""
    tasks = tuple(replace(task, waits_in=task.waits_in if task.next_id is None or task.next_id in concerned else (),
                          next_id=task.next_id if task.next_id in concerned else None,
                          next_else=task.next_else if task.next_else in concerned else None)
                  for task in problem.tasks if task.id in concerned)
    links = tuple(k for k in problem.links if k.before in concerned and k.after in concerned)
    return replace(problem, tasks=tasks, links=links)


def _spared(model: Model, core: list[str], time: Clock) -> list[str]:
    """The reasons without those that can be let go while the rest still clashes."""
    for words in list(core):
        fewer = [other for other in core if other != words]
        if time.left > 0 and not _may_hold(model, fewer, time):
            core = fewer
    return core


def _may_hold(model: Model, kept: list[str], time: Clock) -> bool:
    """Could these reasons hold together, all others let go? Undecided counts as yes."""
    asked = model.cp.clone()
    for words, literal in model.reasons.items():
        switch = asked.get_bool_var_from_proto_index(literal.index)
        if words in kept:
            asked.add(switch == 1)
        else:
            asked.add_hint(switch, 1)
    return run(asked, min(TRY_S, time.left), first_only=True).status != "infeasible"


def remedies(problem: Problem, found: Clash, time: Clock) -> tuple[Remedy, ...]:
    """Single changes that free a plan, smallest effort first."""
    tried = [search() for search in _searches(problem, found, time)]
    return tuple(sorted((r for r in tried if r is not None), key=lambda r: EFFORT[r.kind] * max(r.amount, 0.1)))


def _searches(problem: Problem, found: Clash, time: Clock) -> Iterator[Callable[[], Remedy | None]]:
    """One search per candidate that could loosen the clash, the likeliest first, in case time runs out."""
    begun = any(t.fixed_start_min is not None and t.fixed_start_min < 0 for t in problem.tasks)
    if found.hangs_on("start") and not begun:
        yield lambda: _smallest(problem, time, MOST_DAYS, _start_earlier)
    if found.hangs_on("table"):
        yield lambda: _smallest(problem, time, MOST_DAYS, _table_later)
    for place in (place for place in problem.places if found.hangs_on(place.key)):
        taken = sum(u.amount for t in problem.tasks for u in t.uses + t.waits_in if place.key in (u.kit, *u.or_kit))
        if taken > place.capacity:
            yield partial(_smallest, problem, time, taken - place.capacity, partial(_more_room, place))
        if place.kind == "oven" and taken:
            yield partial(_smallest, problem, time, 1, partial(_another_oven, place))
    for cook in problem.cooks if found.hangs_on("hands") else ():
        yield partial(_more_hours, problem, cook, time)
    parts = dict.fromkeys(t.part for t in problem.tasks)
    for part in parts if len(parts) > 1 else ():
        if not found.reasons or part in found.parts:
            yield partial(_smallest, problem, time, 1, partial(_leave_out, part))


def frees(problem: Problem, time: Clock) -> bool:
    """Does the problem have a plan? Not found in time counts as no."""
    return time.left > 0 and run(build(problem).cp, min(TRY_S, time.left), first_only=True).found


def _smallest(problem: Problem, time: Clock, most: int,
              make: Callable[[Problem, int], Remedy]) -> Remedy | None:
    """The remedy with the smallest whole amount that frees a plan, by doubling and halving."""
    def works(amount: int) -> bool:
        return frees(apply(problem, make(problem, amount)), time)

    low, high = 0, 1
    while high < most and not works(high):
        low, high = high, min(2 * high, most)
    if high == most and not works(most):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if works(middle) else (middle, high)
    return make(problem, high)


def _start_earlier(problem: Problem, days: int) -> Remedy:
    return Remedy(f"Begin {days} d earlier, on {clock(problem, -days * DAY)}.", "start_earlier", "", days, "d")


def _table_later(problem: Problem, days: int) -> Remedy:
    when = clock(problem, problem.table_min + days * DAY)
    return Remedy(f"Set the table {days} d later, on {when}.", "table_later", "", days, "d")


def _more_room(place: Place, problem: Problem, amount: int) -> Remedy:
    text = f"Make room for {room(place, amount)} more in {place.name}: {place.capacity + amount} in all."
    unit = UNITS.get(place.kind, "places")
    return Remedy(text, unit, place.key, amount, unit)


def _another_oven(place: Place, problem: Problem, amount: int) -> Remedy:
    return Remedy(f"Borrow one more oven like {place.name}.", "oven", place.key, 1, "oven")


def _leave_out(part: str, problem: Problem, amount: int) -> Remedy:
    return Remedy(f"Leave out {part}.", "leave_out", part, 1, "part")


def _more_hours(problem: Problem, cook: Cook, time: Clock) -> Remedy | None:
    """The fewest minutes outside a cook's hours, between 06:00 and 22:00, that free a plan."""
    days = _open_days(problem)
    opened = replace(problem, cooks=tuple(
        replace(c, windows=joined((*c.windows, *days))) if c.key == cook.key else c for c in problem.cooks))
    if not frees(opened, time):
        return None
    model = build(opened)
    model.cp.minimize(hands_inside(model, _outside(cook.windows, problem), cook.key))
    answer = run(model.cp, min(2 * TRY_S, time.left))
    if not answer.found:
        return None
    g = problem.grain
    hands = [(answer.value(s.begin) * g, (answer.value(s.begin) + s.length) * g) for s in model.stretches
             if cook.key in s.by and _true(s.by[cook.key], answer)]
    spells = joined(tuple(part for begin, end in hands for part in _cut(begin, end, cook.windows)))
    remedy = _hours_remedy(problem, cook, spells)
    return remedy if spells and frees(more_hours(problem, cook.key, spells), time) else None


def _true(literal, answer) -> bool:
    return literal if isinstance(literal, bool) else bool(answer.value(literal))


def _hours_remedy(problem: Problem, cook: Cook, spells) -> Remedy:
    total = sum(b - a for a, b in spells)
    when = ", ".join(f"{clock(problem, a)} to {clock(problem, b)[-5:]}" for a, b in spells)
    return Remedy(f"Have {cook.name} in the kitchen for {span(total)} more: {when}.", "hours", cook.key,
                  round(total / 60, 2), "h", spells)


def _open_days(problem: Problem) -> tuple[tuple[int, int], ...]:
    """06:00 to 22:00 of every day of the plan, in minutes from its start."""
    midnight = -(problem.start.hour * 60 + problem.start.minute)
    days = [(midnight + d * DAY + OPEN[0], midnight + d * DAY + OPEN[1]) for d in range(problem.table_min // DAY + 2)]
    return tuple((max(a, 0), b) for a, b in days if b > 0)


def _outside(windows, problem: Problem) -> tuple[tuple[int, int], ...]:
    """All of the plan that lies in none of the windows."""
    return tuple(_cut(0, problem.table_min, windows))


def _cut(begin: int, end: int, windows) -> list[tuple[int, int]]:
    """What is left of a stretch when the windows are taken out of it."""
    left = []
    for a, b in sorted(windows):
        if b <= begin or a >= end:
            continue
        if a > begin:
            left.append((begin, a))
        begin = max(begin, b)
    return [*left, (begin, end)] if begin < end else left
