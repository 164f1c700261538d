"""Dough: the water that brings it to its temperature, and the window of a proof in the cold.

The factor rule averages temperatures as if flour, room and water counted alike; the heat balance weighs them
by mass and heat capacity. Both are told, side by side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from ingle.crafts._lines import band, require
from ingle.ground.errors import OutOfRange
from ingle.ground.tables import toml_table
from ingle.ground.units import ZERO_CELSIUS_K
from ingle.physics import fermentation, mixing

_HOUR_S = 3600.0
_STEP_S = 60.0
_LONGEST_H = 240.0
NOT_MODELLED = (
    "salt: it slows yeast, no published slope between 1.5 and 2.5 %",
    "dose of yeast or starter: the window is for a dough that keeps the usual cold proof at 4 C",
    "flour: weak or wholegrain dough gives out sooner",
)


@dataclass(frozen=True)
class DoughWater:
    """Water for a wished dough temperature."""

    by_rule_c: float
    by_balance_c: float  # what the water would have to be; below 0 means ice
    water_g: float  # to pour
    ice_g: float  # to weigh
    pour_c: float  # temperature of what is poured
    sure: str
    doubt: str


@dataclass(frozen=True)
class ColdProof:
    """When a dough in the fridge is ready: window in hours from going in, and what was assumed."""

    earliest_h: float
    best_h: float
    latest_h: float
    stopped_at_72_h: bool  # the dough would last longer than anyone vouches for
    time_constant_h: float  # of the dough's mean temperature
    hours_at_24_c: tuple[float, float, float]  # dose at the three times
    by_law: dict[str, tuple[float, float, float]]  # the same window by each rate law, none chosen for its answer
    sure: str
    doubt: str
    act: str
    not_modelled: tuple[str, ...] = NOT_MODELLED


@dataclass(frozen=True)
class Progress:
    """How far a dough has come along its own temperature record."""

    hours_at_24_c: float
    mean_rate: float  # against 24 degC
    law: str


def water_by_factor(wanted_c: float, flour_c: float, room_c: float, friction_k: float, preferment_c: float | None = None) -> float:
    """Water temperature by the bakers' factor rule. [degC]

    n x wanted - (flour + room [+ preferment]) - friction, n = 3, or 4 with a preferment. Friction is a
    difference in kelvin (1.8 F to a kelvin) and belongs to the mixer. Below 0: see `water_by_balance`.
    """
    others = [flour_c, room_c] + ([] if preferment_c is None else [preferment_c])
    for value in (wanted_c, *others):
        require(value, "temperature", -30.0, 60.0, "C")
    require(friction_k, "friction", -5.0, 40.0, "K")
    return (len(others) + 1) * wanted_c - sum(others) - friction_k


def friction_by_factor(dough_c: float, flour_c: float, room_c: float, water_c: float, preferment_c: float | None = None) -> float:
    """Your mixer's friction from one batch, for the factor rule. [K]"""
    others = [flour_c, room_c, water_c] + ([] if preferment_c is None else [preferment_c])
    return len(others) * dough_c - sum(others)


