"""How far a population grows: the curve of Baranyi and Roberts in the growth work done, exact for any temperature record.

The growth work s is the specific growth rate summed over time. The lag and the ceiling depend on s alone, so that a record of
any shape needs nothing but its integral, and a pause in the cold keeps the lag that was already worked off.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.physics.ranges import require_within

Floats = NDArray[np.float64]
LN10 = math.log(10.0)


def lag_work(q0: float) -> float:
    """Work hidden in the lag, h0 = ln(1 + 1/Q0), from the physiological state Q0 of the paper. [1 -> 1]"""
    return math.log1p(1.0 / float(require_within(q0, (np.finfo(float).tiny, np.inf), "physiological state", "")))


def log_gain(work: ArrayLike, lag: ArrayLike = 0.0, room: ArrayLike = np.inf) -> Floats:
    """Growth ln(N/N0) after an amount of growth work.

    Parameters
    ----------
    work : array_like, shape (...)
        s, the specific growth rate summed over time. [1]
    lag : array_like, broadcast
        h0, the work done before growth shows; 0 is no lag. [1]
    room : array_like, broadcast
        ln(Nmax/N0), how far the population could grow. [1]

    Returns
    -------
    ndarray, shape (...)
        [1], natural logarithm

    Raises
    ------
    OutOfRange
        Work, lag or room below 0.

    Notes
    -----
    dq/dt = mu, dy/dt = mu/(1 + exp(-q)) (1 - exp(y - ymax)); with s in place of time
    A = ln(1 + exp(s - h0) - exp(-h0)) and y - y0 = A - ln(1 + (exp A - 1)/exp(ymax - y0)), exact for constant h0 and ymax.

    References
    ----------
    Baranyi and Roberts, Int. J. Food Microbiol. 23 (1994) 277.
    """
    s, h0, R = (
        require_within(v, (0.0, np.inf), name, "")
        for v, name in ((work, "growth work"), (lag, "lag work"), (room, "room to grow"))
    )
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        A = np.logaddexp(np.log(-np.expm1(-h0)), s - h0)  # no lag: ln 0, and A = s
        A = np.where(s == 0.0, 0.0, np.maximum(A, 0.0))
        # A - ln(1 - exp(-R) + exp(A - R)): the same, without overflow
        full = np.logaddexp(np.log(-np.expm1(-R)), A - R)
    return np.where((R == 0.0) | (s == 0.0), 0.0, np.maximum(A - full, 0.0))


def work_for(gain: ArrayLike, lag: ArrayLike = 0.0, room: ArrayLike = np.inf) -> Floats:
    """Growth work after which a population has grown by ``gain``: the inverse of `log_gain`. [1]

    Infinite where the gain is not below the room.
    """
    G, h0, R = (
        require_within(v, (0.0, np.inf), name, "")
        for v, name in ((gain, "gain"), (lag, "lag work"), (room, "room to grow"))
    )
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        A = G + np.log(-np.expm1(-R)) - np.log(-np.expm1(np.minimum(G - R, 0.0)))
        s = h0 + np.log(np.expm1(A) + np.exp(-h0))
    return np.where(G == 0.0, 0.0, np.where(R <= G, np.inf, s))
