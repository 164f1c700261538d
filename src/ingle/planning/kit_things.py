"""What a kitchen holds and who stands in it, as things."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

SMOKE_MAKERS = ("tray", "tube", "box with pipe", "open fire")
NO_SMOKE = ""  # a cabinet that smoke has to be brought to


@dataclass(frozen=True)
class Oven:
    """An oven: shelves, the heat it can give, the time to reach it, and how far its dial is off."""

    key: str
    name: str
    holds: int  # shelves
    low_c: float = 50.0
    high_c: float = 250.0
    heat_up_min: int = 15
    offset_mean_c: float | None = None  # true heat less the dial's; None = nobody looked
    offset_sd_c: float | None = None  # how far it is off from time to time; None = not said
    fan: bool | None = None  # None = not said


@dataclass(frozen=True)
class Cold:
    """A fridge or a freezer: free litres, and the temperature with its spread."""

    key: str
    name: str
    litres: int
    temperature_c: float
    sd_c: float


@dataclass(frozen=True)
class Smoker:
    """A smoker: rails that hold food, and what makes the smoke."""

    key: str
    name: str
    rails: int
    makes_smoke: str  # one of SMOKE_MAKERS; NO_SMOKE where nothing in it makes any


@dataclass(frozen=True)
class Other:
    """Anything else that can be full: a hob, a rack, a mixer."""

    key: str
    name: str
    holds: int


AnyPlace = Oven | Cold | Smoker | Other


@dataclass(frozen=True)
class Shift:
    """Hours of some weekdays; ``to_min`` beyond 1440 is after midnight."""

    days: tuple[int, ...]  # 0 = Monday
    from_min: int
    to_min: int


@dataclass(frozen=True)
class CookHours:
    """One pair of hands, its usual hours and the days it is away."""

    key: str
    name: str
    shifts: tuple[Shift, ...]
    away: tuple[date, ...] = ()


@dataclass(frozen=True)
class Kit:
    """Everything the meal is made with."""

    name: str
    ovens: tuple[Oven, ...]
    fridges: tuple[Cold, ...]
    freezers: tuple[Cold, ...]
    smokers: tuple[Smoker, ...]
    others: tuple[Other, ...]
    cooks: tuple[CookHours, ...]
    scale_steps_g: tuple[float, ...] = ()  # () = not said
    file: str = ""


def places_of(kit: Kit, kind_or_key: str) -> tuple[AnyPlace, ...]:
    """All of this kind, or else the one with this key; () when there is none."""
    kinds: dict[str, tuple[AnyPlace, ...]] = {
        "oven": kit.ovens,
        "fridge": kit.fridges,
        "freezer": kit.freezers,
        "smoker": kit.smokers,
    }
    return kinds.get(kind_or_key) or tuple(p for p in every_place(kit) if p.key == kind_or_key)


def every_place(kit: Kit) -> tuple[AnyPlace, ...]:
    """Ovens, fridges, freezers, smokers and the rest."""
    return (*kit.ovens, *kit.fridges, *kit.freezers, *kit.smokers, *kit.others)
