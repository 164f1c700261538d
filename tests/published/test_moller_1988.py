"""Moller, Geochim. Cosmochim. Acta 52 (1988) 821: the temperature function of the Pitzer numbers, term by term."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from pytest import approx

from ingle.crafts.cure import laws
from ingle.physics import water_activity as aw

TERMS = (
    lambda _: 1.0,
    lambda T: T,
    lambda T: 1 / T,
    math.log,
    lambda T: 1 / (T - 263),
    lambda T: T * T,
    lambda T: 1 / (680 - T),
    lambda T: 1 / (T - 227),
)
NOTHING = (0.0,) * 8
BARE = replace(laws.salt_activity(), debye=NOTHING, beta_0=NOTHING, beta_1=NOTHING, c_phi=NOTHING)


@pytest.mark.parametrize("place", range(8))
@pytest.mark.parametrize("T", [273.15, 290.0, 313.15])
def test_one_term_of_one_number(place, T):
    """Beta_0 alone: phi is 1 + m beta_0(T)."""
    law = replace(BARE, beta_0=tuple(1e-3 if k == place else 0.0 for k in range(8)))
    assert aw.osmotic_coefficient(2.0, T, law) == approx(1.0 + 2.0 * 1e-3 * TERMS[place](T), rel=1e-12)


def number(name, kelvin):
    law = replace(BARE, beta_0=getattr(laws.salt_activity(), name))
    return float(aw.osmotic_coefficient(1.0, kelvin, law)) - 1.0


def test_the_debye_slope_at_25_c():
    """0.3915 in every later paper (from memory): half of the last figure."""
    assert number("debye", 298.15) == approx(0.3915, abs=0.00005)


@pytest.mark.parametrize(
    ("name", "printed", "weight"),
    [("beta_0", 7.534e-2, 6.0), ("beta_1", 0.2769, math.exp(-2.0)), ("c_phi", 1.48e-3, 36.0)],
)
def test_at_25_c_they_are_near_another_fit(name, printed, weight):
    """Base values of PHREEQC's database pitzer.dat (quoted). Each may move phi by 0.003, the distance of the good
    evaluations: at 6 mol/kg, and for beta_1 at 1 mol/kg, where it weighs most.
    """
    assert number(name, 298.15) == approx(printed, abs=0.003 / weight)
