"""Conductances and lines of cells: the ground of the transport engine's linear algebra.

The matrix of an implicit stage, A = mass + a x (conductances between cells, and between cells and outside) with
mass = storage (1 + a loss), is a sum over the axes of the body, A = A1 + .. + Ad, A_i = mass / d + a K_i. Along one
axis its lines are tridiagonal, so the product

    P = (rho mass + A1) mass^-1 (rho mass + A2) mass^-1 .. / rho^(d-1)

is cheap to invert; rho is chosen so that the ratio P : A is the same at both ends of the spectrum. With one axis
rho is 0 and P is A. See `transport_solve` for what is done with it.

Numba compiles this file; without it the same lines run as plain Python, some two hundred times slower.
"""

# mypy: allow-untyped-defs

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple, TypeVar

import numpy as np

F = TypeVar("F")

try:
    from numba import njit as _njit
except ImportError:  # the answers are the same, only slower
    _njit = None  # type: ignore[assignment]


def njit(**options: Any) -> Callable[[F], F]:
    """Numba's compiler, or nothing where it is not installed."""
    return (lambda function: function) if _njit is None else _njit(**options)


FAST = {"reassoc", "contract", "nsz", "arcp"}
# inner functions are called by other kernels only and keep no array alive: a third of the time to compile
inner = njit(cache=True, fastmath=FAST, no_cpython_wrapper=True, no_cfunc_wrapper=True, _nrt=False)
inner_no_nan = njit(cache=True, fastmath={*FAST, "nnan"}, no_cpython_wrapper=True, no_cfunc_wrapper=True, _nrt=False)


class Work(NamedTuple):
    """Arrays that live as long as a run. ``g*``: conductances; ``f*``: factors of the lines."""

    gx: np.ndarray  # flat: from each cell to the next along the axis, 0 from the last
    gy: np.ndarray
    gz: np.ndarray
    rim: np.ndarray  # conductance of each outer face
    mass: np.ndarray  # storage (1 + a loss)
    inverse: np.ndarray  # 1 / mass
    diagonal: np.ndarray
    fx: np.ndarray  # (3, nx, ny nz)
    fy: np.ndarray  # (nx, 3, ny, nz)
    fz: np.ndarray  # (nx, 3, nz, ny)
    turned: np.ndarray  # (nz, ny), one plane with its lines side by side
    border: np.ndarray  # (pools, cells): what a bath one step up does to the cells, by P
    schur: np.ndarray  # (pools, pools)
    bath: np.ndarray  # diagonal of each bath, 0 where it is held
    rest: np.ndarray  # residual of the cells
    rest_b: np.ndarray
    z: np.ndarray  # the residual by P^-1
    z_b: np.ndarray
    step: np.ndarray  # direction
    step_b: np.ndarray
    image: np.ndarray  # A x direction
    image_b: np.ndarray
    scale: np.ndarray  # a in `diagonal`, then the factor of P
    extra: np.ndarray  # (cells,), for one use at a time


def workspace(shape: tuple[int, int, int], faces: int, pools: int) -> Work:
    """Room for one run."""
    nx, ny, nz = shape
    n = nx * ny * nz
    arrays = [
        *(np.zeros(n) for _ in range(3)), np.zeros(faces), *(np.zeros(shape) for _ in range(3)),
        np.zeros((3, nx, ny * nz)), np.zeros((nx, 3, ny, nz)), np.zeros((nx, 3, nz, ny)), np.zeros((nz, ny)),
        np.zeros((pools, n)), np.zeros((pools, pools)), np.zeros(pools),
        *(np.zeros(size) for _ in range(4) for size in (n, pools)), np.zeros(2), np.zeros(n),
    ]
    return Work(*arrays)


@inner
def between(area, half_a, k_a, half_b, k_b):
    """Conductance across a face: the two half cells in a row (harmonic mean)."""
    resistance = half_a * k_b + half_b * k_a
    return area * k_a * k_b / resistance if resistance > 0.0 else 0.0


@inner
def conduct(work, mesh, rim, k, factor):
    """Conductances from the conductivity of the cells; ``factor`` is the clock's, for faces with a film."""
    nx, ny, nz = k.shape
    hx, hy, hz, n = mesh.half_x, mesh.half_y, mesh.half_z, 0
    for i in range(nx):
        for j in range(ny):
            for m in range(nz):
                here = k[i, j, m]
                if i < nx - 1:
                    work.gx[n] = between(mesh.area_x[i + 1, j, m], hx[i], here, hx[i + 1], k[i + 1, j, m])
                if j < ny - 1:
                    work.gy[n] = between(mesh.area_y[i, j + 1, m], hy[j], here, hy[j + 1], k[i, j + 1, m])
                if m < nz - 1:
                    work.gz[n] = between(mesh.area_z[i, j, m + 1], hz[m], here, hz[m + 1], k[i, j, m + 1])
                n += 1
    flat = k.reshape(work.extra.size)
    for f in range(rim.cell.size):
        inner = flat[rim.cell[f]]
        work.rim[f] = rim.area[f] * inner / (rim.half[f] + rim.resistance[f] * factor * inner)


@inner
def add_diagonal(diagonal, g, stride, a):
    """What the conductances along one axis add to both their cells."""
    for n in range(g.size - stride):
        diagonal[n] += a * g[n]
    for n in range(g.size - stride):
        diagonal[n + stride] += a * g[n]


