"""What leaves a drying face, when the face dries faster than the inside can follow, and how far to dry.

Relative humidity and water activity are shares of 1 throughout.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics import water_activity as aw
from ingle.physics.ranges import require_within
from ingle.physics.rootfind import find_root

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class VapourLaw:
    """Saturation pressure of water by the ten numbers of the industrial steam formulation."""

    n: tuple[float, ...]  # n1 ... n10, for T in K
    scale: float  # what the formula's pressure is counted in [Pa]
    valid: tuple[float, float]  # [K]
    source: str
    sure: str


@dataclass(frozen=True)
class AirLaw:
    """Air as it carries heat and vapour."""

    pressure: float  # [Pa]
    gas_constant: float  # of dry air [J/kg/K]
    vapour_gas_constant: float  # [J/kg/K]
    specific_heat: float  # [J/kg/K]
    lewis: float  # thermal over vapour diffusivity [1]
    valid: tuple[float, float]  # [K]
    most_transfer: float  # highest heat transfer coefficient taken [W/m2/K]
    source: str
    sure: str


@dataclass(frozen=True)
class HardeningRule:
    """How far below the surface's water activity the humidity may stand."""

    near: float  # still gentle [1]
    far: float  # a crust is to be expected from here on [1]
    source: str
    sure: str


def saturation_pressure(temperature: ArrayLike, law: VapourLaw) -> Floats:
    """Pressure of water vapour over pure water. [K -> Pa], any shape.

    Raises OutOfRange outside ``law.valid``; over ice it is another curve.

    References
    ----------
    IAPWS-IF97, region 4, equation 30.
    """
    T = require_within(temperature, law.valid, "temperature", "K", law.source)
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = law.n
    x = T + n9 / (T - n10)
    A, B, C = x**2 + n1 * x + n2, n3 * x**2 + n4 * x + n5, n6 * x**2 + n7 * x + n8
    return law.scale * (2.0 * C / (np.sqrt(B**2 - 4.0 * A * C) - B)) ** 4


def mass_transfer_coefficient(heat_transfer: ArrayLike, temperature: ArrayLike, air: AirLaw) -> Floats:
    """Speed at which vapour crosses the still layer of air, from the heat that does.

    Parameters
    ----------
    heat_transfer : array_like, shape (...)
        By convection alone: radiation carries no vapour. [W/m2/K]
    temperature : array_like, broadcast
        Of the layer of air. [K]
    air : AirLaw

    Returns
    -------
    ndarray, shape (...)
        k = h/(rho c Le^(2/3)). [m/s]

    Raises
    ------
    OutOfRange
        Transfer below 0 or above ``air.most_transfer``, temperature outside ``air.valid``.

    Notes
    -----
    Lewis's relation in the form of Chilton and Colburn, about 9 % more than with Le = 1.
    """
    h = require_within(heat_transfer, (0.0, air.most_transfer), "heat transfer", "W/m2K", air.source)
    T = require_within(temperature, air.valid, "temperature", "K", air.source)
    rho = air.pressure / (air.gas_constant * T)
    return h / (rho * air.specific_heat * air.lewis ** (2.0 / 3.0))


def drying_flux(
    water_activity: ArrayLike,
    surface_temperature: ArrayLike,
    relative_humidity: ArrayLike,
    air_temperature: ArrayLike,
    heat_transfer: ArrayLike,
    vapour: VapourLaw,
    air: AirLaw,
) -> Floats:
    """Water leaving a face; negative where the air wets it.

    Parameters
    ----------
    water_activity : array_like, shape (...)
        Of the surface. [1]
    surface_temperature, air_temperature : array_like, broadcast
        [K]
    relative_humidity : array_like, broadcast
        Of the air at its own temperature. [1]
    heat_transfer : array_like, broadcast
        By convection. [W/m2/K]
    vapour, air : VapourLaw, AirLaw

    Returns
    -------
    ndarray, shape (...)
        k (aw psat(Ts) - RH psat(Ta))/(Rv T), T the mean of both. [kg/m2/s]

    Raises
    ------
    OutOfRange
        Water activity or humidity outside 0 to 1, others outside their laws.

    Notes
    -----
    Vapour goes where its pressure is lower, not its density: with two temperatures the density would count
    the warmth of the air as dryness, 5 % too much at a wet bulb.
    """
    a = require_within(water_activity, (0.0, 1.0), "water activity", "")
    RH = require_within(relative_humidity, (0.0, 1.0), "relative humidity", "")
    Ts, Ta = np.asarray(surface_temperature, float), np.asarray(air_temperature, float)
    T = 0.5 * (Ts + Ta)
    k = mass_transfer_coefficient(heat_transfer, T, air)
    pull = a * saturation_pressure(Ts, vapour) - RH * saturation_pressure(Ta, vapour)
    return k * pull / (air.vapour_gas_constant * T)


