"""Boxes and short cylinders: products of one-dimensional forms, and their finite bath.

With a held surface the unfilled part of a box is the product of the unfilled parts of its slabs (Newman). A
bath that weakens cannot be multiplied; but by superposition (Duhamel)

    mean(X) = B(0) K(X) + int_0^X K(X - X') dB(X'),      alpha B(X) + mean(X) = what was given,

with K the unit-step response of the mean and B the bath. This Volterra equation is solved by collocation:
in tau = sqrt(X) both B and K are smooth, so dB/dtau is one Chebyshev sum, and with X' = X cos^2 t, X - X' =
X sin^2 t the integral has a smooth integrand. The weights do not depend on the body and are kept.

Members: X has shape (..., T); paths and alpha broadcast with (..., 1).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import ArrayLike

from ingle.ground.errors import OutOfRange
from ingle.physics.rootfind import find_root
from ingle.physics.series_bath import Three
from ingle.physics.series_held import held_both
from ingle.physics.series_roots import held_roots
from ingle.physics.shapes import KINDS, Factor
from ingle.physics.special import Floats

_SIZES = (48, 64, 96, 144)
_THINNEST = 0.0018
_OVER = 25.0  # all is even when the slowest held product mode has fallen to exp(-25) = 1e-11


def step_mean(factors: Sequence[Factor], exposure: ArrayLike) -> Floats:
    """Fractional uptake of a body with held surface: 1 - prod(1 - uptake of each factor)."""
    return step_both(factors, exposure)[0]


def step_core(factors: Sequence[Factor], exposure: ArrayLike) -> Floats:
    """Fraction reached at the slowest place of a body with held surface."""
    return step_both(factors, exposure)[1]


def step_both(
    factors: Sequence[Factor], exposure: ArrayLike
) -> tuple[Floats, Floats]:
    """Unit-step responses of mean and core. Exposure [m2], any shape; paths may be arrays that broadcast."""
    X = np.asarray(exposure, dtype=float)
    left_mean, left_core = np.ones_like(X), np.ones_like(X)
    for kind, path in factors:
        mean, core = held_both(kind, X / np.asarray(path) ** 2)
        left_mean, left_core = left_mean * (1.0 - mean), left_core * (1.0 - core)
    return 1.0 - left_mean, 1.0 - left_core


def product_bath(
    factors: Sequence[Factor], exposure: ArrayLike, alpha: ArrayLike, *, nodes: int | None = None
) -> Three:
    """Mean, core and bath of any product body in a finite well-mixed bath, as fractions of the final change.

    Parameters
    ----------
    factors : sequence of (kind, path)
        As a shape's ``factors``; a path may be an array (..., 1) over members. [m]
    exposure : array_like, shape (..., T)
        Integral of D dt. [m2]
    alpha : array_like
        Bath volume / (K x body volume), (..., 1) over members.
    nodes : int
        Chebyshev terms; chosen for an error of about 1e-6 of the final change when not given. 24 hold 1e-4
        for alpha >= 0.06.

    Returns
    -------
    mean, core, bath : each of shape (..., T); mean + alpha bath = 1 + alpha.
    """
    a = np.asarray(alpha, dtype=float)
    X, span = spanned(factors, exposure)
    return _marched(factors, X, span, a, first=(1.0 + a) / a, nodes=nodes)


def product_excess(
    factors: Sequence[Factor],
    exposure: ArrayLike,
    alpha: ArrayLike,
    reach: ArrayLike,
    *,
    nodes: int | None = None,
) -> tuple[Three, Any]:
    """Saturated surface until the mean has risen to ``reach``, then a finite bath.

    Values are fractions of saturation; also gives the exposure at the switch [m2]. Over members paths, alpha and
    reach are (..., 1), and so is the switch; for one member it is a float. ``reach`` <= 0 is not asked for here
    (`product_bath` serves it). Terms: 64 hold 1e-3 of the final change from reach 0.01 up; at 0.001 it takes 144.
    """
    a, r = np.asarray(alpha, dtype=float), np.asarray(reach, dtype=float)
    switch = _switch(factors, r)
    X = np.asarray(exposure, dtype=float)
    X = np.broadcast_to(X, np.broadcast_shapes(X.shape, switch.shape, a.shape))
    held = (*step_both(factors, X), np.ones_like(X))
    told_switch = switch if switch.ndim else float(switch)
    if not (switch < X).any():
        return held, told_switch
    after, span = spanned(factors, np.maximum(X - switch, 0.0))
    late = _marched(factors, after, span, a, first=np.ones(()), held_for=switch, nodes=nodes)
    mean, core, surface = (np.where(switch < X, v, h) for v, h in zip(late, held, strict=True))
    return (mean, core, surface), told_switch


def spanned(factors: Sequence[Factor], exposure: ArrayLike) -> tuple[Floats, Floats]:
    """Exposure and the span (..., 1) to solve on: to the last one asked for, or until all is even."""
    X = np.asarray(exposure, dtype=float)
    slowest = _fading(factors)
    asked = X.max(axis=-1, keepdims=X.ndim > 0) if X.size else np.zeros(())
    span = np.minimum(asked, _OVER / slowest)
    return X, np.where(span > 0.0, span, 1.0 / slowest)


def _fading(factors: Sequence[Factor]) -> Any:
    """How fast the slowest mode of the held body fades, per exposure; over members of the paths' shape. [1/m2]"""
    return sum((held_roots(kind, 1)[0] / _length(path)) ** 2 for kind, path in factors)


