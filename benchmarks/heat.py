"""A roast by its closed form beside finite volumes on the same equations by general solvers.

A cylinder 100 x 200 mm, k 0.45 W/mK, rho cp 1070 x 3500 J/m3K, film 25 W/m2K, from 4 degC in air of 110 degC until its core has
68 degC, and a hundred points of mean, core and face on the way. The peers stop at 68 degC; an error is that of the time,
from the roots of 30 x 30 modes found by SciPy.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.sparse import csc_matrix, diags, eye, kron

from benchmarks.run import Row, best
from benchmarks.series import timed
from ingle.physics import film_compiled, series
from ingle.physics.shapes import Cylinder

Floats = NDArray[np.float64]

RADIUS, HALF, K, STORAGE, FILM, OVEN, COLD, DONE = 0.05, 0.10, 0.45, 1070.0 * 3500.0, 25.0, 110.0, 4.0, 68.0
ROAST = Cylinder(RADIUS, 2 * HALF)
TRUE = 8381.33607696  # s, `tests/unit/test_film_compiled.py` finds it by SciPy's Bessel functions
CELLS = (16, 20)  # what the peers need for 1e-3; FiPy would need 6 s steps too, and is let off with 30


def exact() -> tuple[float, series.Curves]:
    """Seconds until the core is done, and the curves."""
    when = film_compiled.film_exposure_to(ROAST, (DONE - COLD) / (OVEN - COLD), FILM / K)
    told = film_compiled.film_surface(ROAST, when * np.arange(1, 101) / 100, FILM / K, outside=OVEN, start=COLD)
    return when * STORAGE / K, told


def conduction() -> tuple[csc_matrix, Floats]:
    """Rates of change of the cells, linear in their temperatures, and what the oven adds. [1/s, K/s]"""
    nr, nz = CELLS
    dr, dz = RADIUS / nr, HALF / nz
    edges = np.arange(nr + 1) * dr
    area = (edges[1:] ** 2 - edges[:-1] ** 2) / 2
    inner = K * edges[1:-1] / dr
    out = RADIUS / (1 / FILM + dr / 2 / K)
    main = -(np.append(inner, out) + np.append(0.0, inner)) / area
    radial = diags([main, inner / area[:-1], inner / area[1:]], [0, 1, -1])
    end = 1 / (1 / FILM + dz / 2 / K) / dz
    g = np.full(nz - 1, K / dz**2)
    axial = diags([-(np.append(g, end) + np.append(0.0, g)), g, g], [0, 1, -1])
    gain = np.zeros((nr, nz))
    gain[-1, :] += out / area[-1]
    gain[:, -1] += end
    return csc_matrix((kron(radial, eye(nz)) + kron(eye(nr), axial)) / STORAGE), gain.ravel() * OVEN / STORAGE


def core(cells: Floats) -> float:
    """At the middle, from cell averages: an even parabola along each way."""
    return float(((9 * cells[0, 0] - cells[1, 0]) * 9 - (9 * cells[0, 1] - cells[1, 1])) / 64)


def by_bdf() -> float:
    """The time by SciPy's BDF with the exact sparse matrix. [s]"""
    matrix, gain = conduction()

    def done(_t: float, y: Floats) -> float:
        return core(y.reshape(CELLS)) - DONE

    done.terminal = True  # type: ignore[attr-defined]
    start = np.full(CELLS[0] * CELLS[1], COLD)
    told = solve_ivp(lambda _t, y: matrix @ y + gain, (0, 1e6), start, "BDF", jac=matrix, rtol=1e-5, atol=1e-4, events=done)
    return float(told.t_events[0][0])


def by_fipy(step: float) -> float:
    """The time by FiPy, implicit Euler. [s]"""
    import fipy as fp  # a peer that may not be there
    from fipy.solvers.scipy import LinearLUSolver

    nr, nz = CELLS
    dr, dz = RADIUS / nr, HALF / nz
    mesh = fp.CylindricalGrid2D(dr=dr, nr=nr, dz=dz, nz=nz)
    t = fp.CellVariable(mesh=mesh, value=COLD, hasOld=True)
    r, z = mesh.cellCenters.value
    side = (r > RADIUS - dr) * (RADIUS / (1 / FILM + dr / 2 / K) / ((RADIUS - dr / 2) * dr))
    wet = fp.CellVariable(mesh=mesh, value=side + (z > HALF - dz) / (1 / FILM + dz / 2 / K) / dz)
    equation = fp.TransientTerm(STORAGE) == fp.DiffusionTerm(K) + wet * OVEN - fp.ImplicitSourceTerm(wet)
    solver, now, before = LinearLUSolver(), 0.0, COLD
    while True:
        t.updateOld()
        equation.solve(t, dt=step, solver=solver)
        now += step
        here = core(np.array(t.value).reshape(nz, nr).T)
        if here >= DONE:
            return now - step + step * (DONE - before) / (here - before)
        before = here


def rows() -> Iterator[Row]:
    """The roast in closed form."""
    when, _ = exact()
    one = best(exact, 200)
    name = "roast, time to core and 100 points, exact"
    stiff = best(by_bdf)
    yield Row(
        name, one, 0.0001, "SciPy BDF {} x {}".format(*CELLS), stiff, 20,
        f"ours misses the time by {when / TRUE - 1:+.0e}, the peer by {by_bdf() / TRUE - 1:+.0e}",
    )  # fmt: skip
    try:
        slow, found = timed(by_fipy, 30.0)
        yield Row(
            name, one, 0.0001, "FiPy {} x {}, 30 s steps".format(*CELLS), slow, 10_000,
            f"the peer misses the time by {found / TRUE - 1:+.0e}",
        )  # fmt: skip
    except ImportError:
        yield Row(name, one, 0.0001, note="FiPy is not installed: no peer run")
