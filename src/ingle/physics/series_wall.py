"""The half space, the membrane, and first-order loss in a slab: forms that need no roots.

Depth x [m] and exposure X = integral of D dt [m2], as everywhere in ``series``.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from ingle.physics.special import Floats, erfc, erfcx


def half_space(depth: ArrayLike, exposure: ArrayLike) -> Floats:
    """Fraction of the surface value at a depth in a very thick piece: erfc(x / (2 sqrt X)) (Crank 2.45)."""
    return erfc(_reach(depth, exposure))


def half_space_uptake(exposure: ArrayLike) -> Floats:
    """Amount taken up per wet area and surface concentration, 2 sqrt(X/pi). [m]"""
    return 2.0 * np.sqrt(np.asarray(exposure, float) / math.pi)


def half_space_film(depth: ArrayLike, exposure: ArrayLike, conductance: ArrayLike) -> Floats:
    """Fraction of the outside value at a depth behind a resistance (Crank 3.35).

    erfc z - exp(h x + h^2 X) erfc(z + h sqrt X), z = x / (2 sqrt X); h = transfer coefficient / D. [1/m]
    """
    z = _reach(depth, exposure)
    return erfc(z) - fading_wall(depth, exposure, conductance)


def half_space_film_uptake(exposure: ArrayLike, conductance: ArrayLike) -> Floats:
    """Amount taken up per wet area and outside concentration behind a resistance h (Crank 3.37). [m]"""
    h, root = np.asarray(conductance, float), np.sqrt(np.asarray(exposure, float))
    return (erfcx(h * root) - 1.0) / h + 2.0 * root / math.sqrt(math.pi)


def fading_wall(depth: ArrayLike, exposure: ArrayLike, fade: ArrayLike) -> Floats:
    """Half space under a finite bath: exp(h x + h^2 X) erfc(z + h sqrt X) of the first bath value.

    ``fade`` h = wet area x K / bath volume [1/m]; h = 0 is the held surface.
    """
    z = _reach(depth, exposure)
    with np.errstate(under="ignore", over="ignore"):
        return np.exp(-z * z) * erfcx(z + np.asarray(fade, float) * np.sqrt(np.asarray(exposure, float)))


def membrane_passed(fourier: ArrayLike) -> Floats:
    """Amount that has crossed a layer, empty at first, held at C1 on one face and 0 on the other.

    In units of C1 x thickness, against Fo = X / thickness^2 (Crank 4.24a):
    Fo - 1/6 - (2/pi^2) sum (-1)^n / n^2 exp(-n^2 pi^2 Fo).
    """
    fo = np.asarray(fourier, dtype=float)
    n = np.arange(1, 41)
    terms = np.exp(-((n * math.pi) ** 2) * fo[..., None]) @ ((-1.0) ** n / n**2)
    told = fo - 1.0 / 6.0 - 2.0 / math.pi**2 * terms
    return np.where(fo < 0.004, 0.0, told)  # below: less than exp(-1/(4 Fo)) = 1e-27


def membrane_time_lag(thickness: float, diffusivity: ArrayLike) -> Floats:
    """Time lag of a layer such as a skin, d^2 / (6 D) (Crank 4.26). [s]"""
    return thickness**2 / (6.0 * np.asarray(diffusivity, float))


def barrier_biot(
    barrier_diffusivity: ArrayLike, barrier_thickness: ArrayLike, path: ArrayLike, diffusivity: ArrayLike
) -> Floats:
    """Biot number of a thin skin or fat layer on lean: (D_b/d_b) (L/D). Holds once the layer is quasi-steady."""
    D_b, d_b, L, D = (np.asarray(v, float) for v in (barrier_diffusivity, barrier_thickness, path, diffusivity))
    return (D_b / d_b) * (L / D)


def loss_steady_core(thiele: ArrayLike) -> Floats:
    """Core of a slab with loss k, surface held: 1/cosh(phi), phi = L sqrt(k/D)."""
    with np.errstate(over="ignore"):
        return 1.0 / np.cosh(np.asarray(thiele, float))


def loss_steady_mean(thiele: ArrayLike) -> Floats:
    """Mean of a slab with loss k, surface held: tanh(phi)/phi."""
    phi = np.asarray(thiele, float)
    safe = np.where(phi > 1e-6, phi, 1.0)
    return np.where(phi > 1e-6, np.tanh(safe) / safe, 1.0)


def loss_profile(
    fourier: ArrayLike, thiele: float, at: ArrayLike, *, start: float = 0.0
) -> Floats:
    """Slab with first-order loss (nitrite), surface held at 1, inside ``start`` at first: Danckwerts' form.

    Parameters
    ----------
    fourier : array_like, shape (...)
        D t / L^2; D and k constant in time.
    thiele : float
        L sqrt(k/D).
    at : array_like, shape (P,)
        Place, 0 = core, 1 = wet face.

    Returns
    -------
    ndarray, shape (..., P), fraction of the surface value.

    Notes
    -----
    cosh(phi r)/cosh(phi) - sum a_n (p^2/(p^2+phi^2) - start) cos(p r) exp(-(p^2+phi^2) Fo).
    """
    fo, r = np.asarray(fourier, float), np.asarray(at, float)
    p, decay, left = _loss_modes(fo, thiele, start)
    a = 2.0 * (-1.0) ** np.arange(p.size) / p
    steady = np.exp(thiele * (r - 1.0)) * (1.0 + np.exp(-2.0 * thiele * r)) / (1.0 + math.exp(-2.0 * thiele))
    told = steady - (decay * (a * left)) @ np.cos(p[:, None] * r)
    first = np.where(r < 1.0, start, 1.0)
    return np.where(fo[..., None] > 0.0, told, first)


def loss_mean(fourier: ArrayLike, thiele: float, *, start: float = 0.0) -> Floats:
    """Mean of the slab of `loss_profile`. Shape of ``fourier``."""
    fo = np.asarray(fourier, float)
    p, decay, left = _loss_modes(fo, thiele, start)
    told = loss_steady_mean(thiele) - decay @ (2.0 / p**2 * left)
    return np.where(fo > 0.0, told, start)


def _loss_modes(fo: Floats, thiele: float, start: float) -> tuple[Floats, Floats, Floats]:
    least = max(float(fo[fo > 0].min()) if (fo > 0).any() else 1.0, 2e-6)
    count = math.ceil(math.sqrt(30.0 / least) / math.pi) + 3
    p: Floats = np.asarray((np.arange(1, count + 1) - 0.5) * math.pi, dtype=float)
    rate = p * p + thiele * thiele
    return p, np.exp(-rate * fo[..., None]), p * p / rate - start


def _reach(depth: ArrayLike, exposure: ArrayLike) -> Floats:
    """z = x / (2 sqrt X); 0 at the surface, infinite inside at X = 0."""
    x, X = np.asarray(depth, float), np.asarray(exposure, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        z = x / (2.0 * np.sqrt(X))
    return np.where(x == 0.0, 0.0, z)
