"""Members of the prior for a history of stages, and how fast things move in each of them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.crafts import _draws
from ingle.crafts.cure import laws
from ingle.crafts.cure.forecast_curves import other_ways
from ingle.crafts.cure.forecast_draw import KIND, law, normal, require_measured
from ingle.crafts.cure.history_stage import Stage
from ingle.ground import units
from ingle.ground.things import Piece
from ingle.physics import nitrite_loss
from ingle.physics.depths import Depth, depth, nested
from ingle.physics.diffusivity import GAS_CONSTANT
from ingle.physics.series_roots import held_roots

Floats = NDArray[np.float64]
ROUND = {"slab": 1, "cylinder": 2, "sphere": 3}  # ways in that a round one counts for
BY_SHELLS = "sides and ends count, as shells one inside the other: beside exact boxes the whole is within 3 %, but the core comes up to a quarter early"
NO_SIDES = "sides and ends do not count: shape box with width and length, or a cylinder with its length, counts them"
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


def ways_in(piece: Piece) -> tuple[tuple[str, float], ...]:
    """Each way into a piece and its path: across the thickness, then sides and ends where they were measured. [m]"""
    half = KIND[piece.shape] != "slab" or piece.skin == "none"
    across = units.metres(require_measured(piece)) / (2 if half else 1)
    return ((KIND[piece.shape], across), *((kind, float(size)) for kind, size in other_ways(piece)))


def cells_of(piece: Piece, cells: int) -> tuple[Depth, tuple[str, ...]]:
    """The one dimension that stands in for a piece, and what that assumes."""
    kind = KIND[piece.shape]
    ways = ways_in(piece)
    if len(ways) == 1:
        return depth(kind, cells), () if kind == "sphere" else (NO_SIDES,)
    shortest = min(size for _, size in ways)
    shares = [shortest / size for kind, size in ways for _ in range(ROUND[kind])]
    slowest = sum((float(held_roots(kind, 1)[0]) * shortest / size) ** 2 for kind, size in ways)
    return nested(tuple(shares), slowest, cells), (BY_SHELLS,)


def draw(piece: Piece, members: int, diffusivity: float | None) -> Members:
    """What is not known of a piece, drawn for every member; a diffusivity [m2/s] that is given makes one member, all else likely."""
    prior = law()
    path = min(size for _, size in ways_in(piece))
    if diffusivity is None:
        z, u = normal(members, 13)[:, :5], _draws.uniform(members, 13)[:, 5:]
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
    """Temperature of the meat at an hour of a stage, by member, kept within the range of the law. [K], (members,)"""
    low, high = law()["salt"]["lean"]["valid_c"]
    spread = drawn.warmer if stage.record is None else 0.3 * drawn.warmer  # a record leaves the sensor's own error
    return np.clip(stage.celsius(hour) + spread, low, high) + units.ZERO_CELSIUS_K


def warmth(e_a: Floats | float, kelvin: Floats, ref_c: float) -> Floats:
    """Arrhenius factor against the reference temperature [C]; ``e_a`` in [J/mol]. [1]"""
    return np.exp(-np.asarray(e_a) / GAS_CONSTANT * (1 / kelvin - 1 / (ref_c + units.ZERO_CELSIUS_K)))


def pace_of(stage: Stage, drawn: Members) -> Callable[[float], Floats]:
    """Diffusivity of each solute over path squared, at a second of the stage. [1/s], (solutes, members)"""
    ratio = law()["solutes"]
    over = np.array([1.0, ratio["nitrite"], ratio["nitrate"], ratio["sugar"]])[:, None]
    ref = law()["salt"]["lean"]["t_ref_c"]

    def pace(second: float) -> Floats:
        d = drawn.d_ref * warmth(drawn.e_a, kelvin_of(stage, second / units.HOUR_S, drawn), ref)
        return over * (d / drawn.path**2)[None]

    return pace


def water_pace_of(stage: Stage, drawn: Members) -> Callable[[float], Floats]:
    """Diffusivity of water over path squared while it dries, at a second of the stage. [1/s], (members,)"""
    dry = law()["drying"]["lean"]

    def pace(second: float) -> Floats:
        warm = warmth(dry["e_a_j_mol"], kelvin_of(stage, second / units.HOUR_S, drawn), dry["t_ref_c"])
        return drawn.d_water * warm / drawn.path**2

    return pace


def loss_of(stage: Stage, drawn: Members) -> Callable[[float], Floats]:
    """First-order loss of each solute, nothing but nitrite's, at a second of the stage. [1/s], (solutes, members)"""
    half = laws.nitrite_half_life()
    nothing = np.zeros((len(SOLUTES), len(drawn.path)))

    def loss(second: float) -> Floats:
        rate = nothing.copy()
        rate[1] = nitrite_loss.loss_rate(kelvin_of(stage, second / units.HOUR_S, drawn), drawn.ph, half)
        return rate

    return loss
