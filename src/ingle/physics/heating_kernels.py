"""The compiled lines of `heating_compiled`: one body of two axes behind plain films, by the method of ``heating``.

What is done and why stands in ``heating_step`` and ``heating_sweep``; this is the same, written as loops, because one body has
too few cells for array calls to be worth their start. Importing this file imports Numba.
"""

# mypy: allow-untyped-defs

from __future__ import annotations

import math

import numpy as np

from ingle.physics.heating_sweep import GAMMA

try:
    from numba import njit as _njit
except ImportError:  # `heating_compiled` then answers by NumPy
    _njit = None  # type: ignore[assignment]

COMPILED = _njit is not None
_AGAIN = (1.0 - GAMMA) / GAMMA


def _compiled(function):
    return function if _njit is None else _njit(cache=True, nogil=True, fastmath={"reassoc", "contract", "nsz", "arcp"})(function)


@_compiled
def _enthalpy(t, low, scale, table):
    x = (t - low) * scale
    n = min(max(int(x), 0), table.size - 2)
    return table[n] + (x - n) * (table[n + 1] - table[n])


@_compiled
def _temperature(h, guess, low, scale, table):
    n = min(max(int((guess - low) * scale), 0), table.size - 2)
    while n > 0 and h < table[n]:
        n -= 1
    while n < table.size - 2 and h > table[n + 1]:
        n += 1
    return low + (n + (h - table[n]) / (table[n + 1] - table[n])) / scale


@_compiled
def _properties(t, ahead, middle, h, mean_c, low, scale, k_table, h_table, k, c):
    """Conductivity at the middle of the step, capacity from its start to its end."""
    for i in range(t.shape[0]):
        for j in range(t.shape[1]):
            x = (middle[i, j] - low) * scale
            n = min(max(int(x), 0), k_table.size - 2)
            k[i, j] = k_table[n] + (x - n) * (k_table[n + 1] - k_table[n])
            change = ahead[i, j] - t[i, j]
            if mean_c:
                to = ahead[i, j]
                if abs(change) < 1e-3:
                    change = 1e-3
                    to = t[i, j] + 1e-3
                c[i, j] = (_enthalpy(to, low, scale, h_table) - h[i, j]) / change
            else:
                c[i, j] = (h_table[n + 1] - h_table[n]) * scale


@_compiled
def _factor_rows(k, c, half, area, volume, length, film, dt, lower, inverse, back, gain):
    """Lines along the first axis; ``gain`` (columns,) is the share of the air that reaches the last cell."""
    n, m = k.shape
    f = GAMMA * dt / (length * length)
    for j in range(m):
        before = 0.0
        for i in range(n):
            flow = 0.0
            if i < n - 1:
                flow = f * area[i + 1] / (half[i] / k[i, j] + half[i + 1] / k[i + 1, j])
            cell = 1.0 / (c[i, j] * volume[i])
            main = 1.0 + (flow + before) * cell
            if i == n - 1:
                g = k[i, j] / (half[i] * length)
                g = g * film / (g + film)
                gain[j] = g * area[n] * GAMMA * dt / length * cell
                main += gain[j]
            if i > 0:
                lower[i, j] = before * cell
                main -= lower[i, j] * back[i - 1, j]
            inverse[i, j] = 1.0 / main
            back[i, j] = flow * cell * inverse[i, j]
            before = flow


@_compiled
def _solve_rows(x, lower, inverse, back):
    n, m = x.shape
    for j in range(m):
        x[0, j] *= inverse[0, j]
    for i in range(1, n):
        for j in range(m):
            x[i, j] = (x[i, j] + lower[i, j] * x[i - 1, j]) * inverse[i, j]
    for i in range(n - 2, -1, -1):
        for j in range(m):
            x[i, j] += back[i, j] * x[i + 1, j]


@_compiled
def _sweep_rows(t, first, lower, inverse, back, gain, air):
    n, m = t.shape
    for i in range(n):
        for j in range(m):
            first[i, j] = t[i, j]
    for j in range(m):
        first[n - 1, j] += gain[j] * air
    _solve_rows(first, lower, inverse, back)
    for i in range(n):
        for j in range(m):
            t[i, j] += _AGAIN * (first[i, j] - t[i, j])
    for j in range(m):
        t[n - 1, j] += gain[j] * air
    _solve_rows(t, lower, inverse, back)


