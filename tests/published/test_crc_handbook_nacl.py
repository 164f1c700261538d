"""CRC Handbook of Chemistry and Physics: sodium chloride in water.

Density at 20 degC at 5 % by mass (read at second hand); solubility from memory of the handbook's table.
"""

import pytest

from ingle.crafts import brine


def test_density_between_two_rows_of_our_table():
    assert brine.density(0.05) == pytest.approx(1034.0, abs=0.1)  # last printed digit, 1.0340


@pytest.mark.parametrize(("temperature_c", "percent"), [(0, 26.28), (10, 26.32), (20, 26.41), (25, 26.45), (40, 26.67)])
def test_saturation_agrees_between_two_tables(temperature_c, percent):
    assert 100 * brine.saturation(temperature_c) == pytest.approx(percent, abs=0.1)  # two tables differ by 0.06
