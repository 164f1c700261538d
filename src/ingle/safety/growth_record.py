"""A record of food temperature over hours and days, put in order: what is doubtful is asked, what is missing is filled and said.

A pause longer than the line of ``data/limits/exposure.toml`` is filled with the warmest it may have been: the warmer of its ends,
or the room where that is warmer and given. Nothing is filled by a straight line in silence.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NoReturn

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import BadBrief, IngleError, OutOfRange
from ingle.ground.spread import median
from ingle.ground.tables import toml_table
from ingle.ground.units import HOUR_S, ZERO_CELSIUS_K, show_hours
from ingle.safety import probe_runs

Floats = NDArray[np.float64]
COLDEST_C, HOTTEST_C = -90.0, 150.0
FAHRENHEIT_LIKE_C = (28.0, 60.0)  # a fridge that reads this most of the time was read in Fahrenheit, or is none
KELVIN_LIKE = (200.0, 330.0)
_CORNER_S = 1e-3


@dataclass(frozen=True)
class GrowthRecord:
    """Rising times and temperatures, straight between readings.

    ``celsius`` has shape (n,), or (places, n) where every place has its own. ``notes`` say what was left out or filled.
    """

    seconds: Floats
    celsius: Floats
    notes: tuple[str, ...] = ()

    @property
    def hours(self) -> float:
        """How long it lasts. [h]"""
        return float(self.seconds[-1] - self.seconds[0]) / HOUR_S

    def warmer(self, kelvin: float) -> GrowthRecord:
        """The same record with every reading moved. [K]"""
        return GrowthRecord(self.seconds, self.celsius + kelvin, self.notes) if kelvin else self


def longest_gap_s() -> float:
    """Longest pause read as a straight line. [s]"""
    return float(toml_table("limits", "exposure.toml")["longest-gap"]["limit"]["max"]) * HOUR_S


def tidy(
    seconds: ArrayLike, celsius: ArrayLike, *, expect: str = "any", gap_s: float | None = None, room_c: float | None = None
) -> GrowthRecord:
    """Check a record and fill its pauses.

    Parameters
    ----------
    seconds : array_like, shape (n,)
        Times, rising. [s]
    celsius : array_like, shape (n,) or (places, n)
        Temperatures; NaN where a reading was lost. [C]
    expect : {"any", "fridge", "cold"}
        ``cold``: air of a cold place; readings that none has are taken as lost and asked about (`probe_runs.air`). ``fridge``: that, and
        readings that look like Fahrenheit are asked about.
    gap_s : float, optional
        Longest pause read as a straight line; by default the published data file's. [s]
    room_c : float, optional
        Temperature around, for pauses. [C]

    Raises
    ------
    BadBrief
        Times that run back, or repeat with another value; too few readings; shapes that do not match.
    OutOfRange
        Readings no food has; Fahrenheit or kelvin by the look of it.
    """
    t, c = _numbers(seconds, "seconds"), _numbers(celsius, "celsius")
    if t.ndim != 1 or c.ndim not in (1, 2) or c.shape[-1] != t.size:
        _ask(f"seconds holds {t.size} values and celsius {c.shape[-1] if c.ndim else 1}.", "celsius", c.shape, t.shape,
             "Give one temperature for each time, and NaN where a reading was lost.")  # fmt: skip
    notes: list[str] = []
    t, c = _without_lost(t, c, notes)
    t, c = _rising(t, c, notes)
    _believable(c, expect)
    if expect in ("fridge", "cold") and c.ndim == 1:
        false, asked = probe_runs.air(t, c)
        if asked:
            notes.append(asked)
            t, c = _without_false(t, c, false)
    t, c = _filled(t, c, longest_gap_s() if gap_s is None else gap_s, room_c, notes)
    return GrowthRecord(t - t[0], c, tuple(notes))


def time_in(record: GrowthRecord, low: float, high: float) -> Floats:
    """Time above ``low`` and up to ``high``, all of it added. [C, C -> s], shape () or (places,)."""
    least, most = float(record.celsius.min()), float(record.celsius.max())
    if most <= low or least > high or (low < least and most <= high):  # all of it on one side: the usual case, and a quick one
        whole = float(record.seconds[-1] - record.seconds[0]) if low < least and most <= high else 0.0
        return np.full(record.celsius.shape[:-1], whole)
    a, b = record.celsius[..., :-1], record.celsius[..., 1:]
    cold, hot = np.minimum(a, b), np.maximum(a, b)
    flat = hot - cold < 1e-12
    share = np.where(flat, (cold > low) & (cold <= high), (np.clip(hot, low, high) - np.clip(cold, low, high)) / np.where(flat, 1.0, hot - cold))
    return np.asarray((share * np.diff(record.seconds)).sum(-1))


def _numbers(values: ArrayLike, field: str) -> Floats:
    try:
        found = np.asarray(values, dtype=float)
    except (TypeError, ValueError):
        _ask(f"{field} holds something that is no number.", field, type(values).__name__, "numbers", "Give plain numbers.")
    if np.isinf(found).any():
        _ask(f"{field} holds a number without end.", field, "inf", "finite numbers", "Write NaN where a reading was lost.")
    return found


def _without_lost(t: Floats, c: Floats, notes: list[str]) -> tuple[Floats, Floats]:
    if np.isnan(t).any():
        at = int(np.argmax(np.isnan(t)))
        _ask(f"Reading {at + 1} has no time.", "seconds", "NaN", "a time", "Leave that reading out.")
    lost = np.isnan(c) if c.ndim == 1 else np.isnan(c).any(axis=0)
    if lost.all() or (~lost).sum() < 2:
        _ask(f"{int((~lost).sum())} readings are left; a record needs two or more.", "celsius", int((~lost).sum()), 2,
             "Give the lowest and the highest reading instead, as a band.")  # fmt: skip
    if lost.any():
        notes.append(f"{int(lost.sum())} of {lost.size} readings were lost and left out")
    return t[~lost], c[..., ~lost]


def _without_false(t: Floats, c: Floats, false: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """False readings take the warmer of what stands before and behind them: at either end of the record what stands next."""
    plain = np.flatnonzero(~false)
    before = np.searchsorted(plain, np.flatnonzero(false)) - 1
    behind = np.minimum(before + 1, plain.size - 1)
    out = c.copy()
    out[false] = np.maximum(c[plain[np.maximum(before, 0)]], c[plain[behind]])
    return t, out


def _rising(t: Floats, c: Floats, notes: list[str]) -> tuple[Floats, Floats]:
    step = np.diff(t)
    if (step < 0).any():
        at = int(np.argmax(step < 0))
        _ask(f"The time runs back after reading {at + 1}: {t[at]:g} s, then {t[at + 1]:g} s. Was a clock set back, or two records joined?",
             "seconds", float(t[at + 1]), f"after {t[at]:g} s", "Put the readings in order, or give the part you mean.")  # fmt: skip
    double = step == 0
    if double.any():
        other = double & (np.abs(np.diff(c)) > 1e-9 if c.ndim == 1 else (np.abs(np.diff(c)) > 1e-9).any(axis=0))
        if other.any():
            at = int(np.argmax(other))
            _ask(f"Readings {at + 1} and {at + 2} have one time, {t[at]:g} s, and two temperatures. Which one holds?",
                 "seconds", float(t[at]), "one reading a time", "Keep one of them; if in doubt the warmer.")  # fmt: skip
        notes.append(f"{int(double.sum())} doubled readings were left out")
        keep = np.append(True, ~double)
        t, c = t[keep], c[..., keep]
    if t.size < 2:
        _ask("All readings have one time.", "seconds", float(t[0]), "two times or more", "Give a record that lasts.")
    return t, c


def _believable(c: Floats, expect: str) -> None:
    least, most, middle = float(c.min()), float(c.max()), float(median(np.ravel(c)[:: max(1, c.size // 100_000)]))
    if least < -ZERO_CELSIUS_K:
        _ask(f"A reading is {least:g} C, below absolute zero.", "celsius", least, "-90 to 150 C",
             "Write NaN where the probe was lost.", OutOfRange)  # fmt: skip
    if least > KELVIN_LIKE[0] and most < KELVIN_LIKE[1]:
        _ask(f"The readings stand at {middle:g}: are they kelvin?", "celsius", middle, "-90 to 150 C",
             f"Take {ZERO_CELSIUS_K} off each, or name the unit.", OutOfRange)  # fmt: skip
    if least < COLDEST_C or most > HOTTEST_C:
        odd = least if least < COLDEST_C else most
        _ask(f"A reading is {odd:g} C. Is it a logger's mark for a lost probe?", "celsius", odd, f"{COLDEST_C:g} to {HOTTEST_C:g} C",
             "Write NaN there, or correct it.", OutOfRange)  # fmt: skip
    if expect == "fridge" and FAHRENHEIT_LIKE_C[0] <= middle <= FAHRENHEIT_LIKE_C[1]:
        _ask(f"The fridge reads {middle:g} most of the time: is that Fahrenheit?", "celsius", middle, f"below {FAHRENHEIT_LIKE_C[0]:g} C",
             "Name the unit of the record, F or C.", OutOfRange)  # fmt: skip


def _filled(t: Floats, c: Floats, gap: float, room: float | None, notes: list[str]) -> tuple[Floats, Floats]:
    if room is not None and not COLDEST_C <= room <= HOTTEST_C:
        _ask(f"The room is {room:g} C.", "room_c", room, f"{COLDEST_C:g} to {HOTTEST_C:g} C", "Give its temperature in C.", OutOfRange)
    pauses = np.flatnonzero(np.diff(t) > gap * (1 + 1e-9))
    if not pauses.size:
        return t, c
    ends = np.maximum(c[..., pauses], c[..., pauses + 1])
    fill = ends if room is None else np.maximum(ends, room)
    times = np.stack([t[pauses] + _CORNER_S, t[pauses + 1] - _CORNER_S], axis=-1).ravel()
    values = np.repeat(fill, 2, axis=-1)
    at = np.repeat(pauses + 1, 2)
    longest = int(pauses[np.argmax(np.diff(t)[pauses])])
    what = "the warmer of its two ends" if room is None else "the warmest of its two ends and the room"
    one = f"a pause of {show_hours((t[longest + 1] - t[longest]) / HOUR_S)}"
    notes.append(f"{one} was filled with {what}" if pauses.size == 1 else f"{pauses.size} pauses, the longest {one[2:]}, were each filled with {what}")
    return np.insert(t, at, times), np.insert(c, at, values, axis=-1)


def _ask(what: str, field: str, value: object, limit: object, remedy: str, kind: type[IngleError] = BadBrief) -> NoReturn:
    raise kind(what, field=field, value=value, limit=limit, remedy=remedy)
