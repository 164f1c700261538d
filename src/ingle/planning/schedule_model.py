"""The rules of the kitchen as constraints, one function per rule.

`build` reads as the table of contents. Each rule hangs on a reason in words. A plain model takes all
reasons as given and spends nothing on them; an explaining model gives each reason a switch, so that the
solver can say which of them cannot hold together.

Inside this module times are whole grains, counted from the problem's start.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import combinations

from ortools.sat.python import cp_model

from ingle.planning.problem import Cook, Place, Problem, Task, Use
from ingle.planning.problem_check import options
from ingle.planning.reach import Reach, reach
from ingle.planning.spans import clock, span

ROOM, DATE, HANDS, LAG, LASTS, FRAME = range(6)  # order in which reasons are told


@dataclass
class Laid:
    """One task in the model. `here` is True for a task that is always in the plan."""

    task: Task
    start: object
    end: object
    here: object


@dataclass
class Stretch:
    """One attended stretch: the hands at a start, at an end, or one tending visit."""

    task: Task
    kind: str  # "start" | "end" | "tend"
    begin: object
    length: int
    here: object
    first: int  # earliest and latest begin
    last: int
    by: dict[str, object] = field(default_factory=dict)  # cook -> literal


@dataclass
class Held:
    """One share of one place, from begin to end, if `here`."""

    task: Task
    use: Use
    place: Place
    begin: object
    end: object
    here: object
    interval: object
    first: int
    last: int


class Model:
    """A model being built: variables, reasons, and lists of what competes for hands and kit."""

    def __init__(self, problem: Problem, wide_days: int = 0):
        self.problem = problem
        self.cp = cp_model.CpModel()
        self.explaining = wide_days > 0
        self.grain = problem.grain
        self.table = problem.table_min // problem.grain
        self.bounds = _wide(problem, wide_days) if self.explaining else reach(problem)
        self.first = min(b.earliest_start for b in self.bounds.values()) // self.grain if self.bounds else 0
        self.last = max((b.latest_end for b in self.bounds.values()), default=0) // self.grain
        self.reasons: dict[str, object] = {}
        self.rank: dict[str, int] = {}
        self.key: dict[str, str] = {}
        self.about: dict[str, set[str]] = {}  # ids of the tasks a reason speaks of
        self.choices = {name: self.cp.new_bool_var(name) for name in problem.choices}
        self.tasks: dict[str, Laid] = {}
        self.stretches: list[Stretch] = []
        self.held: list[Held] = []
        self.places = {place.key: place for place in problem.places}

    def reason(self, words: str, rank: int, *about: Task, key: str = ""):
        """A literal that is true while this reason holds; plain models take it as given.

        Reasons of a lower rank are told first: they are the likelier news to the cook. `key` names what
        a remedy could move: "start", "table", "hands" or a place.
        """
        if not self.explaining:
            return True
        if words not in self.reasons:
            self.reasons[words] = self.cp.new_bool_var(words)
            self.rank[words] = rank
            self.key[words] = key
        self.about.setdefault(words, set()).update(task.id for task in about)
        return self.reasons[words]

    def say(self, constraint, *when):
        """Demand a constraint only when all literals are true."""
        literals = [literal for literal in when if literal is not True]
        return constraint.only_enforce_if(literals) if literals else constraint

    def both(self, *literals):
        """One literal for "all of these"."""
        given = list({id(x): x for x in literals if x is not True}.values())
        if len(given) < 2:
            return given[0] if given else True
        all_of = self.cp.new_bool_var("")
        self.cp.add_bool_and(given).only_enforce_if(all_of)
        self.cp.add_bool_or([~x for x in given] + [all_of])
        return all_of

    def when(self, only_if: str | None, unless: str | None):
        """The literal under which something conditional is in the plan."""
        yes = self.choices[only_if] if only_if is not None else True
        no = ~self.choices[unless] if unless is not None else True
        return self.both(yes, no)

    def moment(self, first: int, last: int, here):
        """A time between two others; what has no such time cannot be in the plan."""
        if first > last:
            self.say(self.cp.add_bool_or([]), here)
        return self.cp.new_int_var(first, max(first, last), "")

    def interval(self, begin, size, end, here):
        """An interval that is there if `here`; `size` may be a number or None for "whatever lies between".

        What may turn out to have no length is left out when it has none: an interval without length
        takes no room, and solver 9.15 was seen to lose plans over one.
        """
        if size is None:
            some = self.cp.new_bool_var("")
            self.say(self.cp.add(end >= begin + 1), some)
            self.say(self.cp.add(end == begin), ~some, here)
            here = self.both(here, some)
            size = self.cp.new_int_var(1, self.last - self.first, "")
            return self.cp.new_optional_interval_var(begin, size, end, here, "")
        if here is True:
            return self.cp.new_fixed_size_interval_var(begin, size, "")
        return self.cp.new_optional_fixed_size_interval_var(begin, size, here, "")


def _wide(problem: Problem, days: int) -> dict[str, Reach]:
    """Bounds that leave every reason free to be let go."""
    wide = days * 24 * 60
    first = min([0, *(t.fixed_start_min for t in problem.tasks if t.fixed_start_min is not None)]) - wide
    last = problem.table_min + wide
    return {t.id: Reach(first, last, first, last) for t in problem.tasks}


def build(problem: Problem, wide_days: int = 0) -> Model:
    """All rules of one problem, without any wish. The problem must be checked and on its grain.

    With `wide_days`, an explaining model that looks so far before the start and beyond the table.
    """
    m = Model(problem, wide_days)
    steps_take_their_time(m)
    nothing_begins_before_the_start(m)
    steps_wait_for_each_other(m)
    all_is_done_by_the_table(m)
    nothing_is_kept_too_long(m)
    dates_are_kept(m)
    hands_open_and_close_a_step(m)
    long_waits_are_tended(m)
    each_stretch_has_one_cook_throughout(m)
    a_cook_does_one_thing_at_a_time(m)
    kit_is_held_while_in_use(m)
    food_keeps_its_place_between_steps(m)
    no_place_is_overfull(m)
    an_oven_has_one_heat_at_a_time(m)
    return m


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
        why = f" ({task.reason})" if task.reason else ""
        because = m.reason(f"{task.name} takes {_between(task.least_min, task.most_min)}{why}.", LASTS, task)
        m.cp.add(end >= start)
        m.say(m.cp.add(end - start >= task.least_min // g), because, here)
        m.say(m.cp.add(end - start <= task.most_min // g), because, here)


def _between(least: int, most: int | None) -> str:
    """"3 h", "3 h to 4 h", "at least 3 h", "at most 4 h"."""
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
        why = f" ({link.reason})" if link.reason else ""
        gap = "" if link.least_min == 0 and link.most_min is None else f" {_between(link.least_min, link.most_min)}"
        gap = " right" if link.most_min == 0 else gap
        because = m.reason(f"{after.task.name} comes{gap} after {before.task.name}{why}.", LAG, before.task, after.task)
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
            rested = m.reason(f"{laid.task.name} ends at least {span(laid.task.rest_min)} before the table.", DATE, laid.task)
            m.say(m.cp.add(laid.end <= m.table - laid.task.rest_min // m.grain), because, rested, laid.here)


def nothing_is_kept_too_long(m: Model) -> None:
    """What a step gives is eaten within its longest keeping time."""
    hour = f"The table stands at {clock(m.problem, m.problem.table_min)}."
    for laid in m.tasks.values():
        if laid.task.last_min is not None:
            because = m.reason(f"{laid.task.name} ends at most {span(laid.task.last_min)} before the table.", DATE, laid.task)
            m.say(m.cp.add(laid.end >= m.table - laid.task.last_min // m.grain), m.reason(hour, FRAME, key="table"), because, laid.here)


def dates_are_kept(m: Model) -> None:
    """A step with an earliest, a latest or a promised hour keeps to it."""
    for laid in m.tasks.values():
        task, g = laid.task, m.grain
        if task.not_before_min is not None:
            because = m.reason(f"{task.name} begins no sooner than {clock(m.problem, task.not_before_min)}.", DATE, task)
            m.say(m.cp.add(laid.start >= task.not_before_min // g), because, laid.here)
        if task.not_after_min is not None:
            because = m.reason(f"{task.name} ends no later than {clock(m.problem, task.not_after_min)}.", DATE, task)
            m.say(m.cp.add(laid.end <= task.not_after_min // g), because, laid.here)
        if task.fixed_start_min is not None:
            because = m.reason(f"{task.name} begins at {clock(m.problem, task.fixed_start_min)}, as set.", DATE, task)
            m.say(m.cp.add(laid.start == task.fixed_start_min // g), because, laid.here)


def hands_open_and_close_a_step(m: Model) -> None:
    """A step that needs hands has them at its very start and up to its very end."""
    for laid in m.tasks.values():
        task, bounds, g = laid.task, m.bounds[laid.task.id], m.grain
        opening, closing = task.hands_start_min // g, task.hands_end_min // g
        if opening and not _past(m, task, 0):
            m.stretches.append(Stretch(task, "start", laid.start, opening, laid.here,
                                       bounds.earliest_start // g, bounds.latest_start // g))
        if closing and not _past(m, task, task.most_min - task.hands_end_min):
            m.stretches.append(Stretch(task, "end", laid.end - closing, closing, laid.here,
                                       bounds.earliest_end // g - closing, bounds.latest_end // g - closing))


def _past(m: Model, task: Task, after_min: int) -> bool:
    """Did this part of a task that was already begun lie before now?"""
    return task.fixed_start_min is not None and task.fixed_start_min + after_min < 0


def long_waits_are_tended(m: Model) -> None:
    """What must be turned or looked after is, regularly, for as long as the step still runs.

    Visit k belongs to the hour start + k times the interval, and may be off it by the slack. It is due
    when even its latest hour is over before the closing hands begin; none can meet the opening hands.
    """
    for laid in m.tasks.values():
        task, tend, g = laid.task, laid.task.tend, m.grain
        if tend is None:
            continue
        because = m.reason(f"{tend.name} every {span(tend.every_min)}, within {span(tend.slack_min)} either way.",
                           HANDS, task, key="hands")
        shortest = 0 if m.explaining else task.least_min
        k = 0
        while True:
            k += 1
            needs = k * tend.every_min + tend.slack_min + tend.lasts_min + task.hands_end_min
            if needs > task.most_min:
                break
            if _past(m, task, k * tend.every_min):
                continue
            due = laid.here
            if needs > shortest:
                longer = m.cp.new_bool_var("")
                m.cp.add(laid.end - laid.start >= -(-needs // g)).only_enforce_if(longer)
                m.cp.add(laid.end - laid.start < -(-needs // g)).only_enforce_if(~longer)
                due = m.both(laid.here, longer)
            _add_visit(m, laid, k, m.both(due, because))


def _add_visit(m: Model, laid: Laid, k: int, here) -> None:
    task, tend, g = laid.task, laid.task.tend, m.grain
    early = -(-(k * tend.every_min - tend.slack_min) // g)
    late = max((k * tend.every_min + tend.slack_min) // g, early)
    bounds = m.bounds[task.id]
    first, last = bounds.earliest_start // g + early, bounds.latest_start // g + late
    first = first if m.explaining else max(first, 0)
    begin = m.moment(first, last, here)
    m.say(m.cp.add(begin >= laid.start + early), here)
    m.say(m.cp.add(begin <= laid.start + late), here)
    m.stretches.append(Stretch(task, "tend", begin, tend.lasts_min // g, here, first, max(first, last)))


def each_stretch_has_one_cook_throughout(m: Model) -> None:
    """One cook sees a stretch through, within one of their spells in the kitchen."""
    for stretch in m.stretches:
        task = stretch.task
        words = f"{task.tend.name}" if stretch.kind == "tend" else task.name
        because = m.reason(f"{words} needs {span(stretch.length * m.grain)} of hands within the hours in "
                           "the kitchen.", HANDS, task, key="hands")
        domains = {cook.key: _spells(m, cook, stretch) for cook in m.problem.cooks}
        anyone = cp_model.Domain.from_values([])
        for domain in domains.values():
            anyone = anyone.union_with(domain)
        m.say(m.cp.add_linear_expression_in_domain(stretch.begin, anyone), because, stretch.here)
        stretch.by = _one_of(m, {key: d for key, d in domains.items() if not d.is_empty()}, stretch.begin,
                             because, stretch.here, same=lambda d, whole=anyone: _same(d, whole))


def _spells(m: Model, cook: Cook, stretch: Stretch) -> cp_model.Domain:
    """All begins at which the cook can see the stretch through."""
    g = m.grain
    spells = [[a // g, b // g - stretch.length] for a, b in cook.windows if b - a >= stretch.length * g]
    return cp_model.Domain.from_intervals(spells).intersection_with(cp_model.Domain(stretch.first, stretch.last))


def _same(one: cp_model.Domain, other: cp_model.Domain) -> bool:
    return one.flattened_intervals() == other.flattened_intervals()


def _one_of(m: Model, domains, begin, because, here, same) -> dict[str, object]:
    """A literal for each candidate, exactly one true; a candidate limits `begin` to its own domain."""
    if len(domains) == 1 and not m.explaining:
        return dict.fromkeys(domains, here)
    by = {key: m.cp.new_bool_var("") for key in domains}
    for key, domain in domains.items():
        if not same(domain):
            m.cp.add_linear_expression_in_domain(begin, domain).only_enforce_if(by[key])
        if here is not True:
            m.cp.add_implication(by[key], here)
    m.cp.add_at_most_one(by.values())
    m.say(m.cp.add_bool_or(by.values()), because, here)
    return by


def a_cook_does_one_thing_at_a_time(m: Model) -> None:
    """No cook has hands in two stretches at once."""
    for cook in m.problem.cooks:
        m.cp.add_no_overlap([m.interval(s.begin, s.length, None, s.by[cook.key])
                             for s in m.stretches if cook.key in s.by])


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
            because = m.reason(f"What {task.name} gives keeps its place until {m.tasks[task.next_id].task.name}.",
                               LAG, task, m.tasks[task.next_id].task)
        else:
            because = m.reason(f"What {task.name} gives keeps its place until the table.", LAG, task)
        here = m.both(laid.here, because)
        for use in task.waits_in:
            _hold(m, task, use, laid.end, None, until, here, m.bounds[task.id].earliest_end, last)


def _end_of_wait(m: Model, task: Task):
    """Start of the next step that is in the plan, else the table; with its latest minute."""
    follow = [m.tasks[key] for key in (task.next_id, task.next_else) if key is not None]
    if not follow:
        return m.table, m.problem.table_min
    if follow[0].here is True or _together(task, follow[0].task):
        return follow[0].start, m.bounds[follow[0].task.id].latest_start
    until = m.cp.new_int_var(m.first, m.last, "")
    gone = []
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


def _hold(m: Model, task: Task, use: Use, begin, size, end, here, first: int, last: int) -> None:
    """Hold a share of exactly one of the places that would do."""
    keys = options(use)
    where = {keys[0]: here} if len(keys) == 1 else {key: m.cp.new_bool_var("") for key in keys}
    if len(keys) > 1:
        m.say(m.cp.add_exactly_one(where.values()), here)
        for literal in where.values():
            if here is not True:
                m.cp.add_implication(literal, here)
    for key, literal in where.items():
        m.held.append(Held(task, use, m.places[key], begin, end, literal,
                           m.interval(begin, size, end, literal), first, last))


UNITS = {"oven": "shelves", "fridge": "litres", "freezer": "litres", "smoker": "rails"}
_ONE = {"shelves": "shelf", "litres": "litre", "rails": "rail", "places": "place"}


def room(place: Place, amount: int) -> str:
    """So much of what the place has: "1 shelf", "27 litres"."""
    unit = UNITS.get(place.kind, "places")
    return f"{amount} {_ONE[unit] if amount == 1 else unit}"


def no_place_is_overfull(m: Model) -> None:
    """Litres, shelves and rails in use at one time never exceed what the place has."""
    for place in m.problem.places:
        inside = []
        for held in (h for h in m.held if h.place is place):
            if held.use.amount > place.capacity:
                because = m.reason(f"{held.task.name} takes {room(place, held.use.amount)}, {place.name} has "
                                   f"{place.capacity}.", ROOM, held.task, key=place.key)
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
        because = m.reason(f"{place.name} has one heat at a time and takes {span(place.change_min)} to change.",
                           ROOM, key=place.key)
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
