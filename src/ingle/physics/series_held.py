"""Slab, cylinder and sphere with a held wet face, or behind a film: means, cores, profiles.

Fractions of the final change, against Fo = X / path^2. Few modes suffice at any time, because short times
have a form of their own.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from ingle.physics.series_roots import (
    decay_sums,
    enough,
    film_roots,
    held_roots,
    norm,
    order,
    phi_psi,
)
from ingle.physics.series_wall import fading_wall, half_space_film, half_space_film_uptake
from ingle.physics.shapes import Kind
from ingle.physics.special import Floats

SHORT = 0.01  # below this Fo the short-time form of the uptake is exact to 1e-12
STILL = 0.008  # before this Fo the core has not moved: exp(-1/(4 Fo)) = 3e-14
FIRST = 1.5e-5  # profiles: below this Fo the wall is taken alone
_MODES = 20  # enough from Fo = STILL up: exp(-(20.5 pi)^2 0.008) = 4e-15


def held_both(kind: Kind, fourier: ArrayLike) -> tuple[Floats, Floats]:
    """Fractional uptake and core, wet face held (Crank 4.18, 5.23, 6.20). Any shape; error below 1e-10.

    Below Fo = 0.01 the uptake goes by powers of sqrt(Fo): slab 2 sqrt(Fo/pi), sphere 6 sqrt(Fo/pi) - 3 Fo,
    cylinder the expansion of 2 I1(s)/(s I0(s)) in 1/s, term by term. The core waits until Fo = 0.008.
    """
    fo = np.asarray(fourier, dtype=float)
    p, mean_weight, core_weight = held_modes(kind)
    mean, core = (1.0 - part for part in decay_sums(p, (mean_weight, core_weight), np.maximum(fo, STILL)))
    core = np.where(fo < STILL, 0.0, core)
    if (fo < SHORT).any():
        root = np.sqrt(np.minimum(fo, SHORT))
        early = np.zeros_like(root)
        for coefficient in reversed(short_terms(kind)):
            early = (early + coefficient) * root
        mean = np.where(fo < SHORT, early, mean)
    return mean, core


def held_mean(kind: Kind, fourier: ArrayLike) -> Floats:
    """Fractional uptake, wet face held. See `held_both`."""
    return held_both(kind, fourier)[0]


def held_core(kind: Kind, fourier: ArrayLike) -> Floats:
    """Fraction reached at the core, wet face held. See `held_both`."""
    return held_both(kind, fourier)[1]


@lru_cache(maxsize=3)
def held_modes(kind: Kind) -> tuple[Floats, Floats, Floats]:
    """Roots of the held body and what each mode weighs in the mean and at the core, each (modes,)."""
    p = held_roots(kind, _MODES)
    return p, 2.0 * (order(kind) + 1) / (p * p), 2.0 / (p * phi_psi(kind, p)[1])


def held_profile(kind: Kind, fourier: ArrayLike, at: ArrayLike) -> Floats:
    """Fraction reached at places ``at`` (0 = core, 1 = wet face, shape (P,)), wet face held. (..., P)

    Error below 1e-10 from Fo = 1e-4 up, below 1e-5 before Fo = 1.5e-5.
    """
    fo, r = np.asarray(fourier, float), np.asarray(at, float)
    p = held_roots(kind, enough(np.maximum(fo, FIRST)))
    modes = 2.0 / (p * phi_psi(kind, p)[1]) * np.exp(-(p * p) * fo[..., None])
    late = 1.0 - modes @ phi_psi(kind, p[:, None] * r)[0]
    early = near_wall(kind, fo[..., None], r, 0.0)
    return np.where(fo[..., None] < FIRST, early, late)


def near_wall(kind: Kind, fourier: ArrayLike, at: ArrayLike, fade: ArrayLike) -> Floats:
    """Profile while only a skin-deep layer is reached: the half space, with r^(-m/2) for the round bodies."""
    r = np.asarray(at, float)
    return fading_wall(1.0 - r, fourier, fade) * np.maximum(r, 0.05) ** (-0.5 * order(kind))


def film(
    kind: Kind, fourier: ArrayLike, biot: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    """Mean, core and wet surface behind a film of Biot number Bi, as fractions of the outside change.

    ``biot`` broadcasts with ``fourier``. Bi = infinity is the held surface, Bi = 0 nothing enters. Before
    Fo = 1.5e-5 the wall alone, which in round bodies misses up to m(m+1)/2 Fo < 5e-5.
    """
    fo, bi = np.asarray(fourier, float), np.asarray(biot, float)
    m = order(kind)
    q, a, phi, psi = _film_modes(kind, bi, enough(np.maximum(fo, FIRST)))
    even = q <= 1e-12  # Bi = 0: one mode is the even state itself
    share = np.where(even, 1.0, (m + 1) * psi / np.where(even, 1.0, q))
    mean, core, surface = (1.0 - part for part in decay_sums(q, (a * share, a, a * phi), fo))
    if (fo < FIRST).any():
        h = np.where(np.isinf(bi), 1e9, np.maximum(bi, 1e-9))
        mean = np.where(fo < FIRST, (m + 1) * half_space_film_uptake(fo, h), mean)
        surface = np.where(fo < FIRST, half_space_film(0.0, fo, h), surface)
        core = np.where(fo < FIRST, 0.0, core)
    return mean, core, surface


def film_profile(kind: Kind, fourier: ArrayLike, biot: float, at: ArrayLike) -> Floats:
    """Fraction of the outside change at places ``at`` (P,), one Biot number. Shape (..., P)."""
    fo, r = np.asarray(fourier, float), np.asarray(at, float)
    q, a, _, _ = _film_modes(kind, np.asarray(biot, float), enough(np.maximum(fo, FIRST)))
    late = 1.0 - (a * np.exp(-(q * q) * fo[..., None])) @ phi_psi(kind, q[:, None] * r)[0]
    h = min(max(biot, 1e-9), 1e9)
    early = half_space_film(1.0 - r, fo[..., None], h) * np.maximum(r, 0.05) ** (-0.5 * order(kind))
    return np.where(fo[..., None] < FIRST, early, late)


def one_term(kind: Kind, biot: ArrayLike) -> tuple[Floats, Floats]:
    """First root and core coefficient behind a film: core = 1 - A1 exp(-lambda1^2 Fo) for Fo > 0.2."""
    q, a, _, _ = _film_modes(kind, np.asarray(biot, float), 1)
    return q[..., 0], a[..., 0]


def _film_modes(kind: Kind, biot: Floats, count: int) -> tuple[Floats, Floats, Floats, Floats]:
    """Roots, coefficients (m+1 cancels), phi and psi at the roots; all (..., count)."""
    q = film_roots(kind, biot, count)
    phi, psi = phi_psi(kind, q)
    safe = np.where(q > 1e-12, q, 1.0)
    a = np.where(q > 1e-12, psi / safe / norm(kind, safe, phi, psi), 1.0)
    return q, a, phi, psi


@lru_cache(maxsize=3)
def short_terms(kind: Kind) -> tuple[float, ...]:
    """Coefficients of sqrt(Fo), Fo, Fo^(3/2) ... of the uptake at short time.

    With y = psi/phi of imaginary argument, y' = 1 - m y/s - y^2, so y = sum b_k s^-k follows term by term:
    2 b_k = (k - 1 - m) b_(k-1) - sum_(0<i<k) b_i b_(k-i); the uptake is the inverse of (m+1) y/s^3.
    """
    m = order(kind)
    b = [1.0]
    for k in range(1, 13):
        b.append(0.5 * ((k - 1 - m) * b[k - 1] - sum(b[i] * b[k - i] for i in range(1, k))))
    return tuple((m + 1) * b[k] / math.gamma((k + 3) / 2.0) for k in range(13))
