"""San Francisco Baking Institute, class notes 2009, dough temperature example (read in a copy)."""

import pytest

from ingle.crafts import dough


def celsius(fahrenheit):
    return (fahrenheit - 32.0) / 1.8


def test_water_is_87_f():
    water = dough.water_by_factor(celsius(75), celsius(65), celsius(65), 8 / 1.8)
    assert water == pytest.approx(celsius(87), abs=1e-9)
