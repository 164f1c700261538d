"""Nordin, J. Inst. Can. Technol. Aliment. 2 (1969) 79, nitrite in ham (from memory).

Remembered twice: as an equation, and as "the rate doubles per 12.2 C or per 0.86 pH less".
"""

from __future__ import annotations

import pytest
from pytest import approx

from ingle.crafts.cure import laws
from ingle.physics import nitrite_loss

DAY = 86400.0


def half_life_d(celsius, ph):
    return float(nitrite_loss.half_life(celsius + 273.15, ph, laws.nitrite_half_life())) / DAY


def test_doubles_per_12_kelvin():
    """Half of the last figure of the slope, 0.0245 to 0.0255, is 11.8 to 12.3 K."""
    assert half_life_d(4.0, 5.6) / half_life_d(4.0 + 12.2, 5.6) == approx(2.0, rel=0.0005 * 12.2 * 2.302585)


def test_doubles_per_0_86_ph():
    """Half of the last figure of 0.35 moves the factor by 1 %."""
    assert half_life_d(4.0, 5.3 + 0.86) / half_life_d(4.0, 5.3) == approx(2.0, rel=0.005 * 0.86 * 2.302585)


@pytest.mark.parametrize(("ph", "days"), [(5.6, (13.5, 9.5, 5.4)), (5.8, (15.8, 11.2, 6.3)), (6.2, (21.9, 15.5, 8.7))])
def test_arithmetic_days(ph, days):
    """Worked from the equation at 4, 10 and 20 C: half of the last figure."""
    assert [half_life_d(t, ph) for t in (4.0, 10.0, 20.0)] == approx(days, abs=0.05)


def test_arithmetic_331_hours_at_5_c_and_ph_5_7():
    law = laws.nitrite_half_life()
    assert 24 * half_life_d(5.0, 5.7) == approx(331, abs=0.5)
    assert nitrite_loss.loss_rate(278.15, 5.7, law) == approx(5.8e-7, abs=0.05e-7)
