"""A record of one temperature over time, checked: readings, holes, crossings, time held.

Between two readings that follow each other closely the temperature is taken as a straight line; across a hole
(readings further apart than ``longest_gap``, or dropouts) nothing is known and nothing is credited.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.units import ZERO_CELSIUS_K, hours, show_hours

Floats = NDArray[np.float64]

LONGEST_GAP_S = 600.0  # common practice, no source: cooks and chills are logged every 5 to 60 s, at most every 5 min
COLDEST_C = -90.0
HOTTEST_C = 121.0  # meat holds water: no core comes hotter at kitchen pressure; 130 F (54 C) read as C is beyond it
JUMP_K_PER_S = 0.5  # ours: the core of no piece moves 30 K in a minute; a probe pulled out does
SPIKE_K, SPIKE_K_PER_S = 5.0, 0.05  # ours: a core that rises and falls so much between three readings is a probe moved, not food
_NOISE_K = 1e-9


@dataclass(frozen=True)
class ThermalRecord:
    """Readings of one place.

    ``seconds`` rise; ``celsius`` are finite. ``hole`` has one entry per pair of neighbours: True where nothing is
    known between them. ``notes`` are sentences on what the record lacks.
    """

    seconds: Floats
    celsius: Floats
    hole: NDArray[np.bool_]
    notes: tuple[str, ...] = ()

    def shifted(self, kelvin: float) -> ThermalRecord:
        """The same record with every reading moved. [K]"""
        return ThermalRecord(self.seconds, self.celsius + kelvin, self.hole, self.notes) if kelvin else self

    def since(self, seconds: float) -> ThermalRecord:
        """The part from a time on, beginning with a reading at or after it. [s]"""
        i = int(np.searchsorted(self.seconds, seconds - _NOISE_K))
        if i == 0:
            return self
        if i >= len(self.seconds) - 1:
            raise BadBrief(
                f"start {seconds:g} s leaves fewer than two readings: the record ends at {self.seconds[-1]:g} s.",
                field="start_s", value=seconds, limit=f"before {self.seconds[-2]:g} s",
                remedy="Give a time inside the record, in seconds.",
            )  # fmt: skip
        return ThermalRecord(self.seconds[i:], self.celsius[i:], self.hole[i:], self.notes)


def read(
    seconds: ArrayLike, celsius: ArrayLike, *, longest_gap_s: float = LONGEST_GAP_S, hottest_c: float = HOTTEST_C
) -> ThermalRecord:
    """Check plain arrays and make a record of them.

    Parameters
    ----------
    seconds : array_like, shape (n,)
        Times, rising. [s]
    celsius : array_like, shape (n,)
        Temperatures at one place; NaN where the probe gave nothing. [C]
    longest_gap_s : float
        Neighbours further apart than this have a hole between them. [s]
    hottest_c : float
        Hottest believable reading. [C]

    Raises
    ------
    BadBrief
        Shapes that differ, fewer than two readings, times that do not rise, a probe error below zero.
    OutOfRange
        A temperature below absolute zero, or one that no core reaches: Fahrenheit or kelvin taken for Celsius.
    """
    t, c = _column(seconds, "seconds"), _column(celsius, "celsius")
    if t.shape != c.shape:
        raise BadBrief(
            f"seconds holds {t.size} values and celsius {c.size}.", field="celsius", value=c.size, limit=t.size,
            remedy="Give one temperature for each time; NaN where the probe gave nothing.",
        )  # fmt: skip
    _require_rising(t)
    seen = ~np.isnan(c)
    _require_believable(t[seen], c[seen], hottest_c)
    if seen.sum() < 2:
        raise BadBrief(
            f"celsius holds {int(seen.sum())} readings; a verdict needs two or more.", field="celsius",
            value=int(seen.sum()), limit=2, remedy="Give the readings of the core over the whole time.",
        )  # fmt: skip
    if not longest_gap_s > 0:
        raise BadBrief(f"longest gap is {longest_gap_s:g} s; it must be above 0.", field="longest_gap_s", value=longest_gap_s)
    t, c = t[seen], c[seen]
    gaps = np.diff(t)
    hole = gaps > longest_gap_s * (1 + 1e-9)
    return ThermalRecord(t, c, hole, _notes(t, c, gaps, hole, int((~seen).sum()), longest_gap_s))


def require_error(value: float, field: str = "probe_error_c") -> float:
    """A probe's error, 0 to 10 K: given as a size, applied to the side that hurts. [K]"""
    if not 0 <= value <= 10:
        raise OutOfRange(
            f"{field} is {value:g} K; it is a size between 0 and 10.", field=field, value=value, limit="0 to 10 K",
            remedy="Write how far the probe may be off, like 0.5; a probe off by more is no witness.",
        )  # fmt: skip
    return float(value)