def water_by_balance(
    wanted_c: float,
    flour_g: float,
    flour_c: float,
    water_g: float,
    tap_c: float,
    *,
    others: Sequence[tuple[float, float, float]] = (),
    heating_k: float = 0.0,
    room_c: float | None = None,
    friction_k: float = 0.0,
    ice_c: float = -18.0,
) -> DoughWater:
    """Water, and ice where the tap is too warm, by a balance of heat.

    Parameters
    ----------
    wanted_c, flour_g, flour_c, water_g, tap_c : float
        Wanted dough, flour, all the water, and the tap.
    others : sequence of (g, degC, water per g)
        Preferments, milk, salt: whatever else goes in, with its share of water.
    heating_k : float
        By how much mixing warms the whole dough (a true rise, 1 to 5 K by machine; the factor rule's
        friction is about three times that).
    room_c, friction_k : float
        For the factor rule,
        told beside the balance; the room is taken at the flour's temperature if not given.
    """
    heat = toml_table("laws", "dough.toml")["heat"]
    require(flour_g, "flour", 1e-9, 1e9, "g")
    require(water_g, "water", 1e-9, 1e9, "g")
    for value, name in ((wanted_c, "dough"), (flour_c, "flour"), (tap_c, "tap")):
        require(value, f"temperature of the {name}", 0.0, 60.0, "C")
    require(ice_c, "temperature of the ice", -40.0, 0.0, "C")
    require(heating_k, "heating by mixing", -5.0, 20.0, "K")
    mass = np.array([flour_g, *(g for g, _, _ in others)]) / 1000.0
    temperature = np.array([flour_c, *(c for _, c, _ in others)]) + ZERO_CELSIUS_K
    watery = np.array([0.0, *(w for _, _, w in others)])
    specific = watery * heat["water_j_kgk"] + (1.0 - watery) * heat["flour_j_kgk"]
    pour = water_g / 1000.0 * heat["water_j_kgk"]
    work = heating_k * (float(np.sum(mass * specific)) + pour)
    wanted = wanted_c + ZERO_CELSIUS_K
    needed = mixing.temperature_needed(wanted, mass, specific, temperature, last_capacity=pour, heat=work)
    ice = mixing.ice_needed(
        wanted, needed, tap_c + ZERO_CELSIUS_K, water_g / 1000.0,
        melting=ZERO_CELSIUS_K, latent=heat["latent_j_kg"], water_heat=heat["water_j_kgk"],
        ice_heat=heat["ice_j_kgk"],
        ice=ice_c + ZERO_CELSIUS_K,
    )  # fmt: skip
    if needed - ZERO_CELSIUS_K > 60.0:
        raise OutOfRange(
            f"the water would have to be {needed - ZERO_CELSIUS_K:.0f} C; above 60 it kills yeast.",
            field="dough",
            value=wanted_c, limit=60.0, remedy="Warm the flour, or let a cooler dough take longer.",
        )  # fmt: skip
    preferment = others[0][1] if others else None
    rule = water_by_factor(wanted_c, flour_c, flour_c if room_c is None else room_c, friction_k, preferment)
    return DoughWater(
        by_rule_c=rule, by_balance_c=needed - ZERO_CELSIUS_K, water_g=water_g - 1000.0 * ice,
        ice_g=1000.0 * ice,
        pour_c=tap_c if ice > 0.0 else needed - ZERO_CELSIUS_K, sure=heat["sure"], doubt=heat["doubt"],
    )  # fmt: skip


def time_constant_h(dough_g: float) -> float:
    """Hours in which a covered ball of dough loses 63 % of its difference to a still fridge."""
    ball = toml_table("laws", "dough.toml")["ball"]
    require(dough_g, "dough", 1.0, 50_000.0, "g", "Divide the dough into pieces that cool by themselves.")
    seconds = fermentation.ball_time_constant(
        dough_g / 1000.0,
        ball["density_kg_m3"],
        ball["specific_heat_j_kgk"],
        ball["conductivity_w_mk"],
        ball["transfer_w_m2k"],
    )
    return seconds / _HOUR_S


def progress(hours: Sequence[float], dough_c: Sequence[float], law: str = "default") -> Progress:
    """Dose of a ferment along a record of the dough's own temperature, in hours at 24 degC."""
    work = fermentation.dose(np.asarray(hours, float) * _HOUR_S, np.asarray(dough_c, float) + ZERO_CELSIUS_K, _law(law))
    span = float(hours[-1]) - float(hours[0])
    done = float(work[-1]) / _HOUR_S
    return Progress(hours_at_24_c=done, mean_rate=done / span if span > 0 else 0.0, law=law)


