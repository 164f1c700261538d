"""The laws of heat as the data files tell them: read once, turned into SI, handed down to physics."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from ingle.ground.errors import OutOfRange
from ingle.ground.tables import toml_table
from ingle.ground.units import PER_HUNDRED, kelvin_range
from ingle.physics.humid_air import MoistAirLaw, SublimationLaw
from ingle.physics.matter_laws import COMPONENTS, ComponentLaw, Composition, FatLaw, FreezingLaw, MatterLaws
from ingle.physics.surface_drying import VapourLaw
from ingle.physics.surface_heat import TransferLaw


@dataclass(frozen=True)
class Film:
    """Heat transfer at the face in one situation. [W/m2/K]

    ``low`` to ``high`` is convection and radiation together; ``convection`` is the part of the air when radiation is computed
    apart. In a ``liquid`` both are the same, and nothing evaporates.
    """

    key: str
    about: str
    low: float
    high: float
    convection: tuple[float, float]
    liquid: bool
    source: str
    clause: str
    sure: str
    doubt: str

    @property
    def likely(self) -> float:
        """Geometric middle of the range. [W/m2/K]"""
        return float((self.low * self.high) ** 0.5)

    @property
    def likely_convection(self) -> float:
        """Geometric middle of the convection alone. [W/m2/K]"""
        low, high = self.convection
        return float((low * high) ** 0.5)


@cache
def matter() -> MatterLaws:
    """Laws of the components, of freezing, of fat, and of conductivity."""
    said, ice, fat, joined = (_thermal(key) for key in ("range", "freezing", "fat", "conductivity"))
    return MatterLaws(
        components={name: _component(name) for name in COMPONENTS},
        supercooled=_three(_thermal("supercooled")["specific_heat_j_kgk"]),
        freezing=FreezingLaw(
            ice["form"], ice["a"], ice["b"], ice["per_solids_k"], ice["per_ash_k"], ice["bound_per_protein"],
            ice["latent_j_kg"], ice["source"], ice["sure"],
        ),
        fat=FatLaw(
            fat["latent_j_kg"], fat["latent_low_j_kg"], fat["latent_high_j_kg"], _two(fat["melts_c"]), fat["source"], fat["sure"]
        ),
        conductivity=joined["rule"], scatter=joined["scatter"], scatter_frozen=joined["scatter_frozen"],
        reference_c=_thermal("reference")["value_c"], valid=_two(said["valid_c"]), source=said["source"], sure=said["sure"],
    )  # fmt: skip


@cache
def moist_air() -> MoistAirLaw:
    """Air with vapour, -40 to 250 degC."""
    said, ice = _thermal("moist_air"), _thermal("vapour_ice")
    return MoistAirLaw(
        water=_over_water(),
        ice=SublimationLaw(
            _three(ice["a"]), _three(ice["b"]), ice["t0_k"], ice["p0_pa"], kelvin_range(ice["valid_c"]), ice["source"], ice["sure"]
        ),
        gas_constant=said["gas_constant_j_kgk"], vapour_gas_constant=said["vapour_gas_constant_j_kgk"],
        specific_heat=said["specific_heat_j_kgk"], vapour_specific_heat=said["vapour_specific_heat_j_kgk"],
        latent=said["latent_0c_j_kg"], water_specific_heat=said["water_specific_heat_j_kgk"],
        ice_specific_heat=said["ice_specific_heat_j_kgk"], fusion=said["fusion_j_kg"], pressure=said["pressure_pa"],
        valid=_two(said["valid_c"]), valid_pressure=_two(said["valid_pressure_pa"]), source=said["source"], sure=said["sure"],
    )  # fmt: skip


@cache
def transfer() -> TransferLaw:
    """Vapour by the way of heat, and radiation."""
    said = _thermal("transfer")
    return TransferLaw(said["lewis"], said["emissivity"], said["most_film_w_m2k"], said["source"], said["sure"])


@cache
def composition(name: str) -> Composition:
    """What a cut is made of; an unknown name is refused with the names there are."""
    said = _named("composition", name)
    share = {part: said[part] / PER_HUNDRED for part in ("water", "protein", "fat", "carbohydrate", "ash")}
    return Composition(
        water=share["water"], protein=share["protein"], fat=share["fat"], carbohydrate=share["carbohydrate"], ash=share["ash"],
        freezing_c=said.get("freezing_c"), name=said["about"], source=said["source"], sure=said["sure"],
    )  # fmt: skip


@cache
def film(situation: str) -> Film:
    """Heat transfer at the face by situation; an unknown one is refused with those there are."""
    said = _named("film", situation)
    low, high = said["low"], said["high"]
    return Film(
        situation, said["about"], low, high, (said.get("convection_low", low), said.get("convection_high", high)),
        said["liquid"], said["source"], said["clause"], said["sure"], said.get("doubt", ""),
    )  # fmt: skip


def names(kind: str) -> tuple[str, ...]:
    """Names of all compositions ("composition") or situations ("film")."""
    return tuple(_thermal(kind))


def _named(kind: str, name: str) -> dict[str, Any]:
    known = _thermal(kind)
    if name not in known:
        raise OutOfRange(
            f"{kind} {name!r} is not one of {', '.join(known)}.", field=kind, value=name, limit=tuple(known),
            remedy="Choose one of these.",
        )  # fmt: skip
    found: dict[str, Any] = known[name]
    return found


def _component(name: str) -> ComponentLaw:
    said = _thermal("component")[name]
    return ComponentLaw(
        _three(said["conductivity_w_mk"]), _three(said["density_kg_m3"]), _three(said["specific_heat_j_kgk"]),
        said["source"], said["sure"],
    )  # fmt: skip


def _over_water() -> VapourLaw:
    """The coefficients of the drying laws in the range they were made for, not only that of a cold face."""
    said, wide = toml_table("laws", "drying.toml")["vapour"], _thermal("vapour")
    return VapourLaw(tuple(said["n"]), said["scale_pa"], kelvin_range(wide["valid_c"]), wide["source"], wide["sure"])


def _thermal(key: str) -> dict[str, Any]:
    found: dict[str, Any] = toml_table("laws", "thermal.toml")[key]
    return found


def _two(said: list[float]) -> tuple[float, float]:
    low, high = said
    return low, high


def _three(said: list[float]) -> tuple[float, float, float]:
    a, b, c = said
    return a, b, c