def without_spikes(record: ThermalRecord) -> ThermalRecord:
    """The record without readings that stand alone, far above or far below both neighbours; itself where there is none.

    ``notes`` tell what was left out. A hole on either side of such a reading stays one.
    """
    t, c = record.seconds, record.celsius
    step = np.diff(c)
    far = np.abs(step) > np.maximum(SPIKE_K, SPIKE_K_PER_S * np.diff(t))
    alone = np.concatenate(([False], far[:-1] & far[1:] & (step[:-1] * step[1:] < 0), [False]))
    alone[1:] &= ~alone[:-1]  # of two in a row the first; what comes back is the food
    if not alone.any():
        return record
    i, keep = int(np.argmax(alone)), ~alone
    hole = np.logical_or.reduceat(record.hole, np.flatnonzero(keep)[:-1])
    told = f"{int(alone.sum())} readings that stand alone were left out, the first {c[i]:.1f} C {into(t[i])} into the record: was the probe moved?"
    return ThermalRecord(t[keep], c[keep], hole, (*record.notes, told))


def held(record: ThermalRecord, celsius: float) -> float:
    """Longest unbroken time at or above a temperature; a hole breaks it. [s]"""
    return _longest(record, record.celsius - celsius)


def held_below(record: ThermalRecord, celsius: float) -> float:
    """Longest unbroken time at or below a temperature; a hole breaks it. [s]"""
    return _longest(record, celsius - record.celsius)


def time_between(record: ThermalRecord, low: float, high: float) -> float:
    """Time between two temperatures, all of it added; a hole counts whole when it may have held any of it. [s]"""
    t, a, b = np.diff(record.seconds), record.celsius[:-1], record.celsius[1:]
    cold, hot = np.minimum(a, b), np.maximum(a, b)
    inside = np.clip(hot, low, high) - np.clip(cold, low, high)
    flat = hot - cold <= _NOISE_K
    share = np.where(flat, (cold >= low) & (cold < high), inside / np.where(flat, 1.0, hot - cold))
    touched = (hot > low) & (cold < high)
    return float(np.sum(t * np.where(record.hole, touched, share)))


def first_above(record: ThermalRecord, celsius: float) -> float | None:
    """First time at or above a temperature; inside a hole, its end. [s] None where it is never reached."""
    return _first(record, record.celsius - celsius, late=True)


def falls_through(record: ThermalRecord, celsius: float) -> float | None:
    """Last time at or above a temperature before the first fall through it; inside a hole, its beginning. [s]

    None where the record begins below, or never falls below.
    """
    over = record.celsius - celsius
    if over[0] < -_NOISE_K or not (over < -_NOISE_K).any():
        return None
    i = int(np.argmax(over < -_NOISE_K)) - 1
    return _between(record, over, i, late=False)


def first_at_or_below(record: ThermalRecord, celsius: float, after: float = -np.inf) -> float | None:
    """First time at or below a temperature, not before ``after``; inside a hole, its end. [s]"""
    below = celsius - record.celsius
    below = np.where(record.seconds < after, -np.inf, below)
    if not (below >= -_NOISE_K).any():
        return None
    i = int(np.argmax(below >= -_NOISE_K)) - 1
    if i < 0:
        return float(record.seconds[0])
    return max(_between(record, celsius - record.celsius, i, late=True), after)


def value_at(record: ThermalRecord, seconds: float) -> float:
    """Temperature at a time, straight between readings. [C]"""
    return float(np.interp(seconds, record.seconds, record.celsius))


def _column(values: ArrayLike, field: str) -> Floats:
    try:
        x = np.asarray(values, dtype=float)
    except (TypeError, ValueError):
        raise BadBrief(
            f"{field} holds something that is no number.", field=field, value=type(values).__name__,
            remedy="Give plain numbers; NaN where the probe gave nothing.",
        ) from None  # fmt: skip
    if x.ndim != 1:
        raise BadBrief(f"{field} has {x.ndim} dimensions; it is one row of numbers.", field=field, value=x.shape)
    return x


