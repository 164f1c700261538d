"""IAPWS-IF97, industrial formulation for water and steam: region 4, table 35 (verification values, quoted)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pytest import approx

from ingle.crafts.cure import laws
from ingle.ground.errors import OutOfRange
from ingle.physics.surface_drying import saturation_pressure


@pytest.mark.parametrize(("kelvin", "mpa"), [(300, 0.353658941e-2), (500, 0.263889776e1), (600, 0.123443146e2)])
def test_table_35(kelvin, mpa):
    """Nine printed figures; the house's law ends at 100 C, the formulation at the critical point."""
    law = replace(laws.vapour(), valid=(273.15, 647.096))
    assert saturation_pressure(kelvin, law) == approx(mpa * 1e6, rel=5e-9)


def test_triple_point():
    """611.657 Pa at 273.16 K (IAPWS, from memory): half of the last figure."""
    assert saturation_pressure(273.16, laws.vapour()) == approx(611.657, abs=0.0005)


def test_boiling_at_one_atmosphere():
    """99.97 C on the scale of 1990 (steam tables, from memory): 0.005 K is 18 Pa."""
    assert saturation_pressure(273.15 + 99.97, laws.vapour()) == approx(101325, abs=18)


def test_no_quiet_pressure_over_ice():
    with pytest.raises(OutOfRange, match="272"):
        saturation_pressure(272.0, laws.vapour())
