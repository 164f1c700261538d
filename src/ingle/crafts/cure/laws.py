"""The laws of the cure as the data files tell them: read once, turned into SI, handed down to physics."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from ingle.ground.errors import OutOfRange
from ingle.ground.tables import toml_table
from ingle.ground.units import HOUR_S, PER_HUNDRED, ZERO_CELSIUS_K, kelvin_range
from ingle.physics.nitrite_loss import HalfLifeLaw
from ingle.physics.surface_drying import AirLaw, HardeningRule, VapourLaw
from ingle.physics.water_activity import MeatBase, NorrishLaw, PhaseSaltPolynomial
from ingle.safety.water_laws import KG_PER_MOL, molar_mass, salt_activity, water_activity_record


@dataclass(frozen=True)
class Band:
    """A value known only between two ends."""

    low: float
    likely: float
    high: float
    source: str
    sure: str


@cache
def sugar_activity(name: str = "sucrose") -> NorrishLaw:
    """Water activity of one sugar in water; an unknown sugar is refused with the names there are."""
    sugars = water_activity_record("sugar")
    if name not in sugars:
        raise OutOfRange(
            f"sugar {name!r} is not one of {', '.join(sugars)}.", field="sugar", value=name, limit=tuple(sugars),
            remedy="Choose one of these.",
        )  # fmt: skip
    said = sugars[name]
    return NorrishLaw(
        name=name, k=said["k"], molar_mass=said["molar_mass_g_mol"] * KG_PER_MOL,
        water_molar_mass=molar_mass("water"), valid_fraction=said["valid_fraction"],
        source=said["source"], sure=said["sure"],
    )  # fmt: skip


@cache
def meat_base() -> MeatBase:
    """What fresh lean meat holds dissolved."""
    said = water_activity_record("meat_base")
    return MeatBase(
        osmolality=said["osmolality_mol_kg"], water_molar_mass=molar_mass("water"),
        least_water_per_dry=said["least_water_per_dry"], most_water_per_dry=said["most_water_per_dry"],
        source=said["source"], sure=said["sure"],
    )  # fmt: skip


@cache
def phase_salt_polynomial() -> PhaseSaltPolynomial:
    """The short polynomial, for cross-checks only."""
    said = water_activity_record("phase_salt_polynomial")
    return PhaseSaltPolynomial(
        said["first"], said["second"], said["valid_g_per_100g"] / PER_HUNDRED, said["source"], said["sure"]
    )


def water_activity_spread() -> float:
    """Standard deviation of a water activity told for cured meat. [1]"""
    return float(water_activity_record("spread")["value"])


@cache
def nitrite_half_life() -> HalfLifeLaw:
    """Half-life of nitrite in meat by temperature and pH."""
    said = toml_table("laws", "nitrite.toml")["half_life"]
    return HalfLifeLaw(
        at_reference=said["at_0c"] + math.log10(HOUR_S), per_kelvin=said["per_k"], per_ph=said["per_ph"],
        t_ref=ZERO_CELSIUS_K, valid=kelvin_range(said["valid_c"]), valid_ph=tuple(said["valid_ph"]),
        most_accelerated=said["most_accelerated"], source=said["source"], sure=said["sure"],
    )  # fmt: skip


@cache
def nitrite_accelerator() -> Band:
    """Factor by which ascorbate speeds the loss of nitrite."""
    said = toml_table("laws", "nitrite.toml")["accelerator"]
    return Band(said["low"], said["likely"], said["high"], said["source"], said["sure"])


@cache
def vapour() -> VapourLaw:
    """Saturation pressure of water."""
    said = toml_table("laws", "drying.toml")["vapour"]
    return VapourLaw(tuple(said["n"]), said["scale_pa"], kelvin_range(said["valid_c"]), said["source"], said["sure"])


@cache
def air() -> AirLaw:
    """Air as a carrier of heat and vapour."""
    said = toml_table("laws", "drying.toml")["air"]
    return AirLaw(
        pressure=said["pressure_pa"], gas_constant=said["gas_constant_j_kgk"],
        vapour_gas_constant=said["vapour_gas_constant_j_kgk"], specific_heat=said["specific_heat_j_kgk"],
        lewis=said["lewis"], valid=kelvin_range(said["valid_c"]), most_transfer=said["most_transfer_w_m2k"],
        source=said["source"], sure=said["sure"],
    )  # fmt: skip


@cache
def hardening() -> HardeningRule:
    """How far below the face's water activity the humidity may stand."""
    said = toml_table("laws", "drying.toml")["hardening"]
    return HardeningRule(said["near"], said["far"], said["source"], said["sure"])


__all__ = [
    "Band", "air", "hardening", "meat_base", "nitrite_accelerator", "nitrite_half_life", "phase_salt_polynomial", "salt_activity", "sugar_activity", "vapour",
    "water_activity_spread",
]  # fmt: skip
