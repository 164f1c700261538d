"""National Bureau of Standards, Circular 440: specific gravity 20/20 of sucrose (from memory of its table).

And ICUMSA: an apparent specific gravity of 1.040 (20/20, in air) is 9.99249 % sucrose by mass.
"""

import pytest

from ingle.crafts import sauce


@pytest.mark.parametrize(
    ("brix", "gravity", "off"),
    [
        (10, 1.0400, 0.0015),
        (20, 1.0829, 0.0015),
        (30, 1.1290, 0.0015),
        (40, 1.1785, 0.0015),
        (50, 1.232, 0.001),
        (65, 1.3189, 0.0015),
    ],
)
def test_specific_gravity(brix, gravity, off):
    assert sauce.specific_gravity(brix) == pytest.approx(gravity, abs=off)
    assert sauce.brix_from_specific_gravity(sauce.specific_gravity(brix)) == pytest.approx(brix, abs=1e-6)


def test_half_sugar_half_water_is_fifty():
    assert sauce.brix(500.0, 500.0) == pytest.approx(50.0)


def test_icumsa_at_an_apparent_gravity_of_1_040():
    water, air = 998.2, 1.2  # kg/m3 at 20 degC
    in_air = (sauce.specific_gravity(9.99249) * water - air) / (water - air)
    assert in_air == pytest.approx(1.0400, abs=5e-6)  # one in the last digit of 9.99249 % is 4e-8; buoyancy 1e-6
