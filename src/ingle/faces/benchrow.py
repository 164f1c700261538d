"""Rows of a day sheet and the blocks they stand in, taken from the plan's own words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from ingle.faces.boxes import Box, boxes_of
from ingle.faces.events import Event, events
from ingle.faces.words import clean, clock, minutes_between, sentence, span, tie
from ingle.planning.plan import Plan, Sign

PAUSE_MIN = 180  # a gap this long always begins a new block
TURN_MIN = 60  # a gap this long begins one when the part of the day changes too
ROWS_A_BLOCK = 9
_PARTS_OF_DAY = (
    (9, "Early"),
    (12, "Morning"),
    (14, "Middle of the day"),
    (18, "Afternoon"),
    (22, "Evening"),
    (24, "Late"),
)


@dataclass(frozen=True)
class Row:
    """One row of the sheet: one attended stretch, or several visits at the same minute."""

    start: datetime
    end: datetime
    verb: str
    who: str  # "30 min, A"
    amounts: tuple[str, ...]
    say: tuple[str, ...]
    look: str
    signs: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    boxes: tuple[Box, ...]

    @property
    def time(self) -> str:
        """``06:20``."""
        return clock(self.start)


@dataclass(frozen=True)
class Block:
    """Rows between two natural pauses."""

    head: str
    rows: tuple[Row, ...]


def rows(plan: Plan, day: date) -> list[Row]:
    """The rows of one day in order. Visits at the same minute share a row and each is named.

    Signs and cautions that return in the same day are said in full the first time; later rows point back to it.
    """
    found: list[Row] = []
    told: dict[str, datetime] = {}
    cared: dict[str, datetime] = {}
    todays = events(plan, day)
    while todays:
        head = todays[0]
        same = [e for e in todays if e.visit and e.start == head.start] if head.visit else [head]
        todays = [e for e in todays if e not in same]
        found.append(_row(plan, same, told, cared))
        told.update({e.step.id: e.start for e in same if e.look and e.step.id not in told})
    return found


def _row(plan: Plan, same: list[Event], told: dict[str, datetime], cared: dict[str, datetime]) -> Row:
    head = same[0]
    cooks = {e.cook: None for e in same if e.cook}
    minutes = span(sum(e.minutes for e in same) if len(cooks) < 2 else max(e.minutes for e in same))
    new = [e for e in same if e.step.id not in told]
    back = [told[e.step.id] for e in same if e.step.id in told and e.visit]
    looks = [tie(e.look) for e in same if e.look and (e in new or not e.visit)] + [
        f"signs as at {clock(at)}" for at in back
    ]
    signs = [(tie(s.sign), _act(s)) for e in new if e.look for s in e.step.if_not]
    due = [c for e in new if e.first or (e.visit and e.step.start.date() < e.start.date()) for c in e.step.caution]
    cautions = [sentence(tie(c)) for c in due if c not in cared]
    before = sorted({cared[c] for c in due if c in cared})
    if before:
        cautions.append(f"Care as at {', '.join(clock(at) for at in before)}.")
    for caution in due:
        cared.setdefault(caution, head.start)
    return Row(
        head.start, max(e.end for e in same), tie("; ".join(_names(plan, same))),
        ", ".join(x for x in (tie(minutes), " and ".join(clean(c) for c in cooks)) if x),
        tuple(tie(a) for e in same if e.first for a in e.step.amounts),
        tuple(sentence(tie(s)) for e in same if e.first for s in e.step.say), sentence("; ".join(dict.fromkeys(looks))),
        tuple(dict.fromkeys(signs)), tuple(dict.fromkeys(cautions)),
        tuple(list(dict.fromkeys(b for e in same for b in boxes_of(plan, e)))[:2]),
    )  # fmt: skip


def _act(sign: Sign) -> str:
    return tie(sign.act) + (f" (adds {tie(span(sign.adds_min))})" if sign.adds_min else "")


def _names(plan: Plan, same: list[Event]) -> list[str]:
    """Names of the visits; two of the same name say whose they are."""
    verbs = [e.verb for e in same]
    parts = {p.key: p.name for p in plan.parts}
    return [
        f"{e.verb} ({clean(parts.get(e.step.part, e.step.part))})" if verbs.count(e.verb) > 1 else e.verb for e in same
    ]


# -- blocks and pages --------------------------------------------------------------------------------------------------


def _part_of_day(at: datetime) -> str:
    return next(name for hour, name in _PARTS_OF_DAY if at.hour < hour)


def blocks(day_rows: list[Row]) -> list[Block]:
    """Rows cut at natural pauses: a long gap, or a shorter one where the part of the day changes."""
    groups: list[list[Row]] = []
    for row in day_rows:
        before = groups[-1] if groups else None
        end = max(r.end for r in before) if before else None
        gap = minutes_between(end, row.start) if end else 0
        turn = before is not None and _part_of_day(before[-1].start) != _part_of_day(row.start)
        if before is None or gap >= PAUSE_MIN or (turn and gap >= TURN_MIN) or len(before) >= ROWS_A_BLOCK:
            groups.append([row])
        else:
            before.append(row)
    return [block_of(g) for g in groups]


def block_of(group: list[Row]) -> Block:
    """Rows under the part of the day and the hours they take."""
    last = max(r.end for r in group)
    return Block(f"{_part_of_day(group[0].start)}, {clock(group[0].start)} to {clock(last)}", tuple(group))
