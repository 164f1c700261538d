"""The scheduling problem as plain things: what the solver is given and what an independent checker reads.

All times are whole minutes from ``Problem.start``; the solver works on a grain of five. A task is one
step of one part. Its time has attended stretches (hands) at its start, at its end and, for long waits,
in between (tending); the rest passes by itself.

Minute 0 is now: what began before it carries a negative ``fixed_start_min`` and its past hands need
nobody. Times off the grain are rounded against the cook: least times and hands up, longest times down
(but never below the least), hours in the kitchen inward.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime


@dataclass(frozen=True)
class Use:
    """A share of one piece of kit, held for the whole of a task (or of a wait)."""

    kit: str  # key of an oven, fridge, smoker or other place
    amount: int = 1  # oven: shelves; smoker: rails; fridge, freezer: litres
    mode: int | None = None  # oven temperature, whole degrees Celsius; None where modes do not matter
    or_kit: tuple[str, ...] = ()  # other places that would do as well: "oven-2"


@dataclass(frozen=True)
class Tend:
    """A short attended visit that repeats while a task waits: turn the piece, look at the smoke.

    Visit k belongs to the minute start + k * every_min. It is due when even its latest minute, plus
    lasts_min, is over before the closing hands begin: a visit beside the end is the end itself.
    """

    name: str  # "Turn both collars over"
    every_min: int
    lasts_min: int
    slack_min: int  # how far from its regular hour a visit may be, either way


@dataclass(frozen=True)
class Task:
    """One step of one part, placed once."""

    id: str  # "collar.cure"
    part: str  # "collar"
    name: str  # "Lay the collar in its cure"
    least_min: int  # shortest duration
    most_min: int  # longest duration; equal to least_min where it is fixed
    hands_start_min: int = 0  # attended minutes at the start
    hands_end_min: int = 0  # attended minutes at the end; hands_start_min + hands_end_min <= least_min
    tend: Tend | None = None
    uses: tuple[Use, ...] = ()
    waits_in: tuple[Use, ...] = ()  # kit held from this task's end until its successor (`next_id`) starts
    next_id: str | None = None  # task whose start ends the wait; None = the table
    next_else: str | None = None  # the one that ends it where ``next_id`` is not in the plan; None = the table
    rest_min: int = 0  # least time between this task's end and the table
    best_min: int | None = None  # beyond this time before the table, freshness is lost
    last_min: int | None = None  # most time between this task's end and the table
    fresh_weight: int = 1  # weight of this task's lost freshness
    not_before_min: int | None = None  # earliest start
    not_after_min: int | None = None  # latest end
    fixed_start_min: int | None = None  # already begun or promised: this start, no other
    only_if: str | None = None  # name of a choice; the task exists only when the choice is taken
    unless: str | None = None  # the task exists only when the choice is not taken
    reason: str = ""  # words for the duration, used when it clashes


@dataclass(frozen=True)
class Link:
    """``after`` starts no sooner than ``least_min`` and no later than ``most_min`` after ``before`` ends."""

    before: str
    after: str
    least_min: int = 0
    most_min: int | None = None
    reason: str = ""  # "buttermilk keeps 7 d in the fridge"
    only_if: str | None = None
    unless: str | None = None


@dataclass(frozen=True)
class Place:
    """A piece of kit with a capacity."""

    key: str
    kind: str  # oven | fridge | smoker | freezer | other
    name: str
    capacity: int  # oven: shelves; smoker: rails; fridge, freezer: litres
    change_min: int = 0  # oven: minutes to reach another mode from any mode, and to heat up from cold


@dataclass(frozen=True)
class Cook:
    """One pair of hands and when it is in the kitchen, as minutes from the problem's start."""

    key: str
    name: str
    windows: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Problem:
    """Everything the schedule must respect, and the wishes in order."""

    start: datetime  # aware; minute 0
    table_min: int  # minute at which the dish stands on the table
    tasks: tuple[Task, ...]
    links: tuple[Link, ...]
    places: tuple[Place, ...]
    cooks: tuple[Cook, ...]
    nights: tuple[tuple[int, int], ...]  # minutes in which people sleep
    choices: tuple[str, ...] = ()  # names of yes/no decisions: "rind.frozen"
    choice_cost: dict[str, int] = field(default_factory=dict)  # visits a taken choice is worth
    wishes: tuple[str, ...] = ("sleep", "freshness", "visits", "slack")  # most important first
    visit_blocks: tuple[tuple[int, int], ...] = ()  # parts of days; a visit is a block with any hands in it
    grain: int = 5


@dataclass(frozen=True)
class Placed:
    """One task as the schedule has it."""

    task: str
    start_min: int
    end_min: int
    cook_start: str | None  # who does the attended minutes at the start
    cook_end: str | None
    tends: tuple[tuple[int, str], ...] = ()  # (minute, cook) of every tending visit
    places: tuple[str, ...] = ()  # where each of the task's ``uses``, then ``waits_in``, stands


@dataclass(frozen=True)
class WishResult:
    """How well one wish was met: value, the bound proven for it given all wishes above, and whether proven best."""

    wish: str
    value: int
    bound: int
    unit: str
    proven: bool


@dataclass(frozen=True)
class Schedule:
    """Placed tasks, the choices taken, and how good it is known to be."""

    placed: tuple[Placed, ...]
    choices: dict[str, bool]
    wishes: tuple[WishResult, ...]
    status: str  # "proven best" | "feasible"
    first_s: float  # seconds to the first plan
    total_s: float
