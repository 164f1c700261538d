"""What every member holds along time: closed forms at a few nodes, interpolated between them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.forecast_draw import KIND, Ensemble, ensemble, law, require_dose
from ingle.ground import units
from ingle.ground.spread import median
from ingle.ground.things import Piece
from ingle.physics import series
from ingle.physics.series_product import product_bath, product_excess
from ingle.physics.series_table import nodes_over
from ingle.physics.shapes import Box, Cylinder, Factor

NUMBERS = 160
_FOURIER_END = {
    "slab": 3.6,
    "cylinder": 1.6,
    "sphere": 1.0,
}  # all is even to 2e-4 by then, in the largest bath too
_PRODUCT_END = 4.0  # the same for boxes and short cylinders, by the slab that fills as slowly as they do
_PRODUCT_TERMS = 64  # Chebyshev terms of the bath
_BRIEF = 0.02  # below this reach the dry salt of a product is gone by Fo 3e-4: it counts as dissolved from the start


@dataclass(frozen=True)
class MemberCurves:
    """Salt per water of every member along one common Fourier number. [g/g], each of shape (members, numbers)."""

    fourier: NDArray[np.float64]  # D t / path**2, shape (numbers,)
    path: NDArray[np.float64]  # that slows the piece as its shape does, shape (members,) [m]
    mean: NDArray[np.float64]
    core: NDArray[np.float64]
    surface: NDArray[np.float64]
    final: NDArray[np.float64]  # when all is even, shape (members,)


def other_ways(piece: Piece) -> tuple[Factor, ...]:
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


def member_curves(shape: str, members: Ensemble, dose: float, others: tuple[Factor, ...] = ()) -> MemberCurves:
    """What every member holds, from closed forms at a few nodes of brine, dose and slenderness.

    The curves depend on the Fourier number, alpha, (while dry salt lasts) reach and (with sides or ends) the path's share
    of the other paths alone. They are taken at Chebyshev nodes of those and interpolated by Lagrange's polynomials: 1e-3 of
    the final value in the core, tested against every member by itself.
    """
    kind = KIND[shape]
    alpha = members.alpha
    top = law()["salt"]["saturated"]["value"] * members.partition  # what the meat's water holds beside saturated brine
    per_water = dose * members.taken / members.water  # all salt, per water of the meat
    reach = per_water / top - alpha
    final = per_water / (1 + alpha)
    fourier = (_PRODUCT_END if others else _FOURIER_END[kind]) * np.linspace(0, 1, NUMBERS) ** 2
    middle = float(median(members.path))
    stretch = middle / members.path
    parts = [np.empty((len(alpha), NUMBERS)) for _ in range(3)]
    dry = reach > (_BRIEF if others else 0)
    counts = (4, 3, 5) if others else (1, 4, 6)
    for here, unit in ((~dry, final), (dry, top)):
        if not here.any():
            continue
        (s, weights_s), (a, weights_a), (r, weights_r) = (
            nodes_over(values[here], count)
            for values, count in zip(
                (stretch, alpha, reach), (*counts[:2], counts[2] if unit is top else 1), strict=True
            )
        )
        grid_s, grid_a, grid_r = (g.reshape(-1, 1) for g in np.meshgrid(s, a, r, indexing="ij"))
        number = np.broadcast_to(fourier, (len(grid_a), NUMBERS))
        if others:
            told = _product(kind, others, number, middle / grid_s, grid_a, grid_r if unit is top else None)
        else:
            told = series.excess(kind, number, grid_a, grid_r) if unit is top else series.bath(kind, number, grid_a)
        weights = np.einsum("ms,ma,mr->msar", weights_s, weights_a, weights_r).reshape(len(weights_a), -1)
        for part, value in zip(parts, told, strict=True):
            part[here] = weights @ value * unit[here][:, None]
    parts[0][:, 0] = parts[1][:, 0] = 0.0  # nothing is in at the start, not even rounding: core over mean is asked for
    path = slab_as_slow(((kind, members.path), *others)) if others else members.path
    return MemberCurves(fourier, path, parts[0], parts[1], parts[2], final)


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
    exposure = fourier * slab_as_slow(factors) ** 2
    if reach is None:
        return product_bath(factors, exposure, alpha, nodes=_PRODUCT_TERMS)
    return product_excess(factors, exposure, alpha, reach, nodes=_PRODUCT_TERMS)[0]


def slab_as_slow(factors: tuple[Factor, ...]) -> NDArray[np.float64]:
    """Path of the slab whose slowest mode fades as the body's does. [m]"""
    fading = sum((series.held_roots(kind, 1)[0] / np.asarray(path)) ** 2 for kind, path in factors)
    return np.asarray(math.pi / 2 / np.sqrt(fading))


@lru_cache(maxsize=32)
def study(
    piece: Piece,
    dose: float,
    temperature_c: float,
    sd_c: float | None,
    diffusivity: float | None,
    members: int,
    pickle_water: float | None,
) -> tuple[Ensemble, MemberCurves]:
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
    return drawn, member_curves(piece.shape, drawn, dose, other_ways(piece))


def at_hours(
    told: MemberCurves, part: NDArray[np.float64], members: Ensemble, hours: NDArray[np.float64]
) -> NDArray[np.float64]:
    """A part of the told curves at hours, shape (members, hours)."""
    rate = members.diffusivity / told.path**2
    root = np.sqrt(np.clip(rate[:, None] * hours[None, :] * units.HOUR_S / told.fourier[-1], 0, 1)) * (NUMBERS - 1)
    left = np.minimum(root.astype(int), NUMBERS - 2)
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


def first_hours(
    told: MemberCurves, values: NDArray[np.float64], wanted: NDArray[np.float64], members: Ensemble
) -> NDArray[np.float64]:
    """For each member the first hour at which a curve reaches its wanted value; infinite when it never does."""
    reached = values >= wanted[:, None]
    first = np.where(reached.any(axis=1), reached.argmax(axis=1), -1)
    at = np.maximum(first, 1)
    rows = np.arange(len(first))
    before, after = values[rows, at - 1], values[rows, at]
    share = np.clip((wanted - before) / np.where(after > before, after - before, 1.0), 0, 1)
    root = (at - 1 + share) / (NUMBERS - 1)
    hours = told.fourier[-1] * root**2 * told.path**2 / members.diffusivity / units.HOUR_S
    return np.where(first < 0, math.inf, np.where(first == 0, 0.0, hours))
