"""What the thermal laws of meat are given as: a composition, and the laws of its components."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ingle.ground.errors import OutOfRange

COMPONENTS = ("water", "ice", "protein", "fat", "carbohydrate", "fibre", "ash")
_CLOSES = (0.97, 1.03)  # analyses add up to 100 g within this: the rest is nitrogen times 6.25 and rounding


@dataclass(frozen=True)
class Composition:
    """Weights of the components per weight of the piece, unfrozen; made to add up to 1. Salt counts as ash. [1]

    ``freezing_c`` is a measured initial freezing point [degC]; None: computed from the composition.
    ``carbohydrate`` leaves the fibre out.
    """

    water: float
    protein: float
    fat: float
    carbohydrate: float = 0.0
    fibre: float = 0.0
    ash: float = 0.0
    salt: float = 0.0
    freezing_c: float | None = None
    name: str = ""
    source: str = ""
    sure: str = "memory"

    def __post_init__(self) -> None:
        parts = ("water", "protein", "fat", "carbohydrate", "fibre", "ash", "salt")
        for part in parts:
            if not 0.0 <= getattr(self, part) <= 1.0:
                raise OutOfRange(
                    f"{part} {getattr(self, part):g} is not a share of the weight.", field=part, value=getattr(self, part),
                    limit=(0.0, 1.0), remedy="Give kg per kg, between 0 and 1.",
                )  # fmt: skip
        if self.water < 0.01:
            raise OutOfRange(
                f"water {self.water:g} per weight is too little: these laws are for food that holds water.", field="water",
                value=self.water, limit=0.01, remedy="Give a composition with at least 0.01 kg water per kg.",
            )  # fmt: skip
        total = sum(getattr(self, part) for part in parts)
        if not _CLOSES[0] <= total <= _CLOSES[1]:
            raise OutOfRange(
                f"the components add up to {total:.3f} kg per kg.", field="composition", value=total, limit=_CLOSES,
                remedy="They must add up to 1, within 3 %: look for a part that is left out or counted twice.",
            )  # fmt: skip
        if self.freezing_c is not None and not -30.0 <= self.freezing_c < 0.0:
            raise OutOfRange(
                f"freezing point {self.freezing_c:g} C is not within -30 and 0.", field="freezing_c", value=self.freezing_c,
                limit=(-30.0, 0.0), remedy="Leave it out: it is then computed from the composition.",
            )  # fmt: skip
        for part in parts:
            object.__setattr__(self, part, getattr(self, part) / total)

    @property
    def dry(self) -> tuple[float, float, float, float, float]:
        """Protein, fat, carbohydrate, fibre, ash with salt: the order of `COMPONENTS` after water and ice. [1]"""
        return self.protein, self.fat, self.carbohydrate, self.fibre, self.ash + self.salt

    def salted(self, salt_per_weight: float, water_lost: float = 0.0) -> Composition:
        """The same piece after ``salt_per_weight`` kg salt was taken up and ``water_lost`` kg water let go, per kg green."""
        left = self.water - water_lost
        if left < 0.01:
            raise OutOfRange(
                f"water lost {water_lost:g} per weight is nearly all of the {self.water:.3f} there is.", field="water_lost",
                value=water_lost, limit=self.water, remedy="Give the loss per green weight, less than its water.",
            )  # fmt: skip
        now = 1.0 + salt_per_weight - water_lost
        return Composition(
            left / now, self.protein / now, self.fat / now, self.carbohydrate / now, self.fibre / now, self.ash / now,
            (self.salt + salt_per_weight) / now, name=self.name, source=self.source, sure="derived",
        )  # fmt: skip


@dataclass(frozen=True)
class ComponentLaw:
    """One component: quadratics a0 + a1 t + a2 t^2 with t in degC."""

    conductivity: tuple[float, float, float]  # [W/m/K]
    density: tuple[float, float, float]  # [kg/m3]
    specific_heat: tuple[float, float, float]  # [J/kg/K]
    source: str
    sure: str


@dataclass(frozen=True)
class FreezingLaw:
    """Where ice begins and how much there is."""

    form: str  # "tchigeov" | "raoult"
    a: float  # Tchigeov's two numbers [1]
    b: float
    per_solids: float  # Pham's two numbers [K]
    per_ash: float
    bound_per_protein: float  # water that never freezes, per protein [1]
    latent: float  # heat of fusion at 0 degC [J/kg]
    source: str
    sure: str


@dataclass(frozen=True)
class FatLaw:
    """Melting of fat, spread evenly between two temperatures."""

    latent: float  # likely [J/kg fat]
    latent_low: float
    latent_high: float
    melts: tuple[float, float]  # [degC]
    source: str
    sure: str


@dataclass(frozen=True)
class MatterLaws:
    """All that `matter` is given."""

    components: Mapping[str, ComponentLaw]  # by the names of `COMPONENTS`
    supercooled: tuple[float, float, float]  # specific heat of water below 0 degC [J/kg/K]
    freezing: FreezingLaw
    fat: FatLaw
    conductivity: str  # the rule that is used when none is asked for
    scatter: float  # of measured unfrozen meat around such laws, as a share [1]
    scatter_frozen: float
    reference_c: float  # at which a piece has the volume it was measured with [degC]
    valid: tuple[float, float]  # [degC]
    source: str
    sure: str
