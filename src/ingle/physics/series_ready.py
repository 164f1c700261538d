"""Ready: when the core of each member of an ensemble holds enough, or is even with its mean.

Exposures are in m2; divide by a constant D for seconds, or ask ``diffusivity.time_of_exposure`` along a
temperature record. Members go along arrays.

``criterion`` is "core" (core / final value >= at) or "even" (core / mean >= at). ``native`` is what was inside
at first as a share of the final value (salt that the meat had, or an earlier cure). With much of it evenness
is lost and found again: the answer is the last time it is found, from which on it holds.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics.rootfind import find_root
from ingle.physics.series_bath import bath_modes
from ingle.physics.series_product import product_bath, step_both
from ingle.physics.series_roots import held_roots
from ingle.physics.shapes import Factor, Kind
from ingle.physics.special import Floats

CRITERIA = ("core", "even")
_FIRST_LOOK = 0.015  # Fo from which readiness is looked for: before, a core has less than 1e-6
_MODES = 12  # the 13th has fallen to exp(-(12 pi)^2 0.015) = 6e-10 there, to nothing where cores are ready
_LOOKS = 32
_AT_ONCE = 512  # members at once


def ready_exposure(
    kind: Kind,
    path: ArrayLike,
    alpha: ArrayLike,
    *,
    criterion: str = "even",
    at: ArrayLike = 0.9,
    native: ArrayLike = 0.0,
) -> Floats:
    """Exposure at which each member of an ensemble is ready in its finite bath.

    Parameters
    ----------
    kind : {"slab", "cylinder", "sphere"}
    path, alpha, at, native : array_like, shapes that broadcast to (...)
        Distance core to wet face [m]; bath volume / (K x body volume), infinity allowed; the wished ratio; what
        was inside at first / final value.
    criterion : {"even", "core"}

    Returns
    -------
    ndarray, shape (...) [m2]: 0 when met from the start, infinite when never met. Error below 1e-9 relative.

    Notes
    -----
    4,096 members with 4,096 different baths take 0.05 to 0.1 s on one core, 512 about a tenth of that.
    """
    arrays = np.broadcast_arrays(*(np.asarray(v, float) for v in (path, alpha, at, native)))
    shape = arrays[0].shape
    flat = [a.ravel() for a in arrays]
    _require_criterion(criterion)
    fo = np.empty(flat[0].size)
    for k in range(0, fo.size, _AT_ONCE):
        part = [a[k : k + _AT_ONCE] for a in flat]
        fo[k : k + _AT_ONCE] = _ready_fourier(kind, part[1], part[2], part[3], criterion)
    return (fo * flat[0] ** 2).reshape(shape)


def ready_time(
    kind: Kind,
    path: ArrayLike,
    diffusivity: ArrayLike,
    alpha: ArrayLike,
    *,
    criterion: str = "even",
    at: ArrayLike = 0.9,
    native: ArrayLike = 0.0,
) -> Floats:
    """`ready_exposure` divided by a constant diffusivity [m2/s]. [s]"""
    found = ready_exposure(kind, path, alpha, criterion=criterion, at=at, native=native)
    return found / np.asarray(diffusivity, float)


def ready_exposure_product(
    factors: Sequence[Factor],
    alpha: ArrayLike,
    *,
    criterion: str = "even",
    at: float = 0.9,
    native: ArrayLike = 0.0,
    nodes: int | None = None,
) -> Floats:
    """`ready_exposure` of boxes and short cylinders; paths, alpha and native of shape (M,) or scalar. [m2]

    Read off 400 places in sqrt(X), straight between them: error about 1e-4 relative.
    """
    _require_criterion(criterion)
    column = [(kind, np.atleast_1d(np.asarray(path, float))[:, None]) for kind, path in factors]
    a, s = (np.atleast_1d(np.asarray(v, float))[:, None] for v in (alpha, native))
    slowest = sum((held_roots(kind, 1)[0] / path) ** 2 for kind, path in column)
    end = 12.0 / np.broadcast_to(slowest, np.broadcast_shapes(slowest.shape, a.shape, s.shape))
    root = np.sqrt(end) * np.linspace(0.0, 1.0, 401)[1:]
    if np.isinf(a).all():
        mean, core = step_both(column, root**2)
    else:
        mean, core, _ = product_bath(column, root**2, a, nodes=nodes)
    value = _margin(mean, core, s, at, criterion)
    return _last_rise(root, value) ** 2


def _ready_fourier(kind: Kind, alpha: Floats, at: Floats, native: Floats, criterion: str) -> Floats:
    """Fo of readiness for members (M,): last rise through zero of limit + sum w exp(-q^2 Fo)."""
    q, phi, share, N = bath_modes(kind, alpha, _MODES)
    c = (phi - share) / N
    bound = _margin(np.ones_like(at), np.ones_like(at), native, at, criterion)
    w = (1.0 - native)[:, None] * (c if criterion == "core" else c * (1.0 - at[:, None] * share))
    q2 = q * q

    def margin(fo: Floats) -> Floats:
        return bound + (w * np.exp(-q2 * fo[:, None])).sum(axis=1)

    with np.errstate(divide="ignore", invalid="ignore"):
        last = np.log(np.abs(w[:, :4]).sum(axis=1) / bound) / q2[:, 0]
    end = np.maximum(np.where(np.isfinite(last), last, 1.0), 0.1) * 1.05
    count = _LOOKS if (native > 0.0).any() else 2  # empty at first: it only rises
    looks = _FIRST_LOOK * (end[:, None] / _FIRST_LOOK) ** np.linspace(0.0, 1.0, count)
    seen = bound[:, None] + (np.exp(-q2[:, None, :] * looks[..., None]) @ w[..., None])[..., 0]
    k, never_below = _last_below(seen)
    rows = np.arange(k.size)
    found = find_root(margin, looks[rows, k], looks[rows, np.minimum(k + 1, count - 1)], tolerance=1e-11)
    found = np.where(never_below, 0.0, found)
    return np.where(bound > 0.0, found, np.inf)


def _margin(mean: Floats, core: Floats, native: Floats, at: float | Floats, criterion: str) -> Floats:
    """How far a state is beyond the criterion, in units of the final value; fractions of the change come in."""
    inside = native + (1.0 - native) * core
    return inside - at if criterion == "core" else inside - at * (native + (1.0 - native) * mean)


def _last_below(seen: Floats) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """Index of the last negative in each row, and where there is none."""
    below = seen < 0.0
    k = seen.shape[1] - 1 - np.argmax(below[:, ::-1], axis=1)
    never = np.asarray(~below.any(axis=1))
    return np.where(never, 0, k).astype(np.intp), never


def _last_rise(x: Floats, seen: Floats) -> Floats:
    """Where each row rises through zero for the last time; 0 when never below, infinite when below at the end."""
    k, never_below = _last_below(seen)
    rows = np.arange(k.size)
    nxt = np.minimum(k + 1, x.shape[1] - 1)
    low, high = seen[rows, k], seen[rows, nxt]
    part = np.where(high > low, -low / np.where(high > low, high - low, 1.0), 0.0)
    found = x[rows, k] + part * (x[rows, nxt] - x[rows, k])
    return np.where(never_below, 0.0, np.where(seen[:, -1] < 0.0, np.inf, found))


def _require_criterion(criterion: str) -> None:
    if criterion not in CRITERIA:
        raise OutOfRange(
            f"criterion {criterion!r} is not known.",
            field="criterion",
            value=criterion,
            limit=CRITERIA,
            remedy="Choose core (it holds enough) or even (it is near the mean).",
        )
