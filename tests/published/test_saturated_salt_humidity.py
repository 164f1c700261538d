"""Humidity over saturated salt: CRC Handbook, section 15, constant humidity solutions (quoted), and Greenspan,
J. Res. NBS 81A (1977) 89 (from memory).
"""

from __future__ import annotations

import math

import pytest
from pytest import approx

from ingle.crafts.cure import laws
from ingle.ground.tables import csv_table
from ingle.physics import water_activity as aw


def over_crystals(celsius):
    law = laws.salt_activity()
    T = celsius + 273.15
    return 100 * float(aw.of_salt(aw.saturated(T, law), T, law))


@pytest.mark.parametrize("celsius", [10, 15, 20, 25, 30, 35, 40])
def test_crc_69_20_exp_25_over_t(celsius):
    """RH = 69.20 exp(25/T), 10 to 40 C. Half of the last figure of 25 is 0.13 points."""
    T = celsius + 273.15
    assert over_crystals(celsius) == approx(
        69.20 * math.exp(25 / T), abs=69.20 * (math.exp(25.5 / T) - math.exp(25 / T))
    )


@pytest.mark.parametrize(
    ("celsius", "humidity", "uncertainty"),
    [(0, 75.51, 0.34), (5, 75.65, 0.27), (10, 75.67, 0.22), (15, 75.61, 0.18), (20, 75.47, 0.14),
     (25, 75.29, 0.12), (30, 75.09, 0.11), (35, 74.87, 0.12), (40, 74.68, 0.13)],
)  # fmt: skip
def test_greenspan(celsius, humidity, uncertainty):
    """Its own uncertainty, and 0.15 points for the 0.15 g/100 g by which tables of solubility differ."""
    assert over_crystals(celsius) == approx(humidity, abs=uncertainty + 0.15)


@pytest.mark.parametrize(
    "row", csv_table("tables", "salt_institute_nacl_saturation.csv"), ids=lambda row: row["temperature_c"]
)
def test_solubility_is_the_salt_institutes(row):
    """The house's other table, quoted; the two differ by up to 0.2 g per 100 g water."""
    celsius, fraction = float(row["temperature_c"]), float(row["fraction"])
    if celsius > 40:
        with pytest.raises(aw.OutOfRange):
            aw.saturated(celsius + 273.15, laws.salt_activity())
        return
    assert 100 * aw.saturated(celsius + 273.15, laws.salt_activity()) == approx(
        100 * fraction / (1 - fraction), abs=0.2
    )
