"""Evenly spread draws for ensembles. Private to the crafts."""

from __future__ import annotations

from functools import cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@cache
def uniform(count: int, dims: int) -> Floats:
    """Points of an additive recurrence in [0, 1)^dims, shape (count, dims).

    The generator is the real root of x**(dims+1) = x + 1 (Roberts' R sequence); first half centred.
    """
    root = 1.5
    for _ in range(60):
        root = (1 + root) ** (1 / (dims + 1))
    steps = (1 / root) ** np.arange(1, dims + 1)
    told: Floats = (0.5 + np.outer(np.arange(1, count + 1), steps)) % 1.0
    return told


@cache
def _normal_table() -> Floats:
    """Standard normal values at 1,025 evenly spaced chances; the ends stand for one in 4,000."""
    inverse = NormalDist().inv_cdf
    chance = np.clip(np.linspace(0.0, 1.0, 1025), 0.25 / 1025, 1 - 0.25 / 1025)
    return np.array([inverse(float(c)) for c in chance])


def normal(chances: Floats) -> Floats:
    """Chances to standard normal values, read from a table (exact to 0.002 between 1 % and 99 %)."""
    table = _normal_table()
    return np.interp(chances, np.linspace(0.0, 1.0, table.size), table)


def between(chances: Floats, low: float, high: float) -> Floats:
    """Evenly between two ends in the logarithm: for rates and films, whose ends stand for 5 % and 95 %."""
    return np.asarray(np.exp(np.log(low) + (np.log(high) - np.log(low)) * chances))
