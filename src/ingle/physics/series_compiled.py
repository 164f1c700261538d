"""The closed forms of boxes and short cylinders, compiled: for programs that ask often.

`finite_bath`, `product_bath` and `read` have the arguments, errors and numbers of their namesakes in ``series``,
``series_product`` and ``series_table`` (to 1e-12 of the salt, `tests/unit/test_series_compiled.py`). One box takes a quarter of
their time, where array calls cost more than the sums, and reading a table a fifth; a thousand members at once gain little,
for arrays serve those well. The first call in a process loads the compiled code, half a second (two where it was never compiled
before): one cure in a new process is sooner done without, so ``ingle cure`` never comes here. The interpreter's lock is
released meanwhile: threads may call side by side.

Without Numba every call goes to its namesake.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from ingle.physics import series, series_kernels, series_product, series_table
from ingle.physics.series_bath import Three
from ingle.physics.series_held import held_modes, short_terms
from ingle.physics.shapes import Factor, Kind, Shape
from ingle.physics.special import Floats


def finite_bath(
    shape: Shape,
    exposure: ArrayLike,
    alpha: float,
    *,
    bath: float = 1.0,
    start: float = 0.0,
    nodes: int | None = None,
) -> series.Curves:
    """`series.finite_bath`: a body in a well-mixed bath that weakens as the body takes up.

    Parameters
    ----------
    shape, exposure, alpha, bath, start
        As there. [exposure m2]
    nodes : int, optional
        As for `product_bath`; without meaning for bodies of one way, which are served by their own roots.
    """
    if len(shape.factors) == 1 or math.isinf(alpha):
        return series.finite_bath(shape, exposure, alpha, bath=bath, start=start)
    rise = float(series.final_value(alpha, bath, start)) - start
    mean, core, surface = product_bath(shape.factors, series.exposure_of(exposure), alpha, nodes=nodes)
    return series.Curves(start + rise * mean, start + rise * core, start + rise * surface)


def product_bath(
    factors: Sequence[Factor], exposure: ArrayLike, alpha: ArrayLike, *, nodes: int | None = None
) -> Three:
    """`series_product.product_bath`: mean, core and bath as fractions of the final change.

    Parameters
    ----------
    factors, exposure, alpha, nodes
        As there. [m; m2, shape (..., T)]

    Returns
    -------
    mean, core, bath : each of shape (..., T)
    """
    X, a = np.asarray(exposure, float), np.asarray(alpha, float)
    if not series_kernels.COMPILED or X.ndim == 0 or X.size == 0:
        return series_product.product_bath(factors, X, a, nodes=nodes)
    span = series_product.spanned(factors, X)[1]
    n = nodes or series_product.nodes_for(factors, span, a)
    paths = [np.asarray(path, float) for _, path in factors]
    lead = np.broadcast_shapes((*X.shape[:-1], 1), span.shape, a.shape, *(path.shape for path in paths))[:-1]
    times, ways = X.shape[-1], len(paths)
    lengths, spans, alphas = np.empty((*lead, ways)), np.empty((*lead, 1)), np.empty((*lead, 1))
    spans[...], alphas[...] = span, a
    for way, path in enumerate(paths):
        lengths[..., way : way + 1] = path
    grid, volterra, primitive = series_product.collocation(n)
    out = np.empty((3, math.prod(lead), times))
    series_kernels.bath_of_members(
        *_ways(tuple(kind for kind, _ in factors)),
        lengths.reshape(-1, ways),
        np.ascontiguousarray(X if X.shape[:-1] == lead else np.broadcast_to(X, (*lead, times))).reshape(-1, times),
        spans.reshape(-1),
        alphas.reshape(-1),
        (grid, volterra.reshape(n, n, n), primitive),
        series_product.to_coefficients(n),
        out,
    )
    mean, core, bath = out.reshape(3, *lead, times)
    return mean, core, bath


def read(table: series_table.Table, exposure: ArrayLike, path: ArrayLike) -> Three:
    """`series_table.read`: mean, core and bath of members from a table.

    Parameters
    ----------
    exposure : array_like, shape (members, times)
        Integral of D dt. [m2]
    path : array_like, shape (members,)
        Path of the first factor. [m]
    """
    if not series_kernels.COMPILED:
        return series_table.read(table, exposure, path)
    X, paths = series_table.within(table, exposure, path)
    out = np.empty((3, *X.shape))
    weights = series_table.lagrange(table.paths, paths)
    series_kernels.read_members(table.values, weights, np.ascontiguousarray(X), table.span, out)
    return out[0], out[1], out[2]


@lru_cache(maxsize=8)
def _ways(kinds: tuple[Kind, ...]) -> tuple[Floats, Floats]:
    """Squares of the roots, weights of mean and core (ways, 3, modes); powers of sqrt(Fo) at short time (ways, powers)."""
    modes = [held_modes(kind) for kind in kinds]
    return np.array([(root * root, mean, core) for root, mean, core in modes]), np.array([short_terms(k) for k in kinds])
