"""When a dry cure is ready, how sure, and what the piece holds on the way: closed forms over an ensemble.

Potential is salt per water, c. The surface is saturated brine while dry salt lasts, then a finite well-mixed bath:
the liquid in the box. Left out: water that moves in or out (the drip is taken as a spread), fat, loss of brine by
pouring off, layers. A piece under its rind takes salt through its other faces only; sides and ends count where width and
length are known.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache, lru_cache
from statistics import NormalDist
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from ingle.ground import tables, units
from ingle.ground.errors import OutOfRange
from ingle.ground.things import Forecast, Piece
from ingle.physics import series
from ingle.physics.diffusivity import GAS_CONSTANT
from ingle.physics.series_product import product_bath, product_excess
from ingle.physics.shapes import Box, Cylinder, Factor

MEMBERS = 512
_NUMBERS = 160
_FOURIER_END = {
    "slab": 3.6,
    "cylinder": 1.6,
    "sphere": 1.0,
}  # all is even to 2e-4 by then, in the largest bath too
_PRODUCT_END = 4.0  # the same for boxes and short cylinders, by the slab that fills as slowly as they do
_PRODUCT_TERMS = 64  # Chebyshev terms of the bath
_BRIEF = 0.02  # below this reach the dry salt of a product is gone by Fo 3e-4: it counts as dissolved from the start
_KIND: dict[str, Literal["slab", "cylinder", "sphere"]] = {
    "slab": "slab",
    "box": "slab",
    "cylinder": "cylinder",
    "sphere": "sphere",
}
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
class Ensemble:
    """Members of the prior: one value each of everything that is not known exactly. Arrays of shape (members,)."""

    diffusivity: NDArray[np.float64]  # [m2/s]
    path: NDArray[np.float64]  # [m]
    alpha: NDArray[np.float64]  # brine water / (K x meat water)
    water: NDArray[np.float64]  # water left in the meat, per green weight
    brine: NDArray[np.float64]  # liquid water in the box, per green weight
    taken: NDArray[np.float64]
    partition: NDArray[np.float64]


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


def law() -> dict[str, Any]:
    """The prior and constants of the forecast, with their sources."""
    return tables.toml_table("laws", "cure.toml")


@cache
def _quasi_random(count: int, dims: int) -> NDArray[np.float64]:
    """Points of an additive recurrence in [0, 1)^dims, shape (count, dims).

    The generator is the real root of x**(dims+1) = x + 1 (Roberts' R sequence); first half centred.
    """
    root = 1.5
    for _ in range(60):
        root = (1 + root) ** (1 / (dims + 1))
    steps = (1 / root) ** np.arange(1, dims + 1)
    return (0.5 + np.outer(np.arange(1, count + 1), steps)) % 1.0


@cache
def _normal(count: int, dims: int) -> NDArray[np.float64]:
    """The same points as standard normal values."""
    inverse = NormalDist().inv_cdf
    return np.vectorize(inverse)(np.clip(_quasi_random(count, dims), 1e-6, 1 - 1e-6))


def require_measured(piece: Piece) -> float:
    """The thickness [mm], or a refusal that says how to measure it."""
    if piece.thickness_mm is None:
        raise OutOfRange(
            "Thickness is missing: the forecast needs it.",
            field="thickness",
            value="not measured",
            limit="in mm",
            remedy="Push a skewer through the thickest place and measure that, in mm.",
        )
    return piece.thickness_mm


def ensemble(
    piece: Piece,
    temperature_c: float,
    *,
    temperature_sd_c: float | None = None,
    diffusivity: float | None = None,
    members: int = MEMBERS,
    pickle_water: float | None = None,
) -> Ensemble:
    """Draw the members for one piece.

    ``diffusivity`` [m2/s] fixes D and switches the ensemble off: one member, everything at its middle.
    ``pickle_water`` [1] is the water of an immersion per green weight; it stands in for the liquid of a dry cure.
    """
    prior = law()
    salt = prior["salt"]["lean"]
    low_c, high_c = salt["valid_c"]
    if not low_c <= temperature_c <= high_c:
        raise OutOfRange(
            f"temperature is {temperature_c:g} C; the forecast holds from {low_c:g} to {high_c:g} C"
            + (" and for no frozen piece." if temperature_c < low_c else "."),
            field="temperature",
            value=f"{temperature_c:g} C",
            limit=f"{low_c:g} to {high_c:g} C",
            remedy="Cure in a fridge at 1 to 4 C." if temperature_c > high_c else "Thaw the piece first.",
        )
    thickness = require_measured(piece)
    if not 3 <= thickness <= 400:
        raise OutOfRange(
            f"thickness is {thickness:g} mm; the forecast holds from 3 to 400 mm.",
            field="thickness",
            value=f"{thickness:g} mm",
            limit="3 to 400 mm",
            remedy="Push a skewer through the thickest place and measure that, in mm.",
        )
    half = _KIND[piece.shape] != "slab" or piece.skin == "none"
    path = units.metres(thickness) / (2 if half else 1)
    if diffusivity is not None:
        z, u = np.zeros((1, 4)), np.full((1, 4), 0.5)
    else:
        z, u = _normal(members, 7)[:, :4], _quasi_random(members, 7)[:, 4:]
    sd = prior["temperature"]["value"] if temperature_sd_c is None else temperature_sd_c
    kelvin = np.clip(temperature_c + sd * z[:, 2], low_c, high_c) + units.ZERO_CELSIUS_K
    e_a = np.maximum(salt["e_a_j_mol"] + salt["e_a_sd_j_mol"] * z[:, 3], 0.0)
    d_ref = salt["d_ref_m2_s"] * np.exp(math.log(salt["spread_gsd"]) * z[:, 0])
    warmth = np.exp(-e_a / GAS_CONSTANT * (1 / kelvin - 1 / units.kelvin(salt["t_ref_c"])))
    brine, taken, partition = (
        prior[name]["low"] + (prior[name]["high"] - prior[name]["low"]) * u[:, column]
        for column, name in enumerate(("brine", "taken", "partition"))
    )
    water = prior["water"]["lean"]["value"] - brine
    if pickle_water is not None:
        brine, taken, water = (
            np.full_like(brine, pickle_water),
            np.ones_like(brine),
            np.full_like(brine, prior["water"]["lean"]["value"]),
        )
    return Ensemble(
        diffusivity=d_ref * warmth if diffusivity is None else np.array([diffusivity]),
        path=path * np.maximum(1 + prior["thickness"]["value"] * z[:, 1], 0.6),
        alpha=brine / (partition * water),
        water=water,
        brine=brine,
        taken=taken,
        partition=partition,
    )


@dataclass(frozen=True)
class _Told:
    """Salt per water of every member along one common Fourier number. [g/g], each of shape (members, numbers)."""

    fourier: NDArray[np.float64]  # D t / path**2, shape (numbers,)
    path: NDArray[np.float64]  # that slows the piece as its shape does, shape (members,) [m]
    mean: NDArray[np.float64]
    core: NDArray[np.float64]
    surface: NDArray[np.float64]
    final: NDArray[np.float64]  # when all is even, shape (members,)


def _other_ways(piece: Piece) -> tuple[Factor, ...]:
    """The bodies that multiply with the one across the thickness: sides and ends, where they were measured. [m]

    A rind closes a large face: that is in the members' path, not here.
    """
    sizes = [units.metres(size) for size in (piece.thickness_mm, piece.width_mm, piece.length_mm) if size is not None]
    if piece.shape == "box" and len(sizes) == 3:
        thickness, width, length = sorted(sizes)
        return Box(length, width, thickness).factors[1:]
    if piece.shape == "cylinder" and piece.thickness_mm is not None and piece.length_mm is not None:
        return Cylinder(units.metres(piece.thickness_mm) / 2, units.metres(piece.length_mm)).factors[1:]
    return ()


def _told(shape: str, members: Ensemble, dose: float, others: tuple[Factor, ...] = ()) -> _Told:
    """What every member holds, from closed forms at a few nodes of brine, dose and slenderness.

    The curves depend on the Fourier number, alpha, (while dry salt lasts) reach and (with sides or ends) the path's share
    of the other paths alone. They are taken at Chebyshev nodes of those and interpolated by Lagrange's polynomials: 1e-3 of
    the final value in the core, tested against every member by itself.
    """
    kind = _KIND[shape]
    alpha = members.alpha
    top = law()["salt"]["saturated"]["value"] * members.partition  # what the meat's water holds beside saturated brine
    per_water = dose * members.taken / members.water  # all salt, per water of the meat
    reach = per_water / top - alpha
    final = per_water / (1 + alpha)
    fourier = (_PRODUCT_END if others else _FOURIER_END[kind]) * np.linspace(0, 1, _NUMBERS) ** 2
    middle = float(np.quantile(members.path, 0.5))
    stretch = middle / members.path
    parts = [np.empty((len(alpha), _NUMBERS)) for _ in range(3)]
    dry = reach > (_BRIEF if others else 0)
    counts = (4, 3, 5) if others else (1, 4, 6)
    for here, unit in ((~dry, final), (dry, top)):
        if not here.any():
            continue
        (s, weights_s), (a, weights_a), (r, weights_r) = (
            _nodes(values[here], count)
            for values, count in zip(
                (stretch, alpha, reach), (*counts[:2], counts[2] if unit is top else 1), strict=True
            )
        )
        grid_s, grid_a, grid_r = (g.reshape(-1, 1) for g in np.meshgrid(s, a, r, indexing="ij"))
        number = np.broadcast_to(fourier, (len(grid_a), _NUMBERS))
        if others:
            told = _product(kind, others, number, middle / grid_s, grid_a, grid_r if unit is top else None)
        else:
            told = series.excess(kind, number, grid_a, grid_r) if unit is top else series.bath(kind, number, grid_a)
        weights = np.einsum("ms,ma,mr->msar", weights_s, weights_a, weights_r).reshape(len(weights_a), -1)
        for part, value in zip(parts, told, strict=True):
            part[here] = weights @ value * unit[here][:, None]
    parts[0][:, 0] = parts[1][:, 0] = 0.0  # nothing is in at the start, not even rounding: core over mean is asked for
    path = _slab_as_slow(((kind, members.path), *others)) if others else members.path
    return _Told(fourier, path, parts[0], parts[1], parts[2], final)


def _product(
    kind: Literal["slab", "cylinder", "sphere"],
    others: tuple[Factor, ...],
    fourier: NDArray[np.float64],
    path: NDArray[np.float64],
    alpha: NDArray[np.float64],
    reach: NDArray[np.float64] | None,
) -> tuple[NDArray[np.float64], ...]:
    """Mean, core and surface of a box or a short cylinder at its nodes, as `series.bath` and `series.excess` tell them."""
    factors: tuple[Factor, ...] = ((kind, path), *others)
    exposure = fourier * _slab_as_slow(factors) ** 2
    if reach is None:
        return product_bath(factors, exposure, alpha, nodes=_PRODUCT_TERMS)
    return product_excess(factors, exposure, alpha, reach, nodes=_PRODUCT_TERMS)[0]


def _slab_as_slow(factors: tuple[Factor, ...]) -> NDArray[np.float64]:
    """Path of the slab whose slowest mode fades as the body's does. [m]"""
    fading = sum((series.held_roots(kind, 1)[0] / np.asarray(path)) ** 2 for kind, path in factors)
    return np.asarray(math.pi / 2 / np.sqrt(fading))


@lru_cache(maxsize=32)
def _study(
    piece: Piece,
    dose: float,
    temperature_c: float,
    sd_c: float | None,
    diffusivity: float | None,
    members: int,
    pickle_water: float | None,
) -> tuple[Ensemble, _Told]:
    """Members and their curves; the same question is asked several times of one cure."""
    require_dose(dose, pickle_water)
    drawn = ensemble(
        piece,
        temperature_c,
        temperature_sd_c=sd_c,
        diffusivity=diffusivity,
        members=members,
        pickle_water=pickle_water,
    )
    return drawn, _told(piece.shape, drawn, dose, _other_ways(piece))


def _nodes(values: NDArray[np.float64], count: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Chebyshev nodes over the range of values, and every value's weights on them, shape (values, nodes)."""
    low, high = float(values.min()), float(values.max())
    if high - low < 1e-12 * max(abs(high), 1e-12):
        return np.array([low]), np.ones((len(values), 1))
    nodes = (low + high) / 2 + (high - low) / 2 * np.cos(np.pi * (2 * np.arange(count) + 1) / (2 * count))
    weights = np.ones((len(values), count))
    for i in range(count):
        for j in range(count):
            if i != j:
                weights[:, i] *= (values - nodes[j]) / (nodes[i] - nodes[j])
    return nodes, weights


def _at(told: _Told, part: NDArray[np.float64], members: Ensemble, hours: NDArray[np.float64]) -> NDArray[np.float64]:
    """A part of the told curves at hours, shape (members, hours)."""
    rate = members.diffusivity / told.path**2
    root = np.sqrt(np.clip(rate[:, None] * hours[None, :] * units.HOUR_S / told.fourier[-1], 0, 1)) * (_NUMBERS - 1)
    left = np.minimum(root.astype(int), _NUMBERS - 2)
    share = root - left
    rows = np.arange(len(rate))[:, None]
    return part[rows, left] * (1 - share) + part[rows, left + 1] * share


def per_100g(salt_per_water: NDArray[np.float64], water: NDArray[np.float64]) -> NDArray[np.float64]:
    """Salt per water [g/g] to salt per 100 g of tissue, ``water`` left in the meat per green weight."""
    wet = np.asarray(water) / (np.asarray(water) + 1 - law()["water"]["lean"]["value"])  # water of salt-free tissue
    held = (
        np.asarray(salt_per_water) * wet[..., None] if np.ndim(salt_per_water) > np.ndim(wet) else salt_per_water * wet
    )
    return held / (1 + held) * units.PER_HUNDRED


def wished_salt_per_water(wished: float, members: Ensemble) -> float:
    """What a wished total on green weight comes to in the water phase [g/g], the usual loss of dose allowed for."""
    return wished * float(np.mean(members.taken)) / law()["water"]["lean"]["value"]


def _first_hours(
    told: _Told, values: NDArray[np.float64], wanted: NDArray[np.float64], members: Ensemble
) -> NDArray[np.float64]:
    """For each member the first hour at which a curve reaches its wanted value; infinite when it never does."""
    reached = values >= wanted[:, None]
    first = np.where(reached.any(axis=1), reached.argmax(axis=1), -1)
    at = np.maximum(first, 1)
    rows = np.arange(len(first))
    before, after = values[rows, at - 1], values[rows, at]
    share = np.clip((wanted - before) / np.where(after > before, after - before, 1.0), 0, 1)
    root = (at - 1 + share) / (_NUMBERS - 1)
    hours = told.fourier[-1] * root**2 * told.path**2 / members.diffusivity / units.HOUR_S
    return np.where(first < 0, math.inf, np.where(first == 0, 0.0, hours))


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
    drawn, told = _study(piece, dose, temperature_c, temperature_sd_c, diffusivity, members, pickle_water)
    goal = wished_salt_per_water(wished or dose, drawn)
    everyone = np.ones(len(drawn.path))
    if criterion.kind == "cooked":
        times = _first_hours(told, told.core, criterion.share * goal * everyone, drawn)
        what = f"core holds {criterion.share:.0%} of {units.show_fraction(wished or dose)} salt"
    elif criterion.kind == "even":
        times = _first_hours(told, told.core / np.maximum(told.mean, 1e-12), criterion.share * everyone, drawn)
        what = f"core within {1 - criterion.share:.0%} of the mean"
    elif criterion.kind == "mean":
        times = _first_hours(told, told.mean, goal * everyone, drawn)
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
        not_in_it=_not_in_it(piece),
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


def _not_in_it(piece: Piece) -> tuple[str, ...]:
    """Known uncertainty outside the numbers."""
    found = ("fat and seams in the piece", "water drunk back from the brine")
    if piece.shape == "sphere" or _other_ways(piece):
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
    drawn, told = _study(piece, dose, temperature_c, temperature_sd_c, diffusivity, members, pickle_water)
    grid = np.asarray(hours, float) if hours is not None else np.linspace(0, 1, 121) ** 2 * (24 * (days or 14.0))
    found = [per_100g(_at(told, part, drawn, grid), drawn.water) for part in (told.mean, told.core, told.surface)]
    low, likely, high = (np.quantile(np.stack(found), q, axis=1) for q in (0.05, 0.5, 0.95))
    left = per_100g(told.final, drawn.water)
    return CureCurves(
        grid, likely[1], likely[0], likely[2], low[1], high[1], low[0], high[0], float(np.quantile(left, 0.5))
    )


def require_dose(dose: float, pickle_water: float | None = None) -> None:
    """A dose that can be: above nothing, and less than would lie dry for ever."""
    most = law()["salt"]["saturated"]["value"] * (law()["water"]["lean"]["value"] + (pickle_water or 0.0))
    if not dose > 0:
        raise OutOfRange(
            "No salt is given: there is nothing to forecast.",
            field="salt",
            value=f"{units.per_hundred(dose):g} %",
            limit="above 0 %",
            remedy="Give the salt: --add salt=50g.",
        )
    if dose > most:
        raise OutOfRange(
            f"salt is {units.show_fraction(dose, 1)} of the green weight, more than all water of the piece can dissolve.",
            field="salt",
            value=units.show_fraction(dose, 1),
            limit=units.show_fraction(most, 1),
            remedy="Check the weight of salt and of the piece.",
        )
