"""One axis at a time: what the split march (`transport_split`) solves along each axis, and the baths around them.

Along an axis j the lines of cells are tridiagonal:

    (1 + a K_j / S) z = z before + a g_j b / S

with a = step x weight x clock factor, S the cells' storage, g_j the conductances of the outer faces across the axis and
b the potential outside. What a finite bath one step up does to the body along all axes is worked out once for each
matrix, so that the bath of a new state follows from one small equation: what it holds is what it held and what came in.
"""

# mypy: allow-untyped-defs

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ingle.physics.transport_kernels import factor_x, factor_y, factor_z, inner, inner_no_nan, lines, outer
from ingle.physics.transport_shapes import Rim


class Axes(NamedTuple):
    """Room for the baths, and for what was."""

    border: np.ndarray  # (pools, cells): what a bath one step up does to the cells
    back: np.ndarray  # (pools, pools): what then comes into each pool
    small: np.ndarray  # (pools, pools): water - back, as L and U
    beta: np.ndarray  # (pools,): the baths in a solve
    flow: np.ndarray  # (pools,): content that came in from the body
    unit: np.ndarray  # (pools,)
    gone: np.ndarray  # (pools,): what came in during the first half of a step
    start: np.ndarray  # (pools,): potentials at the start of the step
    middle: np.ndarray  # (pools,): potentials at its middle
    still: np.ndarray  # (pools,): zeros
    lost: np.ndarray  # (1,): content lost in a step
    nothing: np.ndarray  # (cells,): zeros
    cut: np.ndarray  # (4,): where the outer faces across each axis begin
    before: np.ndarray  # (2, pools): contents one and two steps ago


def axes_room(cells: int, pools: int, rim: Rim) -> tuple[Axes, Rim]:
    """Room for one run, and the outer faces in the order of their axes."""
    order = np.argsort(rim.axis, kind="stable")
    cut = np.searchsorted(rim.axis[order], np.arange(4))
    arrays = [
        np.zeros((pools, cells)), np.zeros((pools, pools)), np.zeros((pools, pools)), *(np.zeros(pools) for _ in range(7)),
        np.zeros(1), np.zeros(cells), cut, np.zeros((2, pools)),
    ]
    sides, sizes = (rim.cell[order], rim.axis[order], rim.pool[order]), (rim.area[order], rim.half[order], rim.resistance[order])
    return Axes(*arrays), Rim(*sides, *sizes)


@inner
def assemble_axes(work, axes, rim, a, water, free):
    """Factors of the lines along each axis, what the baths do to them, and the baths' own equations."""
    nx, ny, nz = work.mass.shape
    outer(work, rim, 0, a)
    factor_x(work, a, 1.0, nx, ny, nz)
    outer(work, rim, 1, a)
    factor_y(work, a, 1.0, nx, ny, nz)
    outer(work, rim, 2, a)
    factor_z(work, a, 1.0, nx, ny, nz)
    pools, m = water.size, axes.small
    for p in range(pools):
        for q in range(pools):
            axes.unit[q] = 1.0 if p == q else 0.0
            axes.flow[q] = 0.0
        column = axes.border[p]
        if free[p]:
            for n in range(column.size):
                column[n] = 0.0
            along_all(work, axes, rim, a, column, axes.unit)
        for q in range(pools):
            axes.back[q, p] = axes.flow[q]
            m[q, p] = (water[p] if p == q and free[p] else 1.0 if p == q else 0.0)
            if free[p] and free[q]:
                m[q, p] -= axes.flow[q]
    for k in range(pools):  # no pivots: what a bath keeps is more than what it hands on
        for i in range(k + 1, pools):
            m[i, k] /= m[k, k]
            for j in range(k + 1, pools):
                m[i, j] -= m[i, k] * m[k, j]


@inner
def along(work, axis, z):
    """Solve the lines along one axis in place."""
    nx, ny, nz = work.mass.shape
    if axis == 0:
        lines(z.reshape((nx, ny * nz)), work.fx)
        return
    cube, turned = z.reshape((nx, ny, nz)), work.turned
    for i in range(nx):
        if axis == 1:
            lines(cube[i], work.fy[i])
        else:
            for j in range(ny):
                for m in range(nz):
                    turned[m, j] = cube[i, j, m]
            lines(turned, work.fz[i])
            for j in range(ny):
                for m in range(nz):
                    cube[i, j, m] = turned[m, j]


