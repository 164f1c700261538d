"""Numbers of a logger as degrees Celsius or percent: marks for a lost probe taken out, what cannot be in the unit told is asked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.ground.units import ZERO_CELSIUS_K
from ingle.safety.growth_record import COLDEST_C, FAHRENHEIT_LIKE_C, KELVIN_LIKE

Floats = NDArray[np.float64]
HOTTEST_C = 400.0  # what a thermocouple in an oven or a fire box reads
MARKS = (  # numbers that instruments write for a lost probe (common practice): as they stand in the file, whatever the unit
    -999.0, -999.9, -9999.0, -9999.9, -99.9, -99.99, -127.0, -196.6, 999.0, 999.9, 9999.0, 9999.9, 3276.7, -3276.8, 6553.5, 32767.0, -32768.0,
    65535.0, 1372.0, 2502.0, 850.0,
)  # fmt: skip
WET_MOST = 105.0  # a capacitive sensor in fog passes 100 %
_SPIKE_K = 15.0


@dataclass(frozen=True)
class Doubt:
    """A number that cannot be what it is said to be."""

    field: str  # "unit" or "lost"
    text: str
    value: float


def without_marks(values: Floats, unit: str, lost: tuple[float, ...]) -> tuple[Floats, dict[float, int]]:
    """Take out the marks: those the person named, and the usual ones where they lie outside what the unit can mean."""
    low, high = believable(unit)
    top, least = float(np.fmax.reduce(values, initial=-np.inf)), float(np.fmin.reduce(values, initial=np.inf))
    found: dict[float, int] = {}
    named = [m for m in (*MARKS, *lost) if (m in lost or not low <= m <= high) and least <= m <= top]
    for mark in dict.fromkeys(named):
        hit = np.abs(values - mark) < 1e-6 * max(1.0, abs(mark))
        if hit.any():
            found[mark] = int(hit.sum())
            values = np.where(hit, np.nan, values)
    return values, found


def believable(unit: str) -> tuple[float, float]:
    """The ends of what a probe reads, in the unit of the file."""
    if unit == "%":
        return 0.0, WET_MOST
    ends = (COLDEST_C, HOTTEST_C)
    if unit == "F":
        return ends[0] * 1.8 + 32.0, ends[1] * 1.8 + 32.0
    return (ends[0] + ZERO_CELSIUS_K, ends[1] + ZERO_CELSIUS_K) if unit == "K" else ends


def to_celsius(values: Floats, unit: str) -> Floats:
    """From the unit of the file; percent stay as they are."""
    if unit == "F":
        return (values - 32.0) / 1.8
    return values - ZERO_CELSIUS_K if unit == "K" else values


def doubt(raw: Floats, unit: str, expect: str, sure: bool) -> Doubt | None:
    """What must be asked of one probe.

    Parameters
    ----------
    raw : array, shape (n,)
        As in the file, marks taken out.
    expect : {"any", "fridge", "smoker", "cooling"}
    sure : bool
        The person named the unit: its likeness to another is not asked again.
    """
    seen = raw if np.isfinite(raw.sum()) else raw[~np.isnan(raw)]
    if not seen.size:
        return None
    least, most = float(seen.min()), float(seen.max())
    middle = float(np.median(seen if seen.size < 400_000 else seen[:: seen.size // 200_000]))
    low, high = believable(unit)
    if unit == "%":
        if least < low or most > high:
            odd = least if least < low else most
            return Doubt("lost", f"A humidity is {odd:g} %. Is it a logger's mark for a lost probe?", odd)
        return None
    if not sure and unit == "C" and least > KELVIN_LIKE[0] and most < KELVIN_LIKE[1]:
        return Doubt("unit", f"The readings stand at {middle:g}: are they kelvin?", middle)
    if least < low or most > high:
        odd = least if least < low else most
        return Doubt("lost", f"A reading is {odd:g} {unit}. Is it a logger's mark for a lost probe?", odd)
    if sure or expect != "fridge":
        return None
    if unit == "C" and FAHRENHEIT_LIKE_C[0] <= middle <= FAHRENHEIT_LIKE_C[1]:
        return Doubt("unit", f"The fridge reads {middle:g} most of the time: is that Fahrenheit?", middle)
    if unit == "F" and -5.0 <= middle <= 15.0:
        return Doubt("unit", f"The fridge reads {middle:g} F most of the time, {(middle - 32) / 1.8:.0f} C: is that Celsius?", middle)
    return None


def jumps(ms: NDArray[np.int64], celsius: Floats) -> tuple[int, int]:
    """Probe pulled out or swapped: how often more than 15 K, and half a kelvin each second, between neighbours; and where first."""
    if celsius.size < 2:
        return 0, 0
    steps = np.abs(np.diff(celsius))
    if float(steps.max()) <= _SPIKE_K:
        return 0, 0
    far = steps > np.maximum(_SPIKE_K, 0.5 * np.diff(ms) / 1000.0)
    return int(far.sum()), int(np.argmax(far)) + 1 if far.any() else 0
