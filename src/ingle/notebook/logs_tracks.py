"""From parsed rows to one track a probe: UTC, degrees Celsius, each time once; doubts become questions, oddities notes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime

import numpy as np

from ingle.ground.errors import BadBrief
from ingle.ground.units import show_hours
from ingle.notebook import logs_clock as clock
from ingle.notebook import logs_heads as heads
from ingle.notebook import logs_values as numbers
from ingle.notebook.logs_columns import Track as Raw
from ingle.notebook.logs_parse import Parsed
from ingle.notebook.logs_things import MS_H, USUAL_KIND, Answers, Question, Sighting, Track, at_ms, offset_words

_YEAR_2000 = 946_684_800_000  # [ms]


@dataclass
class _Told:
    """What is counted over all probes of a file."""

    questions: list[Question]
    notes: list[str]
    orders: dict[int, clock.Order] = field(default_factory=dict)  # of times as the file has them, by the array they lie in
    equal: int = 0
    differ: int = 0
    usual: int = 0


def tracks_of(seen: Sighting, parsed: Parsed, units: Mapping[int, str], said: Answers, expect: str, now: datetime) -> Sighting:
    """The sighting with its tracks, and with what only the whole file could show."""
    told = _Told([], _parsed_notes(parsed))
    names = _names(parsed.tracks)
    for unknown in set(said.kinds) - set(names):
        raise BadBrief(f"log {seen.name} has no probe {unknown!r}.", field="probe", value=unknown, limit=", ".join(names),
                       remedy=f"Name one of: {', '.join(names)}.")  # fmt: skip
    turned: dict[int, clock.Turned] = {}
    tracks = []
    for raw, name in zip(parsed.tracks, names, strict=True):
        track = _track(raw, name, parsed.utc, units, said, expect, turned, seen, told)
        if track is not None and track.ms.size:
            tracks.append(track)
    if not tracks and not told.questions:
        raise BadBrief(f"log {seen.name} holds no reading: every cell is a mark for a lost probe.", field="log", value=0, limit="one reading",
                       remedy="Check the probe, and export the log once more.")  # fmt: skip
    if told.questions:
        return replace(seen, questions=tuple(told.questions), notes=tuple(told.notes))
    _last_notes(tracks, told, said, now)
    return replace(seen, tracks=tuple(tracks), notes=tuple(told.notes))


def _names(tracks: tuple[Raw, ...]) -> list[str]:
    """Names without units, each once."""
    bare = [heads.bare_name(t.name, t.column) for t in tracks]
    count = Counter(bare)
    return [n if count[n] == 1 else f"{n} ({i + 1})" for i, n in enumerate(bare)]


def _parsed_notes(parsed: Parsed) -> list[str]:
    notes = []
    if parsed.unreadable_rows:
        more = f" and {parsed.unreadable_rows - len(parsed.unreadable)} more" if parsed.unreadable_rows > len(parsed.unreadable) else ""
        notes.append(f"left out, no time in them: {'; '.join(parsed.unreadable)}{more}")
    if parsed.event_rows:
        words = f": {', '.join(parsed.events)}" if parsed.events else ""
        notes.append(f"{parsed.event_rows:,} rows hold a time and no number{words}")
    return notes


def _track(
    raw: Raw, name: str, utc: bool, units: Mapping[int, str], said: Answers, expect: str, turned: dict[int, clock.Turned],
    seen: Sighting, told: _Told,
) -> Track | None:  # fmt: skip
    unit = units[raw.column]
    kind = said.kinds.get(name) or heads.kind_of(name, unit, USUAL_KIND[expect])
    values, marks = numbers.without_marks(raw.values, unit, said.lost)
    for mark, count in marks.items():
        told.notes.append(f"{name}: {mark:g} was taken as a mark for a lost probe, {count:,} times")
    lost = int(np.isnan(values).sum())
    doubt = numbers.doubt(values, unit, expect if kind in ("air", "chamber", "core", "surface") else "any", said.unit is not None)
    if doubt is not None:
        _ask_value(doubt, name, told)
        return None
    known = ~np.isnan(values)
    if not known.any():
        told.notes.append(f"{name} holds no reading")
        return None
    if lost:
        told.notes.append(f"{name}: {lost:,} of {values.size:,} readings were lost and left out")
    ms = _utc(raw, utc, said, seen, turned, told)
    if ms is None:
        return None
    if raw.ms.size > 1 and _flipped(raw, told):
        ms, values, known = ms[::-1], values[::-1], known[::-1]
    ms, values = (ms, values) if known.all() else (ms[known], values[known])
    celsius = values if unit == "%" else numbers.to_celsius(values, unit)
    if not _ordered(ms, celsius, name, said, told):
        return None
    ms, celsius, equal, differ = clock.in_order(ms, celsius, said.doubles or "")
    told.equal, told.differ = told.equal + equal, told.differ + differ
    if differ and said.doubles is None:
        told.questions.append(Question(
            "doubles", f"{name}: {differ:,} times have two readings that differ. Which one holds?", ("warmer", "colder"), "warmer",
        ))  # fmt: skip
        return None
    _pauses(ms, celsius, name, kind, told)
    return Track(name, kind, unit, ms, celsius)


def _ask_value(doubt: numbers.Doubt, name: str, told: _Told) -> None:
    if doubt.field == "unit" and not any(q.field == "unit" for q in told.questions):
        told.questions.append(Question("unit", f"{name}: {doubt.text}", ("C", "F", "K")))
    elif doubt.field == "lost":
        told.questions.append(Question("lost", f"{name}: {doubt.text}", (f"{doubt.value:g}",)))


def _utc(raw: Raw, utc: bool, said: Answers, seen: Sighting, turned: dict[int, clock.Turned], told: _Told) -> np.ndarray | None:
    """UTC of the rows in the order of the file, newest last. Tracks that share their times share the work."""
    key = id(raw.ms)
    if key not in turned:
        wall = raw.ms[::-1] if _flipped(raw, told) else raw.ms
        if wall is not raw.ms:
            told.notes.append("the file tells the newest reading first")
        zone = clock.zone_named(seen.zone) if seen.zone else None
        if said.start is not None and seen.understood["times"] == "elapsed":
            begun = said.start if said.start.tzinfo else said.start.replace(tzinfo=zone)
            turned[key] = clock.Turned(wall + round(begun.timestamp() * 1000))
        elif utc or zone is None:
            turned[key] = clock.Turned(wall)
        else:
            turned[key] = clock.to_utc(wall, zone)
            if not turned[key].follows:
                fixed = offset_words(turned[key].offset)
                text = f"The file holds {turned[key].why} in {seen.zone}: its clock does not follow summer time. Which offset does it keep?"
                if not any(q.field == "zone" for q in told.questions):
                    told.questions.append(Question("zone", text, (fixed, "UTC"), fixed))
    found = turned[key]
    if not found.follows:
        return None
    return found.ms[::-1] if _flipped(raw, told) else found.ms


def _flipped(raw: Raw, told: _Told) -> bool:
    """Whether the file tells the newest reading first; looked at once where probes share their times."""
    key = id(raw.ms)
    if key not in told.orders:
        told.orders[key] = clock.order_in(raw.ms)
    return told.orders[key].flipped


def _ordered(ms: np.ndarray, celsius: np.ndarray, name: str, said: Answers, told: _Told) -> bool:
    """Times that run back are asked, unless sorting them makes no reading doubtful and the person agreed."""
    order = clock.order_in(ms)
    if not order.back or order.flipped or said.order == "sort":
        if order.back and said.order == "sort":
            told.notes.append(f"{name}: rows were put in order; the time ran back {order.back:,} times")
        return True
    where = f"{at_ms(int(ms[order.first_back])):%Y-%m-%d %H:%M:%S} UTC"
    differ = clock.in_order(ms, celsius, "")[3]
    text = (
        f"{name}: the time runs back {order.back:,} times, first by {show_hours(order.by_ms / MS_H)} after reading {order.first_back + 1} ({where}). "
        "Was a clock set back, or two records joined?"
    )
    if differ:
        text += f" {differ:,} times then have two readings."
    told.questions.append(Question("order", text, ("sort",), "" if differ else "sort"))
    return False


def _pauses(ms: np.ndarray, celsius: np.ndarray, name: str, kind: str, told: _Told) -> None:
    found = clock.pauses(ms)
    told.usual = told.usual or found.usual
    if found.count:
        one = f"a pause of {show_hours(found.longest / MS_H)} after {at_ms(found.after):%Y-%m-%d %H:%M} UTC"
        told.notes.append(f"{name}: {one}" if found.count == 1 else f"{name}: {found.count:,} pauses, the longest {one[2:]}")
    if kind != "humidity":
        count, at = numbers.jumps(ms, celsius)
        if count:
            told.notes.append(
                f"{name}: a jump from {celsius[at - 1]:.1f} to {celsius[at]:.1f} C at {at_ms(int(ms[at])):%Y-%m-%d %H:%M} UTC: "
                f"probe moved, or two probes swapped?{f' ({count:,} jumps in all)' if count > 1 else ''}"
            )


def _last_notes(tracks: list[Track], told: _Told, said: Answers, now: datetime) -> None:
    if told.equal:
        told.notes.append(f"{told.equal:,} doubled readings were left out")
    if told.differ:
        told.notes.append(f"{told.differ:,} times had two readings that differ; the {said.doubles} was kept")
    if told.usual:
        told.notes.insert(0, f"a reading every {show_hours(told.usual / MS_H) if told.usual >= 60_000 else f'{told.usual / 1000:g} s'}")
    first, last = min(int(t.ms[0]) for t in tracks), max(int(t.ms[-1]) for t in tracks)
    if first < _YEAR_2000:
        told.notes.append(f"the first reading is of {at_ms(first):%Y-%m-%d}: the logger's clock was not set")
    if last > now.timestamp() * 1000 + 60_000:
        told.notes.append(f"the last reading, {at_ms(last):%Y-%m-%d %H:%M} UTC, lies in the time to come: is the logger's clock right?")
