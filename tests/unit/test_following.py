"""A body that follows air which moves: beside the step's closed form, a general ODE solver, and for order."""

import numpy as np
import pytest
from pytest import approx
from scipy.integrate import solve_ivp

from ingle.ground.errors import OutOfRange
from ingle.physics import series
from ingle.physics.following import follow
from ingle.physics.shapes import Box, Cylinder, Slab, Sphere

A, H = 1.3e-7, 18.0  # m2/s, 1/m: lean meat in still air
STEP = 600.0
N = 120
T = np.arange(N) * STEP


@pytest.mark.parametrize("shape", [Slab(0.05), Cylinder(0.04, 0.2), Sphere(0.05), Box(0.2, 0.12, 0.05)], ids=lambda s: type(s).__name__)
def test_air_that_jumps_at_once_is_the_closed_form(shape):
    told = follow(shape, STEP, np.full(N, 21.0), diffusivity=A, conductance=H, start=4.0, places=[0.0, 1.0])
    exact = series.film_surface(shape, T[1:] * A, H, outside=21.0, start=4.0)
    assert told[0, 1:] == approx(exact.core, abs=1e-9)
    assert told[1, 1:] == approx(exact.surface, abs=1e-9)
    assert told[:, 0] == approx(4.0, abs=1e-12)


@pytest.mark.parametrize("air", [lambda t: 4 + 17 * (1 - np.exp(-t / 2e4)), lambda t: 12 + 8 * np.sin(t / 9e3)], ids=["fails", "swings"])
def test_moving_air_beside_a_general_ode_solver(air):
    """Method of lines on 200 cells with SciPy's stiff solver; 0.02 K is a fiftieth of what a probe tells."""
    L, n = 0.025, 200
    dx = L / n

    def rate(t, u):
        face = u[-1] + (air(t) - u[-1]) * H * dx / 2 / (1 + H * dx / 2)
        flow = np.concatenate([[0.0], np.diff(u) / dx, [(face - u[-1]) / (dx / 2)]])
        return A * np.diff(flow) / dx

    fine = np.arange(0, T[-1] + 1, STEP / 2)
    ran = solve_ivp(rate, (0, T[-1]), np.full(n, 4.0), method="BDF", t_eval=fine, rtol=1e-8, atol=1e-8)
    told = follow(Slab(2 * L), STEP / 2, air(fine), diffusivity=A, conductance=H, start=4.0, places=[dx / 2 / L, 1 - dx / 2 / L])
    assert told[0] == approx(ran.y[0], abs=0.02)
    assert told[1] == approx(ran.y[-1], abs=0.02)


def test_warmer_air_gives_no_colder_piece():
    rng = np.random.default_rng(7)
    cold = 4 + 10 * rng.random(N)
    warm = cold + 3 * rng.random(N)
    one, two = (follow(Box(0.2, 0.1, 0.05), STEP, a, diffusivity=A, conductance=H, start=4.0, places=np.linspace(0, 1, 5)) for a in (cold, warm))
    assert (two >= one - 1e-9).all()
    assert one.max() <= cold.max() + 1e-9


@pytest.mark.parametrize(("name", "more"), [("step", {"step": 0.0}), ("diffusivity", {"diffusivity": -1.0}), ("conductance", {"conductance": 0.0}), ("outside", {"outside": [4.0]}), ("outside", {"outside": [4.0, np.nan]})])
def test_refused(name, more):
    given = {"step": STEP, "outside": [4.0, 5.0], "diffusivity": A, "conductance": H} | more
    with pytest.raises(OutOfRange) as why:
        follow(Slab(0.05), given.pop("step"), given.pop("outside"), start=4.0, places=[0.0], **given)
    assert why.value.field == name
