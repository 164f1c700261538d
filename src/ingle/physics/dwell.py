"""How long a record stood at each temperature: all that a sum of rates along it needs to know.

A record is straight between its readings, so a stretch spends its time evenly over the temperatures it crosses. That time is
shared among the grid temperatures by the straight-line weights of interpolation, exactly; a stretch that crosses less than a
quarter of a cell counts at its middle. The sum over the grid of rate times dwell is then the integral of the rate's straight-line
interpolant: its error is at most width^2/8 times the largest second derivative of the rate, times the duration.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
MOST_PARTS = 20_000_000
_SMALL = 0.25  # of a cell


@dataclass(frozen=True)
class Dwell:
    """Time spent at each temperature of an even grid."""

    temperature: Floats  # rising, shape (bins,) [as given]
    seconds: Floats  # shape (bins,), or (nodes, bins) for nodes with their own temperature [s]

    def integral(self, rate: Floats) -> Floats:
        """Sum of a rate along the record. ``rate`` [1/s], shape (..., bins) -> [1], shape (...)."""
        return np.asarray((rate * self.seconds).sum(-1))


def coarser(counted: Dwell, width: float) -> Dwell:
    """The same time on a coarser grid, each cell's shared between its two neighbours there."""
    low = np.floor(float(counted.temperature[0]) / width) * width
    bins = int(np.ceil((float(counted.temperature[-1]) - low) / width)) + 2
    x = (counted.temperature - low) / width
    rows = [_at_middle(x, row, bins) for row in np.atleast_2d(counted.seconds)]
    return Dwell(low + width * np.arange(bins), rows[0] if counted.seconds.ndim == 1 else np.stack(rows))


def finer(seconds: Floats, temperature: Floats, width: float) -> tuple[Floats, Floats]:
    """A record with readings put between, on its straight lines, until no step spans more than ``width``."""
    parts = np.maximum(np.ceil(np.abs(np.diff(temperature)) / width - 1e-9), 1).astype(np.int64)
    if parts.sum() == len(parts):
        return seconds, temperature
    if parts.sum() > MOST_PARTS:
        raise ValueError(f"the record would need {int(parts.sum())} parts")
    first = np.repeat(np.arange(len(parts)), parts)
    inside = np.arange(len(first)) - np.repeat(np.cumsum(parts) - parts, parts)
    share = inside / parts[first]
    times = seconds[first] + share * np.diff(seconds)[first]
    values = temperature[first] + share * np.diff(temperature)[first]
    return np.append(times, seconds[-1]), np.append(values, temperature[-1])


def dwell(seconds: Floats, temperature: Floats, width: float) -> Dwell:
    """Time at each temperature of a grid of the given width.

    Parameters
    ----------
    seconds : ndarray, shape (n,)
        Rising. [s]
    temperature : ndarray, shape (n,) or (nodes, n)
        [K or degC]
    width : float
        Cell of the grid. [K]
    """
    low = np.floor(float(temperature.min()) / width) * width
    bins = int(np.ceil((float(temperature.max()) - low) / width)) + 2
    grid = low + width * np.arange(bins)
    if temperature.ndim == 1:
        return Dwell(grid, _counted(seconds, temperature, low, width, bins))
    return Dwell(grid, np.stack([_counted(seconds, row, low, width, bins) for row in temperature]))


def _counted(seconds: Floats, temperature: Floats, low: float, width: float, bins: int) -> Floats:
    x = (temperature - low) / width
    lasts, crosses = np.diff(seconds), np.diff(x)
    wide = np.abs(crosses) > _SMALL
    return _at_middle((x[1:] + x[:-1])[~wide] / 2.0, lasts[~wide], bins) + _evenly(x[:-1][wide], x[1:][wide], lasts[wide], bins)


def _at_middle(x: Floats, lasts: Floats, bins: int) -> Floats:
    cell = np.clip(x.astype(np.int64), 0, bins - 2)
    over = x - cell
    return np.asarray(np.bincount(cell, lasts * (1.0 - over), bins) + np.bincount(cell + 1, lasts * over, bins), float)


def _evenly(a: Floats, b: Floats, lasts: Floats, bins: int) -> Floats:
    """Weights of stretches from ``a`` to ``b`` [cells]: a hat is a second difference of ramps, so its integral over a stretch is
    a second difference of max(x - k, 0)^2/2 at the two ends."""
    if not a.size:
        return np.zeros(bins)
    end = np.concatenate([b, a]) + 1.0  # one cell in, so that the first difference has a neighbour below
    pace = lasts / (b - a)
    share = np.concatenate([pace, -pace])
    cell = end.astype(np.int64)
    k = np.arange(bins + 2, dtype=float)
    s0, s1, s2 = (np.cumsum(np.bincount(cell, share * end**p, bins + 2)[::-1])[::-1] for p in (0, 1, 2))
    ramp = (s2 - 2.0 * k * s1 + k * k * s0) / 2.0
    return np.maximum(ramp[:-2] - 2.0 * ramp[1:-1] + ramp[2:], 0.0)
