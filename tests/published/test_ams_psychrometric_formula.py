"""Glossary of Meteorology (American Meteorological Society), psychrometric formula: 6.60e-4 per kelvin (quoted).

A wet bulb is a drying face of aw 1 at rest: the heat that flows in is the heat its vapour carries off. So the
published coefficient judges heat and vapour transfer together, whatever the wind.
"""

from __future__ import annotations

import pytest
from pytest import approx

from ingle.crafts.cure import laws
from ingle.physics.surface_drying import drying_flux, saturation_pressure

LATENT = 2.466e6  # J/kg at 15 C, steam tables


def coefficient(wet, dry, h):
    def flux(humidity):
        return float(drying_flux(1.0, wet, humidity, dry, h, laws.vapour(), laws.air()))

    at_zero, at_one = flux(0.0), flux(1.0)
    humidity = (at_zero - h * (dry - wet) / LATENT) / (at_zero - at_one)  # the flux is a straight line in it
    gap = saturation_pressure(wet, laws.vapour()) - humidity * saturation_pressure(dry, laws.vapour())
    return float(gap) / (101325.0 * (dry - wet))


@pytest.mark.parametrize(("wet_c", "dry_c"), [(8, 12), (12, 20), (16, 18), (15, 30)])
@pytest.mark.parametrize("h", [5.0, 60.0])
def test_wet_bulb(wet_c, dry_c, h):
    """12 %: Lewis's relation with Le = 1 and Chilton and Colburn's differ by 9 %, and a bulb also takes in
    radiation, which counts as heat but brings no vapour; so the computed one must be the lower.
    """
    found = coefficient(wet_c + 273.15, dry_c + 273.15, h)
    assert found == approx(6.60e-4, rel=0.12)
    assert found < 6.60e-4
