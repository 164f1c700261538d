"""Saturated first, then a finite bath: the excess dry cure in slab, cylinder and sphere.

While dry salt is left the wet face is held at saturation (1). When the mean has risen to ``reach`` the salt is
gone, body and brine go on as the modes of ``series_bath`` from the profile of that moment. The profile is
itself a sum of held modes, and their overlap with bath modes is known:

    int_0^1 r^m phi(p r) phi(q r) dr = p psi(p) phi(q) / (p^2 - q^2)      for phi(p) = 0.

All values are fractions of saturation above the start. The mean ends at (reach + alpha)/(1 + alpha).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.physics.rootfind import find_root
from ingle.physics.series_bath import Three, bath, bath_modes, bath_profile
from ingle.physics.series_held import FIRST, STILL, held_both, held_mean, held_profile
from ingle.physics.series_roots import decay_sums, enough, held_roots, order, phi_psi
from ingle.physics.shapes import Kind
from ingle.physics.special import Floats

FEWEST, MOST = 48, 160  # bath modes: the profile at the switch is smooth, modes die as q^-4
FADE = 2.0  # the cut tail as one mode: its mean q^2 against that of the last mode kept


def switch_fourier(kind: Kind, reach: ArrayLike) -> Floats:
    """Fo at which the mean of a held body reaches a fraction: the inverse of `held_mean`. Any shape.

    0 for fractions at or below 0, infinite from 1 up.
    """
    y = np.asarray(reach, dtype=float)
    inside = np.clip(y, 0.0, 1.0 - 1e-15)
    p1 = held_roots(kind, 1)[0]
    high = np.maximum(-np.log1p(-inside) / p1**2, 1e-300) * (1.0 + 1e-12)
    root = find_root(lambda u: held_mean(kind, u * u) - inside, np.zeros_like(high), np.sqrt(high))
    return np.where(y <= 0.0, 0.0, np.where(y >= 1.0, np.inf, root * root))


def excess(kind: Kind, fourier: ArrayLike, alpha: ArrayLike, reach: ArrayLike) -> Three:
    """Mean, core and wet surface of an excess cure, as fractions of saturation.

    Parameters
    ----------
    fourier : array_like
        X / path^2 from the start. Broadcasts with alpha and reach: members (M, 1), times (M, T).
    alpha : array_like
        Brine volume / (K x body volume).
    reach : array_like
        Mean at which the dry salt is used up, (dose - alpha)/1 with the dose per body volume in units of
        saturation. 1 or more: never. At or below 0: `bath`.

    Notes
    -----
    Error below 1e-8 for a switch later than Fo = 1e-3. A switch before Fo = 1.5e-5 is taken as none: the bath
    starts a little above saturation instead.
    """
    fo, a, y = (np.asarray(v, float) for v in (fourier, alpha, reach))
    when = switch_fourier(kind, y)
    held: Three = (*held_both(kind, fo), np.ones_like(fo))
    after = fo > when
    if not after.any():
        return _choose(after, held, held)
    soon = when < FIRST
    xi = np.where(after, fo - np.where(np.isinf(when), 0.0, when), 0.0)
    late = _after(kind, xi, (a, y, when), held[1])
    if soon.any():
        final = (np.minimum(y, 1.0) + a) / (1.0 + a)
        plain = tuple(final * v for v in bath(kind, fo, a))
        late = _choose(soon, plain, late)
        after = after | (soon & (y <= 0.0))
    return _choose(after, late, held)


def excess_core(kind: Kind, fourier: ArrayLike, alpha: ArrayLike, reach: ArrayLike) -> Floats:
    """Core of an excess cure as a fraction of saturation. See `excess`."""
    return excess(kind, fourier, alpha, reach)[1]


def excess_profile(
    kind: Kind, fourier: ArrayLike, alpha: float, reach: float, at: ArrayLike
) -> Floats:
    """Profile of an excess cure at places ``at`` (P,), one member. Shape (..., P), fractions of saturation."""
    fo, r = np.asarray(fourier, float), np.asarray(at, float)
    when = float(switch_fourier(kind, reach))
    if when < FIRST:
        return (max(reach, 0.0) + alpha) / (1.0 + alpha) * bath_profile(kind, fo, alpha, r)
    held = held_profile(kind, fo, r)
    if not (fo > when).any():
        return held
    member = (np.asarray(alpha, float), np.asarray(reach, float), np.asarray(when))
    q, weight, _, base = continued(kind, member, MOST)
    xi = np.maximum(fo - when, 0.0)
    late = base + (weight * np.exp(-(q * q) * xi[..., None])) @ phi_psi(kind, q[:, None] * r)[0]
    return np.where((fo > when)[..., None], late, held)


def _after(kind: Kind, xi: Floats, member: Three, unswitched: Floats) -> Three:
    """Mean, core, surface at Fo = xi after the switch.

    The modes that are cut off are missing only at once after the switch; what they hold is known there (the
    mean is ``reach``) and fades with the last mode. The core cannot know of the switch before xi = 0.008.
    ``member`` is alpha, reach and the Fo of the switch.
    """
    alpha, reach, _ = member
    count = MOST if max(np.broadcast(alpha, reach).size, 1) < 16 else FEWEST
    q, weight, share, base = continued(kind, member, count)
    mean, core = decay_sums(q, (weight * share, weight), xi)
    cut = np.minimum(reach, 1.0) - base - (weight * share).sum(axis=-1)
    mean = base + mean + cut * np.exp(-FADE * q[..., -1] ** 2 * xi)
    surface = (np.minimum(reach, 1.0) + alpha - mean) / alpha
    return mean, np.where(xi < STILL, unswitched, base + core), surface


def _choose(where: NDArray[np.bool_], here: Sequence[Floats], there: Sequence[Floats]) -> Three:
    mean, core, surface = (np.where(where, a, b) for a, b in zip(here, there, strict=True))
    return mean, core, surface


def continued(kind: Kind, member: Three, count: int) -> tuple[Floats, Floats, Floats, Floats]:
    """Bath modes of members (alpha, reach, Fo of the switch) with the weights of the profile at the switch.

    Gives roots, weights and shares of the mean (..., count), and the even end (...).
    """
    alpha, reach, when = np.broadcast_arrays(*member)
    safe = np.clip(when, FIRST, 50.0)
    q, phi, mean, N = bath_modes(kind, alpha, count)
    p = held_roots(kind, enough(safe))
    left = np.exp(-(p * p) * safe[..., None])
    overlap = np.zeros(q.shape)
    for k in range(p.size):
        overlap += left[..., k, None] / (p[k] ** 2 - q * q)
    weight = -2.0 * (order(kind) + 1) * phi / N * overlap
    return q, weight, mean, 1.0 + (np.minimum(reach, 1.0) - 1.0) / (1.0 + alpha)
