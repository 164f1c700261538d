"""USDA National Nutrient Database SR26: dry matter and fat balances on its rows.

Tomato to paste, Pearson square of pork loin (10024) and back fat (10004), heavy cream (01053).
"""

import pytest

from ingle.crafts import butter, sauce


def test_lean_and_back_fat_to_a_quarter_fat():
    mix = butter.standardise(25.0, 5.66, 88.69, mix_g=100.0)
    assert (mix.first_g, mix.second_g) == (pytest.approx(76.7, abs=0.05), pytest.approx(23.3, abs=0.05))


def test_plasma_of_heavy_cream_carries_its_solids_over():
    made = butter.churn(1000.0, 0.37)
    solids = (2.05 + 2.79 + 0.45) / 100 * 1000.0  # protein, carbohydrate, ash of 1000 g
    buttermilk_solids = made.buttermilk_g * (1 - made.fat_per_buttermilk - made.water_per_buttermilk)
    assert made.butter_g * made.snf_per_butter + buttermilk_solids == pytest.approx(solids, rel=0.002)


def test_paste_from_tomatoes():
    """SR26: raw tomato 94.52 % water (11529), paste 73.5 % (11546)."""
    left = sauce.boil_down(1000.0, 1 - 0.9452, 1 - 0.735)
    assert left.left_g == pytest.approx(54.8 / 0.265, abs=0.01)
