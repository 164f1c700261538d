"""Times above a line in one track, and the product that lags behind its air."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.ground import units
from ingle.ground.errors import OutOfRange
from ingle.ground.tables import toml_table

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
_BLOCK = 25.0  # time constants that are summed at once: e^25 is no loss in double precision
_NOISE_K = 1e-6


@dataclass(frozen=True)
class Run:
    """Unbroken time above a line. Times in ms; ``open``: it still is above at the last reading, or a pause follows."""

    start: int
    end: int
    peak: float
    above_ms: int
    open: bool
    count: int = 1


def holes(ms: Ints, longest_gap_s: float) -> NDArray[np.bool_]:
    """Between which neighbours nothing is known."""
    return np.asarray(np.diff(ms) > longest_gap_s * 1000 * (1 + 1e-9))


def runs_above(ms: Ints, values: Floats, line: float, longest_gap_s: float) -> list[Run]:
    """Every time above a line, on straight lines between readings; a pause ends a run and none is made up in it."""
    over = values > line + _NOISE_K
    if not over.any():
        return []
    hole = holes(ms, longest_gap_s)
    starts = over & np.concatenate(([True], ~over[:-1] | hole))
    ends = over & np.concatenate((~over[1:] | hole, [True]))
    found = []
    for a, b in zip(np.flatnonzero(starts), np.flatnonzero(ends), strict=True):
        start = int(ms[a]) if a == 0 or hole[a - 1] else _crossing(ms, values, int(a) - 1, line)
        last = b + 1 == ms.size or bool(hole[b])
        end = int(ms[b]) if last else _crossing(ms, values, int(b), line)
        found.append(Run(start, end, float(values[a : b + 1].max()), end - start, last))
    return found


def _crossing(ms: Ints, values: Floats, i: int, line: float) -> int:
    a, b = float(values[i]), float(values[i + 1])
    return round(int(ms[i]) + (int(ms[i + 1]) - int(ms[i])) * (line - a) / (b - a))


def joined(runs: list[Run], within_ms: int) -> list[Run]:
    """Runs that follow each other within a time are one, with a count."""
    told: list[Run] = []
    for run in sorted(runs, key=lambda r: r.start):
        if told and run.start - told[-1].end <= within_ms:
            was = told[-1]
            told[-1] = Run(was.start, max(was.end, run.end), max(was.peak, run.peak), was.above_ms + run.above_ms, run.open, was.count + run.count)
        else:
            told.append(run)
    return told


def lag_s(thickness_mm: float | None = None) -> tuple[float, str]:
    """Time constant of a pack or piece in a still fridge, and where it comes from. [s]

    Heat held over heat let in: rho c (d/2) / h, both faces free, h the upper end of a still fridge, so that the product follows soon.
    """
    holding = toml_table("limits", "holding.toml")
    film = toml_table("laws", "thermal.toml")["film"]["still-fridge"]
    thick = float(holding["pack"]["limit"]["min"]) if thickness_mm is None else thickness_mm
    tau = float(holding["meat-heat"]["limit"]["min"]) * 1e6 * units.metres(thick) / 2.0 / float(film["high"])
    what = f"a pack {thick:g} mm thick" if thickness_mm is None else f"a piece {thick:g} mm thick"
    return tau, f"{what} in a still fridge, {float(film['high']):g} W/m2K at its faces"


def lagged(ms: Ints, air: Floats, tau_s: float, start_c: float | None = None) -> Floats:
    """First-order lag behind air that moves on straight lines between readings; exact for that.

    Parameters
    ----------
    tau_s : float
        Time constant. [s]
    start_c : float, optional
        Of the product at the first reading; that reading when left out.

    Raises
    ------
    OutOfRange
        A time constant that is none.
    """
    if not 1.0 <= tau_s <= 30 * 86400:
        raise OutOfRange(f"lag is {tau_s:g} s; it lies between 1 s and 30 d.", field="lag", value=f"{tau_s:g} s", limit="1 s to 30 d",
                         remedy="Give it like 1h.")  # fmt: skip
    out = np.empty_like(air)
    out[0] = air[0] if start_c is None else start_c
    if air.size < 2:
        return out
    step = np.diff(ms) / 1000.0 / tau_s  # in time constants
    keep = np.exp(-step)
    slope = np.divide(np.diff(air), step, out=np.zeros(air.size - 1), where=step > 0)
    gain = air[1:] - slope - (air[:-1] - slope) * keep  # what a step adds to what is kept
    at = np.concatenate(([0.0], np.cumsum(step)))
    i = 0
    while i < air.size - 1:
        j = max(int(np.searchsorted(at, at[i] + _BLOCK, side="right")) - 1, i + 1)
        if j == i + 1:
            out[j] = out[i] * keep[i] + gain[i]
        else:
            grown = np.exp(at[i + 1 : j + 1] - at[i])
            out[i + 1 : j + 1] = (out[i] + np.cumsum(gain[i:j] * grown)) / grown
        i = j
    return out
