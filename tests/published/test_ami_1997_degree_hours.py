"""Degree-hours to pH 5.3 of fermented sausage: the table of a university's fermentation log, and the rule behind it."""

import math
import re

import numpy as np
import pytest
from tests.published.growth_rows import ROWS, number, starting

from ingle.ground.tables import toml_table
from ingle.safety import hurdles
from ingle.safety.growth_record import GrowthRecord


@pytest.mark.parametrize("key", starting("DH-T"))
def test_constant_chamber(key):
    """Whole hours that the limit allows at one temperature: the printed ones, rounded down."""
    fahrenheit = float(re.search(r"chamber (\d+) F", ROWS[key]["conditions"])[1])
    celsius = (fahrenheit - 32) / 1.8
    total, limit, _ = hurdles.degree_hours(GrowthRecord(np.array([0.0, 3600.0]), np.array([celsius, celsius])))
    assert total == pytest.approx(fahrenheit - 60, abs=1e-9)
    assert math.floor(limit / total + 1e-9) == pytest.approx(number(key), abs=0)


@pytest.mark.parametrize(("key", "record"), [("DH-02", "degree-hours-warm"), ("DH-03", "degree-hours-hot")])
def test_limits(key, record):
    assert toml_table("limits", "exposure.toml")[record]["limit"]["max"] == number(key)


def test_a_varying_chamber_sums_its_steps_and_takes_the_limit_of_the_warmest():
    hours = np.array([0.0, 10, 10.0001, 20]) * 3600
    record = GrowthRecord(hours, np.array([24.0, 24, 39, 39]))
    total, limit, _ = hurdles.degree_hours(record)
    assert total == pytest.approx(10 * (24 * 1.8 + 32 - 60) + 10 * (39 * 1.8 + 32 - 60), rel=1e-4)
    assert limit == 900
    part, cooler, _ = hurdles.degree_hours(record, until_s=10 * 3600)
    assert (part, cooler) == (pytest.approx(10 * (24 * 1.8 + 32 - 60)), 1200)
