"""Brine: how strong, how heavy, how much, and what the salometer should read.

Strength is salt per brine by mass. "Per litre of water" and "per litre of brine" are other numbers, and
both are given, because mixing them up is how a 10 % brine becomes a 9 % one.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from ingle.crafts._lines import columns, require
from ingle.ground.errors import OutOfRange
from ingle.ground.tables import toml_table
from ingle.ground.units import ZERO_CELSIUS_K, kelvin_range
from ingle.physics import solutions

MOST_G = 1e9  # a thousand tonnes: beyond any kitchen, so a slip of units


@dataclass(frozen=True)
class Brine:
    """Salt and water put together at one temperature; salt that will not dissolve is named apart."""

    salt_g: float  # all the salt given
    water_g: float
    temperature_c: float
    salt_per_brine: float  # of the clear brine
    salt_per_water: float  # of the clear brine
    brine_g: float  # clear brine, without what lies at the bottom
    undissolved_g: float
    density_kg_per_m3: float
    volume_l: float
    salt_g_per_l: float
    salometer_deg: float  # percent of saturation at 60 F
    saturation_per_brine: float  # what this temperature would hold

    @property
    def saturated(self) -> bool:
        """Whether salt is left over."""
        return self.undissolved_g > 0.0


def saturation(temperature_c: float) -> float:
    """Salt per brine at saturation. [degC -> g/g], 0 to 93 degC; Salt Institute table, straight lines."""
    table = columns(toml_table("laws", "solutions.toml")["nacl_saturation"]["table"])
    require(
        temperature_c,
        "temperature",
        0.0,
        table["temperature_c"][-1],
        "C",
        "Take a brine that is neither ice nor boiling.",
    )
    return float(np.interp(temperature_c, table["temperature_c"], table["fraction"]))


def salometer(salt_per_brine: float) -> float:
    """Degrees a 60 F salometer shows: percent of the saturation at 60 F. [g/g -> deg]"""
    require(salt_per_brine, "strength", 0.0, 0.266, "g/g")
    return 100.0 * salt_per_brine / _full_scale()


def strength_from_salometer(degrees: float) -> float:
    """Salt per brine from degrees of a 60 F salometer. [deg -> g/g]

    The float must be read in a brine of 60 F (15.6 degC), and the scale must be of this kind: another sets
    100 degrees at 25 % salt.
    """
    return require(degrees, "salometer", 0.0, 100.0, "degrees") / 100.0 * _full_scale()


def density(salt_per_brine: float, temperature_c: float = 20.0) -> float:
    """Density of a brine. [g/g, degC -> kg/m3]; 0 to 30 degC, within 1 kg/m3."""
    return float(solutions.density(salt_per_brine, temperature_c + ZERO_CELSIUS_K, _law()))


def strength_from_density(density_kg_per_m3: float, temperature_c: float = 20.0) -> float:
    """Salt per brine from a hydrometer's density. [kg/m3, degC -> g/g]"""
    return solutions.fraction_from_density(density_kg_per_m3, temperature_c + ZERO_CELSIUS_K, _law())


def brine(salt_g: float, water_g: float, temperature_c: float = 20.0) -> Brine:
    """Put salt into water and say what comes of it.

    Raises
    ------
    OutOfRange
        Negative or endless amounts, no water, a temperature outside 0 to 30 degC.
    """
    require(salt_g, "salt", 0.0, MOST_G, "g")
    require(water_g, "water", 1e-9, MOST_G, "g", "Give the water, in g or ml.")
    full = saturation(temperature_c)
    dissolved = min(salt_g, float(solutions.solute_per_water(full)) * water_g)
    strength = dissolved / (dissolved + water_g)
    rho = density(strength, temperature_c)
    mass = dissolved + water_g
    return Brine(
        salt_g=salt_g, water_g=water_g, temperature_c=temperature_c, salt_per_brine=strength,
        salt_per_water=dissolved / water_g, brine_g=mass, undissolved_g=salt_g - dissolved,
        density_kg_per_m3=rho,
        volume_l=mass / rho, salt_g_per_l=strength * rho, salometer_deg=salometer(strength),
        saturation_per_brine=full,
    )  # fmt: skip


def salt_for(water_g: float, salt_per_brine: float, temperature_c: float = 20.0) -> Brine:
    """The brine of a wished strength from so much water: 10 % from 1000 g takes 111 g of salt, not 100."""
    _dissolves(salt_per_brine, temperature_c)
    return brine(water_g * float(solutions.solute_per_water(salt_per_brine)), water_g, temperature_c)


def brine_of_volume(volume_l: float, salt_per_brine: float, temperature_c: float = 20.0) -> Brine:
    """The brine of a wished strength that fills so many litres."""
    require(volume_l, "volume", 1e-9, 1e6, "l")
    _dissolves(salt_per_brine, temperature_c)
    mass = volume_l * density(salt_per_brine, temperature_c)
    return brine(salt_per_brine * mass, (1.0 - salt_per_brine) * mass, temperature_c)


def correct(now: Brine, salt_per_brine: float) -> tuple[float, float]:
    """Salt and water to add to a brine to bring it to a wished strength. Returns (salt_g, water_g); one is 0.

    What lies undissolved counts as salt that is already there.
    """
    _dissolves(salt_per_brine, now.temperature_c)
    total = now.salt_g + now.water_g
    if now.salt_g <= salt_per_brine * total:
        return (salt_per_brine * total - now.salt_g) / (1.0 - salt_per_brine), 0.0
    return 0.0, now.salt_g / salt_per_brine - total


def _dissolves(salt_per_brine: float, temperature_c: float) -> None:
    full = saturation(temperature_c)
    if not 0.0 < salt_per_brine <= full:
        raise OutOfRange(
            f"a brine of {100 * salt_per_brine:.4g} % salt cannot be made at {temperature_c:g} C; "
            f"above 0 and up to {100 * full:.2f} % dissolves.",
            field="strength", value=salt_per_brine, limit=full,
            remedy=f"Ask for at most {100 * full:.1f} % salt by weight of brine.",
        )  # fmt: skip


def _full_scale() -> float:
    return float(toml_table("laws", "solutions.toml")["salometer"]["fraction_at_100"])


@cache
def _law() -> solutions.DensityTable:
    said = toml_table("laws", "solutions.toml")["nacl_density"]
    rows = columns(said["table"])
    return solutions.DensityTable(
        fraction=rows["fraction"], density=rows["density"], slope=rows["slope"],
        temperature=said["temperature_c"] + ZERO_CELSIUS_K,
        valid_temperature=kelvin_range(said["valid_c"]),
        valid_fraction=said["valid_fraction"], source=said["source"],
    )  # fmt: skip
