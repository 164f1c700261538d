"""Rows of a day sheet: what to do, what to write down, and when to stop, taken from the plan's own words."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime

from ingle.faces.events import Event, events
from ingle.faces.words import LEVEL_ORDER, clean, clock, is_floor, minutes_between, sentence, span, tie, with_unit
from ingle.planning.plan import Plan, Sign
from ingle.safety.verdict import Verdict

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
_AT_BENCH = ("\u00b0C", "C", "pH", "min", "h", "g", "kg", "mm")  # what a cook can read at the bench
_KINDS = ("harm", "law", "practice")  # gravest first
_READ = re.compile(
    r"(?P<side>at most|at least|about|at)?\s*(?P<ph>pH\s*)?(?P<value>\d+(?:[.,]\d+)?)(?:\s*\u00b0?\s*(?P<unit>C)\b)?",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Box:
    """One place to write a value; ``limit`` boxes are drawn heavy."""

    label: str
    unit: str
    limit: bool = False
    count: int = 1


@dataclass(frozen=True)
class Stop:
    """When to stop and say so."""

    head: str  # "Fridge over 5 °C"
    act: str
    clause: str


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

    A step seen several times in one day says its signs and cautions the first time; later rows point back to it.
    """
    found: list[Row] = []
    told: dict[str, datetime] = {}
    todays = events(plan, day)
    while todays:
        head = todays[0]
        same = [e for e in todays if e.visit and e.start == head.start] if head.visit else [head]
        todays = [e for e in todays if e not in same]
        found.append(_row(plan, same, told))
        told.update({e.step.id: e.start for e in same if e.look and e.step.id not in told})
    return found


def _row(plan: Plan, same: list[Event], told: dict[str, datetime]) -> Row:
    head = same[0]
    cooks = {e.cook: None for e in same if e.cook}
    minutes = span(sum(e.minutes for e in same) if len(cooks) < 2 else max(e.minutes for e in same))
    new = [e for e in same if e.step.id not in told]
    back = [told[e.step.id] for e in same if e.step.id in told and e.visit]
    looks = [tie(e.look) for e in same if e.look and (e in new or not e.visit)] + [
        f"signs as at {clock(at)}" for at in back
    ]
    signs = [(tie(s.sign), _act(s)) for e in new if e.look for s in e.step.if_not]
    cautions = [
        sentence(tie(c))
        for e in new
        if e.first or (e.visit and e.step.start.date() < e.start.date())
        for c in e.step.caution
    ]
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


# -- what to write down ------------------------------------------------------------------------------------------------


def boxes_of(plan: Plan, event: Event) -> list[Box]:
    """The values a row asks for: a weight, a temperature, a pH, and where none is named the time.

    Read from the step's own words ("core at least 96 °C", "at most pH 4.6") and from the verdicts that name the step;
    a box is a limit where the words or such a verdict of law or harm give one.
    """
    found = _weights(plan, event)
    looked = event.step.look_for if event.last or event.visit else ""
    chamber = event.step.kit_kind in ("fridge", "smoker")
    read = _reading(event.step.look_for if chamber else looked)
    if read and not (event.last and event.later and not read.limit):
        found.append(read)
    elif event.step.kit_kind == "smoker":
        found.append(Box("Chamber", "\u00b0C"))
    for verdict in plan.verdicts:
        unit = _unit(verdict.unit)
        named = (
            verdict.more.get("step") == event.step.id and verdict.kind in ("harm", "law") and unit in ("\u00b0C", "pH")
        )
        if named and verdict.limit is not None and not any(b.limit and b.unit == unit for b in found):
            found.append(
                Box(tie(f"{_capital(verdict.title)}, {_side(verdict)} {with_unit(verdict.limit, unit)}"), unit, True)
            )
    if not found:
        found.append(Box("In the fridge at" if event.step.kit_kind == "fridge" else "Done at", ":"))
    return found


