"""Carslaw & Jaeger, Conduction of Heat in Solids, 9.4: a sphere with surface resistance.

lambda cot lambda = 1 - Bi.

At Bi = 1 the first root is pi/2 exactly, so the slowest mode decays with (pi/2)^2 a / R^2.
"""

import math

import pytest

from ingle.physics.fermentation import ball_time_constant


def test_time_constant_of_a_ball_at_unit_biot_number():
    density, heat, conductivity, radius = 1100.0, 2800.0, 0.4, 0.058
    mass = 4.0 / 3.0 * math.pi * radius**3 * density
    exact = radius**2 / (conductivity / (density * heat) * (math.pi / 2.0) ** 2)
    got = ball_time_constant(mass, density, heat, conductivity, conductivity / radius)
    assert got == pytest.approx(exact, rel=0.02)  # a parabolic profile stands for the mode


def test_a_small_ball_is_a_plain_lump():
    """Bi to 0: rho c R / (3 h)."""
    got = ball_time_constant(1e-6, 1100.0, 2800.0, 0.4, 7.0)
    radius = (3e-6 / (4.0 * math.pi * 1100.0)) ** (1.0 / 3.0)
    assert got == pytest.approx(1100.0 * 2800.0 * radius / 21.0, rel=0.01)
