"""What a row of a day sheet asks to be written down, and the limits at which to stop."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from ingle.faces.events import Event, events
from ingle.faces.words import LEVEL_ORDER, clean, is_floor, sentence, step_of, tie, with_unit
from ingle.planning.plan import Plan
from ingle.safety.verdict import Verdict

_AT_BENCH = ("\u00b0C", "C", "pH", "min", "h", "g", "kg", "mm")  # what a cook can read at the bench
_KINDS = ("harm", "law", "practice")  # gravest first
_LIMITS = ("at most", "at least", "below", "under", "above", "over")
_READ = re.compile(
    r"(?P<side>at most|at least|about|at|below|under|above|over)?\s*(?P<ph>pH\s*)?(?P<value>\d+(?:[.,]\d+)?)"
    r"(?:\s*\u00b0?\s*(?P<unit>C)\b)?",
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

    head: str  # "Fridge over 5 \u00b0C"
    act: str
    clause: str


def boxes_of(plan: Plan, event: Event) -> list[Box]:
    """The values a row asks for: a weight, a temperature, a pH, and where none is named the time.

    Read from the step's own words ("core at least 96 \u00b0C", "at most pH 4.6") and from the verdicts that name the step;
    a box is a limit where the words or such a verdict give one with an act.
    """
    found = _weights(plan, event)
    step = event.step
    looked = step.look_for if event.last or event.visit else ""
    read = _reading(step.look_for if step.kit_kind in ("fridge", "smoker") else looked)
    if read and not (event.last and event.later and not read.limit):
        found.append(read)
    for verdict in plan.verdicts:
        unit = _unit(verdict.unit)
        named = step_of(verdict) == step.id and verdict.act and unit in ("\u00b0C", "pH")
        if named and verdict.limit is not None and not any(b.limit and b.unit == unit for b in found):
            side = "at least" if is_floor(verdict) else "at most"
            found.append(Box(tie(f"{_name(verdict)[0]}, {side} {with_unit(verdict.limit, unit)}"), unit, True))
    if step.kit_kind == "smoker" and not any(b.unit == "\u00b0C" for b in found):
        found.append(Box("Chamber", "\u00b0C"))
    return found or [Box("In the fridge at" if step.kit_kind == "fridge" else "Done at", ":")]


def _weights(plan: Plan, event: Event) -> list[Box]:
    """Boxes for the pieces where the step weighs them, for curing salt where it takes any."""
    step = event.step
    pieces = [w for w in plan.weighings if w.part == step.part]
    if pieces and event.first and any("curing salt" in a for a in step.amounts):
        return [Box("Curing salt, as weighed", "g", count=min(2, len(pieces)))]
    said = [event.verb, *(step.say if event.first else ())]
    weighs = next((t.lower() for t in said if re.search(r"\bweigh\b", t, re.IGNORECASE)), "")
    if not weighs:
        return []
    short = next((p.short.lower() for p in plan.parts if p.key == step.part), step.part)
    if pieces and any(word in weighs for word in (short, step.part, "piece", "them")):
        unit = "kg" if max(w.green_weight_g for w in pieces) >= 1000 else "g"
        names = " and ".join(w.piece if i else _capital(w.piece) for i, w in enumerate(pieces))
        return [Box(names, unit, count=min(2, len(pieces)))]
    return [Box("As weighed", "g")]


def _reading(text: str) -> Box | None:
    """``core at least 96 \u00b0C`` to a heavy box "Core, at least 96 \u00b0C"; None where no temperature or pH is named."""
    for match in _READ.finditer(text):
        if not match["unit"] and not match["ph"]:
            continue
        side = (match["side"] or "").lower()
        limit = side in _LIMITS
        what = text[: match.start()].rpartition(",")[2].strip(" :;")
        lead = f"{side} {_told(match)}" if limit else f"aim {_told(match)}"
        label = f"{_capital(what)}, {lead}" if what else _capital(lead)
        return Box(tie(label), "pH" if match["ph"] else "\u00b0C", limit)
    return None


def _told(match: re.Match[str]) -> str:
    return f"pH {match['value']}" if match["ph"] else f"{match['value']} \u00b0C"


def _capital(text: str) -> str:
    text = clean(text)
    return text[:1].upper() + text[1:]


def _unit(unit: str) -> str:
    return "\u00b0C" if unit == "C" else unit


def _name(verdict: Verdict) -> tuple[str, str]:
    """Short name of what is read, and the step named before it.

    ``Cold smoke the butter: chamber temperature at which a block slumps`` to ("Chamber temperature", "Cold smoke the butter").
    """
    step, _, what = clean(verdict.title).partition(": ")
    if not what:
        return _capital(step), ""
    return _capital(re.split(r" (?:at which|of|for|when|in) ", what)[0]), step


def stops(plan: Plan, day: date) -> list[Stop]:
    """At most three limits that can be met on this day, each with its act and clause: law and harm before practice.

    Verdicts that name a step count on the days it runs, those that name a part on the days it is worked on, others
    always; what is left of three is filled with the numbered signs of the day's own steps.
    """
    ids = {s.id for s in plan.steps if s.start.date() <= day <= s.end.date()}
    hands = [e.step for e in events(plan, day)]
    parts = {s.part for s in hands}
    found: list[Stop] = []
    seen: set[str] = set()
    readable = [(v, v.limit) for v in plan.verdicts if v.limit is not None and v.unit in _AT_BENCH]
    ranked = sorted(
        ((v, limit) for v, limit in readable if v.act and v.kind in _KINDS),
        key=lambda pair: (_KINDS.index(pair[0].kind), -LEVEL_ORDER.index(pair[0].level)),
    )
    for verdict, limit in ranked:
        step, part = step_of(verdict), verdict.more.get("part")
        if (not step or step in ids) and (part is None or part in parts):
            number = with_unit(limit, _unit(verdict.unit))
            what, where = _name(verdict)
            head = f"{what} {'under' if is_floor(verdict) else 'over'} {number}"
            act = f"{where}: {verdict.act}" if where else verdict.act
            found.append(Stop(tie(head), sentence(tie(act)), tie(verdict.clause)))
            seen.add(number)
    for own in hands:
        for sign in own.if_not:
            match = next((m for m in _READ.finditer(sign.sign) if m["unit"] or m["ph"]), None)
            if match and _told(match) not in seen:
                seen.add(_told(match))
                why = f"{_capital(own.name)}: {own.sure}, not a legal limit"
                found.append(Stop(tie(_capital(sign.sign)), sentence(tie(sign.act)), tie(why)))
    return found[:3]