@inner
def along_all(work, axes, rim, a, z, beta):
    """One axis after the other, in place in z, beside potentials beta outside; adds to `axes.flow`."""
    inverse = work.inverse.reshape(z.size)
    for axis in range(3):
        for f in range(axes.cut[axis], axes.cut[axis + 1]):
            z[rim.cell[f]] += a * work.rim[f] * inverse[rim.cell[f]] * beta[rim.pool[f]]
        along(work, axis, z)
        for f in range(axes.cut[axis], axes.cut[axis + 1]):
            axes.flow[rim.pool[f]] -= a * work.rim[f] * (beta[rim.pool[f]] - z[rim.cell[f]])


@inner
def baths(axes, water, free):
    """The baths that can weaken, from what came in while they were held in `axes.beta`: brought up to date there.

    `axes.flow` is brought along; how far each rose is in `axes.unit`, for `settle`.
    """
    beta, m, pools, unit = axes.beta, axes.small, water.size, axes.unit
    for p in range(pools):
        unit[p] = axes.flow[p] - water[p] * beta[p] if free[p] else 0.0
    for i in range(pools):
        for k in range(i):
            unit[i] -= m[i, k] * unit[k]
    for i in range(pools - 1, -1, -1):
        for k in range(i + 1, pools):
            unit[i] -= m[i, k] * unit[k]
        unit[i] /= m[i, i]
    for p in range(pools):
        if free[p]:
            beta[p] += unit[p]
            for q in range(pools):
                axes.flow[q] += unit[p] * axes.back[q, p]


@inner_no_nan
def settle(axes, free, z, base, x, body):
    """x = base + z + what the rise of the baths does. Returns the lowest and highest x of the body, and the largest z."""
    last = -1
    for p in range(free.size):
        if free[p]:
            if last >= 0:
                rise, column = axes.unit[last], axes.border[last]
                for n in range(z.size):
                    z[n] += rise * column[n]
            last = p
    rise, column = (axes.unit[last], axes.border[last]) if last >= 0 else (0.0, z)
    low, high, most = 1e300, -1e300, 0.0
    for n in range(z.size):
        change = z[n] + rise * column[n]
        new = base[n] + change
        x[n] = new
        low = min(low, new if body[n] > 0.0 else 1e300)
        high = max(high, new if body[n] > 0.0 else -1e300)
        most = max(most, abs(change))
    return low, high, most


@inner
def _between_rows(mine, g, here, stride, factor):
    """Add what the cells of a plane take up from those a stride away; g of the last is 0."""
    size = here.size
    inside, back, on = here[stride:size - stride], here[:size - 2 * stride], here[2 * stride:]
    g_back, g_on, sum_ = g[:size - 2 * stride], g[stride:size - stride], mine[stride:size - stride]
    for n in range(sum_.size):
        sum_[n] += factor * (g_on[n] * (on[n] - inside[n]) + g_back[n] * (back[n] - inside[n]))
    for n in range(stride):
        mine[n] += factor * g[n] * (here[n + stride] - here[n])
        last = size - stride + n
        mine[last] += factor * g[last - stride] * (here[last - stride] - here[last])


@inner
def rates(work, rim, shape, c, b, factor, wear, loss, storage, source, rate, pool):
    """Content per time that every cell and every reservoir takes up as they stand."""
    nx, ny, nz = shape
    row = ny * nz
    for i in range(nx):  # plane by plane, each neighbour a whole row away: the compiler then takes many cells at once
        here, mine, made = c.reshape((nx, row))[i], rate.reshape((nx, row))[i], source.reshape((nx, row))[i]
        after, before = c.reshape((nx, row))[min(i + 1, nx - 1)], c.reshape((nx, row))[max(i - 1, 0)]
        gx, gx_before = work.gx.reshape((nx, row))[i], work.gx.reshape((nx, row))[max(i - 1, 0)]
        gy, gz = work.gy.reshape((nx, row))[i], work.gz.reshape((nx, row))[i]
        for n in range(row):
            mine[n] = factor * (gx[n] * (after[n] - here[n]) + gx_before[n] * (before[n] - here[n])) + made[n]
        _between_rows(mine, gy, here, nz, factor)
        _between_rows(mine, gz, here, 1, factor)
    if wear > 0.0:
        for n in range(c.size):
            rate[n] -= wear * loss[n] * storage[n] * c[n]
    for p in range(pool.size):
        pool[p] = 0.0
    for f in range(rim.cell.size):
        over = factor * work.rim[f] * (b[rim.pool[f]] - c[rim.cell[f]])
        rate[rim.cell[f]] += over
        pool[rim.pool[f]] -= over