def _length(path: Any) -> Any:
    """A path as it is where it is one number, else as an array: arrays of one number are slow."""
    return path if isinstance(path, float) else np.asarray(path, float)


def nodes_for(factors: Sequence[Factor], span: Floats, alpha: Floats) -> int:
    """Chebyshev terms that hold about 1e-6 of the final change.

    Measured against the roots of slab, cylinder and sphere. The bath first falls over a depth alpha x volume /
    wet area; with e that depth / sqrt(span), 8/sqrt(e) + 8 terms resolve it, and 34 + 10 sqrt(Fo) the kernel.
    Below e = 0.0018 the first fall would be blurred by more than 3e-5: refused.
    """
    wetted = sum(float(KINDS.index(kind) + 1) / _length(path) for kind, path in factors)
    depth = float(np.min(alpha / wetted / np.sqrt(span)))
    if depth < _THINNEST:
        raise OutOfRange(
            f"alpha {float(np.min(alpha)):g} is too small a bath for this exposure: it is gone within "
            f"{depth:.2g} of the depth reached.",
            field="alpha",
            value=float(np.min(alpha)),
            limit=float(np.min(alpha)) * _THINNEST / depth,
            remedy="Take the salt as a thin layer on the face (thin_layer), or give the larger brine.",
        )
    slowest = _fading(factors)
    fo = float(np.max(span * slowest)) / held_roots("slab", 1)[0] ** 2
    wanted = max(8.0 / math.sqrt(depth) + 8.0, 34.0 + 10.0 * math.sqrt(fo))
    return next((n for n in _SIZES if n >= wanted), _SIZES[-1])