@_compiled
def _turn(a, b):
    for i in range(a.shape[0]):
        for j in range(a.shape[1]):
            b[j, i] = a[i, j]


@_compiled
def _core(t, weights):
    """At the middle: an even parabola along each axis."""
    a = weights[0] * t[0, 0] + (1.0 - weights[0]) * t[1, 0]
    b = weights[0] * t[0, 1] + (1.0 - weights[0]) * t[1, 1]
    return weights[1] * a + (1.0 - weights[1]) * b


@_compiled
def _step(t, h, rate, rated, dt, axes, films, air, table, work):
    """One step in place; the surprise of `heating_step.State`."""
    half_r, area_r, volume_r, length_r, half_z, area_z, volume_z, length_z = axes
    low, scale, k_table, h_table = table
    ahead, middle, k, c, first, lower, inverse, back, turned, k_t, c_t, first_t, lower_t, inverse_t, back_t, gain, gain_t, old = work
    high = low + (h_table.size - 1) / scale
    n, m = t.shape
    for i in range(n):
        for j in range(m):
            ahead[i, j] = min(max(t[i, j] + dt * rate[i, j], low), high)
            middle[i, j] = 0.5 * (t[i, j] + ahead[i, j])
            old[i, j] = t[i, j]
    _properties(t, ahead, middle, h, rated, low, scale, k_table, h_table, k, c)
    _factor_rows(k, c, half_r, area_r, volume_r, length_r, films[0], 0.5 * dt, lower, inverse, back, gain)
    _turn(k, k_t)
    _turn(c, c_t)
    _factor_rows(k_t, c_t, half_z, area_z, volume_z, length_z, films[1], dt, lower_t, inverse_t, back_t, gain_t)
    _sweep_rows(t, first, lower, inverse, back, gain, air)
    _turn(t, turned)
    _sweep_rows(turned, first_t, lower_t, inverse_t, back_t, gain_t, air)
    _turn(turned, t)
    _sweep_rows(t, first, lower, inverse, back, gain, air)
    off = 0.0
    for i in range(n):
        for j in range(m):
            h[i, j] += c[i, j] * (t[i, j] - old[i, j])
            t[i, j] = _temperature(h[i, j], t[i, j], low, scale, h_table)
            off += (t[i, j] - ahead[i, j]) ** 2
            rate[i, j] = (t[i, j] - old[i, j]) / dt
    return math.sqrt(off / (n * m))


@_compiled
def march(t, h, axes, films, air, table, weights, until, end, slow, steering, work, save, out):
    """March until the core meets ``until``: steps taken, or -1 where it did not by ``end``. ``out`` (steps + 1, 2): time and core."""
    first_step, growth, shrink, wanted = steering
    saved_t, saved_h, saved_rate = save
    rate = np.zeros_like(t)
    now, dt, rated = 0.0, slow * first_step, False
    core = _core(t, weights)
    out[0, 0], out[0, 1] = now, core
    rising = core < until
    for count in range(1, out.shape[0]):
        left = end - now
        dt = left if left <= 1.001 * dt else min(dt, left / 2.0)
        saved_t[:, :], saved_h[:, :], saved_rate[:, :] = t, h, rate
        surprise = _step(t, h, rate, rated, dt, axes, films, air, table, work)
        before, core = core, _core(t, weights)
        if (core >= until) == rising:
            a, fa, b, fb, side, length = 0.0, before - until, dt, core - until, 0, dt
            for _ in range(20):
                if abs(core - until) < 1e-7:
                    break
                length = b - fb * (b - a) / (fb - fa)
                t[:, :], h[:, :], rate[:, :] = saved_t, saved_h, saved_rate
                _step(t, h, rate, rated, length, axes, films, air, table, work)
                core = _core(t, weights)
                f = core - until
                if (f > 0.0) == (fb > 0.0):
                    if side == 1:
                        fa *= 0.5
                    b, fb, side = length, f, 1
                else:
                    if side == -1:
                        fb *= 0.5
                    a, fa, side = length, f, -1
            out[count, 0], out[count, 1] = now + length, core
            return count
        now += dt
        out[count, 0], out[count, 1] = now, core
        if now >= end - 1e-9:
            return -1
        factor = growth
        if rated and surprise > 0.0:
            factor = math.sqrt(wanted / surprise)
        dt *= min(max(factor, shrink), growth)
        rated = True
    return -1
