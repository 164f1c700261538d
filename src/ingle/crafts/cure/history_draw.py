"""Members of the prior for a history of stages, and how fast things move in each of them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure import laws
from ingle.crafts.cure.forecast_draw import KIND, law, normal, quasi_random, require_measured
from ingle.crafts.cure.history_stage import Stage
from ingle.ground import units
from ingle.ground.things import Piece
from ingle.physics import nitrite_loss
from ingle.physics.diffusivity import GAS_CONSTANT

Floats = NDArray[np.float64]
SOLUTES = ("salt", "nitrite", "nitrate", "sugar")


@dataclass(frozen=True)
class Members:
    """Draws of the prior, shape (M,)."""

    path: Floats
    d_ref: Floats
    e_a: Floats
    warmer: Floats
    taken: Floats
    swelling: Floats
    shrinking: Floats
    neutral: Floats
    purge: Floats
    slow: Floats
    d_water: Floats
    air: Floats
    ph: Floats


def draw(piece: Piece, members: int, diffusivity: float | None) -> Members:
    prior, thickness = law(), require_measured(piece)
    half = KIND[piece.shape] != "slab" or piece.skin == "none"
    path = units.metres(thickness) / (2 if half else 1)
    if diffusivity is None:
        z, u = normal(members, 13)[:, :5], quasi_random(members, 13)[:, 5:]
    else:
        z, u = np.zeros((1, 5)), np.full((1, 8), 0.5)
    salt, dry, ex = prior["salt"]["lean"], prior["drying"]["lean"], prior["exchange"]

    def between(said: dict, column: int) -> Floats:
        return said["low"] + (said["high"] - said["low"]) * u[:, column]

    return Members(
        path=path * np.maximum(1 + prior["thickness"]["value"] * z[:, 0], 0.6),
        d_ref=salt["d_ref_m2_s"] * np.exp(math.log(salt["spread_gsd"]) * z[:, 1])
        if diffusivity is None
        else np.array([diffusivity]),
        e_a=np.maximum(salt["e_a_j_mol"] + salt["e_a_sd_j_mol"] * z[:, 2], 0.0) if diffusivity is None else np.zeros(1),
        warmer=prior["temperature"]["value"] * z[:, 3],
        taken=between(prior["taken"], 0) if diffusivity is None else np.ones(1),
        swelling=between(ex["swelling"], 1),
        shrinking=between(ex["shrinking"], 2),
        neutral=between(ex["neutral"], 3),
        purge=between(ex["purge"], 4),
        slow=between(ex["time"], 5),
        d_water=dry["d_ref_m2_s"] * np.exp(math.log(dry["spread_gsd"]) * z[:, 4]),
        air=between(prior["drying"]["air"], 6),
        ph=between(prior["meat"]["acidity"], 7),
    )


def kelvin_of(stage: Stage, hour: float, drawn: Members) -> Floats:
    low, high = law()["salt"]["lean"]["valid_c"]
    spread = drawn.warmer if stage.record is None else 0.3 * drawn.warmer  # a record leaves the sensor's own error
    return np.clip(stage.celsius(hour) + spread, low, high) + units.ZERO_CELSIUS_K


def warmth(e_a: Floats | float, kelvin: Floats, ref_c: float) -> Floats:
    return np.exp(-np.asarray(e_a) / GAS_CONSTANT * (1 / kelvin - 1 / (ref_c + units.ZERO_CELSIUS_K)))


def pace_of(stage: Stage, drawn: Members) -> Callable[[float], Floats]:
    ratio = law()["solutes"]
    over = np.array([1.0, ratio["nitrite"], ratio["nitrate"], ratio["sugar"]])[:, None]
    ref = law()["salt"]["lean"]["t_ref_c"]

    def pace(second: float) -> Floats:
        d = drawn.d_ref * warmth(drawn.e_a, kelvin_of(stage, second / units.HOUR_S, drawn), ref)
        return over * (d / drawn.path**2)[None]

    return pace


def water_pace_of(stage: Stage, drawn: Members) -> Callable[[float], Floats]:
    dry = law()["drying"]["lean"]

    def pace(second: float) -> Floats:
        warm = warmth(dry["e_a_j_mol"], kelvin_of(stage, second / units.HOUR_S, drawn), dry["t_ref_c"])
        return drawn.d_water * warm / drawn.path**2

    return pace


def loss_of(stage: Stage, drawn: Members) -> Callable[[float], Floats]:
    half = laws.nitrite_half_life()
    nothing = np.zeros((len(SOLUTES), len(drawn.path)))

    def loss(second: float) -> Floats:
        rate = nothing.copy()
        rate[1] = nitrite_loss.loss_rate(kelvin_of(stage, second / units.HOUR_S, drawn), drawn.ph, half)
        return rate

    return loss
