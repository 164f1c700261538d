"""From the times on a logger's clock to UTC: summer time, clocks set back, readings told twice, pauses.

The hour that comes twice in autumn is told apart by the order of the rows. A file that has times which do not exist in its
zone, or runs through the doubled hour once, was written by a clock that does not follow summer time: that is asked.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
from numpy.typing import NDArray

from ingle.ground.errors import BadBrief

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
_DAY_MS, _HOUR_MS = 86_400_000, 3_600_000


@dataclass(frozen=True)
class Change:
    """A change of a zone's offset. [ms]"""

    utc: int
    before: int
    after: int


@dataclass(frozen=True)
class Turned:
    """Wall times as UTC [ms], and whether the clock seems not to follow the zone's summer time (its offset then, in ms)."""

    ms: Ints
    follows: bool = True
    offset: int = 0
    why: str = ""


def zone_named(name: str, field: str = "zone") -> tzinfo:
    """A zone by its name or offset: ``Europe/London``, ``UTC``, ``+01:00``."""
    said = name.strip()
    if said.upper() in ("UTC", "Z", "GMT", "+00:00", "-00:00"):
        return UTC
    if said[:1] in "+-" and len(said) > 1:
        digits = said[1:].replace(":", "")
        if digits.isdigit() and len(digits) in (1, 2, 4):
            hours, minutes = (int(digits[:2]), int(digits[2:] or 0)) if len(digits) != 1 else (int(digits), 0)
            if hours <= 14 and minutes < 60:
                size = timedelta(hours=hours, minutes=minutes)
                return timezone(-size if said[0] == "-" else size)
    else:
        try:
            return ZoneInfo(said)
        except (ZoneInfoNotFoundError, ValueError, OSError):
            pass
    raise BadBrief(f"zone {name!r} is not known.", field=field, value=name, limit="Europe/London, UTC, +01:00", remedy="Write it like Europe/London.")


