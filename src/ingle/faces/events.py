"""What hands do, in order: every attended stretch and every visit of a plan, as one list for all faces."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise

from ingle.faces.words import clean, minutes_between, moment
from ingle.planning.plan import Plan, PlanStep


@dataclass(frozen=True)
class Event:
    """One stretch of attended time."""

    id: str  # "collar.smoke/1" first stretch, "collar.smoke/v2" second visit: stable while the step keeps its shape
    start: datetime
    end: datetime
    cook: str
    verb: str  # what to do, verb first
    step: PlanStep
    visit: bool  # a visit in between, not a stretch of the step itself
    first: bool  # the first stretch: amounts are needed now
    last: bool  # the last stretch: what to look for is seen now

    @property
    def minutes(self) -> int:
        """Length in whole minutes."""
        return minutes_between(self.start, self.end)

    @property
    def later(self) -> bool:
        """True when the step goes on by itself for over half an hour: its sign is seen when it ends, not now."""
        return minutes_between(self.end, self.step.end) > 30

    @property
    def look(self) -> str:
        """What to look for, and when; empty where this stretch is not the one that looks."""
        if not self.step.look_for or not (self.last or self.visit):
            return ""
        told = clean(self.step.look_for)
        limit = "at most" in told or "at least" in told  # holds from the start
        if self.visit and not limit and self.step.ready and self.start < self.step.ready[0]:
            return ""  # nobody finds a cure done before it can be
        now = self.visit or not self.later or limit
        return f"look for {told}" if now else f"by {moment(self.step.end)}: {told}"


def _verb(step: PlanStep, i: int, of: int) -> str:
    name = clean(step.name)
    if of == 1:
        return name
    return f"{name}: start" if i == 0 else f"{name}: end" if i == of - 1 else f"{name}: part {i + 1} of {of}"


def events_of(step: PlanStep) -> list[Event]:
    """The attended stretches of one step, then its visits."""
    of = len(step.attended)
    hands = [
        Event(f"{step.id}/{i + 1}", start, end, cook, _verb(step, i, of), step, False, i == 0, i == of - 1)
        for i, (start, end, cook) in enumerate(step.attended)
    ]
    visits = [
        Event(f"{step.id}/v{i + 1}", start, end, cook, clean(name), step, True, False, False)
        for i, (start, end, cook, name) in enumerate(step.tends)
    ]
    return hands + visits


def events(plan: Plan, day: date | None = None) -> list[Event]:
    """All attended time of the plan in order of start, or that which starts on one day."""
    found = [e for step in plan.steps for e in events_of(step)]
    if day is not None:
        found = [e for e in found if e.start.date() == day]
    return sorted(found, key=lambda e: (e.start.timestamp(), e.end.timestamp(), e.id))


def days(plan: Plan) -> list[date]:
    """Every date from the first thing planned to the meal, the empty ones too."""
    starts = [s.start.date() for s in plan.steps] + [plan.at.date()]
    first, last = min(starts), max(starts)
    return [date.fromordinal(n) for n in range(first.toordinal(), last.toordinal() + 1)]


def next_event(plan: Plan, now: datetime | None = None) -> Event | None:
    """The first thing hands do from ``now`` on; ``now`` is the plan's own clock unless given."""
    now = plan.plan_from if now is None else now
    return next((e for e in events(plan) if e.start >= now), None)


def piece_of(step: PlanStep) -> str:
    """``a`` of ``collar.a.cure``: the piece a step belongs to, empty for a step of the whole part."""
    return ".".join(step.id.split(".")[1:-1])


def kept(lane: list[PlanStep]) -> list[tuple[datetime, datetime]]:
    """Spells between the steps of one line in which what was made keeps; shorter ones than two hours are not drawn."""
    ends = [(one.end, other.start) for one, other in pairwise(lane)]
    return [(a, b) for a, b in ends if (b - a).total_seconds() >= 2 * 3600]


def lanes(steps: list[PlanStep]) -> list[list[PlanStep]]:
    """Steps of one part on as few lines as hold them without overlap, in order of start.

    A piece keeps to its own line where it can; steps of the whole part go on the first line that is free.
    """
    lines: list[list[PlanStep]] = []
    owners: list[str] = []
    for step in sorted(steps, key=lambda s: (s.start.timestamp(), s.end.timestamp(), s.id)):
        piece = piece_of(step)
        free = [i for i, line in enumerate(lines) if line[-1].end <= step.start]
        fitting = [i for i in free if owners[i] == piece] or [i for i in free if not piece or not owners[i]]
        if fitting:
            lines[fitting[0]].append(step)
            owners[fitting[0]] = owners[fitting[0]] or piece
        else:
            lines.append([step])
            owners.append(piece)
    return lines


def lane_names(lines: list[list[PlanStep]]) -> list[str]:
    """The piece each line belongs to ("A", "B"), empty for a line of no piece, and for all when no two pieces differ."""
    owners = [next((piece_of(s).upper() for s in line if piece_of(s)), "") for line in lines]
    return owners if len({o for o in owners if o}) > 1 else [""] * len(lines)
