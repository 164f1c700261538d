"""One root finder for many brackets at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray


def find_root(
    f: Callable[[NDArray[np.float64]], NDArray[np.float64]],
    low: ArrayLike,
    high: ArrayLike,
    *,
    tolerance: float = 1e-13,
    most: int = 80,
) -> NDArray[np.float64]:
    """Root of f in each bracket [low, high] (same shape), by Chandrupatla's method.

    Inverse quadratic steps where they can be trusted, halving otherwise: never slower than bisection by much.
    f takes and gives arrays of the brackets' shape and must change sign in each. Where f vanishes at an end,
    that end is the answer.

    References
    ----------
    Chandrupatla T. R., Advances in Engineering Software 28 (1997) 145-149 (from memory).
    """
    b, a = np.array(low, dtype=float), np.array(high, dtype=float)
    fb, fa = f(b), f(a)
    c, fc = a.copy(), fa.copy()
    t = np.full(b.shape, 0.5)
    best = np.where(np.abs(fa) < np.abs(fb), a, b)
    for _ in range(most):
        x = a + t * (b - a)
        fx = f(x)
        same = np.sign(fx) == np.sign(fa)
        c, fc = np.where(same, a, b), np.where(same, fa, fb)
        b, fb = np.where(same, b, a), np.where(same, fb, fa)
        a, fa = x, fx
        best = np.where(np.abs(fa) < np.abs(fb), a, b)
        width = np.abs(b - a)
        least = tolerance * (np.abs(best) + 1e-300)
        done = (width <= 2.0 * least) | (fa == 0.0) | (fb == 0.0)
        if done.all():
            break
        with np.errstate(divide="ignore", invalid="ignore"):
            xi, share = (a - b) / (c - b), (fa - fb) / (fc - fb)
            quadratic = (share**2 < xi) & ((1.0 - share) ** 2 < 1.0 - xi)
            step = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
            edge = np.where(width > 0.0, least / np.where(width > 0.0, width, 1.0), 0.5)
        t = np.where(quadratic & np.isfinite(step), step, 0.5)
        t = np.clip(t, np.minimum(edge, 0.5), np.maximum(1.0 - edge, 0.5))
        t = np.where(done, 0.0, t)
    return best