def changes(zone: tzinfo, first_ms: int, last_ms: int) -> tuple[int, tuple[Change, ...]]:
    """Offset at the beginning, and every change of it up to the end. [ms]"""
    begin, end = first_ms - 2 * _DAY_MS, last_ms + 2 * _DAY_MS
    at = _offset(zone, begin)
    start, found, low = at, [], begin
    while low < end:
        high = min(low + _DAY_MS, end)
        then = _offset(zone, high)
        if then != at:
            a, b = low, high
            while b - a > 1000:
                middle = (a + b) // 2
                a, b = (a, middle) if _offset(zone, middle) != at else (middle, b)
            found.append(Change(-(-a // 1000) * 1000 if _offset(zone, -(-a // 1000) * 1000) == then else b // 1000 * 1000, at, then))
            at = then
        low = high
    return start, tuple(found)


def _offset(zone: tzinfo, ms: int) -> int:
    told = datetime.fromtimestamp(ms / 1000, UTC).astimezone(zone).utcoffset()
    return int((told or timedelta()).total_seconds() * 1000)


def to_utc(wall: Ints, zone: tzinfo) -> Turned:
    """Turn wall times, in the order of the file, into UTC."""
    if not wall.size:
        return Turned(wall)
    low, high = int(wall.min()), int(wall.max())
    if not -62_000_000_000_000 < low <= high < 250_000_000_000_000:
        raise BadBrief("A time lies out of all calendars.", field="log", value=low, limit="the years 1 to 9999", remedy="Export the log once more.")
    start, found = changes(zone, low, high)
    utc = wall - start
    for change in found:
        gap_ends, doubled_ends = change.utc + change.after, change.utc + change.before
        if change.after > change.before:
            inside = (wall >= doubled_ends) & (wall < gap_ends)
            if inside.any():
                return Turned(wall - change.before, False, _at_start(wall, zone), "a time that does not exist there")
            utc = np.where(wall >= gap_ends, wall - change.after, utc)
        else:
            doubled = (wall >= gap_ends) & (wall < doubled_ends)
            second, once = _second(wall, doubled, change.before - change.after)
            if once:
                return Turned(wall - change.before, False, _at_start(wall, zone), "the hour that comes twice only once")
            utc = np.where((wall >= doubled_ends) | (doubled & second), wall - change.after, utc)
    return Turned(utc)


def _at_start(wall: Ints, zone: tzinfo) -> int:
    return _offset(zone, int(wall[0]) - _offset(zone, int(wall[0])))


def _second(wall: Ints, doubled: NDArray[np.bool_], size: int) -> tuple[NDArray[np.bool_], bool]:
    """Which rows of a doubled hour belong to its second pass; and whether rows run through it once without a break."""
    second = np.zeros(wall.size, bool)
    at = np.flatnonzero(doubled)
    if not at.size:
        return second, False
    inner = wall[at]
    back = np.flatnonzero(np.diff(inner) <= 0)
    if back.size:
        second[at[back[0] + 1] :] = True
        return second, False
    usual = float(np.median(np.abs(np.diff(wall[max(0, at[0] - 50) : at[-1] + 51])))) if wall.size > 1 else 0.0
    into = wall[at[0]] - wall[at[0] - 1] if at[0] else None
    out = wall[at[-1] + 1] - wall[at[-1]] if at[-1] + 1 < wall.size else None
    through = into is not None and out is not None and at.size > 1
    if through and usual < size / 2 and into <= 3 * usual and out <= 3 * usual:  # type: ignore[operator]
        return second, True
    if into is None or (out is not None and out < into):  # the record begins in it, or goes on from it: the later pass
        second[at] = out is not None and out <= 3 * max(usual, 1.0)
    return second, False


@dataclass(frozen=True)
class Order:
    """How the rows of a track lie in time."""

    flipped: bool  # newest first
    back: int  # times the clock runs back
    first_back: int  # row after which it does
    by_ms: int  # how far, the first time


def order_in(ms: Ints) -> Order:
    """Whether times rise, fall or jump back."""
    steps = np.diff(ms)
    down = steps < 0
    if not down.any():
        return Order(False, 0, 0, 0)
    if not (steps > 0).any():
        return Order(True, 0, 0, 0)
    at = int(np.argmax(down))
    return Order(False, int(down.sum()), at, int(-steps[at]))


def in_order(ms: Ints, values: Floats, keep: str) -> tuple[Ints, Floats, int, int]:
    """Sorted, each time once.

    Returns times, values, how many equal readings were left out, and how many times had two values that differ. Of those the
    warmer is kept (``keep="warmer"``), the colder, or neither (``""``).
    """
    steps = np.diff(ms)
    if (steps > 0).all():
        return ms, values, 0, 0
    if (steps < 0).any():
        order = np.argsort(ms, kind="stable")
        ms, values = ms[order], values[order]
    new = np.concatenate(([True], np.diff(ms) > 0))
    starts = np.flatnonzero(new)
    low, high = np.fmin.reduceat(values, starts), np.fmax.reduceat(values, starts)
    differ = high - low > 1e-9
    count = int(ms.size - starts.size)
    chosen = high if keep != "colder" else low
    return ms[starts], np.where(differ & (keep == ""), np.nan, chosen), count - int(differ.sum()), int(differ.sum())


@dataclass(frozen=True)
class Pauses:
    """Steps much longer than the usual one. [ms]"""

    usual: int
    count: int
    longest: int
    after: int  # time of the last reading before the longest


def pauses(ms: Ints) -> Pauses:
    """Longer than five usual steps and than a minute."""
    if ms.size < 3:
        return Pauses(int(ms[-1] - ms[0]) if ms.size > 1 else 0, 0, 0, 0)
    steps = np.diff(ms)
    usual = int(np.median(steps if steps.size < 100_000 else steps[:: steps.size // 50_000]))
    long = steps > max(5 * usual, 60_000)
    if not long.any():
        return Pauses(usual, 0, 0, 0)
    at = int(np.argmax(steps))
    return Pauses(usual, int(long.sum()), int(steps[at]), int(ms[at]))
