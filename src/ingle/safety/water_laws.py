"""The law of salt in water as its data file tells it: what germs meet and what a cure brings are reckoned by the same one."""

from __future__ import annotations

from functools import cache
from typing import Any

from ingle.ground.tables import toml_table
from ingle.ground.units import PER_HUNDRED, ZERO_CELSIUS_K, kelvin_range
from ingle.physics.water_activity import PitzerLaw

KG_PER_MOL = 1e-3  # per g/mol


@cache
def salt_activity() -> PitzerLaw:
    """Osmotic coefficient of common salt in water, 0 to 40 degC, to saturation."""
    said, full = water_activity_record("nacl"), water_activity_record("nacl_saturation")
    return PitzerLaw(
        debye=tuple(said["debye"]), beta_0=tuple(said["beta_0"]), beta_1=tuple(said["beta_1"]),
        c_phi=tuple(said["c_phi"]), b=said["b"], alpha=said["alpha"],
        molar_mass=molar_mass("nacl"), water_molar_mass=molar_mass("water"),
        saturation_at=tuple(t + ZERO_CELSIUS_K for t in full["temperature_c"]),
        saturation=tuple(g / PER_HUNDRED for g in full["salt_g_per_100g_water"]),
        valid_molality=said["valid_molality_mol_kg"], valid=kelvin_range(said["valid_c"]),
        source=said["source"], sure=said["sure"],
    )  # fmt: skip


def water_activity_record(key: str) -> dict[str, Any]:
    """One table of ``data/laws/water_activity.toml``."""
    found: dict[str, Any] = toml_table("laws", "water_activity.toml")[key]
    return found


def molar_mass(name: str) -> float:
    """[kg/mol]"""
    return float(water_activity_record("molar_mass")[f"{name}_g_mol"]) * KG_PER_MOL
