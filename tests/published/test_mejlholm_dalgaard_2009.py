"""Mejlholm and Dalgaard, J. Food Prot. 72 (2009) 2132: rate and psi of Listeria, rows computed from two agreeing transcriptions."""

import math

import numpy as np
import pytest
from tests.published.growth_rows import half_digit, number, numbers

from ingle.safety import growth_interface, growth_rate
from ingle.safety.conditions import conditions

SALT_4 = 1 - 0.0052471 * 4 - 0.00012206 * 16  # the rows' own water activity of 4 % salt in the water
SALMON = {"aw": SALT_4, "ph": 6.1, "phenol": 10.0, "lactate": 12000.0}


def listeria(celsius, **place):
    c = conditions(**place)
    at = np.array([float(celsius)])
    return float(growth_rate.rate("listeria", at, c)[0]) * 3600, float(growth_interface.interface("listeria", at, c).psi[0])


@pytest.mark.parametrize(("key", "celsius"), [("LM-13", 5), ("LM-15", 8)])
def test_cold_smoked_salmon(key, celsius):
    mu, psi = listeria(celsius, **SALMON)
    said = numbers(key)
    assert mu == pytest.approx(said[0], abs=half_digit(key, 0))
    assert psi == pytest.approx(said[1], abs=half_digit(key, 1))
    assert 2 * math.log(10) / mu / 24 == pytest.approx(said[2], abs=half_digit(key, 2))


def test_lm_17_best_conditions():
    mu, psi = listeria(25, aw=1.0, ph=7.0)
    assert (mu, psi) == (pytest.approx(numbers("LM-17")[0], abs=5e-6), pytest.approx(0.0, abs=5e-4))


def test_lm_20_no_growth():
    mu, psi = listeria(12, aw=0.93, ph=5.7, lactate=8000)
    assert psi == pytest.approx(number("LM-20"), abs=5e-4)
    assert mu == 0.0


def test_lm_19_xi_of_its_psi():
    from ingle.physics.growth_factors import interaction

    assert float(interaction(0.859)) == pytest.approx(0.282, abs=5e-4)


def test_psi_of_one_factor_at_its_end_is_no_growth():
    """A factor at its end has phi = 1: psi is at least a half of 1/prod, and without bound where two are there."""
    assert listeria(12, aw=0.923, ph=6.0)[0] == 0.0
    assert listeria(12, aw=0.923, ph=4.9)[1] == np.inf


def test_factors_one_by_one_as_the_equation_prints_them():
    """gT, gaw, gpH, gPHE, gNIT, gLAC of the paper, each alone against best conditions (no interaction far from the boundary)."""
    best, _ = listeria(20, aw=1.0, ph=7.0)
    for place, factor in (
        ({"aw": 0.985}, (0.985 - 0.923) / (1 - 0.923)),
        ({"ph": 6.0}, (1 - 10 ** (4.97 - 6.0)) / (1 - 10 ** (4.97 - 7.0))),
        ({"phenol": 10.0}, (32 - 10) / 32),
        ({"nitrite": 60.0}, ((350 - 60) / 350) ** 2),
        ({"lactate": 20000.0}, 1 - 20000 / 90.08 / (1 + 10 ** (7.0 - 3.86)) / 3.79),
    ):
        mu, psi = listeria(20, **({"aw": 1.0, "ph": 7.0} | place))
        assert psi < 0.5
        assert mu / best == pytest.approx(factor, rel=1e-9)
    assert listeria(20, aw=1.0, ph=7.0)[0] / listeria(10, aw=1.0, ph=7.0)[0] == pytest.approx((22.83 / 12.83) ** 2, rel=1e-9)
