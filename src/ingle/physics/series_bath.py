"""Slab, cylinder and sphere in a finite well-mixed bath, by the roots of that problem.

Body and bath together form one eigenproblem: weight (m+1) r^m inside, alpha at the wet face. A mode is
phi(q r) with bath value phi(q), its square norm N = (m+1) int r^m phi^2 + alpha phi(q)^2, and alpha q phi(q) =
-(m+1) psi(q). Fractions are of the final change of the body; the bath falls from (1 + alpha)/alpha to 1.

References
----------
Crank 1975, eqs 4.37, 5.33, 6.30 (uptake); the coefficients here follow from the norm above.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics.series_held import FIRST, STILL, held_mean, near_wall
from ingle.physics.series_roots import bath_roots, decay_sums, enough, norm, order, phi_psi
from ingle.physics.shapes import Kind
from ingle.physics.special import Floats, erfcx

Three = tuple[Floats, Floats, Floats]
Four = tuple[Floats, Floats, Floats, Floats]

_SHORT: dict[str, float] = {"slab": 0.02, "cylinder": FIRST, "sphere": 0.02}
_ALMOST_HELD = 1e7  # larger baths: the short-time form would lose digits, the held one is as close


def bath(kind: Kind, fourier: ArrayLike, alpha: ArrayLike) -> Three:
    """Mean, core and wet surface (= bath) of a body in a finite bath.

    Parameters
    ----------
    kind : {"slab", "cylinder", "sphere"}
    fourier, alpha : array_like
        X / path^2 and bath volume / (K x body volume); they broadcast, and roots are found once per element of
        ``alpha``: members (M, 1), times (M, T).

    Returns
    -------
    mean, core, surface : ndarray, broadcast shape
        Fractions of the final change; mean + alpha surface = 1 + alpha.

    Notes
    -----
    Error below 1e-10 from Fo = 1e-4 up (checked down to alpha = 0.005). Slab and sphere are as exact at any
    Fo; the cylinder below Fo = 1.5e-5 to 5e-7 in the mean. ``alpha`` = infinity is the held surface.
    """
    fo, a, short = _prepared(kind, fourier, alpha)
    q, c, phi, mean_share = _modes(kind, a, enough(_least(kind, fo)))
    sums = decay_sums(q, (c * mean_share, c, c * phi), np.maximum(fo, _least(kind, fo)))
    mean, core, surface = (1.0 + part for part in sums)
    core = np.where(fo < STILL, 0.0, core)
    if short.any():
        s_mean, s_surface = _short_time(kind, fo, a)
        mean, surface = np.where(short, s_mean, mean), np.where(short, s_surface, surface)
    return mean, core, surface


def bath_mean(kind: Kind, fourier: ArrayLike, alpha: ArrayLike) -> Floats:
    """Fractional uptake from a finite bath, M_t / M_inf. See `bath`."""
    return bath(kind, fourier, alpha)[0]


def bath_core(kind: Kind, fourier: ArrayLike, alpha: ArrayLike) -> Floats:
    """Fraction of the final change reached at the core. See `bath`."""
    return bath(kind, fourier, alpha)[1]


def bath_surface(kind: Kind, fourier: ArrayLike, alpha: ArrayLike) -> Floats:
    """Bath and wet surface, from (1 + alpha)/alpha down to 1. See `bath`."""
    return bath(kind, fourier, alpha)[2]


def bath_profile(kind: Kind, fourier: ArrayLike, alpha: ArrayLike, at: ArrayLike) -> Floats:
    """Fraction of the final change at places ``at`` (0 = core, 1 = wet face; shape (P,)). Shape (..., P).

    Error below 1e-9 from Fo = 1e-4 up; before Fo = 1.5e-5 the wall alone, to about sqrt(Fo)/2 of the bath.
    """
    fo, a, _ = _prepared(kind, fourier, alpha)
    r = np.asarray(at, float)
    q, c, _, _ = _modes(kind, a, enough(np.maximum(fo, FIRST)))
    decayed = c * np.exp(-(q * q) * fo[..., None])
    if q.ndim == 1:
        late = 1.0 + decayed @ phi_psi(kind, q[:, None] * r)[0]
    else:
        late = 1.0 + np.einsum("...n,...np->...p", decayed, phi_psi(kind, q[..., None] * r)[0])
    with np.errstate(divide="ignore"):
        fade, first = (order(kind) + 1) / a, np.where(np.isinf(a), 1.0, 1.0 + 1.0 / a)
    early = first[..., None] * near_wall(kind, fo[..., None], r, fade[..., None])
    return np.where(fo[..., None] < FIRST, early, late)


def bath_modes(kind: Kind, alpha: Floats, count: int) -> Four:
    """Roots, phi(q), mean of phi(q r), N. What is small at the root comes from its equation, not from phi."""
    m = order(kind)
    q = bath_roots(kind, alpha, count)
    phi, psi = phi_psi(kind, q)
    a = alpha[..., None]
    big = a > 1.0
    with np.errstate(invalid="ignore"):
        phi = np.where(big, -(m + 1) * psi / (np.where(big, a, 1.0) * q), phi)
        psi = np.where(big, psi, -a * q * phi / (m + 1))
        bath_part = np.where(big, -(m + 1) * psi / q * phi, np.where(big, 0.0, a) * phi * phi)
    return q, phi, (m + 1) * psi / q, (m + 1) * norm(kind, q, phi, psi) + bath_part


def _modes(kind: Kind, alpha: Floats, count: int) -> Four:
    """Roots, coefficients for an even start, phi(q), mean of phi(q r): (phi - mean)/N, both parts kept."""
    q, phi, mean, N = bath_modes(kind, alpha, count)
    return q, (phi - mean) / N, phi, mean


def _short_time(kind: Kind, fo: Floats, alpha: Floats) -> tuple[Floats, Floats]:
    """Mean and bath while the core is untouched (Crank 4.41 and 6.34; for the cylinder two terms).

    In Laplace space with s^2 the variable, bath/first = 1 / ((s - s1)(s - s2)), where s1, s2 solve
    alpha s^2 + (m+1) s - m(m+1)/2 = 0.
    """
    m = order(kind)
    a = np.minimum(alpha, _ALMOST_HELD)
    t = np.sqrt(np.minimum(fo, _SHORT[kind]))
    spread = np.sqrt((m + 1) ** 2 + 2.0 * a * m * (m + 1))
    s1 = m * (m + 1) / ((m + 1) + spread)  # (-(m+1) + spread) / (2 alpha) without cancellation
    s2 = -((m + 1) + spread) / (2.0 * a)
    left = (s1 * erfcx(-s1 * t) - s2 * erfcx(-s2 * t)) / (s1 - s2)
    mean, surface = (1.0 + a) * (1.0 - left), (1.0 + a) / a * left
    if (alpha > _ALMOST_HELD).any():
        held = held_mean(kind, fo)
        mean = np.where(alpha > _ALMOST_HELD, held, mean)
        surface = np.where(alpha > _ALMOST_HELD, 1.0 + (1.0 - held) / alpha, surface)
    return mean, surface


def _least(kind: Kind, fo: Floats) -> float:
    """The smallest Fo that the modes must serve."""
    longer = fo[fo >= _SHORT[kind]]
    return min(STILL, float(longer.min())) if longer.size else STILL


def _prepared(kind: Kind, fourier: ArrayLike, alpha: ArrayLike) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    order(kind)
    fo, a = np.asarray(fourier, float), np.asarray(alpha, float)
    if not (a > 0).all():
        worst = float(np.nanmin(a)) if a.size and not math.isnan(float(np.nanmin(a))) else float("nan")
        raise OutOfRange(
            f"alpha {worst:g} is not above zero: there is no bath.",
            field="alpha",
            value=worst,
            limit="above 0",
            remedy="Give bath volume / (K x body volume); without a bath the piece rests (rest_profile).",
        )
    return fo, a, fo < _SHORT[kind]