def _marched(
    factors: Sequence[Factor],
    X: Floats,
    span: Floats,
    alpha: Floats,
    *,
    first: Floats,
    held_for: Floats | float = 0.0,
    nodes: int | None = None,
) -> Three:
    """Solve for the bath from its first value on; ``held_for`` is the exposure already spent at that value.

    Collocation at n points tau_i: alpha (B - first) + [mean - mean at the start] = 0, linear in the n
    coefficients of dB/dtau. Members lie in all axes but the last.
    """
    grid, volterra, primitive = collocation(nodes or nodes_for(factors, span, alpha))
    n = grid.size
    kernel = step_both(factors, span * grid**2)
    spent, at_start = kernel, np.zeros(())
    if np.max(held_for) > 0.0:
        spent, at_start = step_both(factors, held_for + span * grid**2), step_both(factors, held_for)[0]
    mean_weights, core_weights = ((k @ volterra).reshape(*k.shape[:-1], n, n) for k in kernel)
    matrix = np.asarray(alpha)[..., None] * primitive + mean_weights
    b = np.linalg.solve(matrix, (-first * (spent[0] - at_start))[..., None])
    bath = first + (primitive @ b)[..., 0]
    core = first * spent[1] + (core_weights @ b)[..., 0]
    tau = np.sqrt(np.minimum(X / span, 1.0))
    surface = _read(bath, tau)
    return first * at_start + alpha * (first - surface), _read(core, tau), surface


def _read(values: Floats, tau: Floats) -> Floats:
    """Chebyshev interpolation from the grid (..., n) to tau (..., T)."""
    n = values.shape[-1]
    c = values @ to_coefficients(n).T
    if c.ndim == 1:
        return np.asarray(chebyshev.chebval(2.0 * tau - 1.0, c))
    return np.asarray(chebyshev.chebval(2.0 * tau - 1.0, np.moveaxis(c, -1, 0)[..., None], tensor=False))


@lru_cache(maxsize=8)
def to_coefficients(n: int) -> Floats:
    """Values at the n Chebyshev points of 0..1 to coefficients."""
    angle = math.pi * (np.arange(n) + 0.5) / n
    T = np.cos(np.outer(np.arange(n), angle)) * (2.0 / n)
    T[0] /= 2.0
    return T


@lru_cache(maxsize=8)
def collocation(n: int) -> tuple[Floats, Floats, Floats]:
    """Grid (n,) in tau; Volterra weights (n kernel points, n times x n coefficients); primitives (n times, n).

    volterra[k, i, j] = int over a quarter turn of l_k(tau_i sin t) T_j(tau_i cos t) tau_i sin t dt, with l_k the
    polynomial that is 1 at grid point k; the kernel K(span tau^2) enters by its values on the grid.
    """
    x = np.cos(math.pi * (np.arange(n) + 0.5) / n)
    grid = (x + 1.0) / 2.0
    node, weight = np.polynomial.legendre.leggauss(n + n // 2)
    t, weight = (node + 1.0) * math.pi / 4.0, weight * math.pi / 4.0
    s, c = grid[:, None] * np.sin(t), grid[:, None] * np.cos(t)
    T_s, T_c = chebyshev.chebvander(2.0 * s - 1.0, n - 1), chebyshev.chebvander(2.0 * c - 1.0, n - 1)
    moments = np.matmul((T_s * (weight * s)[..., None]).transpose(0, 2, 1), T_c)  # (times, kernel mode, mode)
    volterra = np.tensordot(to_coefficients(n).T, moments, axes=([1], [1])).reshape(n, n * n)
    primitive = np.empty((n, n))
    for j in range(n):
        unit = np.zeros(j + 1)
        unit[j] = 1.0
        primitive[:, j] = 0.5 * chebyshev.chebval(x, chebyshev.chebint(unit, lbnd=-1.0))
    for made in (grid, volterra, primitive):
        made.setflags(write=False)
    return grid, volterra, primitive


def _switch(factors: Sequence[Factor], reach: Floats) -> Floats:
    """Exposure at which the mean of the held body is ``reach``, of its shape; infinite from 1 on. [m2]"""
    slowest = _fading(factors)
    wanted = np.where(reach < 1.0, reach, 0.5)
    high = np.sqrt(-np.log1p(-wanted) / slowest) * (1.0 + 1e-12)
    root = find_root(lambda u: step_mean(factors, u * u) - wanted, np.zeros_like(high), high)
    return np.where(reach < 1.0, root**2, math.inf)
