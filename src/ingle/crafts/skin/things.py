"""Things of the craft of skin: the rind, its salt, the oven's stages and what comes out."""

from __future__ import annotations

from dataclasses import dataclass

from ingle.crafts._lines import require
from ingle.ground.errors import OutOfRange

MOST_G = 1e6
SALT_NOT_MODELLED = "salt: its effect on puffing; rind boiled in brine kept more water, and rose best in oil without (2014)"
HOURS_NOT_MODELLED = "water lost in so many hours of fridge: no published rate; weigh the skin before and after"
FAT_NOT_MODELLED = "fat run off against oven heat and time: no oven yield is published, a band is used"


@dataclass(frozen=True)
class Skin:
    """Raw rind, scraped and weighed. Fractions are per raw skin; salt counts what a cure has left in it."""

    raw_g: float
    water_per_skin: float = 0.4803
    fat_per_skin: float = 0.2547
    salt_per_skin: float = 0.0
    thickness_mm: float = 3.0
    smoked: bool = False

    def __post_init__(self) -> None:
        require(self.raw_g, "skin", 1e-9, MOST_G, "g")
        require(self.water_per_skin, "water of the skin", 0.0, 0.95, "g/g")
        require(self.fat_per_skin, "fat of the skin", 0.0, 0.95, "g/g")
        require(self.salt_per_skin, "salt in the skin", 0.0, 0.2, "g/g")
        require(self.thickness_mm, "thickness of the skin", 0.5, 20.0, "mm")
        if self.water_per_skin + self.fat_per_skin + self.salt_per_skin > 0.98:
            raise OutOfRange(
                f"water {self.water_per_skin:g}, fat {self.fat_per_skin:g} and salt {self.salt_per_skin:g} "
                "leave no collagen.",
                field="skin", value=self.water_per_skin + self.fat_per_skin + self.salt_per_skin, limit=0.98,
                remedy="Give fractions of the raw skin that sum to less than 0.98.",
            )  # fmt: skip


@dataclass(frozen=True)
class RindSalt:
    """Dry salt to rub on before drying, and whether to soak first."""

    salt_g: float
    soak_min: float
    act: str
    sure: str


@dataclass(frozen=True)
class DriedSkin:
    """Skin as it goes into the oven."""

    skin: Skin
    mass_g: float
    water_g: float
    salt_g: float
    water_per_dried: float
    weighed: bool  # False: the water is that of the raw skin, the wettest it can be
    level: str  # dry long enough: within | near | over | cannot_say
    act: str
    not_modelled: tuple[str, ...]


@dataclass(frozen=True)
class Stage:
    """One stage of the oven programme."""

    oven_c: float
    minutes: float


@dataclass(frozen=True)
class Crackling:
    """What comes out of the oven."""

    low_g: float
    likely_g: float
    high_g: float
    per_raw_skin: tuple[float, float, float]
    water_gone_g: float
    fat_run_off_g: float
    salt_per_crackling: float
    puffs: str  # within: can puff | near: only just | over: will not | cannot_say
    minutes_before_puff: float | None  # no sooner than; None when the programme never gets there
    why: str
    act: str
    hold_h: float
    sure: str
    doubt: str
    not_modelled: tuple[str, ...]