def _require_rising(t: Floats) -> None:
    bad = ~np.isfinite(t)
    if bad.any():
        i = int(np.argmax(bad))
        raise BadBrief(f"seconds[{i}] is {t[i]}, no time.", field="seconds", value=float(t[i]), remedy="Leave that reading out.")
    back = np.diff(t) <= 0
    if back.any():
        i = int(np.argmax(back))
        raise BadBrief(
            f"seconds do not rise: {t[i]:g} s is followed by {t[i + 1]:g} s at place {i + 1}.", field="seconds",
            value=float(t[i + 1]), limit=f"above {t[i]:g} s",
            remedy="Sort the readings; a clock set back (summer time) must be undone first.",
        )  # fmt: skip


def _require_believable(t: Floats, c: Floats, hottest: float) -> None:
    bad = ~((c >= COLDEST_C) & (c <= hottest))
    if not bad.any():
        return
    i = int(np.argmax(bad))
    where = f"celsius reads {c[i]:g} at {t[i]:g} s"
    if c[i] < -ZERO_CELSIUS_K:
        text, remedy = f"{where}: below absolute zero (-273.15 C).", "Give degrees Celsius; write NaN where the probe was out."
    elif c[i] < COLDEST_C:
        text, remedy = f"{where}: colder than any freezer.", "A logger's mark for a lost probe? Write NaN there."
    else:
        text = f"{where}: hotter than a core comes at kitchen pressure ({hottest:g} C). Fahrenheit, kelvin, or the oven's probe?"
        remedy = "Give the core in degrees Celsius: (F - 32) x 5/9, or K - 273.15."
    raise OutOfRange(text, field="celsius", value=float(c[i]), limit=f"{COLDEST_C:g} to {hottest:g} C", remedy=remedy)


def into(seconds: float) -> str:
    """A place in a record, as a length of time from its begin: ``3 h 20 min``. [s]"""
    return show_hours(hours(float(seconds)), fine=True)


def _notes(t: Floats, c: Floats, gaps: Floats, hole: NDArray[np.bool_], lost: int, longest: float) -> tuple[str, ...]:
    found = []
    if lost:
        found.append(f"{lost} readings were lost (no number)")
    if hole.any():
        i = int(np.argmax(hole))
        found.append(
            f"{int(hole.sum())} holes of more than {show_hours(hours(longest))}, the first after {into(t[i])}; nothing is credited across them"
        )
    jumps = ~hole & (np.abs(np.diff(c)) > np.maximum(JUMP_K_PER_S * gaps, 15.0))
    if jumps.any():
        i = int(np.argmax(jumps))
        found.append(f"a jump from {c[i]:g} to {c[i + 1]:g} C {into(t[i + 1])} into the record: probe moved, or two probes swapped?")
    return tuple(found)


def _longest(record: ThermalRecord, over: Floats) -> float:
    a, b = over[:-1], over[1:]
    up, down = a >= -_NOISE_K, b >= -_NOISE_K
    rise = np.where(up == down, 1.0, np.abs(b - a))
    share = np.where(up & down, 1.0, np.where(up | down, np.maximum(a, b) / rise, 0.0))
    share = np.where(record.hole, 0.0, np.clip(share, 0.0, 1.0))
    after_hole = np.concatenate(([False], record.hole[:-1]))
    new = ~up | record.hole | after_hole
    runs = np.bincount(np.cumsum(new), weights=share * np.diff(record.seconds))
    return float(np.max(runs))


def _first(record: ThermalRecord, over: Floats, *, late: bool) -> float | None:
    met = over >= -_NOISE_K
    if not met.any():
        return None
    i = int(np.argmax(met)) - 1
    return float(record.seconds[0]) if i < 0 else _between(record, over, i, late=late)


def _between(record: ThermalRecord, over: Floats, i: int, *, late: bool) -> float:
    """Where ``over`` passes zero between readings i and i+1; in a hole the later or the earlier end."""
    if record.hole[i]:
        return float(record.seconds[i + 1 if late else i])
    a, b = float(over[i]), float(over[i + 1])
    share = 1.0 if a == b else min(max(a / (a - b), 0.0), 1.0)
    return float(record.seconds[i] + share * (record.seconds[i + 1] - record.seconds[i]))
