"""A piece behind a film by its closed form, compiled: for programs that ask often.

`film_surface` and `film_exposure_to` have the arguments, errors and numbers of their namesakes in ``series`` and ``series_film`` (to
1e-11 of the way, `tests/unit/test_film_compiled.py`). The first call in a process loads the compiled code, half a second: one
cook in a new process is sooner told without. The interpreter's lock is released meanwhile.

Without Numba every call goes to its namesake.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.physics import film_kernels, series, series_film
from ingle.physics.series_held import FIRST
from ingle.physics.series_roots import enough, held_roots, sealed_roots
from ingle.physics.shapes import KINDS, Kind, Shape
from ingle.physics.special import Floats, taylor_table

_MODES = 24  # enough from Fo = 0.008 up: exp(-(24 pi)^2 0.008) = 2e-20; before that the core has not moved


def film_surface(
    shape: Shape, exposure: ArrayLike, conductance: float, *, outside: float = 1.0, start: float = 0.0
) -> series.Curves:
    """`series.film_surface`: mean, core and face of a body behind a resistance (Robin condition).

    Parameters
    ----------
    shape, conductance, outside, start
        As there. [conductance h/k 1/m]
    exposure : array_like, shape (T,)
        Diffusivity x time. [m2]
    """
    X = series.exposure_of(exposure)
    longest = max(float(path) for _, path in shape.factors)
    first = float(np.min(X, initial=math.inf, where=X > 0.0)) if X.ndim == 1 and X.size else 0.0
    plain = not film_kernels.COMPILED or not 0.0 < conductance < math.inf
    if plain or first < FIRST * longest**2 or (X == 0.0).any():
        return series.film_surface(shape, X, conductance, outside=outside, start=start)
    kinds, paths, nearest = _ways(shape)
    counts = np.array([enough(first / path**2) for path in paths])
    sealed, held = _brackets(tuple(kind for kind, _ in shape.factors), int(counts.max()))
    out = np.empty((3, X.size))
    film_kernels.curves(
        kinds, paths, float(conductance), nearest, counts, sealed, held, taylor_table(), np.ascontiguousarray(X), out
    )
    mean, core, surface = start + (outside - start) * out
    return series.Curves(mean, core, surface)


def film_exposure_to(shape: Shape, fraction: float, conductance: float) -> float:
    """`series_film.film_exposure_to` for the core: exposure at which it has made a fraction of its way. [m2]"""
    f, h = series_film.wanted(fraction, conductance, "core")
    if not film_kernels.COMPILED or not 0.0 < h < math.inf or not 0.0 < f < 1.0:
        return series_film.film_exposure_to(shape, f, h)
    kinds, paths, _ = _ways(shape)
    sealed, held = _brackets(tuple(kind for kind, _ in shape.factors), _MODES)
    return float(film_kernels.exposure_to_core(kinds, paths, h, 1.0 - f, sealed, held, taylor_table()))


def _ways(shape: Shape) -> tuple[NDArray[np.intp], Floats, int]:
    """Kinds as numbers, paths [m], and the way whose face is told."""
    factors = shape.factors
    paths = np.array([float(path) for _, path in factors])
    return np.array([KINDS.index(kind) for kind, _ in factors]), paths, int(paths.argmin())


@lru_cache(maxsize=64)
def _brackets(kinds: tuple[Kind, ...], count: int) -> tuple[Floats, Floats]:
    """Sealed and held roots of every way, (ways, count): each root behind a film lies between them."""
    return np.array([sealed_roots(kind, count) for kind in kinds]), np.array([held_roots(kind, count) for kind in kinds])
