"""Members of one rind: one value each of everything that is not known exactly."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from ingle.crafts._lines import CitedBand, band, require
from ingle.crafts.skin.laws import diffusivity, film, rind, rind_laws
from ingle.crafts.skin.things import Skin, Stage
from ingle.ground.errors import OutOfRange
from ingle.ground.units import HOUR_S, kilograms, metres
from ingle.physics.rind_laws import Around, Rinds, pressure

Floats = NDArray[np.float64]
MEMBERS = 64
SALT_KEPT = float(rind("salt_kept")["share"])  # of what is rubbed on and brushed off again
_DRIEST = 0.02  # water per dry matter that a weighing may tell [kg/kg]
_DIMENSIONS = 13


@dataclass(frozen=True)
class Programme:
    """What is done to the rind. Left out of the oven: `balance.oven_programme`."""

    oven: tuple[Stage, ...]
    fridge_h: float = 0.0
    fridge_c: float = 4.0
    humidity: float | None = None  # of the fridge [1]; None: not known
    covered: bool = False  # in a bag or a box while in the fridge
    fridge_fan: bool = False
    rack: bool = True  # False: flat on a tray, one face shut
    fan: bool = False
    offset_c: float = 0.0  # how much hotter the oven is than its dial
    offset_sd_c: float | None = None  # None: as ovens differ
    recrisp: Stage | None = None

    def __post_init__(self) -> None:
        if not self.oven:
            raise OutOfRange(
                "an oven programme needs at least 1 stage; none was given.", field="oven", value=0, limit=1,
                remedy="Give temperature and time, like 220C,20min.",
            )  # fmt: skip
        for stage in (*self.oven, *([self.recrisp] if self.recrisp else [])):
            require(stage.oven_c, "oven", 20.0, 300.0, "C")
            require(stage.minutes, "minutes", 0.1, 1440.0, "min")
        require(self.fridge_h, "hours of fridge", 0.0, 240.0, "h")
        require(self.fridge_c, "fridge", 0.0, 15.0, "C", "A rind that freezes, or one that lies warm, is not modelled.")
        require(self.offset_c, "oven offset", -60.0, 60.0, "K")
        require(0.0 if self.humidity is None else self.humidity, "humidity", 0.0, 1.0, "")
        require(0.0 if self.offset_sd_c is None else self.offset_sd_c, "spread of the oven", 0.0, 40.0, "K")


@dataclass(frozen=True)
class Members:
    """Arrays (M,)."""

    rinds: Rinds
    fridge: Around | None
    oven: tuple[Around, ...]
    recrisp: Around | None
    fridge_c: Floats


def draw(
    skin: Skin, programme: Programme, fat_mm: float, kept_g: float, dried_g: float | None, water_known: bool,
    thickness_known: bool = True, count: int = MEMBERS,
) -> Members:  # fmt: skip
    """Draw the members of one rind: one point in each of M strata of every unknown, shuffled, always the same."""
    shuffle = np.random.default_rng(20261125)
    u = np.array([(shuffle.permutation(count) + 0.5) / count for _ in range(_DIMENSIONS)])
    z = np.vectorize(NormalDist().inv_cdf)
    w = _water(skin, u[0], fat_mm, kept_g, dried_g, water_known)
    whole = skin.raw_g + kept_g
    fat = skin.fat_per_skin * (1.0 - w - skin.salt_per_skin) / (1.0 - skin.water_per_skin - skin.salt_per_skin)
    act, thick = rind("activation"), band("skin", "thickness_mm")
    mm = skin.thickness_mm if thickness_known else np.interp(u[10], [0.0, 0.5, 1.0], [thick.low, thick.likely, thick.high])
    rinds = Rinds(
        thickness=metres(1.0) * mm * np.clip(1.0 + rind("thickness")["share"] * z(u[1]), 0.5, 1.5),
        fat_layer=np.full(count, metres(fat_mm)), water=w * skin.raw_g / whole, fat=fat * skin.raw_g / whole,
        salt=np.full(count, (skin.salt_per_skin * skin.raw_g + kept_g) / whole),
        diffusivity=diffusivity(2.0 + 2.0 * u[2]), activation=_between(act["low"], act["high"], u[3]), leaks=_between(rind("leak")["low"], most_boiled(), u[12]),
    )  # fmt: skip
    fridge_c = np.clip(programme.fridge_c + z(u[4]), 0.0, 16.0)
    air = rind("kitchen_air")
    ratio = _between(air["low"], air["high"], u[7])
    vapour = ratio / (0.622 + ratio) * rind_laws().air.pressure
    low, high = film("fan-oven" if programme.fan else "still-oven")
    h = low * (high / low) ** u[8]
    off = programme.offset_c + (rind("oven")["sd_k"] if programme.offset_sd_c is None else programme.offset_sd_c) * z(u[9])

    def stage(told: Stage, rack: bool) -> Around:
        return Around(
            told.minutes * 60.0, np.clip(told.oven_c + off, 20.0, 320.0), vapour, h, bottom=float(rack),
            bottom_heat=1.0 if rack else u[11], step=60.0,
        )  # fmt: skip

    return Members(
        rinds, _fridge(programme, fridge_c, u[5], u[6]), tuple(stage(s, programme.rack) for s in programme.oven),
        None if programme.recrisp is None else stage(programme.recrisp, True), fridge_c,
    )  # fmt: skip


def _fridge(programme: Programme, celsius: Floats, u_air: Floats, u_film: Floats) -> Around | None:
    if not programme.fridge_h:
        return None
    said = rind("fridge_air")
    humid = np.full_like(celsius, programme.humidity) if programme.humidity is not None else _between(said["low"], said["high"], u_air)
    low, high = film("fan-fridge" if programme.fridge_fan else "still-fridge")
    bare = 0.0 if programme.covered else 1.0
    return Around(
        programme.fridge_h * HOUR_S, celsius, humid * pressure(celsius, rind_laws().vapour), low * (high / low) ** u_film,
        top=bare, bottom=bare * float(programme.rack),
    )  # fmt: skip


def _water(skin: Skin, u: Floats, fat_mm: float, kept_g: float, dried_g: float | None, known: bool) -> Floats:
    """Water per raw skin; where the dried skin was weighed, only what leaves it some."""
    said: CitedBand = band("skin", "water_per_skin")
    likely = skin.water_per_skin
    low, high = (likely, likely) if known else (min(said.low, likely), max(said.high, likely))
    if dried_g is not None:
        least, most = 1.0 - skin_share(skin, fat_mm), skin.raw_g + kept_g
        require(dried_g, "dried skin", 1e-9, most, "g", "Weigh it again with the salt brushed off, on the same scale.")
        bare, raw = dried_g - least * skin.raw_g, skin.raw_g * (1.0 - least)
        low = max(low, 1.0 - (bare / (1.0 + _DRIEST) - kept_g) / raw)
        if low > high:
            dry = (1.0 - high) * raw + kept_g + least * skin.raw_g
            raise OutOfRange(
                f"dried skin {dried_g:g} g is less than its {dry:.0f} g of dry matter.", field="dried-weight", value=dried_g,
                limit=dry, remedy="Weigh it again on the same scale, or give the water of the raw skin.",
            )  # fmt: skip
    return np.interp(u, [0.0, 0.5, 1.0], [low, min(max(likely, low), high), high])


def most_boiled() -> float:
    """Water per dry matter that a usual raw skin holds above the window of puffing: no more can boil off before it. [kg/kg]"""
    raw = band("skin", "water_per_skin").likely
    return float(raw / (1.0 - raw) - rind_laws().held)


def skin_share(skin: Skin, fat_mm: float) -> float:
    """Share of the rind's weight that is skin, the rest being the layer of fat below it. [1]"""
    s = rind_laws().stuff
    w, f = skin.water_per_skin, skin.fat_per_skin
    dense = 1.0 / (w / 1000.0 + f / s.fat_density + (1.0 - w - f) / s.protein_density)
    return skin.thickness_mm * dense / (skin.thickness_mm * dense + fat_mm * 0.92 * 1000.0)


def area_m2(skin: Skin, per_area: Floats, kept_g: float) -> Floats:
    """Area of the rind from its weight and what a square metre weighs [kg/m2]. [m2]"""
    return np.asarray(kilograms(skin.raw_g + kept_g) / per_area)


def _between(low: float, high: float, u: Floats) -> Floats:
    return np.asarray(low + (high - low) * u)
