"""What the rind's heat and moisture are given: laws of its matter, and the pieces themselves."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.ground.units import ZERO_CELSIUS_K
from ingle.physics.ranges import require_within
from ingle.physics.surface_drying import AirLaw, VapourLaw

Floats = NDArray[np.float64]
GAS_CONSTANT = 8.314462618  # J/mol/K, CODATA 2018


@dataclass(frozen=True)
class SorptionLaw:
    """Water that collagen holds at a water activity, and the heat by which it is bound beyond that of free water.

    ``activity`` and ``water`` rise together from 0. Between nodes straight lines; beyond the last the water is as at the last.
    """

    activity: tuple[float, ...]  # [1]
    water: tuple[float, ...]  # per dry protein, at ``t_ref`` [kg/kg]
    excess: tuple[float, ...]  # heat of binding beyond that of evaporation at the same nodes [J/mol]
    t_ref: float  # [degC]
    t_most: float  # above it the shift with temperature is held [degC]
    source: str
    sure: str


@dataclass(frozen=True)
class BrineLaw:
    """Water activity of salt in water by nodes: straight lines between, saturated beyond."""

    salt_per_water: tuple[float, ...]  # rising from 0 [kg/kg]
    activity: tuple[float, ...]  # [1]
    source: str
    sure: str


@dataclass(frozen=True)
class StuffLaw:
    """Heat and density of what a rind is made of, as constants."""

    water_heat: float  # [J/kg/K]
    protein_heat: float
    fat_heat: float
    water_conductivity: float  # [W/m/K]
    protein_conductivity: float
    fat_conductivity: float
    protein_density: float  # [kg/m3]
    fat_density: float
    fat_latent: float  # [J/kg]
    fat_melts: float  # melting is spread from 0 up to here [degC]
    source: str
    sure: str


@dataclass(frozen=True)
class VapourHeat:
    """Latent heat falls in a straight line: L = latent - (water_heat - vapour_heat) t, t in degC."""

    latent: float  # at 0 degC [J/kg]
    vapour_heat: float  # [J/kg/K]
    emissivity: float
    stefan_boltzmann: float  # [W/m2/K4]


@dataclass(frozen=True)
class RindLaws:
    """Everything the march is given."""

    vapour: VapourLaw  # in the wide range
    air: AirLaw  # as an ideal gas; its range is not asked here
    carried: VapourHeat
    sorption: SorptionLaw
    brine: BrineLaw
    stuff: StuffLaw
    d_ref_c: float  # temperature of the reference diffusivity [degC]
    fat_water: float  # of fatty tissue [kg/kg]
    held: float  # water per dry matter below which steam stays in [kg/kg]
    puff_low: float  # water per dry matter below which there is no steam to blow with [kg/kg]
    puff_c: float  # [degC]
    render_c: float  # fat runs above it [degC]
    relax: float  # time in which superheat boils water off: short beside all else, for the arithmetic [s]
    relax_puffed: float  # the same once it has puffed [s]
    valid: tuple[float, float]  # air temperatures [degC]


@dataclass(frozen=True)
class Rinds:
    """Members M of one rind. Arrays (M,); "dry" is all that is not water: collagen, fat in the skin, salt."""

    thickness: Floats  # of the skin [m]
    fat_layer: Floats  # below it, 0 = none [m]
    water: Floats  # at the start, per skin [kg/kg]
    fat: Floats  # in the skin itself, per skin [kg/kg]
    salt: Floats  # per skin [kg/kg]
    diffusivity: Floats  # of water in water that nothing obstructs, at ``laws.d_ref_c`` [m2/s]
    activation: Floats  # [J/mol]
    leaks: Floats | float = math.inf  # water per dry matter that boiled off inside, at which the skin leaks; inf: never [kg/kg]

    def __post_init__(self) -> None:
        for name, ends, unit in (
            ("thickness", (0.0005, 0.02), "m"), ("fat_layer", (0.0, 0.02), "m"), ("water", (0.02, 0.95), "kg/kg"),
            ("fat", (0.0, 0.95), "kg/kg"), ("salt", (0.0, 0.2), "kg/kg"), ("diffusivity", (1e-13, 1e-6), "m2/s"),
            ("activation", (0.0, 2e5), "J/mol"),
        ):  # fmt: skip
            require_within(getattr(self, name), ends, name.replace("_", " "), unit)
        require_within(self.water + self.fat + self.salt, (0.0, 0.98), "water and fat and salt", "kg/kg")


@dataclass(frozen=True)
class Around:
    """One stage. Arrays (M,) or numbers.

    ``top``, ``bottom``: 1 open to vapour, 0 shut (a tray, a bag). ``bottom_heat``: share of the heat that the lower face gets.
    """

    seconds: float
    air_c: Floats
    vapour_pressure: Floats  # of the air [Pa]
    convection: Floats  # [W/m2/K]
    top: float = 1.0
    bottom: float = 1.0
    bottom_heat: Floats | float = 1.0
    radiation: float = 1.0  # 0 under a wrap that lies on
    step: float = 0.0  # longest step, 0 = a sixtieth of the stage [s]


def activity(water: Floats, salt: Floats, protein: Floats, celsius: Floats, laws: RindLaws) -> Floats:
    """Water activity of skin from its water, salt and protein on one basis, at a temperature. [1]

    Collagen's isotherm at its reference temperature, shifted by the heat of binding (Clausius and Clapeyron), times that of the
    salt in the water (Ross). Never above that of the brine alone.
    """
    law = laws.sorption
    held = water / protein
    a = np.interp(held, law.water, law.activity)
    q = np.interp(held, law.water, law.excess)
    T = np.clip(celsius, 0.0, law.t_most) + ZERO_CELSIUS_K
    a = np.minimum(a * np.exp(q / GAS_CONSTANT * (1.0 / (law.t_ref + ZERO_CELSIUS_K) - 1.0 / T)), 1.0)
    brine = np.interp(salt / np.maximum(water, 1e-9), laws.brine.salt_per_water, laws.brine.activity)
    return np.asarray(a * brine)


def obstruction(share: Floats) -> Floats:
    """Share of its free pace at which water moves where it fills ``share`` of the volume. [1]

    Mackie and Meares 1955: ((1 - f)/(1 + f))^2 with f the rest of the volume.
    """
    return np.asarray((share / (2.0 - share)) ** 2)


def pressure(celsius: Floats, law: VapourLaw) -> Floats:
    """Saturation pressure as `surface_drying.saturation_pressure`, unchecked: temperatures beyond its ends are held there. [Pa]"""
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = law.n
    T = np.clip(celsius + ZERO_CELSIUS_K, law.valid[0], law.valid[1])
    x = T + n9 / (T - n10)
    A, B, C = x**2 + n1 * x + n2, n3 * x**2 + n4 * x + n5, n6 * x**2 + n7 * x + n8
    r = 2.0 * C / (np.sqrt(B**2 - 4.0 * A * C) - B)
    return np.asarray(law.scale * (r * r) ** 2)
