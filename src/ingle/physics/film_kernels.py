"""The compiled lines of `film_compiled`: roots behind a film, curves, and the time to core, for one body at a time.

The mathematics stands in ``series_roots`` (`film_roots`), ``series_held`` (`film`) and ``special`` (`bessel_j0_j1`); this is the
same, written as loops, because one body has too few numbers for array calls to be worth their start. Importing this file
imports Numba; without it nothing here is meant to be called.
"""

# mypy: allow-untyped-defs

from __future__ import annotations

import math

import numpy as np

from ingle.physics.series_held import STILL

try:
    from numba import njit as _njit
except ImportError:  # `film_compiled` then answers by NumPy
    _njit = None  # type: ignore[assignment]

COMPILED = _njit is not None
_FADED = 40.0  # exp(-40) = 4e-18: the modes beyond add nothing
_FAR = 25.0  # from here on Hankel's expansion serves, as in `special`
# Sums may be ordered anew and multiply-adds fused; infinities and what is not a number keep their meaning.
_FAST = {"reassoc", "contract", "nsz", "arcp"}


def _compiled(function):
    return function if _njit is None else _njit(cache=True, nogil=True, fastmath=_FAST)(function)


@_compiled
def _hankel(order, x):
    """J of order 0 or 1 far out (DLMF 10.17.3)."""
    p, q, term = 0.0, 0.0, 1.0
    for k in range(16):
        sign = 1.0 if k % 4 < 2 else -1.0
        if k % 2 == 0:
            p += sign * term
        else:
            q += sign * term
        term *= (4.0 * order * order - (2 * k + 1) ** 2) / ((k + 1) * 8.0 * x)
    w = x - (0.25 + 0.5 * order) * math.pi
    return math.sqrt(2.0 / (math.pi * x)) * (p * math.cos(w) - q * math.sin(w))


@_compiled
def _bessel(x, table):
    """J0 and J1 at x >= 0; ``table`` (13, 101) are Taylor's numbers of `special`."""
    if x >= _FAR:
        return _hankel(0, x), _hankel(1, x)
    place = int(4.0 * x + 0.5)
    d = x - 0.25 * place
    j0, j1 = 0.0, 0.0
    for k in range(12, 0, -1):
        c = table[k, place]
        j0 = (j0 + c) * d
        j1 = j1 * d - k * c
    return j0 + table[0, place], j1


@_compiled
def _phi_psi(m, x, table):
    """Shape of a mode and its falling slope for slab, cylinder, sphere (m = 0, 1, 2)."""
    if m == 1:
        return _bessel(x, table)
    s, c = math.sin(x), math.cos(x)
    if m == 0:
        return c, s
    if x < 0.02:
        x2 = x * x
        return 1.0 - x2 / 6.0 * (1.0 - x2 / 20.0), x / 3.0 * (1.0 - x2 / 10.0 * (1.0 - x2 / 28.0))
    return s / x, (s / x - c) / x


@_compiled
def _root(m, biot, low, high, rising, table):
    """Root of q psi(q) = Bi phi(q) in its bracket, by Newton's steps kept inside it."""
    if low == 0.0:  # right for Bi small and large
        q = min(math.sqrt((m + 1) * biot / (1.0 + (m + 1) * biot / (high * high))), high)
    else:
        q = low + (high - low) * (2.0 / math.pi) * math.atan(biot / low)
    for _ in range(60):
        phi, psi = _phi_psi(m, q, table)
        value = q * psi - biot * phi
        if (value > 0.0) == rising:
            high = q
        else:
            low = q
        slope = (1.0 - m + biot) * psi + q * phi
        new = q - value / slope if slope != 0.0 else -1.0
        if not low <= new <= high:
            new = 0.5 * (low + high)
        moved = abs(new - q)
        q = new
        if moved <= 1e-9 * (1.0 + q):  # the step was quadratic: the next would be rounding
            break
    return q


@_compiled
def _modes(m, biot, sealed, held, table, out):
    """Squares of the roots and weights of mean, core and face, into ``out`` (4, modes)."""
    for i in range(out.shape[1]):
        q = _root(m, biot, 0.0 if i == 0 else sealed[i - 1], held[i], i % 2 == 0, table)
        phi, psi = _phi_psi(m, q, table)
        a = psi / q / (0.5 * (phi * phi + psi * psi + (1 - m) * phi * psi / q))
        out[0, i], out[1, i], out[2, i], out[3, i] = q * q, a * (m + 1) * psi / q, a, a * phi


@_compiled
def curves(kinds, paths, conductance, nearest, counts, sealed, held, table, exposure, out):
    """Mean, core and face of one body as fractions made, into ``out`` (3, times).

    ``kinds`` (ways,) 0, 1, 2; ``paths`` (ways,) [m]; ``nearest`` the way whose face is told; ``counts`` (ways,) modes that are taken;
    ``sealed``, ``held`` (ways, modes) ends of the brackets; ``exposure`` (times,) [m2].
    """
    for t in range(exposure.size):
        out[0, t], out[1, t], out[2, t] = 1.0, 1.0, 1.0
    for way in range(kinds.size):
        path = paths[way]
        modes = np.empty((4, counts[way]))
        _modes(kinds[way], conductance * path, sealed[way], held[way], table, modes)
        for t in range(exposure.size):
            fo = exposure[t] / (path * path)
            mean, core, face = 0.0, 0.0, 0.0
            for k in range(counts[way]):
                power = modes[0, k] * fo
                if power > _FADED:
                    break
                fading = math.exp(-power)
                mean += modes[1, k] * fading
                core += modes[2, k] * fading
                face += modes[3, k] * fading
            if fo < STILL:
                core = 1.0
            out[0, t] *= mean
            out[1, t] *= core
            out[2, t] *= face if way == nearest else core
    for t in range(exposure.size):
        for p in range(3):
            out[p, t] = 1.0 - out[p, t]


@_compiled
def exposure_to_core(kinds, paths, conductance, left, sealed, held, table):
    """Exposure at which the core still lacks ``left`` of its way. [m2]

    Newton on the logarithm of what is lacking, inside a shrinking bracket; it starts where the slowest mode alone would say.
    """
    ways, count = held.shape
    modes = np.empty((ways, 4, count))
    slowest, amplitude, shortest = 0.0, 1.0, paths[0]
    for way in range(ways):
        _modes(kinds[way], conductance * paths[way], sealed[way], held[way], table, modes[way])
        slowest += modes[way, 0, 0] / (paths[way] * paths[way])
        amplitude *= modes[way, 2, 0]
        shortest = min(shortest, paths[way])
    goal = math.log(left)
    low = STILL * shortest * shortest
    high = (6.0 - goal) / slowest
    x = max((math.log(amplitude) - goal) / slowest, 2.0 * low)
    for _ in range(60):
        lacking, slope = 0.0, 0.0  # of the logarithm
        for way in range(ways):
            fo = x / (paths[way] * paths[way])
            if fo < STILL:
                continue
            core, change = 0.0, 0.0
            for k in range(count):
                power = modes[way, 0, k] * fo
                if power > _FADED:
                    break
                part = modes[way, 2, k] * math.exp(-power)
                core += part
                change -= modes[way, 0, k] * part
            core = max(core, 1e-300)
            lacking += math.log(core)
            slope += change / core / (paths[way] * paths[way])
        if lacking > goal:
            low = x
        else:
            high = x
        new = x - (lacking - goal) / slope if slope < 0.0 else -1.0
        if not low <= new <= high:
            new = 0.5 * (low + high)
        moved = abs(new - x)
        x = new
        if moved <= 1e-13 * x:
            break
    return x
