"""Heritage Science 1:14 (2013), table 1: water taken up by collagen at 25 and 40 C against relative humidity."""

import numpy as np
import pytest

from ingle.crafts.skin.laws import rind_laws
from ingle.physics.rind_laws import activity

HUMIDITY = np.array([5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 95]) / 100
AT_25 = np.array([5.45, 7.39, 10.06, 12.44, 15.14, 17.95, 21.06, 25.05, 30.20, 40.70, 50.01]) / 100
AT_40 = np.array([4.18, 6.33, 8.89, 11.64, 14.46, 17.23, 20.16, 23.78, 28.71, 37.35, 44.75]) / 100
LAWS = rind_laws()


def told(water, celsius):
    return activity(water, np.zeros_like(water), np.ones_like(water), np.asarray(celsius), LAWS)


@pytest.mark.parametrize("i", range(len(HUMIDITY)))
def test_every_row_at_25(i):
    assert told(AT_25, 25.0)[i] == pytest.approx(HUMIDITY[i], abs=1e-9)


@pytest.mark.parametrize("i", range(len(HUMIDITY)))
def test_every_row_at_40_by_the_heat_of_binding(i):
    """0.02: from the shift of nodes by straight lines, and a heat held constant below 10 % water."""
    assert told(AT_40, 40.0)[i] == pytest.approx(HUMIDITY[i], abs=0.02)


def test_warmer_is_higher_and_salt_is_lower():
    X = np.linspace(0.02, 0.55, 60)
    assert (told(X, 80.0) >= told(X, 25.0)).all()
    salted = activity(X, 0.2 * X, np.ones_like(X), np.asarray(25.0), LAWS)
    assert (salted < told(X, 25.0)).all()
