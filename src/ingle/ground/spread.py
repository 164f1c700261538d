"""Marks of an ensemble: 5, 50 and 95 %."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ingle.ground.things import Band

MARKS = (0.05, 0.5, 0.95)


def quantiles(
    values: NDArray[np.float64], chances: Sequence[float] = MARKS, axis: int = 0
) -> list[NDArray[np.float64]]:
    """Quantiles along an axis, on straight lines between the sorted members, one array each; finite values only.

    The same numbers as `numpy.quantile`, which imports masked arrays at its first call: a tenth of a cold start.
    """
    ranked = np.moveaxis(np.sort(values, axis), axis, 0)
    found = []
    for chance in chances:
        at = chance * (len(ranked) - 1)
        low = min(int(at), len(ranked) - 1)
        high = min(low + 1, len(ranked) - 1)
        found.append(np.asarray(ranked[low] + (ranked[high] - ranked[low]) * (at - low)))
    return found


def median(values: NDArray[np.float64], axis: int = 0) -> NDArray[np.float64]:
    """The middle along an axis."""
    return quantiles(values, (0.5,), axis)[0]


def band(values: NDArray[np.float64]) -> Band:
    """5, 50 and 95 % of some values."""
    return Band(*(float(v) for v in quantiles(np.ravel(values))))
