"""Moist air: vapour pressure, humidity by what is known of it, dew point, wet bulb, volume, enthalpy.

Air and vapour are taken as ideal gases, with constant specific heats; what that costs stands in the law's ``doubt``.
Temperatures are in degC. Humidity ratio is kg vapour per kg dry air, relative humidity a share of 1, against ice below
0 degC. ``pressure`` [Pa] is that of the air; the law's when not given. Arrays broadcast.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.ground.units import ZERO_CELSIUS_K
from ingle.physics.ranges import require_within
from ingle.physics.rootfind import find_root
from ingle.physics.saturation import MoistAirLaw, SublimationLaw, saturation_pressure, saturation_slope

__all__ = [
    "MoistAirLaw", "SublimationLaw", "density", "dew_point", "enthalpy", "humidity_ratio", "latent_heat", "ratio_at_dew_point",
    "ratio_at_wet_bulb", "ratio_of_pressure", "relative_humidity", "saturation_pressure", "saturation_slope", "specific_volume",
    "vapour_pressure", "wet_bulb",
]  # fmt: skip

Floats = NDArray[np.float64]

_NEAR_BOILING = 1.0 - 1e-9  # of the pressure of the air: from there on there is vapour only


def latent_heat(celsius: ArrayLike, law: MoistAirLaw) -> Floats:
    """Heat that a kg of water takes up when it leaves as vapour; below 0 degC it leaves as ice. [J/kg]

    The enthalpy of the vapour less that of the water, as `enthalpy` and `wet_bulb` count them: within 0.6 % of the steam
    tables to 100 degC, 2 % high at 150.
    """
    t = _celsius(celsius, law)
    return law.latent + law.vapour_specific_heat * t - _liquid(t, law)


def humidity_ratio(celsius: ArrayLike, relative_humidity: ArrayLike, law: MoistAirLaw, pressure: ArrayLike | None = None) -> Floats:
    """Humidity ratio from relative humidity. [1]

    Raises
    ------
    OutOfRange
        Humidity outside 0 to 1, temperature or pressure outside the law, or more vapour than the pressure of the air.
    """
    t = _celsius(celsius, law)
    share = require_within(relative_humidity, (0.0, 1.0), "relative humidity", "")
    return ratio_of_pressure(share * saturation_pressure(t, law), law, pressure)


def ratio_of_pressure(vapour_pressure: ArrayLike, law: MoistAirLaw, pressure: ArrayLike | None = None) -> Floats:
    """Humidity ratio of a vapour pressure [Pa]; it must lie below that of the air. [1]"""
    p = _pressure(pressure, law)
    part = np.asarray(vapour_pressure, float)
    if (part < 0.0).any() or (part >= _NEAR_BOILING * p).any() or np.isnan(part).any():
        worst = float(np.nanmax(part)) if part.size else float("nan")
        raise OutOfRange(
            f"vapour pressure {worst:.6g} Pa is not between 0 and that of the air, {float(np.min(p)):.6g} Pa.",
            field="vapour_pressure", value=worst, limit=float(np.min(p)),
            remedy="Above 100 C give the humidity as a ratio, a wet bulb or a dew point.",
        )  # fmt: skip
    return law.gas_constant / law.vapour_gas_constant * part / (p - part)


def vapour_pressure(ratio: ArrayLike, law: MoistAirLaw, pressure: ArrayLike | None = None) -> Floats:
    """Vapour pressure of a humidity ratio. [Pa]"""
    w, p = _ratio(ratio), _pressure(pressure, law)
    return p * w / (w + law.gas_constant / law.vapour_gas_constant)


def relative_humidity(celsius: ArrayLike, ratio: ArrayLike, law: MoistAirLaw, pressure: ArrayLike | None = None) -> Floats:
    """Relative humidity, above 1 where the air is over-saturated. [1]"""
    return vapour_pressure(ratio, law, pressure) / saturation_pressure(_celsius(celsius, law), law)


def ratio_at_dew_point(dew_point_c: ArrayLike, law: MoistAirLaw, pressure: ArrayLike | None = None) -> Floats:
    """Humidity ratio from the dew point, below 0 degC the frost point. [1]"""
    return ratio_of_pressure(saturation_pressure(_celsius(dew_point_c, law), law), law, pressure)


def dew_point(ratio: ArrayLike, law: MoistAirLaw, pressure: ArrayLike | None = None) -> Floats:
    """Temperature at which the air would be saturated; below 0 degC the frost point. [degC]

    Raises
    ------
    OutOfRange
        Air so dry that the dew point lies below the law of ice.
    """
    part = vapour_pressure(ratio, law, pressure)
    lowest = law.ice.valid[0] - ZERO_CELSIUS_K
    least = float(saturation_pressure(lowest, law))
    require_within(part, (least, np.inf), "vapour pressure", "Pa", f"dew point above {lowest:g} C, {law.ice.source}")
    low, high = np.full(part.shape, lowest), np.full(part.shape, law.water.valid[1] - ZERO_CELSIUS_K)
    return find_root(lambda t: np.log(saturation_pressure(t, law) / part), low, high)


def ratio_at_wet_bulb(
    celsius: ArrayLike, wet_bulb_c: ArrayLike, law: MoistAirLaw, pressure: ArrayLike | None = None
) -> Floats:
    """Humidity ratio from dry and wet bulb. [1]

    Raises
    ------
    OutOfRange
        A wet bulb above the dry one, or so far below it that even dry air would not bring it there.
    """
    t, wet = np.broadcast_arrays(_celsius(celsius, law), _celsius(wet_bulb_c, law))
    if (wet > t).any():
        at = np.argmax(wet - t)
        raise OutOfRange(
            f"wet bulb {wet.flat[at]:.6g} C is above the dry bulb {t.flat[at]:.6g} C.", field="wet_bulb",
            value=float(wet.flat[at]), limit=float(t.flat[at]), remedy="Exchange the two, or wet the wick anew.",
        )  # fmt: skip
    full, liquid = ratio_at_dew_point(wet, law, pressure), _liquid(wet, law)
    h_vapour = law.latent + law.vapour_specific_heat * t
    ratio = (full * (law.latent + law.vapour_specific_heat * wet - liquid) - law.specific_heat * (t - wet)) / (h_vapour - liquid)
    if (ratio < 0.0).any():
        at = np.argmin(ratio)
        least = float(wet_bulb(t.flat[at], 0.0, law, pressure if pressure is None else np.min(pressure)))
        raise OutOfRange(
            f"wet bulb {wet.flat[at]:.6g} C at {t.flat[at]:.6g} C is below {least:.3g} C, that of dry air.",
            field="wet_bulb", value=float(wet.flat[at]), limit=least, remedy="Look whether the two readings were exchanged or are in degF.",
        )  # fmt: skip
    return np.asarray(ratio)


def wet_bulb(celsius: ArrayLike, ratio: ArrayLike, law: MoistAirLaw, pressure: ArrayLike | None = None) -> Floats:
    """Thermodynamic wet bulb: where air that is brought to saturation with water of that temperature would end. [degC]

    Where a wet and a frozen bulb are both possible (close to 0 degC) the wet one is told. Over-saturated air is refused.
    """
    t, w, p = np.broadcast_arrays(_celsius(celsius, law), _ratio(ratio), _pressure(pressure, law))
    require_within(_free_humidity(t, w, law, p), (0.0, 1.0 + 1e-9), "relative humidity", "", "air can hold no more")

    def surplus(wet: Floats) -> Floats:
        """Enthalpy that is left over if the bulb were at ``wet``, times the pressure of the air beside the vapour."""
        part = saturation_pressure(wet, law)
        full, beside = law.gas_constant / law.vapour_gas_constant * part, p - part
        lost = law.specific_heat * (t - wet) + w * law.vapour_specific_heat * (t - wet)
        return lost * beside - (full - w * beside) * (law.latent + law.vapour_specific_heat * wet - _liquid(wet, law))

    zero = np.zeros(t.shape)
    thaws = (t >= 0.0) & (surplus(zero) >= 0.0)
    low = np.where(thaws, 0.0, law.ice.valid[0] - ZERO_CELSIUS_K)
    boils = _boiling(p, law)
    high = np.where(thaws, np.minimum(t, boils), np.minimum(t, -1e-9))
    return find_root(surplus, low, high)


def specific_volume(celsius: ArrayLike, ratio: ArrayLike, law: MoistAirLaw, pressure: ArrayLike | None = None) -> Floats:
    """Volume of moist air per kg of dry air. [m3/kg]"""
    T = _celsius(celsius, law) + ZERO_CELSIUS_K
    return np.asarray((law.gas_constant + _ratio(ratio) * law.vapour_gas_constant) * T / _pressure(pressure, law))


def density(celsius: ArrayLike, ratio: ArrayLike, law: MoistAirLaw, pressure: ArrayLike | None = None) -> Floats:
    """Mass of moist air, vapour counted in, per volume. [kg/m3]"""
    return np.asarray((1.0 + _ratio(ratio)) / specific_volume(celsius, ratio, law, pressure))


def enthalpy(celsius: ArrayLike, ratio: ArrayLike, law: MoistAirLaw) -> Floats:
    """Heat content of moist air per kg of dry air, above dry air and liquid water at 0 degC. [J/kg]"""
    t = _celsius(celsius, law)
    return np.asarray(law.specific_heat * t + _ratio(ratio) * (law.latent + law.vapour_specific_heat * t))


def _celsius(value: ArrayLike, law: MoistAirLaw) -> Floats:
    return require_within(value, law.valid, "temperature", "C", law.source)


def _pressure(value: ArrayLike | None, law: MoistAirLaw) -> Floats:
    if value is None:
        return np.asarray(law.pressure)
    return require_within(value, law.valid_pressure, "pressure", "Pa", law.source)


def _ratio(value: ArrayLike) -> Floats:
    return require_within(value, (0.0, 20.0), "humidity ratio", "kg/kg", "kg vapour per kg dry air")


def _liquid(t: Floats, law: MoistAirLaw) -> Floats:
    """Enthalpy of water, of ice below 0 degC. [J/kg]"""
    return np.where(t < 0.0, law.ice_specific_heat * t - law.fusion, law.water_specific_heat * t)


def _free_humidity(t: Floats, w: Floats, law: MoistAirLaw, p: Floats) -> Floats:
    return np.asarray(p * w / (w + law.gas_constant / law.vapour_gas_constant) / saturation_pressure(t, law))


def _boiling(p: Floats, law: MoistAirLaw) -> Floats:
    """Temperature at which water boils under p. [degC]"""
    low, high = np.zeros(p.shape), np.full(p.shape, 130.0)
    return find_root(lambda t: np.log(saturation_pressure(t, law) / p), low, high)
