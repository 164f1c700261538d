"""Measured cooling of joints (`validation_joints_table`) beside the march of ``crafts/heat``.

Nothing is fitted. Air of a printed speed: a cylinder across a stream (Churchill and Bernstein), never below still air (Churchill and
Chu); radiation apart. The range of fan fridges in ``thermal.toml`` is not used: it was found from these very tables.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import ndtr

from ingle.crafts.heat import draw, laws, march
from ingle.crafts.heat.draw import Draws
from ingle.crafts.heat.joint import sizes
from ingle.crafts.heat.joint_body import body_of, matter_of
from ingle.crafts.heat.outside import Air, air_of
from ingle.crafts.heat.stage import Record, Stage, said
from ingle.ground.units import HOUR_S, ZERO_CELSIUS_K
from ingle.physics import heating, humid_air
from tools.validation_joints_table import ROUND_H, Case, Leg, Timed, cases, ends, rule

Floats = NDArray[np.float64]

MEMBERS = 128
AIR_K, AIR_V, AIR_ALPHA, AIR_C = 0.0245, 1.38e-5, 1.95e-5, 5.0  # W/m K, m2/s, m2/s of air at 5 C (Incropera)
PRANDTL, GRAVITY = 0.71, 9.81


def _even(u: Floats, between: tuple[float, float]) -> Floats:
    return np.asarray(between[0] + (between[1] - between[0]) * u)


def across(speed: Floats, diameter: Floats) -> Floats:
    """Film of a cylinder across a stream of air. [m/s, m -> W/m2K]

    Churchill and Bernstein 1977.
    """
    re = speed * diameter / AIR_V
    nu = 0.3 + 0.62 * np.sqrt(re) * PRANDTL ** (1 / 3) / (1 + (0.4 / PRANDTL) ** (2 / 3)) ** 0.25 * (1 + (re / 282000) ** 0.625) ** 0.8
    return np.asarray(nu * AIR_K / diameter)


def still(warmer: Floats, diameter: Floats) -> Floats:
    """Film of a horizontal cylinder in still air, by how much warmer its face is. [K, m -> W/m2K]"""
    rayleigh = GRAVITY * warmer * diameter**3 / ((AIR_C + ZERO_CELSIUS_K) * AIR_V * AIR_ALPHA)
    return np.asarray(free_nusselt(rayleigh) * AIR_K / diameter)


def free_nusselt(rayleigh: Floats) -> Floats:
    """Churchill and Chu 1975, horizontal cylinder, as in Incropera (from memory)."""
    return np.asarray((0.60 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.559 / PRANDTL) ** (9 / 16)) ** (8 / 27)) ** 2)


def air(case: Case, leg: Leg, draws: Draws, diameter: Floats) -> Air:
    """The leg for all members."""
    seconds = 60 * HOUR_S if leg.hours is None else leg.hours * HOUR_S
    kind = "cold-water" if leg.medium == "water" else "fridge"
    open_ = case.cover == "net" and leg.medium == "air"
    if leg.fall_h is None:
        stage = Stage(kind, sum(leg.celsius) / 2, lasts_s=seconds, offset_c=0.0, wrapped=not open_)
        offset = _even(ndtr(draws.offset), leg.celsius) - stage.air_c
    else:
        record = Record(np.array([0.0, leg.fall_h * HOUR_S]), np.array(leg.celsius))
        stage = Stage(kind, sum(leg.celsius) / 2, lasts_s=seconds, record=record, wrapped=not open_)
        offset = np.zeros(draws.members)
    told = replace(air_of(stage, draws), offset=offset)
    if leg.medium == "water":
        return replace(told, convection=_even(draws.film, ends("water_film")), emissivity=0.0)
    assert leg.speed is not None
    forced = across(_even(draws.support, leg.speed), diameter) * _even(draws.film, ends("stream"))
    free = still(_even(draws.film, ends("still_air")), diameter)
    shine = rule()["mould"]["value"] if case.cover == "mould" else laws.transfer().emissivity
    wet = humid_air.humidity_ratio(np.full(draws.members, stage.air_c), _even(draws.air, ends("humidity")), laws.moist_air())
    return replace(told, convection=np.maximum(forced, free), emissivity=shine, humidity=wet)


def body(case: Case, draws: Draws) -> tuple[heating.Body, Floats]:
    """Bodies of all members, and their diameters. [m]"""
    joint, half = case.joint, case.step_mm / 2
    if joint.thickness_mm is None:
        low, high = ends("size_not_printed")
        joint, half = replace(joint, thickness_mm=(low + high) / 2), (high - low) / 2
    assert joint.thickness_mm is not None
    share = half / joint.thickness_mm * (2.0 * ndtr(draws.size) - 1.0)
    told = sizes(joint)
    drawn = replace(draws, size=share / said("size")["sd"], rounding=np.ones(draws.members))  # grown pieces get their shape below
    found = body_of(told, drawn, fine=draws.members == 1, tray=False)
    if case.form == "grown" and told.shape == "cylinder":  # the weight is kept
        thin = _even(draws.rounding, ends("shape"))
        across_, along = found.axes
        keep = 1.0 if case.joint.length_mm else thin**2 * (1.0 + share) ** 2
        found = replace(found, axes=(replace(across_, length=across_.length * thin), replace(along, length=along.length / keep)))
    return found, np.asarray(told.thickness * (1.0 + share))


def fastest(timed: Timed) -> float:
    """Hours that conduction alone needs, at the least: a face held at the coldest air or water of the case from the first moment, the thinnest
    shape, the lean that conducts best. [h]

    A time that begins while the piece cools begins from the hottest start of the rule: the outside is then as far ahead as it can be.
    """
    case = timed.case
    begin, _, end, _ = timed.span.split()
    low = min(min(leg.celsius) for leg in case.legs)
    far = np.full(1, -9.0 if begin == "start" else 9.0)
    thinnest = replace(draw.middle(), rounding=np.zeros(1), size=np.full(1, -9.0), start=far, conductivity=np.full(1, 1.645))
    hard = replace(case, legs=(Leg("water", (low, low), None, None, None),))
    course = cooled(hard, thinnest, film=laws.transfer().most_film)
    return float((crossing(*course, float(end)) - (0.0 if begin == "start" else crossing(*course, float(begin))))[0])


def cooled(case: Case, draws: Draws, film: float | None = None) -> tuple[Floats, Floats]:
    """Hours (T,) and core (T, M) of one case; with ``film`` that of all its legs [W/m2K]. [h], [degC]"""
    made, width = body(case, draws)
    joint = case.joint if case.joint.thickness_mm else replace(case.joint, thickness_mm=sum(ends("size_not_printed")) / 2)
    matter = matter_of(joint, draws)
    airs = [air(case, leg, draws, width) for leg in case.legs]
    if film is not None:
        airs = [replace(a, convection=np.full(draws.members, film)) for a in airs]
    start = _even(ndtr(draws.start), start_ends(case)) + ZERO_CELSIUS_K
    programme = march.Programme(airs, draws.members, start)
    breaks = np.cumsum([leg.hours for leg in case.legs[:-1]]) * HOUR_S
    last = min(end for _, end, _ in case.times) - 0.3 + ZERO_CELSIUS_K

    def after(time: float, core: Floats) -> bool:
        programme.after(time, core)
        return bool((core < last).all())

    course = heating.run(
        made, matter, heating.begin(made, matter, start), programme, 60 * HOUR_S, after=after, breaks=tuple(float(b) for b in breaks), fineness=1.5
    )
    return course.times / HOUR_S, course.core - ZERO_CELSIUS_K


def start_ends(case: Case) -> tuple[float, float]:
    """Between which temperatures a case begins. [degC]"""
    if case.start_c is not None:
        half = rule()["start_printed"]["half"]
        return case.start_c - half, case.start_c + half
    low, high = ends("start_not_printed")
    timed = [begin for begin, _, _ in case.times if begin is not None]
    return max([low, *timed]), high


def crossing(hours: Floats, core: Floats, celsius: float) -> Floats:
    """Hour at which each member falls through a temperature; infinite where it does not. (M,)"""
    found = np.full(core.shape[1], np.inf)
    for m in range(core.shape[1]):
        below = np.flatnonzero(core[:, m] <= celsius)
        if below.size:
            i = int(below[0])
            found[m] = hours[0] if i == 0 else np.interp(-celsius, [-core[i - 1, m], -core[i, m]], [hours[i - 1], hours[i]])
    return found


def scatter() -> tuple[float, int]:
    """What joints seen before differ by from the forecast, beyond what it draws: a standard deviation of the logarithm, and of how many times.

    Found so that squared differences, over the band's own width and this one together, are 1 on the mean.
    """
    timed = [t for t in compared(paced=False) if t.case.group == "seen" and not t.beyond]
    off = np.array([np.log(t.measured / np.sqrt(t.low * t.high)) for t in timed])
    own = np.array([np.log(t.high / t.low) for t in timed]) / (2 * 1.645)
    return float(brentq(lambda sd: np.mean(off**2 / (own**2 + sd**2)) - 1.0, 0.0, 2.0)), len(timed)


@cache
def compared(*, paced: bool = True) -> tuple[Timed, ...]:
    """Every printed time beside its prediction; not ``paced``: without the scatter of `[pace]` in the product's laws."""
    found = []
    for case in cases():
        known = frozenset() if paced else frozenset({"pace"})
        one, many = cooled(case, draw.middle()), cooled(case, draw.ensemble(known, MEMBERS))
        for begin, end, measured in case.times:
            spans = [crossing(*r, end) - (0.0 if begin is None else crossing(*r, begin)) for r in (one, many)]
            low, high = np.quantile(spans[1], (0.05, 0.95), method="closest_observation")
            span = f"{'start' if begin is None else f'{begin:g}'} to {end:g} C"
            told = Timed(case, span, measured, float(spans[0][0]), float(low), float(high))
            least = fastest(told) if told.error > 0.0 else 0.0
            found.append(replace(told, beyond=measured + ROUND_H < least, least=least))
    return tuple(found)
