"""Measured conductivity and diffusivity of meat beside the law from composition; sources in the data file.

Two rules: no measured value may lie outside the bounds of any layering by more than the scatter that is told for such laws (10 %,
Carson 2006), and the rule that is used must miss by less than that scatter on the median.
"""

from __future__ import annotations

import csv
from pathlib import Path
from statistics import median

import pytest

from ingle.crafts.heat import laws
from ingle.physics import matter, mixed_conductivity
from ingle.physics.matter_laws import Composition

DATA = Path(__file__).parent / "data" / "meat_conductivity_diffusivity.csv"
ROWS = list(csv.DictReader(line for line in DATA.read_text("utf-8").splitlines() if not line.startswith("#")))
LAWS = laws.matter()


def told(row, how):
    meat = Composition(*(float(row[part]) / 100 for part in ("water", "protein", "fat")), ash=float(row["ash"]) / 100)
    t = float(row["celsius"])
    k = float(matter.conductivity(meat, LAWS, t, how))
    if row["what"] == "conductivity":
        return k
    return k / float(matter.density(meat, LAWS, t) * matter.sensible_heat(meat, LAWS, t))


@pytest.mark.parametrize("row", ROWS, ids=[f"{r['row']} {r['food']}" for r in ROWS])
def test_within_the_bounds_of_layering(row):
    value = float(row["value"])
    assert told(row, "series") * (1 - LAWS.scatter) < value < told(row, "parallel") * (1 + LAWS.scatter)


def test_the_rule_that_is_used_misses_by_less_than_the_scatter_told():
    missed = {how: median(abs(told(r, how) / float(r["value"]) - 1) for r in ROWS) for how in mixed_conductivity.HOW}
    assert missed[LAWS.conductivity] < LAWS.scatter
    assert missed["series"] > LAWS.scatter, "layers across the flow would be a fair law, and are not"


@pytest.mark.parametrize(("cut", "low", "high"), [("backfat", 0.185, 0.207), ("bacon", 0.26, 0.37), ("lean-pork", 0.40, 0.51)])
def test_the_bounds_at_20_degrees(cut, low, high):
    """Half of the last digit; computed elsewhere from the same equations (bacon here is the leaner one of USDA SR26)."""
    meat = laws.composition(cut)
    assert float(matter.conductivity(meat, LAWS, 20.0, "series")) == pytest.approx(low, abs=0.01)
    assert float(matter.conductivity(meat, LAWS, 20.0, "parallel")) == pytest.approx(high, abs=0.01)
