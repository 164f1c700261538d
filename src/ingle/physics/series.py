"""Closed forms of diffusion: the public door.

Everything here is exact for one solute in one tissue with one diffusivity at a time, however the
temperature moves: time enters only as the *exposure* X = integral of D dt [m2] (``diffusivity.exposure``),
or, without dimension, as the Fourier number Fo = X / path**2.

Two layers:

- by **shape** (this file): `held_surface`, `film_surface`, `finite_bath`, `excess_then_bath` take a shape of
  ``shapes`` and an exposure and give `Curves` in the unit of the concentrations they were given;
- by **kind** ("slab", "cylinder", "sphere"; files ``series_*.py``, listed in ``__all__``): fractions
  against Fo, broadcasting over members and times alike. An ensemble of M members at T times passes ``fourier``
  of shape (M, T) and ``alpha`` of shape (M, 1).

Two more doors for those who ask often: ``series_compiled`` has the same box in a finite bath compiled, ``series_table`` a table
of it over thickness.

``alpha`` = bath volume / (K x body volume), K the partition factor body/bath at equilibrium (for salt per
water: bath water / meat water). Fractions are of the final change: 0 at the start, 1 when all is even.
Left out: concentration-dependent D, layers, shrinkage, convection by brine. Those belong to ``transport``.

References
----------
Crank J., The Mathematics of Diffusion, 2nd ed., Oxford 1975 (equation numbers from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics import series_bath, series_excess, series_held, series_product
from ingle.physics.series_bath import bath, bath_core, bath_mean, bath_profile, bath_surface
from ingle.physics.series_excess import excess, excess_core, excess_profile, switch_fourier
from ingle.physics.series_held import film, film_profile, held_core, held_mean, held_profile, one_term
from ingle.physics.series_product import product_bath
from ingle.physics.series_ready import ready_exposure, ready_exposure_product, ready_time
from ingle.physics.series_rest import profile_mean, rest_profile, thin_layer
from ingle.physics.series_roots import bath_roots, film_roots, held_roots, sealed_roots
from ingle.physics.series_times import (
    excess_exposure_to,
    exposure_to_core,
    exposure_to_even,
    exposure_to_mean,
)
from ingle.physics.series_wall import (
    barrier_biot,
    half_space,
    half_space_film,
    half_space_uptake,
    loss_mean,
    loss_profile,
    loss_steady_core,
    loss_steady_mean,
    membrane_passed,
    membrane_time_lag,
)
from ingle.physics.shapes import Shape

__all__ = [
    "Curves",
    "barrier_biot",
    "bath",
    "bath_core",
    "bath_mean",
    "bath_profile",
    "bath_roots",
    "bath_surface",
    "excess",
    "excess_core",
    "excess_exposure_to",
    "excess_profile",
    "excess_then_bath",
    "exposure_to_core",
    "exposure_to_even",
    "exposure_to_mean",
    "film",
    "film_profile",
    "film_roots",
    "film_surface",
    "final_value",
    "finite_bath",
    "half_space",
    "half_space_film",
    "half_space_uptake",
    "held_core",
    "held_mean",
    "held_profile",
    "held_roots",
    "held_surface",
    "loss_mean",
    "loss_profile",
    "loss_steady_core",
    "loss_steady_mean",
    "membrane_passed",
    "membrane_time_lag",
    "one_term",
    "product_bath",
    "profile_mean",
    "ready_exposure",
    "ready_exposure_product",
    "ready_time",
    "rest_profile",
    "sealed_roots",
    "switch_fourier",
    "thin_layer",
]


@dataclass(frozen=True)
class Curves:
    """Concentrations along an exposure, in the unit they were given in.

    ``surface`` is the wet surface, which is the bath where there is one (per partition factor).
    ``switch`` is the exposure at which dry salt is used up [m2]; None where the question does not arise,
    infinite when some stays.
    """

    mean: NDArray[np.float64]
    core: NDArray[np.float64]
    surface: NDArray[np.float64]
    switch: float | None = None


def final_value(alpha: ArrayLike, bath: ArrayLike = 1.0, start: ArrayLike = 0.0) -> NDArray[np.float64]:
    """Concentration when body and bath are even: (start + alpha bath) / (1 + alpha).

    Parameters
    ----------
    alpha : array_like
        Bath volume / (K x body volume); infinity for a bath that does not weaken.
    bath, start : array_like
        First concentration of the bath (per partition factor) and of the body, same unit.
    """
    share = 1.0 / (1.0 + np.asarray(alpha, float))
    return np.asarray(start) * share + np.asarray(bath) * (1.0 - share)


def held_surface(shape: Shape, exposure: ArrayLike, *, surface: float = 1.0, start: float = 0.0) -> Curves:
    """A body whose wet faces are held at one concentration (saturated brine, a large fresh bath).

    Parameters
    ----------
    shape : Slab, Cylinder, Sphere or Box
    exposure : array_like, shape (...)
        Integral of D dt. [m2]
    surface, start : float
        Concentration at the wet faces and, at first, everywhere inside. [any one unit]

    Returns
    -------
    Curves, each of shape (...)
    """
    X = exposure_of(exposure)
    rise = surface - start
    mean = start + rise * series_product.step_mean(shape.factors, X)
    core = start + rise * series_product.step_core(shape.factors, X)
    return Curves(mean, core, np.full_like(X, surface))


def film_surface(
    shape: Shape, exposure: ArrayLike, conductance: float, *, outside: float = 1.0, start: float = 0.0
) -> Curves:
    """A body behind a resistance: a thin skin, a still film, a heated piece in air (Robin condition).

    Parameters
    ----------
    conductance : float
        Transfer coefficient / diffusivity, h/D (heat: h/k). [1/m] Biot number = conductance x path.
    outside, start : float
        Value far outside and, at first, everywhere inside.

    Returns
    -------
    Curves; ``surface`` is the middle of the wet face nearest to the core.
    """
    X = exposure_of(exposure)
    rest_mean, rest_core, rest_surface = np.ones_like(X), np.ones_like(X), np.ones_like(X)
    nearest = min(path for _, path in shape.factors)
    surface_done = False
    for kind, path in shape.factors:
        m, c, s = series_held.film(kind, X / path**2, conductance * path)
        rest_mean, rest_core = rest_mean * (1 - m), rest_core * (1 - c)
        here = path == nearest and not surface_done
        surface_done = surface_done or here
        rest_surface = rest_surface * (1 - (s if here else c))
    fall = start - outside
    return Curves(outside + fall * rest_mean, outside + fall * rest_core, outside + fall * rest_surface)


def finite_bath(
    shape: Shape, exposure: ArrayLike, alpha: float, *, bath: float = 1.0, start: float = 0.0
) -> Curves:
    """A body in a well-mixed bath that weakens as the body takes up: the equilibrium cure.

    Parameters
    ----------
    shape : Slab, Cylinder, Sphere or Box
        One-dimensional bodies by their own roots (error below 1e-10 of the final change from Fo = 1e-4 up);
        boxes and short cylinders by a collocated Volterra equation (below 1e-6).
    exposure : array_like, shape (...)
        Integral of D dt. [m2]
    alpha : float
        Bath volume / (K x body volume), above zero; infinity gives a held surface.
    bath, start : float
        First concentration of the bath (per partition factor) and of the body. [any one unit]

    Returns
    -------
    Curves, each of shape (...); mean + alpha x surface stays constant.
    """
    X = exposure_of(exposure)
    if np.isinf(alpha):
        return held_surface(shape, X, surface=bath, start=start)
    rise = final_value(alpha, bath, start) - start
    if len(shape.factors) == 1:
        ((kind, path),) = shape.factors
        parts = series_bath.bath(kind, X / path**2, alpha)
    else:
        parts = series_product.product_bath(shape.factors, X, alpha)
    mean, core, surface = (start + rise * part for part in parts)
    return Curves(mean, core, surface)


def excess_then_bath(
    shape: Shape, exposure: ArrayLike, alpha: float, *, dose: float, saturated: float, start: float = 0.0
) -> Curves:
    """An excess dry cure: the surface is saturated until the dry salt is used up, then a finite bath.

    Parameters
    ----------
    alpha : float
        Brine volume / (K x body volume), taken as constant.
    dose : float
        All salt given per body volume: dry and dissolved, without what was in the body. [as saturated]
    saturated : float
        Concentration of saturated brine (per partition factor). [any one unit]
    start : float
        Concentration in the body at first.

    Returns
    -------
    Curves; ``switch`` is the exposure at which the last dry salt dissolves [m2], 0 when the brine was never
    saturated (dose <= alpha x saturated), infinite when dry salt stays for ever.
    """
    X = exposure_of(exposure)
    if saturated <= start:
        raise OutOfRange(
            f"saturated brine {saturated:g} is not stronger than the body {start:g}.",
            field="saturated",
            value=saturated,
            limit=start,
            remedy="Give the strength of saturated brine in the unit of the start.",
        )
    reach = (dose - alpha * saturated) / (saturated - start)  # mean rise at which the dry salt is gone
    if reach <= 0.0:
        told = finite_bath(shape, X, alpha, bath=dose / alpha, start=start)
        return Curves(told.mean, told.core, told.surface, 0.0)
    if len(shape.factors) == 1:
        ((kind, path),) = shape.factors
        parts = series_excess.excess(kind, X / path**2, alpha, reach)
        switch = float(series_excess.switch_fourier(kind, reach)) * path**2
    else:
        parts, switch = series_product.product_excess(shape.factors, X, alpha, reach)
    mean, core, surface = (start + (saturated - start) * part for part in parts)
    return Curves(mean, core, surface, switch)


def exposure_of(exposure: ArrayLike) -> NDArray[np.float64]:
    """The exposure as an array; refuses what is negative or not a number."""
    X = np.asarray(exposure, dtype=float)
    if np.isnan(X).any() or (X < 0).any():
        raise OutOfRange(
            f"exposure {float(np.nanmin(X)) if X.size else 0.0:g} m2 is below zero or not a number.",
            field="exposure",
            value=float(np.nanmin(X)) if X.size else None,
            limit="0 m2 and more",
            remedy="Give the integral of D dt from the start on.",
        )
    return X
