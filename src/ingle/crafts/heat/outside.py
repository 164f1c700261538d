"""What a stage does to the faces of a piece: film, radiation, vapour through a drying crust, for all members."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ingle.crafts import _draws
from ingle.crafts.heat import laws
from ingle.crafts.heat.draw import Draws
from ingle.crafts.heat.stage import LIQUID, Stage, said
from ingle.ground.units import ZERO_CELSIUS_K
from ingle.physics import humid_air, surface_heat
from ingle.physics.heating import Flux
from ingle.physics.surface_heat import Around

Floats = NDArray[np.float64]

_LEAST_CONVECTION = 0.2  # of a total film that was given, where its radiation is computed apart
_FACE_C = 60.0  # face temperature at which a given total is parted into radiation and convection
_FRONT_C = 97.0  # the front of evaporation under a dry layer is held a little below the boiling of water
_WATER_PER_VOLUME = 750.0  # kg of water a m3 of meat holds: how thick the layer is that has given off so much


@dataclass(frozen=True)
class Air:
    """A stage for all members; arrays (M,)."""

    stage: Stage
    offset: Floats  # [K]
    convection: Floats  # [W/m2K]; the whole film where radiation is in it
    under: Floats  # factor on the film at the face "bottom"
    emissivity: float
    wet: float
    humidity: Floats  # kg/kg
    crust: Floats  # resistance of the dried layer, per kg/m2 given off, against one of still air at 1 W/m2K [m2/kg per W/m2K]

    def only(self, members: NDArray[np.intp]) -> Air:
        """The same for some of the members."""
        return replace(
            self, offset=self.offset[members], convection=self.convection[members], under=self.under[members],
            humidity=self.humidity[members], crust=self.crust[members],
        )  # fmt: skip

    def celsius(self, time: float) -> Floats:
        """Of the air, ``time`` seconds after the stage began."""
        s = self.stage
        if s.record is not None:
            return np.interp(time, s.record.times, s.record.celsius) + self.offset
        start = s.air_c if s.from_c is None else s.from_c
        share = 1.0 if s.heat_up_s <= 0.0 else min(time / s.heat_up_s, 1.0)
        return start + (s.air_c + self.offset - start) * share

    def flux(self, face: str, surface: Floats, time: float, lost: Floats) -> Flux:
        """Heat into a face and vapour from it; surface in K, ``time`` from the start of the stage."""
        below = face == "bottom"
        h = self.convection * self.under if below else self.convection
        air = self.celsius(time)
        if self.emissivity == 0.0 and (self.wet == 0.0 or below):
            told = h * (air + ZERO_CELSIUS_K - surface)
            return Flux(told, np.broadcast_to(h, told.shape))
        wet: float | Floats = 0.0 if below else self.wet
        if not below and self.wet > 0.0:
            wet = self.wet / (1.0 + h * self.crust * np.maximum(lost, 0.0))
        around = Around(
            air_c=np.clip(air, -40.0, 250.0), convection=h, humidity=self.humidity, wet=wet,
            emissivity=self.emissivity * (float(np.mean(self.under)) if below else 1.0),
        )  # fmt: skip
        return _with_crust(surface - ZERO_CELSIUS_K, around)


def _with_crust(face_c: Floats, around: Around) -> Flux:
    """The law of the face; where it is hotter than water boils the vapour comes from a front below it that is not."""
    air, law = laws.moist_air(), laws.transfer()
    front = np.minimum(face_c, _FRONT_C)
    found = surface_heat.flux(front, around, air, law)
    over = face_c > _FRONT_C
    if not over.any():
        return Flux(found.heat, -found.slope, found.evaporation, found.evaporation_slope)
    dry = replace(around, wet=0.0)
    here, there = surface_heat.flux(face_c, dry, air, law), surface_heat.flux(front, dry, air, law)
    return Flux(
        found.heat + here.heat - there.heat, -np.where(over, here.slope, found.slope), found.evaporation,
        np.where(over, 0.0, found.evaporation_slope),
    )  # fmt: skip


def air_of(stage: Stage, draws: Draws) -> Air:
    """The numbers of a stage for all members."""
    mean, sd = stage.offset()
    offset = mean + sd * draws.offset
    one = np.ones(draws.members)
    vapour = stage.kind not in LIQUID and not stage.wrapped
    apart = stage.film is None and stage.kind not in LIQUID
    if stage.film is not None:
        h = np.full(draws.members, stage.film)
        if stage.humidity is None and stage.ratio is None:
            vapour = False
        else:
            apart = True
            h = np.maximum(h - radiation_film(stage.air_c), _LEAST_CONVECTION * h)
    else:
        first, last = (laws.film(s) for s in stage.film_range())
        ends = (first.convection[0], last.convection[1]) if apart else (first.low, last.high)
        h = _draws.between(draws.film, *ends)
        if stage.support == "" and stage.kind in ("oven", "smoker"):
            support = said("oven")["support"]
            h = h * _even(draws.support, support["low"], support["high"])
    under = one
    if stage.support == "tray":
        tray = said("oven")["tray"]
        under = _even(draws.support, tray["low"], tray["high"])
    emissivity = laws.transfer().emissivity if apart and not (stage.wrapped and stage.kind == "rest") else 0.0
    return Air(stage, offset, h, under, emissivity, 1.0 if vapour else 0.0, humidity_of(stage, draws), crust_of(draws))


def humidity_of(stage: Stage, draws: Draws) -> Floats:
    """Water per dry air for all members. [1]"""
    law = laws.moist_air()
    one = np.ones(draws.members)
    if stage.ratio is not None:
        return stage.ratio * one
    if stage.humidity is not None:
        return humid_air.humidity_ratio(np.full(draws.members, stage.air_c), stage.humidity, law)
    if stage.kind in ("oven", "smoker", "cold-smoker"):
        told = said("air" if stage.kind == "oven" else "smoker_air")
        return _draws.between(draws.air, told["low"], told["high"])
    if stage.kind in LIQUID:
        return 0.0 * one
    name = ("humidity_low", "humidity_high") if stage.kind == "rest" else ("low", "high")
    told = said("room" if stage.kind == "rest" else "fridge_air")
    share = _even(draws.air, told[name[0]], told[name[1]])
    return humid_air.humidity_ratio(np.full(draws.members, stage.air_c), share, law)


def ratio_at_wet_bulb(air_c: float, wet_bulb_c: float) -> float:
    """Water per dry air from the two bulbs. [1]"""
    return float(humid_air.ratio_at_wet_bulb(air_c, wet_bulb_c, laws.moist_air()))


def crust_of(draws: Draws) -> Floats:
    """Resistance of the dried layer for each kg/m2 given off and W/m2K of convection.

    Still air lets vapour through at h_m = h / (rho cp Le^(2/3)), the layer at D / (factor x thickness); the ratio of the two
    resistances is h x this x the water given off.
    """
    told, air, law = said("crust"), laws.moist_air(), laws.transfer()
    factor = _draws.between(draws.crust, told["low"], told["high"])
    factor *= told["likely"] / float(np.sqrt(told["low"] * told["high"]))
    rho = air.pressure / (air.gas_constant * (80.0 + ZERO_CELSIUS_K))
    speed_per_film = 1.0 / (rho * air.specific_heat * law.lewis ** (2.0 / 3.0))
    return np.asarray(speed_per_film * factor / told["vapour_diffusivity_m2_s"] / _WATER_PER_VOLUME)


def radiation_film(air_c: float) -> float:
    """Radiation between a piece at 60 degC and walls as warm as the air, as a film. [W/m2K]"""
    w, s = air_c + ZERO_CELSIUS_K, _FACE_C + ZERO_CELSIUS_K
    return float(laws.transfer().emissivity * surface_heat.STEFAN_BOLTZMANN * (w * w + s * s) * (w + s))


def _even(u: Floats, low: float, high: float) -> Floats:
    return np.asarray(low + (high - low) * u)
