"""Measured salt, water and water activity of fish, ham and bacon; the source stands in each row of the file."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest
from pytest import approx

from ingle.crafts.cure import laws
from ingle.physics import water_activity as aw

DATA = Path(__file__).parent / "data" / "water_activity.csv"
LINES = [line for line in DATA.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
ROWS = list(csv.DictReader(LINES))


def of(kind):
    return [row for row in ROWS if row["kind"] == kind]


def brine(row):
    return float(aw.of_salt(float(row["salt_g_per_100g_water"]) / 100, 298.15, laws.salt_activity()))


@pytest.mark.parametrize("row", of("fish"), ids=lambda row: row["id"])
def test_brined_fish_is_its_brine(row):
    """0.01: the spread told for the model. Two figures are printed, the ends of ranges are paired."""
    assert brine(row) == approx(float(row["aw_printed"]), abs=laws.water_activity_spread())


@pytest.mark.parametrize("row", of("aged ham"), ids=lambda row: row["id"])
def test_aged_ham_lies_0_01_to_0_04_below_salt_and_water(row):
    assert 0.01 <= brine(row) - float(row["aw_printed"]) <= 0.04


def test_lots_of_bacon_scatter_about_the_law():
    """Each lot within 0.05, the mean of six within what such a scatter leaves, 0.05/sqrt(6)."""
    misses = [float(row["aw_printed"]) - brine(row) for row in of("bacon")]
    assert len(misses) == 6 and max(abs(m) for m in misses) < 0.05
    assert sum(misses) / 6 == approx(0.0, abs=0.05 / math.sqrt(6))


def test_raw_flesh_has_0_99():
    """Two figures are printed for raw fish; the base is meant for any fresh lean flesh."""
    (row,) = of("raw fish")
    assert aw.of_meat(2.7, 2.7, laws.meat_base()) == approx(float(row["aw_printed"]), abs=0.005)


def test_the_base_is_the_freezing_point():
    """-1.0 C over the freezing constant of water, 1.858 K kg/mol (CRC Handbook): half of the last figure."""
    assert laws.meat_base().osmolality == approx(1.0 / 1.858, abs=0.005)
