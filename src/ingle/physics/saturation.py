"""Pressure of water vapour over water and over ice, with its slope, and the law of the air that holds it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.units import ZERO_CELSIUS_K
from ingle.physics.ranges import require_within
from ingle.physics.surface_drying import VapourLaw
from ingle.physics.surface_drying import saturation_pressure as over_water

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class SublimationLaw:
    """Saturation pressure over ice: ln(p/p0) = (1/x) sum a x^b, x = T/T0."""

    a: tuple[float, float, float]
    b: tuple[float, float, float]
    t0: float  # [K]
    p0: float  # [Pa]
    valid: tuple[float, float]  # [K]
    source: str
    sure: str


@dataclass(frozen=True)
class MoistAirLaw:
    """Air with vapour as ideal gases."""

    water: VapourLaw
    ice: SublimationLaw
    gas_constant: float  # of dry air [J/kg/K]
    vapour_gas_constant: float  # [J/kg/K]
    specific_heat: float  # of dry air [J/kg/K]
    vapour_specific_heat: float  # [J/kg/K]
    latent: float  # of evaporation at 0 degC [J/kg]
    water_specific_heat: float  # [J/kg/K]
    ice_specific_heat: float  # [J/kg/K]
    fusion: float  # at 0 degC [J/kg]
    pressure: float  # when none is given [Pa]
    valid: tuple[float, float]  # [degC]
    valid_pressure: tuple[float, float]  # [Pa]
    source: str
    sure: str


def saturation_pressure(celsius: ArrayLike, law: MoistAirLaw) -> Floats:
    """Pressure of vapour over water, over ice below 0 degC. [degC -> Pa], any shape.

    Raises
    ------
    OutOfRange
        Temperature outside the two laws, about -60 to 350 degC.

    References
    ----------
    IAPWS-IF97 region 4, equation 30; IAPWS R14-08, equation 6.
    """
    t = np.asarray(celsius, float)
    cold = t < 0.0
    told = over_water(np.where(cold, 0.0, t) + ZERO_CELSIUS_K, law.water)
    if not cold.any():
        return told
    return np.where(cold, _over_ice(np.where(cold, t, 0.0), law.ice), told)


def saturation_slope(celsius: ArrayLike, law: MoistAirLaw) -> Floats:
    """Slope of `saturation_pressure` with temperature. [Pa/K]"""
    t = np.asarray(celsius, float)
    cold = t < 0.0
    told = _slope_over_water(np.where(cold, 0.0, t) + ZERO_CELSIUS_K, law.water)
    if not cold.any():
        return told
    x = (np.where(cold, t, 0.0) + ZERO_CELSIUS_K) / law.ice.t0
    power = sum(a * (b - 1.0) * x ** (b - 2.0) for a, b in zip(law.ice.a, law.ice.b, strict=True))
    return np.where(cold, _over_ice(np.where(cold, t, 0.0), law.ice) * power / law.ice.t0, told)


def _over_ice(t: Floats, law: SublimationLaw) -> Floats:
    T = require_within(t + ZERO_CELSIUS_K, law.valid, "temperature", "K", law.source)
    x = T / law.t0
    return np.asarray(law.p0 * np.exp(sum(a * x ** (b - 1.0) for a, b in zip(law.a, law.b, strict=True))))


def _slope_over_water(T: Floats, law: VapourLaw) -> Floats:
    """dp/dT by differentiating the quadratic that pressure^(1/4) and the shifted temperature obey (IF97, equation 29)."""
    n1, n2, n3, n4, n5, n6, n7, _, n9, n10 = law.n
    y = (over_water(T, law) / law.scale) ** 0.25
    x = T + n9 / (T - n10)
    above = 2.0 * x * (y * y + n3 * y + n6) + n1 * y * y + n4 * y + n7
    below = 2.0 * y * (x * x + n1 * x + n2) + n3 * x * x + n4 * x + n5
    return np.asarray(-4.0 * law.scale * y**3 * above / below * (1.0 - n9 / (T - n10) ** 2))
