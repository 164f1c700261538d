"""The model while it is being built: variables, reasons, and what competes for hands and kit.

Each rule hangs on a reason in words. A plain model takes all reasons as given and spends nothing on them;
an explaining model gives each reason a switch, so that the solver can say which of them cannot hold
together. Times in a model are whole grains, counted from the problem's start.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from ortools.sat.python import cp_model

from ingle.planning.problem import Place, Problem, Task, Use
from ingle.planning.reach import Reach, reach

ROOM, DATE, HANDS, LAG, LASTS, FRAME = range(6)  # order in which reasons are told


@dataclass
class Laid:
    """One task in the model. `here` is True for a task that is always in the plan."""

    task: Task
    start: Any
    end: Any
    here: Any


@dataclass
class Stretch:
    """One attended stretch: the hands at a start, at an end, or one tending visit."""

    task: Task
    kind: str  # "start" | "end" | "tend"
    begin: Any
    length: int
    here: Any
    first: int  # earliest and latest begin
    last: int
    by: dict[str, Any] = field(default_factory=dict)  # cook -> literal


@dataclass
class Held:
    """One share of one place, from begin to end, if `here`."""

    task: Task
    use: Use
    place: Place
    begin: Any
    end: Any
    here: Any
    interval: Any
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
        self.reasons: dict[str, Any] = {}
        self.rank: dict[str, int] = {}
        self.key: dict[str, str] = {}
        self.about: dict[str, set[str]] = {}  # ids of the tasks a reason speaks of
        self.choices = {name: self.cp.new_bool_var(name) for name in problem.choices}
        self.tasks: dict[str, Laid] = {}
        self.stretches: list[Stretch] = []
        self.held: list[Held] = []
        self.places = {place.key: place for place in problem.places}

    def reason(self, words: str, rank: int, *about: Task, key: str = "") -> Any:
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

    def say(self, constraint: Any, *when: Any) -> Any:
        """Demand a constraint only when all literals are true."""
        literals = [literal for literal in when if literal is not True]
        return constraint.only_enforce_if(literals) if literals else constraint

    def both(self, *literals: Any) -> Any:
        """One literal for "all of these"."""
        given = list({id(x): x for x in literals if x is not True}.values())
        if len(given) < 2:
            return given[0] if given else True
        all_of = self.cp.new_bool_var("")
        self.cp.add_bool_and(given).only_enforce_if(all_of)
        self.cp.add_bool_or([~x for x in given] + [all_of])
        return all_of

    def when(self, only_if: str | None, unless: str | None) -> Any:
        """The literal under which something conditional is in the plan."""
        yes = self.choices[only_if] if only_if is not None else True
        no = ~self.choices[unless] if unless is not None else True
        return self.both(yes, no)

    def moment(self, first: int, last: int, here: Any) -> Any:
        """A time between two others; what has no such time cannot be in the plan."""
        if first > last:
            self.say(self.cp.add_bool_or([]), here)
        return self.cp.new_int_var(first, max(first, last), "")

    def interval(self, begin: Any, size: int | None, end: Any, here: Any) -> Any:
        """An interval that is there if `here`; `size` may be a number or None for "whatever lies between".

        What may turn out to have no length is left out when it has none: an interval without length
        takes no room, and solver 9.15 was seen to lose plans over one.
        """
        if size is None:
            some = self.cp.new_bool_var("")
            self.say(self.cp.add(end >= begin + 1), some)
            self.say(self.cp.add(end == begin), ~some, here)
            here = self.both(here, some)
            length = self.cp.new_int_var(1, self.last - self.first, "")
            return self.cp.new_optional_interval_var(begin, length, end, here, "")
        if here is True:
            return self.cp.new_fixed_size_interval_var(begin, size, "")
        return self.cp.new_optional_fixed_size_interval_var(begin, size, here, "")


def _wide(problem: Problem, days: int) -> dict[str, Reach]:
    """Bounds that leave every reason free to be let go."""
    wide = days * 24 * 60
    first = min([0, *(t.fixed_start_min for t in problem.tasks if t.fixed_start_min is not None)]) - wide
    last = problem.table_min + wide
    return {t.id: Reach(first, last, first, last) for t in problem.tasks}


UNITS = {"oven": "shelves", "fridge": "litres", "freezer": "litres", "smoker": "rails"}
_ONE = {"shelves": "shelf", "litres": "litre", "rails": "rail", "places": "place"}


def room(place: Place, amount: int) -> str:
    """So much of what the place has: "1 shelf", "27 litres"."""
    unit = UNITS.get(place.kind, "places")
    return f"{amount} {_ONE[unit] if amount == 1 else unit}"