def cold_proof(dough_g: float, fridge_c: float, dough_c: float = 24.5, head_start_h: float = 0.0) -> ColdProof:
    """Window of a proof in the fridge, from the mass of one piece and the fridge's true temperature.

    Parameters
    ----------
    dough_g, fridge_c, dough_c : float
        Mass of one piece, fridge (measured in water overnight), dough when it goes in.
    head_start_h : float
        Hours at 24 degC it has fermented beyond the usual before going in; negative for less.

    Notes
    -----
    The usual window (ready 12 h, best about 18, usable to 48 at 4 degC, 900 g from 24.5 degC) is turned into
    a dose along that dough's cooling, and the same dose is looked for along this one's. So only differences
    are forecast: mass, fridge, start. Three rate laws that disagree are told beside each other.
    """
    require(fridge_c, "fridge", 0.0, 15.0, "C", "For a proof above 15 C use the warm times.")
    require(dough_c, "dough", fridge_c, 40.0, "C", "The dough goes in no colder than the fridge.")
    require(head_start_h, "head start", -24.0, 24.0, "h")
    tau = time_constant_h(dough_g)
    stop = band("bread", "cold_proof_stop_h").likely
    by_law = {}
    doses: tuple[float, float, float] = (0.0, 0.0, 0.0)
    for name in toml_table("laws", "dough.toml")["rate"]:
        aims = _aims(name)
        hours, work = _running(tau, dough_c, fridge_c, name)
        found = np.interp(np.asarray(aims) - head_start_h, work, hours, left=0.0, right=np.inf)
        by_law[name] = (float(found[0]), float(found[1]), float(found[2]))
        doses = aims if name == "default" else doses
    earliest, best, latest = by_law["default"]
    usual = band("bread", "cold_proof_h")
    rate = toml_table("laws", "dough.toml")["rate"]["default"]
    return ColdProof(
        earliest_h=min(earliest, stop), best_h=min(best, stop), latest_h=min(latest, stop),
        stopped_at_72_h=latest > stop,
        time_constant_h=tau, hours_at_24_c=doses, by_law=by_law, sure=usual.sure,
        doubt=f"{usual.doubt} {rate['doubt']}",
        act=_act(fridge_c, latest, stop),
    )  # fmt: skip


def _act(fridge_c: float, latest: float, stop: float) -> str:
    if fridge_c > 5.0:
        return f"Bake within {latest:.0f} h, or find a colder place: {fridge_c:g} C is fast for a dough."
    if latest > stop:
        return f"Bake by {stop:.0f} h all the same: nobody vouches for longer."
    return "Measure the fridge in a glass of water overnight: it counts for more than the hours."


def _running(tau_h: float, start_c: float, fridge_c: float, name: str) -> tuple[np.ndarray, np.ndarray]:
    seconds = np.arange(0.0, _LONGEST_H * _HOUR_S + _STEP_S, _STEP_S)
    dough = fermentation.lumped_temperature(seconds, start_c + ZERO_CELSIUS_K, fridge_c + ZERO_CELSIUS_K, tau_h * _HOUR_S)
    return seconds / _HOUR_S, fermentation.dose(seconds, dough, _law(name)) / _HOUR_S


@cache
def _aims(name: str) -> tuple[float, float, float]:
    """Dose of the usual cold proof at its three times, under one rate law."""
    usual = band("bread", "cold_proof_h")
    tau = time_constant_h(band("bread", "cold_proof_mass_g").likely)
    hours, work = _running(tau, band("bread", "dough_temperature_c").likely, 4.0, name)
    low, likely, high = (float(np.interp(h, hours, work)) for h in (usual.low, usual.likely, usual.high))
    return low, likely, high


@cache
def _law(name: str) -> fermentation.RateLaw:
    laws = toml_table("laws", "dough.toml")["rate"]
    if name not in laws:
        raise OutOfRange(f"rate law {name!r} is not one of {', '.join(laws)}.", field="law", value=name, limit=tuple(laws))
    said = laws[name]
    return fermentation.RateLaw(
        name=name, temperature=tuple(t + ZERO_CELSIUS_K for t in said["temperature_c"]),
        rate=tuple(said["rate"]),
        reference=said["reference_c"] + ZERO_CELSIUS_K, falls_from=said["falls_from_c"] + ZERO_CELSIUS_K,
        stops_at=said["stops_at_c"] + ZERO_CELSIUS_K, valid=(ZERO_CELSIUS_K - 1.0, ZERO_CELSIUS_K + 60.0),
    )  # fmt: skip