def _weights(plan: Plan, event: Event) -> list[Box]:
    if not re.search(r"\bweigh\b", event.verb, re.IGNORECASE):
        return []
    pieces = [w for w in plan.weighings if w.part == event.step.part]
    named = event.verb.lower() + " "
    short = next((p.short.lower() for p in plan.parts if p.key == event.step.part), event.step.part)
    if pieces and (short in named or event.step.part in named):
        unit = "kg" if max(w.green_weight_g for w in pieces) >= 1000 else "g"
        return [
            Box(
                " and ".join(_capital(w.piece) if i == 0 else w.piece for i, w in enumerate(pieces)),
                unit,
                count=min(2, len(pieces)),
            )
        ]
    if pieces and any("curing salt" in a for a in event.step.amounts):
        return [Box("Curing salt, as weighed", "g", count=min(2, len(pieces)))]
    return [Box("As weighed", "g")]


def _reading(text: str) -> Box | None:
    """``core at least 96 °C`` to a heavy box "Core, at least 96 °C"; None where no temperature or pH is named."""
    for match in _READ.finditer(text):
        if not match["unit"] and not match["ph"]:
            continue
        side = (match["side"] or "").lower()
        limit = side in ("at most", "at least")
        told = f"pH {match['value']}" if match["ph"] else f"{match['value']} \u00b0C"
        what = text[: match.start()].rpartition(",")[2].strip(" :;")
        lead = f"{side} {told}" if limit else f"aim {told}"
        return Box(
            tie(f"{_capital(what)}, {lead}" if what else _capital(lead)), "pH" if match["ph"] else "\u00b0C", limit
        )
    return None


def _capital(text: str) -> str:
    text = clean(text)
    return text[:1].upper() + text[1:]


def _unit(unit: str) -> str:
    return "\u00b0C" if unit == "C" else unit


def _side(verdict: Verdict) -> str:
    return "at least" if is_floor(verdict) else "at most"


# -- when to stop ------------------------------------------------------------------------------------------------------


def stops(plan: Plan, day: date) -> list[Stop]:
    """At most three limits that can be met on this day, each with its act and clause: law and harm before practice.

    Verdicts that name a step count on the days it runs, those that name a part on the days it is worked on, others
    always; what is left of three is filled with the numbered signs of the day's own steps.
    """
    running = [s for s in plan.steps if s.start.date() <= day <= s.end.date()]
    hands = [e.step for e in events(plan, day)]
    ids, parts = {s.id for s in running}, {s.part for s in hands}
    found: list[Stop] = []
    seen: set[str] = set()
    ranked = sorted(
        (
            (v, v.limit)
            for v in plan.verdicts
            if v.act and v.limit is not None and v.kind in _KINDS and v.unit in _AT_BENCH
        ),
        key=lambda pair: (_KINDS.index(pair[0].kind), -LEVEL_ORDER.index(pair[0].level)),
    )
    for verdict, limit in ranked:
        step, part = verdict.more.get("step"), verdict.more.get("part")
        if (step is None or step in ids) and (part is None or part in parts):
            number = with_unit(limit, _unit(verdict.unit))
            head = f"{_capital(verdict.title)} {'under' if is_floor(verdict) else 'over'} {number}"
            found.append(Stop(tie(head), sentence(tie(verdict.act)), tie(verdict.clause)))
            seen.add(number)
    for step in hands:
        for sign in step.if_not:
            match = next((m for m in _READ.finditer(sign.sign) if m["unit"] or m["ph"]), None)
            if match is None:
                continue
            number = f"pH {match['value']}" if match["ph"] else f"{match['value']} \u00b0C"
            if number not in seen:
                seen.add(number)
                found.append(
                    Stop(
                        tie(_capital(sign.sign)),
                        sentence(tie(sign.act)),
                        tie(f"{_capital(step.name)}: {step.sure}, not a legal limit"),
                    )
                )
    return found[:3]


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
