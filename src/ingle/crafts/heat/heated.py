"""What a forecast of heat says, and how its curves are read between the steps of the march."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.heat.joint import Joint, Sizes
from ingle.crafts.heat.stage import Stage

Floats = NDArray[np.float64]

POINTS, CLOSEST_S, MOST_POINTS = 241, 120.0, 1441  # of a curve; long ones get more, so that rules on heat can be read from them


@dataclass(frozen=True)
class Curves:
    """Temperatures along time [degC]; bands at 5 and 95 % of the members at the same clock."""

    seconds: Floats  # (T,)
    core: Floats  # the slowest place
    mean: Floats
    surface: Floats
    probe: Floats | None
    core_low: Floats
    core_high: Floats
    mean_low: Floats
    mean_high: Floats
    surface_low: Floats
    surface_high: Floats


@dataclass(frozen=True)
class Heated:
    """What a forecast says. Times in s; a band is (5 %, likely, 95 %), infinite where it is not met."""

    joint: Joint
    sizes: Sizes
    stages: tuple[Stage, ...]
    start_c: float
    curves: Curves
    ends: tuple[float, ...]  # of the stages, likely
    met: tuple[bool, ...]
    times: tuple[tuple[float, float, float] | None, ...]  # per stage: when its core was met; None where it asks for none
    peak_c: tuple[float, float, float]  # highest core of all
    loss: tuple[float, float, float] | None  # water given off, per weight; None where no vapour is reckoned
    energy_j: tuple[float, float, float] | None  # into the piece, to the end of the heating
    mass_kg: float | None
    place: float  # of the slowest point along the thickness: 0 its middle (of an unlike pair of faces: 0 under, 1 upper)
    closed_form: bool
    closes: float  # heat account of the march: share by which faces and contents differ
    members: int
    fast: tuple[Floats, Floats]  # seconds and core of the member that is early (5 %)
    slow: tuple[Floats, Floats]  # and late (95 %)
    cool: tuple[Floats, Floats]  # and of the member whose core peaks low (5 %)


def points(seconds: float) -> int:
    """How many points a curve of that length gets."""
    return int(min(max(POINTS, seconds / CLOSEST_S + 1), MOST_POINTS))


def volume(told: Sizes) -> float:
    """Of the likely body; per m2 or per m where it has no end."""
    t = told.thickness
    if told.shape == "slab":
        return t
    if told.shape == "sphere":
        return float(np.pi / 6.0 * t**3)
    if told.shape == "cylinder":
        return float(np.pi / 4.0 * t * t * (told.length or 1.0))
    return t * (told.width or 0.0) * (told.length or 0.0)


def at(times: Floats, values: Floats, grid: Floats) -> Floats:
    """Rows (T, M) read at other times by straight lines; (G, M)."""
    i = np.clip(np.searchsorted(times, grid) - 1, 0, times.size - 2)
    part = np.clip((grid - times[i]) / (times[i + 1] - times[i]), 0.0, 1.0)[:, None]
    return np.asarray(values[i] + part * (values[i + 1] - values[i]))


def spline(x: Floats, y: Floats, grid: Floats) -> Floats:
    """Cubic through points with the slopes of Fritsch and Butland: no wave that the points do not have."""
    h, d = np.diff(x), np.diff(y) / np.diff(x)
    slope = np.zeros_like(y)
    w1, w2 = 2.0 * h[1:] + h[:-1], h[1:] + 2.0 * h[:-1]
    same = d[1:] * d[:-1] > 0.0
    with np.errstate(divide="ignore", invalid="ignore"):
        slope[1:-1] = np.where(same, (w1 + w2) / (w1 / d[:-1] + w2 / d[1:]), 0.0)
    slope[0], slope[-1] = d[0], d[-1]
    i = np.clip(np.searchsorted(x, grid) - 1, 0, x.size - 2)
    s = np.clip((grid - x[i]) / h[i], 0.0, 1.0)
    a, b = y[i], y[i + 1]
    return np.asarray(
        a + (b - a) * s * s * (3.0 - 2.0 * s) + h[i] * s * (1.0 - s) * (slope[i] * (1.0 - s) - slope[i + 1] * s)
    )
