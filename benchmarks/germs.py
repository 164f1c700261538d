"""Growth of germs along a month of a fridge's log, every place with its spread, beside a general ODE solver."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from scipy.integrate import solve_ivp

from benchmarks.run import Row, best
from ingle.physics.growth_curve import LN10
from ingle.safety import germs, growth, growth_rate
from ingle.safety.conditions import conditions
from ingle.safety.growth_record import longest_gap_s

DAYS, STEP_S, PLACES = 30, 10.0, 40


def record() -> tuple[np.ndarray, np.ndarray]:
    """A fridge that cycles every hour and a half, two warm afternoons, noise of the sensor."""
    t = np.arange(0.0, DAYS * 86400.0, STEP_S)
    c = 4.0 + 1.5 * np.sin(2 * np.pi * t / 5400) + np.random.default_rng(1).normal(0.0, 0.2, t.size)
    for day in (9, 22):
        c += np.where((t > day * 86400) & (t < day * 86400 + 4 * 3600), 6.0, 0.0)
    return t, c


def by_ode(t: np.ndarray, c: np.ndarray, aw: float, ph: float) -> float:
    """The two equations of Baranyi and Roberts for Listeria at one place, SciPy's LSODA; log10 gained."""
    place = conditions(aw=aw, ph=ph)
    room = (germs.ceiling("listeria") - growth.START_LOG10) * LN10
    grid = np.arange(-5.0, 20.0, 0.005)
    mu = growth_rate.rate("listeria", grid, place)

    def change(at: float, y: np.ndarray) -> list[float]:
        rate = np.interp(np.interp(at, t, c), grid, mu)
        return [rate * (1.0 - np.exp(y[0] - room))]

    return float(solve_ivp(change, (t[0], t[-1]), [0.0], method="LSODA", rtol=1e-6, atol=1e-8, max_step=120.0).y[0, -1]) / LN10


def rows() -> Iterator[Row]:
    """Five germs at 40 places: record checked and counted, limits screened, 5, 50 and 95 % told at the worst place."""
    t, c = record()
    aw, ph = np.linspace(0.95, 0.99, PLACES), np.full(PLACES, 5.8)

    def ours() -> tuple[growth.Growth, ...]:
        return growth.judge(t, c, aw=aw, ph=ph, nitrite=np.zeros(PLACES), organisms=germs.FORECAST)

    listeria = ours()[0]
    assert listeria.place == f"place {PLACES}" and longest_gap_s() > STEP_S
    peer = best(lambda: by_ode(t, c, float(aw[-1]), 5.8), times=1)
    apart = abs(by_ode(t, c, float(aw[-1]), 5.8) - (listeria.log10 or 0.0))
    yield Row(
        f"growth, 5 germs, {PLACES} places, 30 d of {STEP_S:.0f} s", best(ours), 1.0, f"SciPy LSODA x {5 * PLACES}", peer * 5 * PLACES, 100,
        f"259,200 readings; Listeria at the worst place is {apart:.0e} log10 from the solver, which steps over the noise by 120 s",
    )  # fmt: skip
