"""When a dry cure is ready, how sure, and what the piece holds on the way: closed forms over an ensemble.

Potential is salt per water, c. The surface is saturated brine while dry salt lasts, then a finite well-mixed bath:
the liquid in the box. Left out: water that moves in or out (the drip is taken as a spread), fat, loss of brine by
pouring off, layers. A piece under its rind takes salt through its other faces only; sides and ends count where width and
length are known.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.forecast_curves import at_hours, first_hours, other_ways, per_100g, study
from ingle.crafts.cure.forecast_draw import MEMBERS, Ensemble, ensemble, law, require_dose, require_measured
from ingle.ground import units
from ingle.ground.errors import OutOfRange
from ingle.ground.spread import band, median, quantiles
from ingle.ground.things import Band, Forecast, Piece

__all__ = [
    "Criterion",
    "CureCurves",
    "Ensemble",
    "chance_ready",
    "curves",
    "ensemble",
    "gain",
    "law",
    "not_in_it",
    "per_100g",
    "require_dose",
    "require_measured",
    "window",
    "wished_in_tissue",
    "wished_salt_per_water",
]

GRAINS = tuple((i - 0.5) / 20 for i in range(1, 21))


@dataclass(frozen=True)
class Criterion:
    """What ready means.

    ``cooked``: the core holds ``share`` of the wished salt in its water. ``even``: the core is within ``1 - share`` of
    the mean. ``mean``: the whole piece holds the wished salt.
    """

    kind: str = "cooked"
    share: float = 0.9


@dataclass(frozen=True)
class CureCurves:
    """Salt in the piece along time, likely and 5-95 % band. [g per 100 g of tissue], hours."""

    hours: NDArray[np.float64]
    core: NDArray[np.float64]
    mean: NDArray[np.float64]
    surface: NDArray[np.float64]
    core_low: NDArray[np.float64]
    core_high: NDArray[np.float64]
    mean_low: NDArray[np.float64]
    mean_high: NDArray[np.float64]
    left: float  # what the whole piece holds if it is left, likely


def wished_salt_per_water(wished: float, members: Ensemble) -> float:
    """What a wished total on green weight comes to in the water phase [g/g], the usual loss of dose allowed for."""
    return wished * float(np.mean(members.taken)) / law()["water"]["lean"]["value"]


def wished_in_tissue(wished: float) -> float:
    """Salt of the finished tissue [1] that a wished total on green weight comes to in an equilibrium cure, likely."""
    prior = law()
    lost = (prior["brine"]["low"] + prior["brine"]["high"]) / 2
    taken = (prior["taken"]["low"] + prior["taken"]["high"]) / 2
    water = prior["water"]["lean"]["value"]
    return float(per_100g(np.array(wished * taken / water), np.array(water - lost))) / units.PER_HUNDRED


def window(
    piece: Piece,
    dose: float,
    temperature_c: float,
    *,
    wished: float | None = None,
    criterion: Criterion = Criterion(),
    chances: tuple[float, ...] = (0.5, 0.95),
    temperature_sd_c: float | None = None,
    diffusivity: float | None = None,
    members: int = MEMBERS,
    pickle_water: float | None = None,
) -> Forecast:
    """When a cure is ready.

    Parameters
    ----------
    piece : Piece
        Thickness, shape and skin decide the path.
    dose : float
        All salt put on, per green weight without skin [1].
    temperature_c : float
        Constant temperature of the fridge [C].
    wished : float, optional
        Wished total salt [1]; the dose when not given (equilibrium cure).
    criterion : Criterion
    chances : tuple of float
        Chances at which the hour is wanted.

    Returns
    -------
    Forecast
        Hours from the start of the cure. Infinite where the dose never brings it there.
    """
    drawn, told = study(piece, dose, temperature_c, temperature_sd_c, diffusivity, members, pickle_water)
    goal = wished_salt_per_water(wished or dose, drawn)
    everyone = np.ones(len(drawn.path))
    if criterion.kind == "cooked":
        times = first_hours(told, told.core, criterion.share * goal * everyone, drawn)
        what = f"core holds {units.show_fraction(criterion.share, 0)} of {units.show_fraction(wished or dose)} salt"
    elif criterion.kind == "even":
        times = first_hours(told, told.core / np.maximum(told.mean, 1e-12), criterion.share * everyone, drawn)
        what = f"core within {units.show_fraction(1 - criterion.share, 0)} of the mean"
    elif criterion.kind == "mean":
        times = first_hours(told, told.mean, goal * everyone, drawn)
        what = f"whole piece holds {units.show_fraction(wished or dose)} salt"
    else:
        raise OutOfRange(
            f"criterion {criterion.kind!r} is not known.",
            field="criterion",
            value=criterion.kind,
            limit="cooked, even, mean",
            remedy="Write cooked, even or mean.",
        )
    ranked = np.sort(times)
    at = lambda chance: float(ranked[min(len(ranked) - 1, max(0, math.ceil(chance * len(ranked)) - 1))])  # noqa: E731
    fixed = diffusivity is not None
    return Forecast(
        what=what,
        earliest_h=at(0.05),
        likely_h=at(0.5),
        latest_h=at(0.95),
        quantiles_h=tuple(at(q) for q in GRAINS),
        at_chance={f"{c:g}": at(c) for c in chances},
        basis="fixed diffusivity, one member"
        if fixed
        else f"{len(ranked)} members of the prior, closed form, {piece.shape}",
        not_in_it=not_in_it(piece),
    )


def chance_ready(told: Forecast, hours: float) -> float:
    """Chance that a forecast is met by an hour: straight lines between its grains and the chances it was asked for."""
    points = [(h, (i + 0.5) / len(told.quantiles_h)) for i, h in enumerate(told.quantiles_h)]
    points += [(h, float(chance)) for chance, h in told.at_chance.items()]
    points = sorted(p for p in points if math.isfinite(p[0]))
    if not points or hours < points[0][0]:
        return 0.0
    before = max(p for p in points if p[0] <= hours)
    after = min((p for p in points if p[0] > hours), default=None)
    if after is None:
        return before[1]
    return before[1] + (after[1] - before[1]) * (hours - before[0]) / (after[0] - before[0])


def not_in_it(piece: Piece) -> tuple[str, ...]:
    """Known uncertainty outside the numbers."""
    found = ("fat and seams in the piece", "water drunk back from the brine")
    if piece.shape == "sphere" or other_ways(piece):
        return found
    told = "sides and ends, which draw on the same brine: the middle of a small thick piece can take half as long again"
    return (*found, f"{told} (shape box, with width and length, counts them)" if piece.shape != "cylinder" else told)


def curves(
    piece: Piece,
    dose: float,
    temperature_c: float,
    *,
    days: float | None = None,
    temperature_sd_c: float | None = None,
    diffusivity: float | None = None,
    members: int = MEMBERS,
    hours: NDArray[np.float64] | None = None,
    pickle_water: float | None = None,
) -> CureCurves:
    """Salt in core, mean and surface along time with the 5-95 % band of the ensemble. [g/100 g]"""
    drawn, told = study(piece, dose, temperature_c, temperature_sd_c, diffusivity, members, pickle_water)
    grid = np.asarray(hours, float) if hours is not None else np.linspace(0, 1, 121) ** 2 * (24 * (days or 14.0))
    found = [
        np.maximum(
            per_100g(at_hours(told, part, drawn, grid), drawn.water), 0.0
        )  # interpolation dips under nothing by 1e-3
        for part in (told.mean, told.core, told.surface)
    ]
    low, likely, high = quantiles(np.stack(found), axis=1)
    left = per_100g(told.final, drawn.water)
    return CureCurves(grid, likely[1], likely[0], likely[2], low[1], high[1], low[0], high[0], float(median(left)))


def gain(
    piece: Piece,
    dose: float,
    temperature_c: float,
    at_h: float,
    *,
    hours: float = 24.0,
    temperature_sd_c: float | None = None,
    diffusivity: float | None = None,
    members: int = MEMBERS,
    pickle_water: float | None = None,
) -> Band:
    """Salt the whole piece takes up in some hours after an hour [g/100 g], 5, 50 and 95 % of the members."""
    drawn, told = study(piece, dose, temperature_c, temperature_sd_c, diffusivity, members, pickle_water)
    held = per_100g(at_hours(told, told.mean, drawn, np.array([at_h, at_h + hours])), drawn.water)
    return band(held[:, 1] - held[:, 0])
