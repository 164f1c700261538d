"""One stage of one rule on cooling beside a record: its level, the latest time to reach its end, what is missing."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from ingle.ground.units import hours, show_hours
from ingle.safety import cooling_clock as clock
from ingle.safety.cooling_clock import Events, Timed
from ingle.safety.cooling_rules import Rule, Segment
from ingle.safety.thermal_record import ThermalRecord, first_at_or_below


@dataclass(frozen=True)
class Stage:
    """One stage of one rule beside what the record shows.

    Temperatures [C], times [s]. ``taken_s`` is with the probe's error upwards; None where no clock could start.
    ``must_reach_by_s`` is the latest time in the record by which ``to_c`` must be reached for this stage.
    ``group``: rules of one group are alternatives. ``strictest`` marks the rule that decides when no country is named.
    """

    rule: str
    segment: str
    title: str
    country: str
    group: str
    kind: str
    clause: str
    source: str
    sure: str
    from_c: float | None
    to_c: float | None
    from_words: str
    allowed_s: float | None
    taken_s: float | None
    level: str
    start_s: float | None = None
    must_reach_by_s: float | None = None
    taken_low_s: float | None = None
    taken_high_s: float | None = None
    act: str = ""
    doubt: str = ""
    not_checked: tuple[str, ...] = ()
    strictest: bool = False

    def as_dict(self) -> dict[str, Any]:
        """Plain keys and values for ``--json``."""
        return asdict(self) | {"not_checked": list(self.not_checked)}


def stage_of(
    rule: Rule, segment: Segment, record: ThermalRecord, low: ThermalRecord | None, high: ThermalRecord | None,
    error: float, events: Events, notes: tuple[str, ...],
) -> Stage:  # fmt: skip
    """One segment of a cooling rule against a record and its ends; ``error`` of the thermometer in [C]."""
    said: dict[str, Any] = {
        "rule": rule.key, "segment": segment.name, "title": rule.about, "country": rule.country, "group": rule.group,
        "kind": rule.kind, "clause": segment.clause, "source": segment.source, "sure": segment.sure,
        "from_c": segment.start if isinstance(segment.start, float) else None,
        "to_c": segment.end if isinstance(segment.end, float) else None, "from_words": segment.printed,
        "allowed_s": segment.seconds, "doubt": " ".join(filter(None, (segment.doubt, rule.doubt))),
    }  # fmt: skip
    if segment.seconds is None:
        return _held(said, float(segment.end), record, high or record, error, notes)
    allowed = segment.seconds
    plain, shifted = clock.timed(record, segment, events), clock.timed(record.shifted(error), segment, events)
    taken = max((plain, shifted), key=lambda seen: seen.taken or 0.0)
    slow = clock.timed((high or record).shifted(error), segment, events)
    fast = clock.timed(low, segment, events) if low is not None else plain
    level = _level(plain, (shifted, slow), allowed)
    lacking = [plain.why] if plain.why else []
    if level == "over" and record.hole.any():
        joined = clock.timed(clock.without_holes(record), segment, events)
        if clock.level(joined, allowed) != "over":
            level, lacking = "cannot_say", ["what happened in the holes of the record: it would decide", *lacking]
    if rule.continuous and level in ("within", "near") and clock.warmed(record)[0] > 0.5 + error:
        level, lacking = "cannot_say", ["the surface between 120 and 80 F: the core did not drop without a break", *lacking]
    by = None if taken.start is None else taken.start + allowed
    return Stage(
        **said, level=level, taken_s=taken.taken, start_s=taken.start, must_reach_by_s=by, act=_act(said, level, by, record, taken),
        taken_low_s=fast.taken if low is not None else None, taken_high_s=slow.taken if high is not None or error else None,
        not_checked=(*lacking, *notes),
    )  # fmt: skip


def _level(plain: Timed, spread: tuple[Timed, ...], allowed: float) -> str:
    level = clock.level(plain, allowed)
    if level == "within" and any(clock.level(seen, allowed) != "within" for seen in spread):
        return "near"
    if level == "cannot_say" and plain.proved and any(clock.level(seen, allowed) == "over" for seen in spread):
        return "near"
    return level


def _act(said: dict[str, Any], level: str, by: float | None, record: ThermalRecord, taken: Timed) -> str:
    if level == "within" or said["to_c"] is None:
        return ""
    if level == "over":
        return "Ice bath, smaller pieces, a wider vessel next time; ask what still may be done with this one."
    if by is None:
        return f"Reach {said['to_c']:.1f} C within {show_hours(hours(said['allowed_s']))} of {said['from_words'].split(' to ')[0]}."
    left = by - record.seconds[0]
    if taken.done:
        return f"Close to the line: {said['to_c']:.1f} C must be reached by {show_hours(hours(left))} into the cooling."
    return f"Bring the core to {said['to_c']:.1f} C by {show_hours(hours(left))} into the cooling."


def _held(said: dict[str, Any], ceiling: float, record: ThermalRecord, slow: ThermalRecord, error: float, notes: tuple[str, ...]) -> Stage:
    """A line that is held once it is reached: no time of its own."""
    seen = [_peak_after(r, ceiling) for r in (record, record.shifted(error), slow.shifted(error))]
    if seen[0] is None:
        lacking = (f"holding: the record ends at {record.celsius[-1]:.1f} C, above {ceiling:g} C", *notes)
        return Stage(**said, level="cannot_say", taken_s=None, not_checked=lacking, act=f"Cool to {ceiling:g} C and hold it there.")
    level = "over" if seen[0] > ceiling + 1e-6 else "near" if any(s is None or s > ceiling + 1e-6 for s in seen) else "within"
    act = "" if level == "within" else f"Colder: {ceiling:g} C is the warmest."
    return Stage(**said, level=level, taken_s=None, not_checked=notes, act=act)


def _peak_after(record: ThermalRecord, ceiling: float) -> float | None:
    """Warmest reading once a ceiling was first met. [C]"""
    at = first_at_or_below(record, ceiling)
    return None if at is None else float(record.celsius[record.seconds >= at].max(initial=-np.inf))