@inner
def outer(work, rim, axis, a):
    """a x conductance / mass of the outer faces across one axis, by cell; whether there is any."""
    extra, inverse, found = work.extra, work.inverse.reshape(work.extra.size), False
    for n in range(extra.size):
        extra[n] = 0.0
    for f in range(rim.cell.size):
        if rim.axis[f] == axis:
            extra[rim.cell[f]] += a * work.rim[f] * inverse[rim.cell[f]]
            found = True
    return found


@inner_no_nan
def _stiffest(inverse, g, stride, a):
    """Largest a g / mass of any cell to its next, along one axis."""
    most = 0.0
    for n in range(g.size - stride):
        most = max(most, g[n] * max(inverse[n], inverse[n + stride]))
    return a * most


@inner
def factor_lines(work, rim, a):
    """Forward elimination of the lines along each axis, and the rho that suits them."""
    nx, ny, nz = work.mass.shape
    inverse, axes = work.inverse.reshape(work.extra.size), (nx > 1) + (ny > 1) + (nz > 1)
    most = max(_stiffest(inverse, work.gx, ny * nz, a), _stiffest(inverse, work.gy, nz, a))
    most = 2.0 * max(most, _stiffest(inverse, work.gz, 1, a))
    used = (nx > 1, ny > 1, nz > 1 or axes == 0)
    axes = max(axes, 1)
    for axis in range(3):
        if used[axis]:
            outer(work, rim, axis, a)
            for n in range(work.extra.size):
                most = max(most, work.extra[n])
    least, highest = 1.0 / axes, 1.0 / axes + 2.0 * most
    ratio = (least / highest) ** (1.0 / axes)
    rho = (highest * ratio - least) / (1.0 - ratio) if axes > 1 and ratio < 1.0 else 0.0
    base = rho + least
    work.scale[1] = rho ** (axes - 1) if rho > 0.0 else 1.0
    if used[0]:
        outer(work, rim, 0, a)
        factor_x(work, a, base, nx, ny, nz)
    if used[1]:
        outer(work, rim, 1, a)
        factor_y(work, a, base, nx, ny, nz)
    if used[2]:
        outer(work, rim, 2, a)
        factor_z(work, a, base, nx, ny, nz)


@inner
def factor_x(work, a, base, nx, ny, nz):
    extra, fx, row = work.extra, work.fx, ny * nz
    g, inverse = work.gx, work.inverse.reshape(extra.size)
    for i in range(nx):
        back = max(i - 1, 0)
        for n in range(row):
            at = i * row + n
            low, up = a * g[back * row + n] * inverse[at] * (i > 0), a * g[at] * inverse[at]
            pivot = 1.0 / (base + low + up + extra[at] - low * fx[2, back, n])
            fx[0, i, n] = low * pivot
            fx[1, i, n] = pivot
            fx[2, i, n] = up * pivot


@inner
def factor_y(work, a, base, nx, ny, nz):
    extra, fy = work.extra, work.fy
    g, inverse = work.gy, work.inverse.reshape(extra.size)
    for i in range(nx):
        for j in range(ny):
            back = max(j - 1, 0)
            for m in range(nz):
                at = (i * ny + j) * nz + m
                low, up = a * g[(i * ny + back) * nz + m] * inverse[at] * (j > 0), a * g[at] * inverse[at]
                pivot = 1.0 / (base + low + up + extra[at] - low * fy[i, 2, back, m])
                fy[i, 0, j, m] = low * pivot
                fy[i, 1, j, m] = pivot
                fy[i, 2, j, m] = up * pivot


@inner
def factor_z(work, a, base, nx, ny, nz):
    extra, fz = work.extra, work.fz
    g, inverse = work.gz, work.inverse.reshape(extra.size)
    for i in range(nx):
        for m in range(nz):
            back = max(m - 1, 0)
            for j in range(ny):
                at = (i * ny + j) * nz + m
                low, up = a * g[at - m + back] * inverse[at] * (m > 0), a * g[at] * inverse[at]
                pivot = 1.0 / (base + low + up + extra[at] - low * fz[i, 2, back, j])
                fz[i, 0, m, j] = low * pivot
                fz[i, 1, m, j] = pivot
                fz[i, 2, m, j] = up * pivot


@inner
def lines(z, f):
    """Solve the tridiagonal lines along the first axis of z, side by side."""
    n, m = z.shape
    for j in range(m):
        z[0, j] *= f[1, 0, j]
    for i in range(1, n):
        for j in range(m):
            z[i, j] = z[i, j] * f[1, i, j] + f[0, i, j] * z[i - 1, j]
    for i in range(n - 2, -1, -1):
        for j in range(m):
            z[i, j] += f[2, i, j] * z[i + 1, j]


@inner
def along_axes(work, r, z):
    """z = P^-1 r without the baths: lines along x, then y, then z."""
    nx, ny, nz = work.mass.shape
    scale, factor = work.inverse.reshape(r.size), work.scale[1]
    for n in range(r.size):
        z[n] = factor * r[n] * scale[n]
    if nx > 1:
        lines(z.reshape((nx, ny * nz)), work.fx)
    cube = z.reshape((nx, ny, nz))
    turned = work.turned
    for i in range(nx):
        if ny > 1:
            lines(cube[i], work.fy[i])
        if nz == 1 and nx * ny > 1:
            continue
        for j in range(ny):
            for m in range(nz):
                turned[m, j] = cube[i, j, m]
        lines(turned, work.fz[i])
        for j in range(ny):
            for m in range(nz):
                cube[i, j, m] = turned[m, j]
