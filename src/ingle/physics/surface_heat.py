"""Heat into a face: from the air, from the walls, and what the vapour that leaves or settles carries.

    q = h a(n) (Ta - Ts) + e sigma (Tw^4 - Ts^4) - w n L(Ts)
    n = h (Ra/Rv) / (cp Le^(2/3)) ln((p - pv) / (p - aw psat(Ts)))

n is the vapour that leaves each wet m2 (negative: it condenses and warms the face), by Lewis's relation between heat and
vapour and Stefan's flow: where vapour is a good part of the air it carries the rest away with it. The same wind thins
the heat that arrives, a(n) = x/(e^x - 1) with x = w n cpv/h (Ackermann). For a wet bulb in still dry air both are small and the
form becomes the usual h_m (aw rho_sat - rho).

With Lewis number 1 and no radiation the face comes to rest at the thermodynamic wet bulb of the air, whatever h.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.units import ZERO_CELSIUS_K
from ingle.physics import humid_air
from ingle.physics.humid_air import MoistAirLaw
from ingle.physics.ranges import require_within
from ingle.physics.rootfind import find_root

Floats = NDArray[np.float64]

STEFAN_BOLTZMANN = 5.670374419e-8  # W/m2/K4, CODATA 2018, exact by the SI of 2019
_MOST_VAPOUR = 0.98  # of the air, at a wet face: beyond, the logarithm goes on as its tangent, so that a march can step back
_COLDEST = 60.0  # below 0 degC: no face rests colder than this
_DEW = 105.0  # [degC] above any dew point at the pressures of the law
_CONTINUED = 120.0  # [degC] from there on the pressure over water runs on straight: no wet face is that hot


@dataclass(frozen=True)
class TransferLaw:
    """Vapour by the way of heat, and radiation."""

    lewis: float  # thermal over vapour diffusivity [1]
    emissivity: float  # when none is given [1]
    most_film: float  # highest film coefficient taken [W/m2/K]
    source: str
    sure: str


@dataclass(frozen=True)
class Around:
    """What is around a face. Numbers or arrays over members (M,); all broadcast with the temperature of the face.

    ``convection`` leaves radiation out. ``wet`` is the share of the face that can give or take vapour: 0 under wrap, in a bag
    or in a liquid. ``humidity`` is the humidity ratio of the air.
    """

    air_c: ArrayLike  # [degC]
    convection: ArrayLike  # [W/m2/K]
    humidity: ArrayLike = 0.0  # kg vapour per kg dry air
    wall_c: ArrayLike | None = None  # None: as the air [degC]
    emissivity: ArrayLike | None = None  # None: the law's; 0 in a liquid
    wet: ArrayLike = 1.0
    pressure: ArrayLike | None = None  # None: the law's [Pa]


@dataclass(frozen=True)
class Flux:
    """Into the face at its temperature, and how both change with it. Arrays of one shape."""

    heat: Floats  # into the face, all told [W/m2]
    slope: Floats  # of the heat with the temperature of the face, at most 0 [W/m2/K]
    evaporation: Floats  # water that leaves; negative where it condenses [kg/m2/s]
    evaporation_slope: Floats  # [kg/m2/s/K]


def flux(
    surface_c: ArrayLike, around: Around, air: MoistAirLaw, law: TransferLaw, water_activity: ArrayLike = 1.0
) -> Flux:
    """Heat and vapour at a face, with their slopes for implicit marching.

    Parameters
    ----------
    surface_c : array_like, shape (...)
        Temperature of the face. [degC]
    around : Around
        Broadcasts with it.
    air, law : MoistAirLaw, TransferLaw
    water_activity : array_like, broadcast
        Of the face; falls as a crust dries. [1]

    Returns
    -------
    Flux, arrays of the broadcast shape.

    Raises
    ------
    OutOfRange
        Convection below 0 or above the law; emissivity, wet share or water activity outside 0 to 1; air outside its law.

    Notes
    -----
    Where the vapour of the face comes to 98 % of the pressure of the air the logarithm runs on as its tangent: the face of a
    body that holds water does not stay there. Latent heat is that at the face.
    """
    Ts = require_within(surface_c, (-_COLDEST, 350.0), "surface temperature", "C", "the laws of vapour")
    h = require_within(around.convection, (0.0, law.most_film), "convection", "W/m2K", law.source)
    Ta = require_within(around.air_c, air.valid, "air temperature", "C", air.source)
    wet = require_within(around.wet, (0.0, 1.0), "wet share", "")
    aw = require_within(water_activity, (0.0, 1.0), "water activity", "")
    radiated, radiated_slope = _radiation(Ts, Ta, around, law)
    if not wet.any():
        shape = np.broadcast_shapes(Ts.shape, h.shape, Ta.shape, radiated.shape, aw.shape, wet.shape)
        zero = np.zeros(shape)
        heat = np.broadcast_to(h * (Ta - Ts) + radiated, shape)
        return Flux(heat, np.broadcast_to(radiated_slope - h, shape), zero, zero)
    n, dn = _vapour(Ts, h, aw, wet, around, air, law)
    heat, slope = _arriving(Ts, Ta, h, n, dn, air)
    latent, dlatent = _latent(Ts, air)
    heat = heat + radiated - latent * n
    slope = slope + radiated_slope - latent * dn - dlatent * n
    return Flux(*(np.asarray(v) for v in np.broadcast_arrays(heat, slope, n, dn)))


def effective_film(found: Flux, surface_c: ArrayLike) -> tuple[Floats, Floats]:
    """The film coefficient [W/m2/K] and the temperature [degC] of a plain film that does the same to first order.

    q = h_e (T_e - Ts), h_e = -slope and T_e = Ts + q/h_e. Where nothing changes with the face, h_e is 0 and T_e not a number.
    """
    h = -found.slope
    with np.errstate(divide="ignore", invalid="ignore"):
        return h, np.asarray(np.asarray(surface_c, float) + found.heat / h)


def resting_temperature(around: Around, air: MoistAirLaw, law: TransferLaw, water_activity: ArrayLike = 1.0) -> Floats:
    """Where a face that passes no heat inwards comes to rest: the wet bulb, raised by radiation. [degC]

    Shape of what is around. Raises OutOfRange as `flux`.
    """
    Ta, humid = np.asarray(around.air_c, float), np.asarray(around.humidity, float)
    wall = Ta if around.wall_c is None else np.asarray(around.wall_c, float)
    shape = np.broadcast_shapes(
        Ta.shape, humid.shape, wall.shape, np.shape(around.convection), np.shape(around.wet), np.shape(water_activity)
    )
    hottest = np.maximum(np.maximum(Ta, wall), _DEW)  # humid air warms a face up to its dew point, whatever its own warmth
    high = np.broadcast_to(hottest, shape)
    return find_root(lambda t: flux(t, around, air, law, water_activity).heat, np.full(shape, -_COLDEST), high)


def _radiation(Ts: Floats, Ta: Floats, around: Around, law: TransferLaw) -> tuple[Floats, Floats]:
    e = require_within(law.emissivity if around.emissivity is None else around.emissivity, (0.0, 1.0), "emissivity", "")
    if not e.any():
        return np.zeros(()), np.zeros(())
    wall = Ta if around.wall_c is None else require_within(around.wall_c, (-60.0, 1000.0), "wall temperature", "C")
    T, W = Ts + ZERO_CELSIUS_K, wall + ZERO_CELSIUS_K
    return np.asarray(e * STEFAN_BOLTZMANN * (W**4 - T**4)), np.asarray(-4.0 * e * STEFAN_BOLTZMANN * T**3)


def _vapour(
    Ts: Floats, h: Floats, aw: Floats, wet: Floats, around: Around, air: MoistAirLaw, law: TransferLaw
) -> tuple[Floats, Floats]:
    """Vapour that leaves per m2 of face, and its slope. [kg/m2/s, kg/m2/s/K]"""
    p = np.asarray(air.pressure if around.pressure is None else around.pressure, float)
    there = humid_air.vapour_pressure(around.humidity, air, around.pressure)
    t = np.minimum(Ts, _CONTINUED)
    full, rise = humid_air.saturation_pressure(t, air), humid_air.saturation_slope(t, air)
    x = aw * (full + rise * (Ts - t)) / p
    dx = aw * rise / p
    near = np.minimum(x, _MOST_VAPOUR)
    log = -np.log1p(-near) + (x - near) / (1.0 - _MOST_VAPOUR) + np.log1p(-there / p)
    humid = np.asarray(around.humidity, float)
    specific = (air.specific_heat + humid * air.vapour_specific_heat) * (
        air.gas_constant / (air.gas_constant + humid * air.vapour_gas_constant)
    )  # per mole of the air that arrives, over the molar mass of dry air
    g = wet * h * (air.gas_constant / air.vapour_gas_constant) / (specific * law.lewis ** (2.0 / 3.0))
    return np.asarray(g * log), np.asarray(g * dx / (1.0 - near))


def _arriving(Ts: Floats, Ta: Floats, h: Floats, n: Floats, dn: Floats, air: MoistAirLaw) -> tuple[Floats, Floats]:
    """Heat from the air against the vapour that leaves, and its slope. [W/m2, W/m2/K]"""
    x = np.clip(n * air.vapour_specific_heat / np.where(h > 0.0, h, 1.0), -20.0, 20.0)
    small = np.abs(x) < 1e-4
    safe = np.where(small, 1.0, x)
    e = np.expm1(safe)
    a = np.where(small, 1.0 - x / 2.0 + x * x / 12.0, safe / e)
    da = np.where(small, -0.5 + x / 6.0, (e - safe * (e + 1.0)) / (e * e))
    gap = Ta - Ts
    return h * a * gap, da * dn * air.vapour_specific_heat * gap - h * a


def _latent(Ts: Floats, air: MoistAirLaw) -> tuple[Floats, Floats]:
    """Latent heat at the face and its slope. [J/kg, J/kg/K]"""
    t = np.clip(Ts, air.valid[0], 150.0)
    inside = t == Ts
    liquid = np.where(t < 0.0, air.ice_specific_heat, air.water_specific_heat)
    return humid_air.latent_heat(t, air), np.where(inside, air.vapour_specific_heat - liquid, 0.0)
