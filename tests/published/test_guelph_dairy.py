"""University of Guelph, Dairy Science and Technology e-book.

Standardization problems 1 and 2, butter example, composition overrun.
"""

import pytest

from ingle.crafts import butter


def test_problem_1_skim_to_thin_cream():
    mix = butter.standardise(0.32, 0.40, 0.0, first_g=160_000.0)
    assert mix.second_g == pytest.approx(40_000.0, abs=0.5)


def test_problem_2_cream_into_milk():
    mix = butter.standardise(0.10, 0.35, 0.04, second_g=500_000.0)
    assert mix.first_g == pytest.approx(120_000.0, abs=0.5)
    assert mix.mix_g == pytest.approx(620_000.0, abs=0.5)
    assert mix.first_g / mix.second_g == pytest.approx(6 / 25)


def test_butter_of_the_example():
    made = butter.churn(8900.0, 0.40, fat_per_butter=0.815, fat_per_buttermilk=0.003)
    assert made.butter_g == pytest.approx(4350.0, abs=5.0)  # printed 4.35 kg


def test_composition_overrun_is_what_is_not_fat_over_fat():
    made = butter.churn(8900.0, 0.40, fat_per_butter=0.815, fat_per_buttermilk=0.003)
    assert 100 * made.overrun == pytest.approx(22.7, abs=0.05)  # (100 - 81.5) / 81.5
