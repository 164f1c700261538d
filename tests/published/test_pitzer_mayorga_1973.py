"""Pitzer and Mayorga, J. Phys. Chem. 77 (1973) 2300: sodium chloride at 25 C, four numbers (from memory).

The form must give the file's independently worked column to its last figure, and the temperature law must come
back to these four at 25 C.
"""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest
from pytest import approx

from ingle.crafts.cure import laws
from ingle.physics import surface_drying as drying
from ingle.physics import water_activity as aw

DATA = Path(__file__).parent / "data" / "water_activity.csv"
LINES = [line for line in DATA.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
ROWS = list(csv.DictReader(LINES))
SALT = [row for row in ROWS if row["kind"] in ("salt", "polynomial", "fish", "aged ham", "bacon") and row["molality"]]
LEAN = [row for row in ROWS if row["kind"] == "lean drying"]
WARM = 298.15  # K, 25 C


def constant(value):
    return (value, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


FORM = replace(
    laws.salt_activity(), debye=constant(0.3915), beta_0=constant(0.0765), beta_1=constant(0.2664),
    c_phi=constant(0.00127), source="Pitzer and Mayorga 1973",
)  # fmt: skip


@pytest.mark.parametrize("row", SALT, ids=lambda row: row["id"])
def test_the_form(row):
    """1e-5: the last printed figure; the five figures of the molality move it by less than half of that."""
    found = aw.of_salt(float(row["molality"]) * FORM.molar_mass, WARM, FORM)
    assert found == approx(float(row["aw_computed"]), abs=1.0e-5)


@pytest.mark.parametrize("row", SALT, ids=lambda row: row["id"])
def test_the_temperature_law_comes_back_to_it_at_25_c(row):
    """0.0005: half of the third figure of aw."""
    found = aw.of_salt(float(row["molality"]) * FORM.molar_mass, WARM, laws.salt_activity())
    assert found == approx(float(row["aw_computed"]), abs=0.0005)


@pytest.mark.parametrize("row", LEAN, ids=lambda row: row["id"])
def test_arithmetic_drying_lean(row):
    """Worked rows, no outside source: lean of 73 % water, salted and dried."""
    salt, loss = float(row["green_salt_percent"]) / 100, float(row["loss_percent"]) / 100
    after = drying.water_activity_after(loss, 0.73, salt, WARM, FORM, laws.meat_base())
    assert after == approx(float(row["aw_computed"]), abs=1.0e-5)
    water, mass = 0.73 - loss, 1.0 + salt - loss
    assert 100 * water / mass == approx(float(row["water_g_per_100g_product"]), rel=5e-5)
    assert 100 * salt / mass == approx(float(row["salt_g_per_100g_product"]), rel=5e-5)
    back = drying.loss_for(float(after), 0.73, salt, WARM, FORM, laws.meat_base())
    assert back == approx(loss, abs=1e-9)
