"""One stage of cooling on one record: when its clock starts, when it ends, what that proves.

The clock starts when the core falls through the rule's first temperature and ends when it first stands at the
second; warming in between does not stop it. In a hole of the record the earlier start and the later end are taken.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ingle.safety.cooling_rules import CHILL_START, COOK_END, MADE, Segment
from ingle.safety.thermal_record import ThermalRecord, falls_through, first_at_or_below, value_at

_NOISE = 1 + 1e-6


@dataclass(frozen=True)
class Events:
    """Times that words of a rule stand for [s]; None = not known. ``begins_hot``: first reading stands for the heat's end.

    ``heated`` False: nothing shows that the food was ever heated, so no clock of a rule for cooked food begins.
    """

    cook_end: float | None = None
    chill_start: float | None = None
    begins_hot: bool = False
    heated: bool = True


@dataclass(frozen=True)
class Timed:
    """What one record says of one stage.

    ``start`` None: the clock's start is not in the record. ``taken`` is the whole time when ``done``, else the time
    seen so far (never more than the truth). [s]
    """

    start: float | None
    taken: float | None
    done: bool
    proved: bool
    why: str = ""


def timed(record: ThermalRecord, segment: Segment, events: Events) -> Timed:
    """Clock of one stage along one record."""
    start, why = _start(record, segment.start, events)
    if start is None and (why.startswith("still") or not events.heated):
        return Timed(None, None, False, False, why)
    proved, first = start is not None, record.seconds[0] if start is None else start
    if segment.end == CHILL_START:
        if events.chill_start is None:
            return Timed(start, None, False, False, "when chilling began")
        return Timed(start, max(events.chill_start - first, 0.0), True, proved, why)
    end = first_at_or_below(record, float(segment.end), after=first)
    if end is None:
        last = f"the rest: the record ends at {record.celsius[-1]:.1f} C, {float(segment.end):.1f} C was not reached"
        return Timed(start, max(float(record.seconds[-1] - first), 0.0), False, proved, "; ".join(filter(None, (why, last))))
    return Timed(start, end - first, True, proved, why)


def level(seen: Timed, allowed: float) -> str:
    """What a clock proves against the time allowed."""
    if seen.taken is not None and seen.taken > allowed * _NOISE:
        return "over"
    return "within" if seen.done and seen.proved and seen.taken is not None else "cannot_say"


def without_holes(record: ThermalRecord) -> ThermalRecord:
    """The same readings joined by straight lines: what a hole might have hidden at best."""
    return replace(record, hole=np.zeros_like(record.hole))


def warmed(record: ThermalRecord) -> tuple[float, float]:
    """Largest rise above the coldest reading before it, and when. [K], [s]"""
    rise = record.celsius - np.minimum.accumulate(record.celsius)
    i = int(np.argmax(rise))
    return float(rise[i]), float(record.seconds[i])


def _start(record: ThermalRecord, start: float | str | None, events: Events) -> tuple[float | None, str]:
    first = float(record.seconds[0])
    if start == MADE:
        return first, ""
    if not events.heated:
        return None, f"the clock does not begin: its rule is for what was cooked, and nothing here was hotter than {record.celsius.max():.1f} C"
    if start == COOK_END:
        if events.cook_end is not None:
            return events.cook_end, ""
        if events.begins_hot:
            return first, "time between the end of the heat and the first reading: the first reading is taken for it"
        return None, "when the heat was turned off: the clock starts there"
    threshold = float(start or 0.0)
    through = falls_through(record, threshold)
    if through is not None:
        return through, ""
    if record.celsius[0] >= threshold - 1e-9:
        return None, f"still above {threshold:.1f} C at the end of the record"
    if events.cook_end is not None and first <= events.cook_end + 1e-9 and value_at(record, events.cook_end) < threshold:
        at = value_at(record, events.cook_end)
        return events.cook_end, f"the hours before: it never stood at {threshold:.1f} C, so the clock starts when the heat goes off, at {at:.1f} C"
    return None, f"the start: the record begins at {record.celsius[0]:.1f} C, below {threshold:.1f} C"
