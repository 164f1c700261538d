"""What a history tells: bands along time, what each stage leaves, and the worst place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.forecast_draw import law
from ingle.crafts.cure.history_draw import Members
from ingle.crafts.cure.history_stage import Stage
from ingle.crafts.cure.history_surface import activity_of
from ingle.ground.spread import band, median, quantiles
from ingle.ground.things import Band
from ingle.physics.histories import Depth, Pieces

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class After:
    """What a stage leaves: weight against green weight, brine beside the meat, salt of the whole."""

    kind: str
    hours: float  # from the start
    change_pct: Band
    brine_g_per_kg: Band
    brine_strength: float  # salt per brine by weight, likely
    mean_salt: Band  # g per 100 g


@dataclass(frozen=True)
class Worst:
    """The place with the least salt in its water, likely values at the end."""

    place: str
    water_phase_salt_pct: float
    water_activity: float
    nitrite_mg_per_kg: float


@dataclass(frozen=True)
class Told:
    """A history as it comes out. Arrays along ``hours``; bands are (low, likely, high) at 5, 50 and 95 %."""

    hours: Floats
    core: tuple[Floats, Floats, Floats]  # g salt per 100 g
    mean: tuple[Floats, Floats, Floats]
    surface: tuple[Floats, Floats, Floats]
    nitrite_core: tuple[Floats, Floats, Floats]  # mg/kg
    change_pct: tuple[Floats, Floats, Floats]  # weight of the meat against green weight
    after: tuple[After, ...]
    worst: Worst
    profile: tuple[Floats, Floats]  # depth from the surface [mm] and salt [g/100 g] at the end, likely
    ready_h: (
        Floats  # of each member: first hour at which the core holds 90 % of the wished salt; infinite: not by the end
    )
    mean_of: Floats  # of each member, shape (times, members) [g/100 g]
    closes: float  # largest relative gap of any solute's account
    assumed: tuple[str, ...]
    hardening: float  # 0 to 1: how much the driest stage asks for a hard crust


def band_of(values: Floats) -> tuple[Floats, Floats, Floats]:
    """5, 50 and 95 % over the members at each time."""
    low, likely, high = quantiles(values, axis=1)
    return low, likely, high


def looked(p: Pieces) -> tuple[Floats, ...]:
    """Core, mean and surface salt [g/100 g], core nitrite [mg/kg], weight change [%], core salt per water [g/g]; each (M,)."""
    local = p.water + p.dry_matter + p.solute.sum(1)
    salt = p.solute[:, 0]
    return (
        salt[0] / local[0] * 100,
        salt.sum(0) / p.weight * 100,
        salt[-1] / local[-1] * 100,
        p.solute[0, 1] / local[0] * 1e6,
        (p.weight - 1) * 100,
        salt[0] / p.water[0],
    )


def left_of(p: Pieces) -> tuple[Floats, ...]:
    """Weight change [%], brine [g/kg], salt per brine by weight, salt of the whole [g/100 g]; each (M,)."""
    strength = np.where(
        p.brine > 0, np.minimum(p.dissolved[0] / np.maximum(p.brine, 1e-9), law()["salt"]["saturated"]["value"]), 0.0
    )
    return (
        (p.weight - 1) * 100,
        (p.brine + p.dissolved.sum(0)) * 1000,
        strength / (1 + strength),
        p.solute[:, 0].sum(0) / p.weight * 100,
    )


def after_of(stage: Stage, hours: float, p: Pieces) -> After:
    """What a stage leaves, as medians and 5-95 % bands over the members."""
    return after_told(stage, hours, left_of(p))


def after_told(stage: Stage, hours: float, left: Sequence[Floats]) -> After:
    """What a stage leaves, from `left_of` its members."""
    change, brine, strength, mean_salt = left
    return After(
        kind=stage.kind,
        hours=hours,
        change_pct=band(change),
        brine_g_per_kg=band(brine),
        brine_strength=float(median(strength)),
        mean_salt=band(mean_salt),
    )


def worst_of(cells: Depth, p: Pieces, celsius: float, drawn: Members) -> Worst:
    """The place with the least salt in its water, and what it holds there. [% of the water phase, 1, mg/kg]"""
    phase = p.solute[:, 0] / (p.solute[:, 0] + p.water)
    likely = median(phase, axis=1)
    k = int(np.argmin(likely))
    deep = (1 - cells.middle[k]) * float(median(drawn.path)) * 1000
    place = "core" if k == 0 else "surface" if k == len(likely) - 1 else f"{deep:.0f} mm under the surface"
    aw = activity_of(p.water[k], p.solute[k, 0], p.dry_matter[k], celsius)
    local = p.water[k] + p.dry_matter[k] + p.solute[k].sum(0)
    return Worst(
        place,
        float(likely[k]) * 100,
        float(median(aw)),
        float(median(p.solute[k, 1] / local)) * 1e6,
    )


def profile_of(cells: Depth, p: Pieces, drawn: Members) -> tuple[Floats, Floats]:
    """Depths from the face inward [mm] and the likely salt there [g/100 g]."""
    local = p.water + p.dry_matter + p.solute.sum(1)
    deep = (1 - cells.middle)[::-1] * float(median(drawn.path)) * 1000
    return deep, median(p.solute[:, 0] / local * 100, axis=1)[::-1]


def first_hours_of(hours: Floats, strength: Floats, goal: float) -> Floats:
    """First hour at which each member's core holds the goal; straight lines between rows."""
    found = np.full(strength.shape[1], np.inf)
    for m in range(strength.shape[1]):
        over = np.flatnonzero(strength[:, m] >= goal)
        if len(over):
            i = over[0]
            if i == 0:
                found[m] = 0.0
                continue
            a, b = strength[i - 1, m], strength[i, m]
            found[m] = hours[i - 1] + (hours[i] - hours[i - 1]) * (goal - a) / (b - a)
    return found
