"""Robinson and Stokes, Electrolyte Solutions, appendices 8.6 (sucrose) and 8.10 (sodium chloride), 25 C.

The osmotic coefficients are from memory, but for the one at 6 mol/kg (``sure`` of each row). Two tolerances:
0.003 on phi, the distance of the good evaluations of sodium chloride from each other near saturation (1.271 here,
1.274 in the database of the peer test); 0.0005 on aw, half of the third figure, as water activity is measured.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from pytest import approx

from ingle.crafts.cure import laws
from ingle.physics import water_activity as aw

DATA = Path(__file__).parent / "data" / "water_activity.csv"
LINES = [line for line in DATA.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
ROWS = list(csv.DictReader(LINES))
SALT = [row for row in ROWS if row["kind"] == "salt"]
SUCROSE = [row for row in ROWS if row["kind"] == "sucrose"]
WARM = 298.15  # K, 25 C


def test_the_table_is_whole():
    assert (len(SALT), len(SUCROSE)) == (23, 7)


@pytest.mark.parametrize("row", SALT, ids=lambda row: row["id"])
def test_sodium_chloride(row):
    law = laws.salt_activity()
    m = float(row["molality"])
    assert aw.osmotic_coefficient(m, WARM, law) == approx(float(row["phi"]), abs=0.003)
    assert aw.of_salt(m * law.molar_mass, WARM, law) == approx(float(row["aw_printed"]), abs=0.0005)


@pytest.mark.parametrize("row", SALT, ids=lambda row: row["id"])
def test_columns_of_the_table_agree_with_each_other(row):
    """Molality against grams per 100 g water: half of the fifth figure."""
    grams = 100.0 * float(row["molality"]) * laws.salt_activity().molar_mass
    assert float(row["salt_g_per_100g_water"]) == approx(grams, rel=5e-5)


def test_six_molal_is_0_760():
    """Read at second hand: three figures."""
    law = laws.salt_activity()
    assert aw.of_salt(6.0 * law.molar_mass, WARM, law) == approx(0.760, abs=0.0005)


@pytest.mark.parametrize("row", SUCROSE, ids=lambda row: row["id"])
def test_sucrose(row):
    """One constant for half a mole to six: Norrish's form holds to 0.001."""
    law = laws.sugar_activity("sucrose")
    found = aw.of_sugar(float(row["molality"]) * law.molar_mass, law)
    assert found == approx(float(row["aw_printed"]), abs=0.001)
    assert found == approx(float(row["aw_computed"]), abs=1.0e-5)  # last figure, molality rounded likewise
