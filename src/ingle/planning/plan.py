"""A plan: what to buy, what to weigh, when each step is, and the verdicts beside them.

Things only. They are made by `ingle.jobs.plan`, written and read back by `ingle.planning.planfile`, and shown by
the faces; no face computes a number that is not here.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from ingle.ground.things import Forecast
from ingle.safety.verdict import Verdict


@dataclass(frozen=True)
class Sign:
    """What to do when a step does not look as it should."""

    sign: str
    act: str
    adds_min: int = 0


@dataclass(frozen=True)
class BoxPiece:
    """One of several pieces that lie in one box, with its own window beside the box's."""

    name: str
    weight_g: float  # as it lies in its cure
    thickness_mm: float  # as it is timed
    assumed: bool  # nobody measured it
    forecast: Forecast
    ready: tuple[datetime, datetime, datetime]  # earliest, likely, latest


@dataclass(frozen=True)
class PlanStep:
    """One step as planned. Times are aware datetimes in the kitchen's zone."""

    id: str  # "collar.cure"; stable over replanning: the calendar's UID is made of it
    part: str
    name: str  # verb first: "Lay both collars in the cure"
    start: datetime
    end: datetime
    attended: tuple[tuple[datetime, datetime, str], ...]  # (from, to, cook) of every attended stretch of this step
    kit: tuple[str, ...] = ()  # "oven 230 C", "fridge 6 l"
    amounts: tuple[str, ...] = ()  # what to weigh or take, ready to read: "curing salt 6.25 %  4.8 g"
    say: tuple[str, ...] = ()  # how to do it, a sentence each
    look_for: str = ""
    if_not: tuple[Sign, ...] = ()
    caution: tuple[str, ...] = ()  # sentences, at the step where they matter
    tends: tuple[tuple[datetime, datetime, str, str], ...] = ()  # (from, to, cook, name) of visits in between
    window: tuple[datetime, datetime] | None = None  # earliest start, latest start that keep all the rest as it is
    forecast: Forecast | None = None  # where the step's length is a forecast
    ready: tuple[datetime, datetime, datetime] | None = None  # that forecast as dates: earliest, likely, latest
    kind: str = "hands"  # hands | waits | smoke | keeps
    kit_kind: str = ""  # oven | fridge | smoker | freezer | ""
    sure: str = "common practice"
    source: str = ""
    pieces: tuple[BoxPiece, ...] = ()  # of a cure in which several lie; the box waits for the slowest


@dataclass(frozen=True)
class ShoppingLine:
    """What to buy, in packs that are sold, and what is left over."""

    item: str  # key: "cream"
    name: str  # "whipping cream, 36 % fat, not UHT"
    amount: float  # what to buy, in ``unit``
    unit: str  # "g" | "ml" | "pieces"
    need: float  # what the plan uses at the low yield, in ``unit``
    need_likely: float
    packs: tuple[str, ...] = ()  # "2 x 600 ml"
    left: float = 0.0  # left at the likely yield
    buy_by: datetime | None = None
    buy_from: datetime | None = None
    parts: tuple[str, ...] = ()  # who takes it
    allergens: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class Flow:
    """A by-product that moves from one part to another, or a leftover that is named."""

    item: str
    name: str
    from_part: str
    to_part: str | None  # None = left over
    amount_g: float
    need_g: float
    made: datetime | None = None
    used: datetime | None = None
    keeps: str = ""  # "7 d in the fridge"
    way: str = "fresh"  # fresh | frozen


@dataclass(frozen=True)
class Thinned:
    """A curing salt thinned beforehand, because the scale is too coarse for it."""

    mixing: str  # how it is made
    label: str  # what stands on its jar
    nitrite: float  # per weight of it


@dataclass(frozen=True)
class Weighing:
    """What goes on the scale for one piece or one box."""

    part: str
    piece: str
    green_weight_g: float
    grams: dict[str, float]  # salt, curing_salt, sugar
    step_g: float
    salt_per_green_weight: float
    nitrite_mg_per_kg: float
    curing_salt: str  # "curing salt, 6.25 % sodium nitrite"
    lines: tuple[str, ...] = ()  # ready to read
    thickness_mm: float | None = None  # of the slowest piece, open on both faces; None = not measured, or under its rind
    premix: Thinned | None = None  # where ``grams`` has one
    whole_g: float | None = None  # with its skin, as it lies on the scale; None = ``green_weight_g``
    skin: str = "none"
    skin_weight_g: float | None = None  # where it was weighed by itself
    basis: str = "planned"  # planned | weighed | dosed: what the weight and the grams rest on; a plan's own are planned
    step: str = ""  # id of the cure it goes on; "" in a plan that an earlier version wrote


@dataclass(frozen=True)
class WishGrade:
    """How well one wish was met."""

    wish: str
    value: float
    bound: float
    unit: str
    proven: bool
    words: str = ""


@dataclass(frozen=True)
class PlanPart:
    """One part as it comes to the table."""

    key: str
    name: str
    short: str  # at most 10 letters, for narrow charts
    amount_g: float
    allergens: tuple[str, ...] = ()
    at_table: str = ""  # "60 g a plate"


@dataclass(frozen=True)
class Plan:
    """The whole answer to a brief."""

    name: str
    at: datetime
    plates: int
    zone: str
    plan_from: datetime
    use: str  # table | sale
    rules: tuple[str, ...]
    number: int  # the calendar's SEQUENCE: 1 for the first plan, one more for each replanning
    status: str  # "proven best" | "feasible"
    objective: float  # the wishes, weighted so that a higher wish always outweighs the lower ones together
    bound: float  # no plan can be lower; equal to objective when proven
    wishes: tuple[WishGrade, ...]
    parts: tuple[PlanPart, ...]
    steps: tuple[PlanStep, ...]  # by start
    shopping: tuple[ShoppingLine, ...]
    weighings: tuple[Weighing, ...]
    flows: tuple[Flow, ...]
    verdicts: tuple[Verdict, ...]
    not_checked: tuple[str, ...]
    cautions: tuple[str, ...]
    allergens: dict[str, tuple[str, ...]] = field(default_factory=dict)  # allergen -> parts
    kit: dict[str, Any] = field(default_factory=dict)
    nights: tuple[tuple[datetime, datetime], ...] = ()
    cooks: tuple[str, ...] = ()
    dropped: tuple[str, ...] = ()  # step ids of an earlier plan of this name that are no longer in it
    brief_file: str = ""
