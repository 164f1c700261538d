"""Poradnik fizykochemiczny, WNT 1974: density and grams per litre of sodium chloride at 20 degC."""

import pytest

from ingle.crafts import brine


@pytest.mark.parametrize(
    ("percent", "density", "g_per_l"),
    [
        (6, 1041.3, 62.478),
        (8, 1055.9, 84.472),
        (10, 1070.7, 107.07),
        (20, 1147.8, 229.56),
        (26, 1197.2, 311.272),
    ],
)
def test_density_and_grams_per_litre(percent, density, g_per_l):
    made = brine.brine_of_volume(1.0, percent / 100)
    assert made.density_kg_per_m3 == pytest.approx(density, abs=0.05)  # last printed digit
    assert made.salt_g_per_l == pytest.approx(g_per_l, abs=0.01)
    assert brine.strength_from_density(density) == pytest.approx(percent / 100, abs=1e-6)


def test_one_litre_of_a_tenth_brine_is_made_up_from_111_g_and_1000_g():
    made = brine.salt_for(1000.0, 0.10)
    assert made.salt_g == pytest.approx(111.1, abs=0.1)
    assert made.volume_l == pytest.approx(1.038, abs=0.0005)  # 1111.1 g over the table's 1.0707
