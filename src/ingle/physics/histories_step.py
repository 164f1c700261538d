"""The implicit step of a march: symmetric tridiagonal systems along the first axis, two stages, never out of range."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
GAMMA = 1.0 - np.sqrt(0.5)


def two_stages(capacity: Floats, start: Floats, rate: Floats, links: Floats, dt: float) -> tuple[Floats, Floats]:
    """Both stages of the implicit step: concentrations along the first axis.

    Where the step would leave the range of what is there (a stiff surface after a jump), that solute and member takes one step
    of implicit Euler instead: first order, never out of range.
    """
    per = capacity / (GAMMA * dt)
    first, second = _through(per, capacity * rate, links, start)
    out = (second.min(0) < -1e-12) | (second.max(0) > start.max(0) * (1 + 1e-9) + 1e-12)
    if out.any():
        euler = _through(capacity / dt, capacity * rate, links, start)[0]
        first, second = np.where(out[None], euler, first), np.where(out[None], euler, second)
    return first, second


def _through(per: Floats, loss: Floats, links: Floats, start: Floats) -> tuple[Floats, Floats]:
    main = per + loss
    main[:-1] += links
    main[1:] += links
    solve = factored(main, links)
    first = solve(per * start)
    return first, solve(per * (start + (1 - GAMMA) / GAMMA * (first - start)))


def factored(main: Floats, links: Floats) -> Callable[[Floats], Floats]:
    """Solve for symmetric tridiagonal systems along the first axis, factored once."""
    n = len(main)
    pivot = np.empty_like(main)
    upper = np.empty_like(links)
    pivot[0] = main[0]
    for i in range(1, n):
        upper[i - 1] = links[i - 1] / pivot[i - 1]
        pivot[i] = main[i] - upper[i - 1] * links[i - 1]

    def solve(right: Floats) -> Floats:
        out = right.copy()
        for i in range(1, n):
            out[i] += upper[i - 1] * out[i - 1]
        out[-1] /= pivot[-1]
        for i in range(n - 2, -1, -1):
            out[i] = out[i] / pivot[i] + upper[i] * out[i + 1]
        return out

    return solve
