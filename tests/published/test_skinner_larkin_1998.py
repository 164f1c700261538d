"""Skinner and Larkin, J. Food Prot. 61 (1998) 1154 (equation from memory): shortest lag, and every open observation beside it."""

import re

import numpy as np
import pytest
from tests.published.growth_rows import ROWS, VALUE, half_digit, number

from ingle.safety import botulism
from ingle.safety.growth_record import GrowthRecord

SEEN = ("CB-01", "CB-03", "CB-05", "CB-06", "CB-07", "CB-08", "CB-10", "CB-11")


@pytest.mark.parametrize(("key", "celsius"), [("CB-17", 10), ("CB-18", 12), ("CB-22", 30)])
def test_computed_rows(key, celsius):
    assert float(botulism.lag_days(celsius)) == pytest.approx(number(key), abs=half_digit(key))


@pytest.mark.parametrize("key", SEEN)
def test_it_is_shorter_than_what_was_seen(key):
    celsius = float(re.search(r"(\d+) C\b", ROWS[key]["conditions"])[1])
    days = float(re.match(r"\d+", ROWS[key][VALUE])[0]) * (7 if ROWS[key]["unit"] == "weeks" else 1)
    assert float(botulism.lag_days(celsius)) < days


def test_the_dose_adds_up_along_a_record():
    days = np.array([0.0, 2, 2.001, 5]) * 86400
    record = GrowthRecord(days, np.array([4.0, 4, 8, 8]))
    whole = 2 / float(botulism.lag_days(4.0)) + 3 / float(botulism.lag_days(8.0))
    assert botulism.lag_dose(record) == pytest.approx(whole, rel=1e-3)


def test_below_three_degrees_nothing_is_used_up():
    assert botulism.lag_dose(GrowthRecord(np.array([0.0, 1e7]), np.array([2.5, 2.5]))) == 0.0
