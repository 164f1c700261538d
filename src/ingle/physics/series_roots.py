"""Eigenfunctions of slab, cylinder and sphere and the roots that belong to each condition at the wet face.

One pair of functions serves all three bodies, with r from 0 (core) to 1 (wet face) and m = 0, 1, 2:

    phi(x) = cos x,  J0(x),  sin x / x            the shape of a mode, phi(0) = 1
    psi(x) = -phi'(x) = sin x,  J1(x),  (sin x / x - cos x) / x

so that psi' = phi - m psi / x, the mean of phi(q r) over the body is (m+1) psi(q)/q, and

    int_0^1 r^m phi(q r)^2 dr = (phi^2 + psi^2 + (1-m) phi psi / q) / 2,   all at q.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics.shapes import KINDS, Kind
from ingle.physics.special import Floats, bessel_j0_j1

MOST_ROOTS = 400
_AT_ONCE = 1_000_000  # numbers held at once
DECAY = 30.0  # a mode counts while q^2 Fo is below this: exp(-30) = 1e-13


def order(kind: Kind) -> int:
    """m = 0, 1, 2 for slab, cylinder, sphere; refuses other words."""
    if kind not in KINDS:
        raise OutOfRange(
            f"body {kind!r} is not known.",
            field="kind",
            value=kind,
            limit=KINDS,
            remedy="Choose among " + ", ".join(KINDS) + ".",
        )
    return KINDS.index(kind)


def phi_psi(kind: Kind, x: ArrayLike) -> tuple[Floats, Floats]:
    """phi and psi of the body at x >= 0, any shape."""
    m = order(kind)
    x = np.asarray(x, dtype=float)
    if m == 0:
        return np.cos(x), np.sin(x)
    if m == 1:
        return bessel_j0_j1(x)
    small = x < 0.02
    y = np.where(small, 1.0, x)
    sinc = np.sin(y) / y
    x2 = x * x
    phi = np.where(small, 1.0 - x2 / 6.0 * (1.0 - x2 / 20.0), sinc)
    psi = np.where(small, x / 3.0 * (1.0 - x2 / 10.0 * (1.0 - x2 / 28.0)), (sinc - np.cos(y)) / y)
    return phi, psi


def norm(kind: Kind, q: Floats, phi: ArrayLike, psi: ArrayLike) -> Floats:
    """int_0^1 r^m phi(q r)^2 dr from phi and psi at q > 0."""
    phi, psi = np.asarray(phi), np.asarray(psi)
    return 0.5 * (phi * phi + psi * psi + (1 - order(kind)) * phi * psi / q)


def enough(fourier: ArrayLike) -> int:
    """Number of modes that leave less than about 1e-12 at the smallest Fourier number above zero."""
    fo = np.asarray(fourier, dtype=float)
    fo = fo[fo > 0.0]
    if fo.size == 0:
        return 8
    return int(min(MOST_ROOTS, max(8, math.ceil(math.sqrt(DECAY / float(fo.min())) / math.pi) + 3)))


@lru_cache(maxsize=32)
def held_roots(kind: Kind, count: int) -> Floats:
    """First ``count`` zeros of phi: wet face held. Shape (count,), read-only."""
    n = np.arange(1, count + 1)
    if order(kind) == 0:
        return _keep((n - 0.5) * math.pi)
    if order(kind) == 2:
        return _keep(n * math.pi)
    b = (n - 0.25) * math.pi  # McMahon, DLMF 10.21.19
    return _keep(_newton_bessel(b + 1 / (8 * b) - 31 / (384 * b**3), zero_of=0))


@lru_cache(maxsize=32)
def sealed_roots(kind: Kind, count: int) -> Floats:
    """First ``count`` zeros of psi above 0: wet face sealed. Shape (count,), read-only."""
    n = np.arange(1, count + 1)
    if order(kind) == 0:
        return _keep(n * math.pi)
    if order(kind) == 1:
        b = (n + 0.25) * math.pi
        return _keep(_newton_bessel(b - 3 / (8 * b) + 3 / (128 * b**3), zero_of=1))
    q = (n + 0.5) * math.pi
    for _ in range(14):  # tan q = q, as q = (n + 1/2) pi - atan(1/q), a contraction by 1/q^2 < 1/20
        q = (n + 0.5) * math.pi - np.arctan(1.0 / q)
    return _keep(q)


def bath_roots(kind: Kind, alpha: ArrayLike, count: int) -> Floats:
    """First ``count`` roots above 0 of alpha q phi(q) + (m+1) psi(q) = 0: finite well-mixed bath.

    Slab tan q = -alpha q; cylinder alpha q J0 + 2 J1 = 0; sphere tan q = 3q/(3 + alpha q^2)
    (Crank 4.36, 5.32, 6.29). Each lies between the held and the sealed root of its number.

    Parameters
    ----------
    alpha : array_like, shape (...)
        Bath volume / (K x body volume), from 0 (sealed) to infinity (held).

    Returns
    -------
    ndarray, shape (..., count)
    """
    a = np.asarray(alpha, dtype=float)
    _require_not_negative("alpha", a)
    m = order(kind)
    low, high = held_roots(kind, count), sealed_roots(kind, count)
    a = a[..., None]
    weight = np.where(np.isinf(a), 1.0, a) if np.isinf(a).any() else a
    scale = 1.0 / (1.0 + weight)

    def value_and_slope(q: Floats) -> tuple[Floats, Floats]:
        phi, psi = phi_psi(kind, q)
        value = weight * q * phi + (m + 1) * psi
        slope = weight * (phi - q * psi) + (m + 1) * (phi - m * psi / q)
        return value * scale, slope * scale

    def by_angle(q: Floats) -> Floats:
        return high - (high - low) * (2.0 / math.pi) * np.arctan(weight * q / (m + 1))

    q = by_angle(0.5 * (low + high))
    q = _polish(value_and_slope, by_angle(by_angle(q)), (low, high), np.arange(1, count + 1) % 2 == 0)
    return np.where(np.isinf(a), low, q)


def film_roots(kind: Kind, biot: ArrayLike, count: int) -> Floats:
    """First ``count`` roots above 0 of q psi(q) = Bi phi(q): resistance at the wet face.

    Slab q tan q = Bi; cylinder q J1/J0 = Bi; sphere 1 - q cot q = Bi. Biot number shape (...) -> (..., count).
    """
    bi = np.asarray(biot, dtype=float)
    _require_not_negative("biot", bi)
    m = order(kind)
    low = np.concatenate([[0.0], sealed_roots(kind, count)[:-1]])
    high = held_roots(kind, count)
    bi = bi[..., None]
    weight = np.where(np.isinf(bi), 1.0, bi) if np.isinf(bi).any() else bi
    scale = 1.0 / (1.0 + weight)

    def value_and_slope(q: Floats) -> tuple[Floats, Floats]:
        phi, psi = phi_psi(kind, q)
        safe = np.where(q > 0.0, q, 1.0)
        value = q * psi - weight * phi
        slope = psi + q * phi - m * psi * (q / safe) + weight * psi
        return value * scale, slope * scale

    start = low + (high - low) * (2.0 / math.pi) * np.arctan(weight / np.maximum(low, 1.0))
    first = np.sqrt((m + 1) * weight / (1.0 + (m + 1) * weight / high[0] ** 2))  # right for Bi small and large
    start[..., :1] = np.clip(first, 0.0, high[0])
    q = _polish(value_and_slope, start, (low, high), np.arange(1, count + 1) % 2 == 1)
    return np.where(np.isinf(bi), high, q)


def _polish(
    value_and_slope: Callable[[Floats], tuple[Floats, Floats]],
    q: Floats,
    ends: tuple[Floats, Floats],
    rising: NDArray[np.bool_],
) -> Floats:
    """Newton kept inside a shrinking bracket, elementwise, until no root moves by more than rounding.

    ``rising``: the function goes from below to above zero in this bracket. It is known from the number of
    the root, and must not be read from the ends, where the function itself may vanish.
    """
    low, high = (np.broadcast_to(end, q.shape).copy() for end in ends)
    for _ in range(60):
        value, slope = value_and_slope(q)
        above = (value > 0.0) == rising
        high = np.where(above, q, high)
        low = np.where(above, low, q)
        with np.errstate(divide="ignore", invalid="ignore"):
            new = q - value / slope
        outside = ~((low <= new) & (new <= high))
        new = np.where(outside, 0.5 * (low + high), new)
        moved = np.abs(new - q)
        q = new
        if (moved <= 1e-9 * (1.0 + q)).all():  # the step was quadratic: the next would be rounding
            break
    return q


def _newton_bessel(q: Floats, zero_of: int) -> Floats:
    for _ in range(4):
        j0, j1 = bessel_j0_j1(q)
        q = q + j0 / j1 if zero_of == 0 else q - j1 / (j0 - j1 / q)
    return q


def _keep(roots: ArrayLike) -> Floats:
    kept = np.array(roots, dtype=float)
    kept.setflags(write=False)
    return kept


def _require_not_negative(name: str, value: Floats) -> None:
    if np.isnan(value).any() or (value < 0).any():
        worst = float(np.nanmin(value)) if np.isfinite(value).any() else float("nan")
        raise OutOfRange(
            f"{name} {worst:g} is below zero or not a number.",
            field=name,
            value=worst,
            limit="0 and more",
            remedy=f"Give {name} as a ratio, 0 or larger.",
        )


def decay_sums(
    q: Floats, weights: Sequence[Floats], fourier: ArrayLike
) -> list[Floats]:
    """sum_n weight_n exp(-q_n^2 Fo) for several weights at the cost of one exponential, in bounded memory.

    q and each weight (..., N) broadcast over fourier (...). Members (M, 1, N) with times (M, T) go through one
    matrix product per member.
    """
    fo = np.asarray(fourier, dtype=float)
    weights = [np.broadcast_to(w, q.shape) for w in weights]
    shape = np.broadcast_shapes(fo.shape, q.shape[:-1])
    size = math.prod(shape) * q.shape[-1]
    if q.ndim == 1:
        flat, table = fo.ravel(), np.stack(weights, axis=-1)
        out = np.empty((flat.size, len(weights)))
        step = max(1, _AT_ONCE // q.size)
        for k in range(0, flat.size, step):
            out[k : k + step] = np.exp(-(q * q) * flat[k : k + step, None]) @ table
        return [out[:, j].reshape(shape) for j in range(len(weights))]
    if size > 2 * _AT_ONCE and len(shape) > 1 and q.ndim == len(shape) + 1 and q.shape[0] == shape[0]:
        fo = np.broadcast_to(fo, shape)
        step = max(1, _AT_ONCE * shape[0] // size)
        rows = [slice(k, k + step) for k in range(0, shape[0], step)]
        parts = [decay_sums(q[r], [w[r] for w in weights], fo[r]) for r in rows]
        return [np.concatenate(column) for column in zip(*parts, strict=True)]
    fading = np.exp(-(q * q) * fo[..., None])
    if q.ndim > 1 and q.shape[-2] == 1 and fading.ndim == q.ndim:
        told = fading @ np.stack([w[..., 0, :] for w in weights], axis=-1)
        return [told[..., j] for j in range(len(weights))]
    return [(fading * w).sum(axis=-1) for w in weights]
