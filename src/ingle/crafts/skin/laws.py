"""The laws of the rind as the data files tell them: read once, turned into SI, handed down to physics."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import numpy as np

from ingle.crafts._lines import band
from ingle.ground.tables import toml_table
from ingle.ground.units import PER_HUNDRED, ZERO_CELSIUS_K
from ingle.physics import water_activity
from ingle.physics.rind_laws import GAS_CONSTANT, BrineLaw, RindLaws, SorptionLaw, StuffLaw, VapourHeat
from ingle.physics.surface_drying import AirLaw, VapourLaw
from ingle.physics.water_activity import PitzerLaw

_STEFAN_BOLTZMANN = 5.670374419e-8  # W/m2/K4, CODATA 2018
_BRINE_C = 25.0  # water activity of brine hardly moves with temperature
_HEATS_C = 60.0  # heats and conductivities of components are taken here
_VALID_C = (0.0, 320.0)  # air


def rind(key: str) -> dict[str, Any]:
    """One record of ``data/laws/rind.toml``."""
    found: dict[str, Any] = toml_table("laws", "rind.toml")[key]
    return found


def window() -> tuple[float, float]:
    """Water per skin between which it can puff. [kg/kg]"""
    wet = band("skin", "puff_water")
    return wet.low, wet.high


@cache
def rind_laws() -> RindLaws:
    """Everything the march of a rind is given."""
    low, high = window()
    steam = rind("steam")
    return RindLaws(
        vapour=_vapour(), air=_air(), carried=_carried(), sorption=_sorption(), brine=_brine(), stuff=_stuff(),
        d_ref_c=rind("study")["celsius"], fat_water=rind("fatty_tissue")["likely"], held=high / (1.0 - high),
        puff_low=low / (1.0 - low), puff_c=band("skin", "puff_temperature_c").low, render_c=rind("rendering")["from_c"],
        relax=steam["relax_s"], relax_puffed=steam["relax_puffed_s"], valid=_VALID_C,
    )  # fmt: skip


def diffusivity(thickness_mm: float | np.ndarray) -> np.ndarray:
    """Unobstructed diffusivity of water at 75 degC, had the study's skins been this thick: lines in logarithms. [m2/s]"""
    said = rind("diffusivity")
    return np.asarray(np.exp(np.interp(np.log(thickness_mm), np.log(said["thickness_mm"]), np.log(said["d_m2_s"]))))


def film(situation: str) -> tuple[float, float]:
    """Ends of the convection, radiation apart. [W/m2/K]"""
    said = _thermal("film")[situation]
    return said["convection_low"], said["convection_high"]


def _vapour() -> VapourLaw:
    said, wide = toml_table("laws", "drying.toml")["vapour"], _thermal("vapour")
    low, high = wide["valid_c"]
    return VapourLaw(
        tuple(said["n"]), said["scale_pa"], (low + ZERO_CELSIUS_K, high + ZERO_CELSIUS_K), wide["source"], wide["sure"]
    )


def _air() -> AirLaw:
    """Air as an ideal gas, in the oven too: its specific heat rises by 3 % to 250 degC, which is left out."""
    said = toml_table("laws", "drying.toml")["air"]
    return AirLaw(
        pressure=said["pressure_pa"], gas_constant=said["gas_constant_j_kgk"],
        vapour_gas_constant=said["vapour_gas_constant_j_kgk"], specific_heat=said["specific_heat_j_kgk"],
        lewis=said["lewis"], valid=(_VALID_C[0] + ZERO_CELSIUS_K, _VALID_C[1] + ZERO_CELSIUS_K),
        most_transfer=said["most_transfer_w_m2k"], source=said["source"], sure=said["sure"],
    )  # fmt: skip


def _carried() -> VapourHeat:
    air = _thermal("moist_air")
    return VapourHeat(
        air["latent_0c_j_kg"], air["vapour_specific_heat_j_kgk"], _thermal("transfer")["emissivity"], _STEFAN_BOLTZMANN
    )


def _sorption() -> SorptionLaw:
    said, ends = rind("sorption"), rind("sorption_ends")
    a, w = np.array(said["activity"]), np.array(said["water_25c"])
    hot, cold = 40.0 + ZERO_CELSIUS_K, 25.0 + ZERO_CELSIUS_K
    asked = np.clip(w, ends["least_water"], said["water_40c"][-1])
    rise = np.log(np.interp(asked, said["water_40c"], a) / np.interp(asked, w, a))
    excess = GAS_CONSTANT * rise / (1.0 / cold - 1.0 / hot)
    return SorptionLaw(
        (*said["activity"], 1.0), (*said["water_25c"], ends["free_water"]), (*(float(q) for q in excess), 0.0), 25.0,
        ends["most_c"], said["source"], said["sure"],
    )  # fmt: skip


def _brine() -> BrineLaw:
    said, full = toml_table("laws", "water_activity.toml")["nacl"], toml_table("laws", "water_activity.toml")["nacl_saturation"]
    molar = toml_table("laws", "water_activity.toml")["molar_mass"]
    law = PitzerLaw(
        debye=tuple(said["debye"]), beta_0=tuple(said["beta_0"]), beta_1=tuple(said["beta_1"]), c_phi=tuple(said["c_phi"]),
        b=said["b"], alpha=said["alpha"], molar_mass=molar["nacl_g_mol"] / 1000.0, water_molar_mass=molar["water_g_mol"] / 1000.0,
        saturation_at=tuple(t + ZERO_CELSIUS_K for t in full["temperature_c"]),
        saturation=tuple(g / PER_HUNDRED for g in full["salt_g_per_100g_water"]), valid_molality=said["valid_molality_mol_kg"],
        valid=(said["valid_c"][0] + ZERO_CELSIUS_K, said["valid_c"][1] + ZERO_CELSIUS_K), source=said["source"], sure=said["sure"],
    )  # fmt: skip
    at = _BRINE_C + ZERO_CELSIUS_K
    z = np.linspace(0.0, float(water_activity.saturated(at, law)), 19)
    return BrineLaw(tuple(z), tuple(water_activity.of_salt(z, at, law)), law.source, law.sure)


def _stuff() -> StuffLaw:
    at = {
        (name, what): math.fsum(c * _HEATS_C**i for i, c in enumerate(_thermal("component")[name][key]))
        for name in ("water", "protein", "fat")
        for what, key in (("c", "specific_heat_j_kgk"), ("k", "conductivity_w_mk"), ("rho", "density_kg_m3"))
    }
    fat = _thermal("fat")
    return StuffLaw(
        water_heat=_thermal("moist_air")["water_specific_heat_j_kgk"], protein_heat=at["protein", "c"], fat_heat=at["fat", "c"],
        water_conductivity=at["water", "k"], protein_conductivity=at["protein", "k"], fat_conductivity=at["fat", "k"],
        protein_density=at["protein", "rho"], fat_density=at["fat", "rho"], fat_latent=fat["latent_j_kg"],
        fat_melts=fat["melts_c"][1], source="choi-okos-1986", sure="quoted",
    )  # fmt: skip


def _thermal(key: str) -> dict[str, Any]:
    found: dict[str, Any] = toml_table("laws", "thermal.toml")[key]
    return found
