"""When: the exposure at which one body, or each excess cure of an ensemble, has come to a value.

Exposures are in m2; divide by a constant D for seconds, or ask ``diffusivity.time_of_exposure`` along a
temperature record.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from ingle.ground.errors import OutOfRange
from ingle.physics.rootfind import find_root
from ingle.physics.series_bath import Three, bath, bath_modes
from ingle.physics.series_excess import FADE, FEWEST, continued, switch_fourier
from ingle.physics.series_held import FIRST, STILL, held_core
from ingle.physics.series_product import product_bath, step_both
from ingle.physics.series_roots import held_roots
from ingle.physics.shapes import Kind, Shape
from ingle.physics.special import Floats


def exposure_to_mean(shape: Shape, fraction: float, alpha: float = math.inf) -> float:
    """Exposure at which the mean of a body has made a fraction of its final change. [m2]

    0 for 0, infinite for 1 and more. One-dimensional bodies to 1e-10, products to 1e-6 (held: 1e-10).
    """
    return _scalar(shape, alpha, lambda mean, _: mean - fraction, fraction)


def exposure_to_core(shape: Shape, fraction: float, alpha: float = math.inf) -> float:
    """Exposure at which the core of a body has made a fraction of its final change. [m2]"""
    return _scalar(shape, alpha, lambda _, core: core - fraction, fraction)


def exposure_to_even(shape: Shape, ratio: float = 0.9, alpha: float = math.inf) -> float:
    """Exposure at which the core of a body, empty at first, holds ``ratio`` of its mean. [m2]"""
    return _scalar(shape, alpha, lambda mean, core: core - ratio * mean, ratio)


def excess_exposure_to(
    kind: Kind, path: ArrayLike, alpha: ArrayLike, reach: ArrayLike, wanted: ArrayLike, *, what: str = "mean"
) -> Floats:
    """Exposure at which an excess cure brings mean or core to a value: when to pull. Members along arrays.

    Parameters
    ----------
    path : array_like [m]
    alpha, reach : array_like
        As in `series_excess.excess`.
    wanted : array_like
        Fraction of saturation (above the start) wished in the mean or the core.
    what : {"mean", "core"}

    Returns
    -------
    ndarray [m2]: infinite when the dose does not suffice, 0 for wishes at or below 0.
    """
    if what not in ("mean", "core"):
        raise OutOfRange(
            f"what {what!r} is not known.",
            field="what",
            value=what,
            limit=("mean", "core"),
            remedy="Choose mean or core.",
        )
    arrays = np.broadcast_arrays(*(np.asarray(v, float) for v in (path, alpha, reach, wanted)))
    L, a, y, want = (v.ravel() for v in arrays)
    when = switch_fourier(kind, y)
    held = switch_fourier(kind, want) if what == "mean" else _held_core_fourier(kind, want)
    final = np.where(y < 1.0, (np.minimum(y, 1.0) + a) / (1.0 + a), 1.0)
    late = (held > when + (STILL if what == "core" else 0.0)) & (want < final)  # a core learns late
    fo = np.where(want >= final, np.inf, held)
    if late.any():
        fo[late] = when[late] + _after_switch(kind, (a[late], y[late], when[late]), want[late], what)
    return (np.where(want <= 0.0, 0.0, fo) * L**2).reshape(arrays[0].shape)


def _after_switch(kind: Kind, member: Three, want: Floats, what: str) -> Floats:
    """Fo after the switch at which the bath modes reach what is wanted; member = alpha, reach, switch."""
    a, y, when = member
    plain = when < FIRST
    q, weight, share, base = continued(kind, member, FEWEST)
    if plain.any():  # no saturated phase: an even start
        _, phi, mean, N = bath_modes(kind, a[plain], FEWEST)
        weight[plain] = base[plain][:, None] * (phi - mean) / N
    q2, w = q * q, weight
    if what == "mean":  # and what the cut modes hold, as in series_excess
        w = weight * share
        cut = np.where(plain, 0.0, np.minimum(y, 1.0)) - base - w.sum(axis=1)
        q2, w = np.column_stack([q2, FADE * q2[:, -1]]), np.column_stack([w, cut])

    def miss(fo: Floats) -> Floats:
        return base - want + (w * np.exp(-q2 * fo[:, None])).sum(axis=1)

    low = np.full(want.shape, STILL if what == "core" else 0.0)
    gap = np.maximum(base - want, 1e-300)
    high = low + (np.log(np.abs(w).sum(axis=1) / gap) + 1.0).clip(1.0) / q2[:, 0]
    return find_root(miss, low, high, tolerance=1e-11)


def _held_core_fourier(kind: Kind, fraction: Floats) -> Floats:
    """Fo at which the core of a held body reaches a fraction."""
    inside = np.clip(fraction, 1e-12, 1.0 - 1e-13)
    high = (1.0 - np.log1p(-inside)) / held_roots(kind, 1)[0] ** 2
    root = find_root(lambda fo: held_core(kind, fo) - inside, np.full_like(high, 0.008), high)
    return np.where(fraction <= 0.0, 0.0, np.where(fraction >= 1.0, np.inf, root))


def _scalar(shape: Shape, alpha: float, rising: Callable[[Floats, Floats], Floats], goal: float) -> float:
    """Root of a rising function of (mean, core) of one body."""
    from_bath = not np.isinf(alpha)
    if goal <= 0.0:
        return 0.0
    if goal >= 1.0:
        return math.inf
    factors = shape.factors
    slowest = sum((held_roots(kind, 1)[0] / path) ** 2 for kind, path in factors)

    def miss(root: Floats) -> Floats:
        X = root * root
        if not from_bath:
            return rising(*step_both(factors, X))
        if len(factors) == 1:
            ((kind, path),) = factors
            mean, core, _ = bath(kind, X / path**2, alpha)
        else:
            mean, core, _ = product_bath(factors, X, alpha)
        return rising(mean, core)

    low = np.sqrt(np.array([1e-4 / slowest]))
    if miss(low)[0] >= 0.0:
        low = np.zeros(1)
    high = np.sqrt((6.0 - np.log1p(-goal)) / slowest) * np.ones(1)
    return float(find_root(miss, low, high, tolerance=1e-12)[0]) ** 2
