"""The compiled lines of `series_compiled`: a product body in a finite bath, and reading a table, member by member.

The mathematics stands in ``series_held`` (`held_both`) and ``series_product`` (`product_bath`); this is the same, written
as loops, because one box has too few numbers for array calls to be worth their start. Importing this file imports Numba;
without it nothing here is meant to be called.
"""

# mypy: allow-untyped-defs

from __future__ import annotations

import math

import numpy as np

from ingle.physics.series_held import SHORT, STILL

try:
    from numba import njit as _njit
except ImportError:  # `series_compiled` then answers by NumPy
    _njit = None  # type: ignore[assignment]

COMPILED = _njit is not None
_FADED = 40.0  # exp(-40) = 4e-18: the modes beyond add nothing
# Sums may be ordered anew and multiply-adds fused; infinities and what is not a number keep their meaning.
_FAST = {"reassoc", "contract", "nsz", "arcp"}


def _compiled(function):
    return function if _njit is None else _njit(cache=True, nogil=True, fastmath=_FAST)(function)


@_compiled
def _left(exposure, path, squares, weights, early):
    """What a held body of one way still lacks, in the mean and at the core. See `held_both`.

    ``squares`` (modes,) of the roots, ``weights`` (2, modes) of mean and core, ``early`` the powers of sqrt(Fo).
    """
    fo = exposure / (path * path)
    core = 1.0
    mean = 0.0
    if fo >= STILL:
        core = 0.0
        for k in range(squares.size):
            power = squares[k] * fo
            if power > _FADED:
                break
            fading = math.exp(-power)
            mean += weights[0, k] * fading
            core += weights[1, k] * fading
    if fo < SHORT:
        root = math.sqrt(fo)
        taken = 0.0
        for k in range(early.size - 1, -1, -1):
            taken = (taken + early[k]) * root
        mean = 1.0 - taken
    return mean, core


@_compiled
def _solved(matrix, right):
    """Solve a small dense system by elimination with row pivots; both are overwritten, ``right`` becomes the solution.

    Written out because Numba's own call needs SciPy, which is not there when only ingle is installed.
    """
    n = right.size
    for k in range(n):
        best = k
        for i in range(k + 1, n):
            if abs(matrix[i, k]) > abs(matrix[best, k]):
                best = i
        if best != k:
            for j in range(k, n):
                matrix[k, j], matrix[best, j] = matrix[best, j], matrix[k, j]
            right[k], right[best] = right[best], right[k]
        pivot = matrix[k]
        for i in range(k + 1, n):
            row = matrix[i]
            share = row[k] / pivot[k]
            for j in range(k + 1, n):
                row[j] -= share * pivot[j]
            right[i] -= share * right[k]
    for i in range(n - 1, -1, -1):
        row = matrix[i]
        rest = right[i]
        for j in range(i + 1, n):
            rest -= row[j] * right[j]
        right[i] = rest / row[i]


@_compiled
def _product(matrix, vector):
    """Matrix times vector; Numba's own needs SciPy too."""
    out = np.zeros(vector.size)
    for i in range(vector.size):
        for j in range(vector.size):
            out[i] += matrix[i, j] * vector[j]
    return out


@_compiled
def _summed(coefficients, doubled, out):
    """Chebyshev sum at several places at once by Clenshaw's recurrence; ``doubled`` is 2 x, with x in -1..1."""
    times = doubled.size
    for t in range(times):
        after, last = 0.0, 0.0
        for k in range(coefficients.size - 1, 0, -1):
            after, last = coefficients[k] + doubled[t] * after - last, after
        out[t] = coefficients[0] + 0.5 * doubled[t] * after - last


@_compiled
def bath_of_members(held, early, paths, exposure, span, alpha, weights, to_coefficients, out):
    """`product_bath` for every member in turn, into ``out`` of shape (3, members, times).

    ``held`` (ways, 3, modes): squares of the roots, weights of mean and core; ``early`` (ways, powers); ``paths``
    (members, ways) [m]; ``exposure`` (members, times) [m2]; ``span``, ``alpha`` (members,); ``weights`` as made by
    ``series_product``: grid (n,), Volterra weights (n, n, n) and primitives (n, n); ``to_coefficients`` (n, n).
    """
    grid, volterra, primitive = weights
    n, ways = grid.size, early.shape[0]
    members, times = exposure.shape
    kernel = np.empty((2, n))
    matrix, core_weights = np.empty((n, n)), np.empty((n, n))
    right, bath, core, doubled = np.empty(n), np.empty(n), np.empty(n), np.empty(times)
    for m in range(members):
        a, first = alpha[m], (1.0 + alpha[m]) / alpha[m]
        for k in range(n):
            mean_left, core_left = 1.0, 1.0
            for w in range(ways):
                one, other = _left(span[m] * grid[k] * grid[k], paths[m, w], held[w, 0], held[w, 1:], early[w])
                mean_left *= one
                core_left *= other
            kernel[0, k], kernel[1, k] = 1.0 - mean_left, 1.0 - core_left
        for i in range(n):
            row, core_row = matrix[i], core_weights[i]
            for j in range(n):
                row[j] = a * primitive[i, j]
                core_row[j] = 0.0
            for k in range(n):
                mean_k, core_k, line = kernel[0, k], kernel[1, k], volterra[k, i]
                for j in range(n):
                    row[j] += mean_k * line[j]
                    core_row[j] += core_k * line[j]
            right[i] = -first * kernel[0, i]
        _solved(matrix, right)
        for i in range(n):
            bath[i], core[i] = first, first * kernel[1, i]
            for j in range(n):
                bath[i] += primitive[i, j] * right[j]
                core[i] += core_weights[i, j] * right[j]
        for t in range(times):
            doubled[t] = 2.0 * (2.0 * math.sqrt(min(exposure[m, t] / span[m], 1.0)) - 1.0)
        _summed(_product(to_coefficients, bath), doubled, out[2, m])
        _summed(_product(to_coefficients, core), doubled, out[1, m])
        for t in range(times):
            out[0, m, t] = a * (first - out[2, m, t])


@_compiled
def read_members(values, weights, exposure, span, out):
    """`series_table.read` for every member in turn, into ``out`` of shape (3, members, times).

    ``values`` (3, nodes, numbers + 1), ``weights`` (members, nodes), ``exposure`` (members, times) [m2].
    """
    parts, nodes, numbers = values.shape
    members, times = exposure.shape
    rows = np.empty((parts, numbers))
    for m in range(members):
        for p in range(parts):
            row = rows[p]
            for j in range(numbers):
                row[j] = 0.0
            for k in range(nodes):
                share, line = weights[m, k], values[p, k]
                for j in range(numbers):
                    row[j] += share * line[j]
        for t in range(times):
            place = math.sqrt(min(exposure[m, t] / span, 1.0)) * (numbers - 1)
            left = min(max(int(place) - 1, 0), numbers - 4)
            s = place - left
            a, b = -(s - 1.0) * (s - 2.0) * (s - 3.0) / 6.0, s * (s - 2.0) * (s - 3.0) / 2.0
            c, d = -s * (s - 1.0) * (s - 3.0) / 2.0, s * (s - 1.0) * (s - 2.0) / 6.0
            for p in range(parts):
                row = rows[p]
                out[p, m, t] = a * row[left] + b * row[left + 1] + c * row[left + 2] + d * row[left + 3]
