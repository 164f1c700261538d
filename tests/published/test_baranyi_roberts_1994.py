"""Baranyi and Roberts, Int. J. Food Microbiol. 23 (1994) 277: the curve, against computed rows and a general ODE solver."""

import re

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from tests.published.growth_rows import half_digit, number, row, starting

from ingle.physics import dwell, growth_curve
from ingle.physics.growth_curve import LN10
from ingle.physics.growth_factors import square_root


def ham(celsius):
    """Listeria on sliced ham, Mataragas 2006: mu = ln 10 (0.058 (T + 1.03))^2 per day. [1/h]"""
    return LN10 * square_root(celsius, 0.058, -1.03) / 24.0


def by_ode(rate, hours, lag, start, most):
    """The pair dq/dt = mu, dy/dt = mu/(1 + exp(-q)) (1 - exp(y - ymax)) by LSODA; log10 at the end."""
    q0 = -np.log(np.expm1(lag)) if lag else 500.0

    def change(t, state):
        q, y = state
        mu = rate(t)
        return [mu, mu / (1 + np.exp(-q)) * (1 - np.exp(y - most * LN10))]

    end = solve_ivp(change, (0, hours), [q0, start * LN10], method="LSODA", rtol=1e-11, atol=1e-11, max_step=hours / 50)
    return end.y[1, -1] / LN10


@pytest.mark.parametrize("key", [k for k in starting("BR-0") if k != "BR-06"])
def test_steady_temperature(key):
    said = re.match(r"T (\S+) C (\S+) d h0 (\S+) log10N0 (\S+) mu ([\d.]+)", row(key)["conditions"])
    celsius, days, lag, start, mu = (float(x.rstrip(":")) for x in said.groups())
    assert float(ham(celsius)) == pytest.approx(mu, rel=1e-6)
    end = start + float(growth_curve.log_gain(mu * days * 24, lag, (8 - start) * LN10)) / LN10
    assert end == pytest.approx(number(key), abs=half_digit(key) * 2)
    assert end == pytest.approx(by_ode(lambda _: mu, days * 24, lag, start, 8.0), abs=1e-8)


def test_br_06_a_daily_swing_grows_an_eighth_faster_than_its_mean():
    swung, steady = (float(v) for v in row("BR-06")["predicted/observed value"].split(" vs "))
    t = np.arange(0.0, 240.0 + 1e-9, 1 / 60)
    record = 5.0 + 3.0 * np.sin(2 * np.pi * t / 24)
    counted = dwell.dwell(t * 3600, record, 0.02)
    work = float(counted.integral(ham(counted.temperature) / 3600))
    end = 2 + float(growth_curve.log_gain(work, 2.0, 6 * LN10)) / LN10
    assert end == pytest.approx(swung, abs=1e-5)
    assert work / (float(ham(5.0)) * 240) == pytest.approx(1.1238, abs=5e-5)
    assert 2 + float(growth_curve.log_gain(float(ham(5.0)) * 240, 2.0, 6 * LN10)) / LN10 == pytest.approx(steady, abs=1e-5)
    ode = by_ode(lambda h: float(ham(5 + 3 * np.sin(2 * np.pi * h / 24))), 240, 2.0, 2.0, 8.0)
    assert end == pytest.approx(ode, abs=2e-6)


def test_a_ragged_record_against_the_solver():
    """A power cut in a fridge record, cold pauses below growth, lag and ceiling: the closed form in the growth work."""
    hours = np.array([0.0, 20, 30, 31, 50, 90, 91, 130, 200, 260])
    celsius = np.array([4.0, 4, 16, -18, -18, 9, 25, 12, 3, 10])
    counted = dwell.dwell(hours * 3600, celsius, 0.01)
    work = float(counted.integral(ham(counted.temperature) / 3600))
    for lag in (0.0, 1.3, 3.0):
        told = 1 + float(growth_curve.log_gain(work, lag, 5.0 * LN10)) / LN10
        assert told == pytest.approx(by_ode(lambda h: float(ham(np.interp(h, hours, celsius))), 260, lag, 1.0, 6.0), abs=2e-5)


def test_work_and_gain_undo_each_other():
    for lag in (0.0, 0.2, 4.0):
        for room in (2.0, 15.0, np.inf):
            gain = np.array([0.0, 0.1, 1.0, 1.9])
            work = growth_curve.work_for(gain, lag, room)
            assert growth_curve.log_gain(work, lag, room) == pytest.approx(gain, abs=1e-9)
    assert growth_curve.work_for(3.0, 0.0, 2.0) == np.inf


def test_no_work_no_growth_and_endless_work_the_ceiling():
    assert growth_curve.log_gain(0.0, 2.0, 5.0) == 0.0
    assert growth_curve.log_gain(1e5, 2.0, 5.0) == pytest.approx(5.0)
