"""The ready window of 512 pieces beside a general ODE solver on the same equations."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from scipy.integrate import solve_ivp

from benchmarks.run import Row, best
from ingle.crafts.cure import forecast, forecast_curves
from ingle.ground.things import Piece
from ingle.physics import series

CELLS = 60


def by_ode(diffusivity: float, path: float, alpha: float, end_s: float) -> float:
    """Core over final of a slab in a finite bath by finite volumes and SciPy's BDF (one member)."""
    dx = path / CELLS

    def rate(_t: float, y: np.ndarray) -> np.ndarray:
        c, bath = y[:-1], y[-1]
        flux = diffusivity * np.diff(c) / dx
        into = diffusivity * (bath - c[-1]) / (dx / 2)
        change = np.concatenate([flux, [into]]) - np.concatenate([[0.0], flux])
        return np.append(change / dx, -into / (alpha * path))

    start = np.zeros(CELLS + 1)
    start[-1] = (1 + alpha) / alpha
    return float(solve_ivp(rate, (0, end_s), start, method="BDF", rtol=1e-5, atol=1e-8).y[0, -1])


def rows() -> Iterator[Row]:
    """One window of 512 members; the peer solves one member and is counted 512 times."""
    piece, week = Piece(1000.0, 50.0), 7 * 86400.0

    def fresh() -> None:
        forecast_curves.study.cache_clear()
        forecast.window(piece, 0.025, 4.0)

    fresh()
    exact = float(series.bath("slab", 3e-10 * week / 0.025**2, 0.06)[1])
    error = abs(by_ode(3e-10, 0.025, 0.06, week) - exact)
    one = best(lambda: by_ode(3e-10, 0.025, 0.06, week))
    yield Row(
        "cure window, 512 members, in process", best(fresh), 0.15, "SciPy BDF x 512", one * 512, 100,
        f"the peer's core misses the exact series by {error:.1e} of the final value at day 7",
    )  # fmt: skip
