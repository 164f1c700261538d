"""Resnik and Chirife, J. Food Prot. 51 (1988) 419: water activity from salt in the water phase (from memory)."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from pytest import approx

from ingle.crafts.cure import laws
from ingle.ground.errors import OutOfRange
from ingle.physics import water_activity as aw

DATA = Path(__file__).parent / "data" / "water_activity.csv"
LINES = [line for line in DATA.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
ROWS = [row for row in csv.DictReader(LINES) if row["kind"] == "polynomial"]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_the_printed_value(row):
    z = float(row["solute_g_per_100g_solution"]) / 100
    if z > 0.18:
        with pytest.raises(OutOfRange, match="18"):
            aw.by_polynomial(z, laws.phase_salt_polynomial())
        return
    assert aw.by_polynomial(z, laws.phase_salt_polynomial()) == approx(float(row["aw_printed"]), abs=0.00005)


@pytest.mark.parametrize(
    ("percent", "apart"), [(3.5, 0.00065), (5, 0.00065), (12, 0.00065), (14, 0.0015), (16, 0.0025), (18, 0.0045)]
)
def test_it_stands_above_the_solution_by_no_more_than_is_told(percent, apart):
    """0.0006 to 12 %, 0.001 at 14 %, 0.002 at 16 %, 0.004 at 18 %, as its record says, and half of the last figure."""
    z = percent / 100
    over = aw.by_polynomial(z, laws.phase_salt_polynomial()) - aw.of_salt(z / (1 - z), 298.15, laws.salt_activity())
    assert 0.0 < over < apart


@pytest.mark.parametrize(("percent", "printed", "half_digit"), [(5, 0.97, 0.005), (10, 0.935, 0.0005)])
def test_limits_paired_by_fda(percent, printed, half_digit):
    """FDA Fish Hazards guide, table A-1: 5 % goes with 0.97, 10 % with 0.935."""
    z = percent / 100
    assert aw.of_salt(z / (1 - z), 298.15, laws.salt_activity()) == approx(printed, abs=half_digit)