def hardening(water_activity: ArrayLike, relative_humidity: ArrayLike, rule: HardeningRule) -> Floats:
    """How near the face is to drying shut: 0 up to ``rule.near`` below its water activity, 1 from ``rule.far``.

    A straight line between; 0 also where the air is moister than the face. The humidity is that at the
    temperature of the face. Not a chance and not a rate: a place on the trade's own scale. [1]
    """
    a = require_within(water_activity, (0.0, 1.0), "water activity", "")
    RH = require_within(relative_humidity, (0.0, 1.0), "relative humidity", "")
    return np.clip((a - RH - rule.near) / (rule.far - rule.near), 0.0, 1.0)


def humidity_band(water_activity: ArrayLike, rule: HardeningRule) -> tuple[Floats, Floats]:
    """Lowest and highest relative humidity that dry a face gently: ``far`` to ``near`` below its aw. [1]"""
    a = require_within(water_activity, (0.0, 1.0), "water activity", "")
    return np.maximum(a - rule.far, 0.0), np.maximum(a - rule.near, 0.0)


def water_activity_after(
    loss: ArrayLike,
    water: float,
    salt: float,
    temperature: float,
    salt_law: aw.PitzerLaw,
    base: aw.MeatBase,
    *,
    lean: float = 1.0,
) -> Floats:
    """Water activity of the lean after a weight loss, salt and water even all through.

    Parameters
    ----------
    loss : array_like, shape (...)
        Water lost per green weight of the piece. [kg/kg]
    water : float
        Water per green lean. [kg/kg]
    salt : float
        Salt taken up per green weight of the piece; all of it is counted to the lean. [kg/kg]
    temperature : float
        At which the water activity is asked. [K]
    salt_law, base : PitzerLaw, MeatBase
    lean : float
        Lean per green weight; the rest is fat and rind, which lose and take nothing here. [kg/kg]

    Returns
    -------
    ndarray, shape (...)
        [1]

    Raises
    ------
    OutOfRange
        More loss than the laws carry: the salt would crystallise, or protein would hold the last water.
    """
    w0 = float(require_within(water, (0.01, 0.99), "water per green lean", "kg/kg"))
    share = float(require_within(lean, (0.01, 1.0), "lean per green weight", "kg/kg"))
    s = float(require_within(salt, (0.0, 1.0), "salt per green weight", "kg/kg")) / share
    most = share * _most_loss(w0, s, temperature, salt_law, base)
    lost = require_within(loss, (0.0, most), "weight loss", "kg/kg", "salt dissolved, water not bound by protein")
    dry = 1.0 - w0
    left = np.maximum(w0 - lost / share, w0 - most / share)
    return aw.of_lean(left, s, dry, temperature, salt_law, base, fresh=w0 / dry)


def loss_for(
    wanted: float,
    water: float,
    salt: float,
    temperature: float,
    salt_law: aw.PitzerLaw,
    base: aw.MeatBase,
    *,
    lean: float = 1.0,
) -> float:
    """Weight loss per green weight at which the lean reaches a wished water activity. [kg/kg]

    The inverse of `water_activity_after`, same arguments; 0 where it is there already.

    Raises
    ------
    OutOfRange
        The laws do not carry that far; the error tells the water activity at their end.
    """
    want = float(require_within(wanted, (0.0, 1.0), "water activity", ""))
    share = float(require_within(lean, (0.01, 1.0), "lean per green weight", "kg/kg"))

    def after(loss: Floats) -> Floats:
        return water_activity_after(loss, water, salt, temperature, salt_law, base, lean=lean)

    if float(after(np.asarray(0.0))) <= want:
        return 0.0
    most = share * _most_loss(float(water), float(salt) / share, temperature, salt_law, base)
    end = float(after(np.asarray(most)))
    if want < end:
        raise OutOfRange(
            f"water activity {want:.3f} lies beyond what can be told from weight: a loss of {100 * most:.0f} % "
            f"gives {end:.3f}, and there the laws end.",
            field="water_activity", value=want, limit=end,
            remedy="Take more salt, or measure the water activity itself.",
        )  # fmt: skip
    return float(find_root(lambda x: after(np.clip(x, 0.0, most)) - want, np.array([0.0]), np.array([most]))[0])


def _most_loss(w0: float, s: float, temperature: float, salt_law: aw.PitzerLaw, base: aw.MeatBase) -> float:
    """Loss per green lean at which the salt saturates, or the water falls to what protein binds. [kg/kg]"""
    least = max(base.least_water_per_dry * (1.0 - w0), s / float(aw.saturated(temperature, salt_law)))
    if least >= w0:
        raise OutOfRange(
            f"{w0:.3g} kg water and {s:.3g} kg salt per kg lean are outside what the laws carry: "
            f"at least {least:.3g} kg water is needed.",
            field="water_per_green_lean", value=w0, limit=least, remedy="Give the lean's own water and less salt.",
        )  # fmt: skip
    return w0 - least * (1.0 + 1e-12)
