"""A roast by its closed form, and by the march, beside finite volumes on the same equations by general solvers.

A cylinder 100 x 200 mm, k 0.45 W/mK, rho cp 1070 x 3500 J/m3K, film 25 W/m2K, from 4 degC in air of 110 degC until its core has
68 degC, and a hundred points of mean, core and face on the way. The peers stop at 68 degC; an error is that of the time,
from the roots of 30 x 30 modes found by SciPy.
"""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.sparse import csc_matrix, diags, eye, kron

from benchmarks.run import Row, best
from benchmarks.series import timed
from benchmarks.start import INGLE
from ingle.crafts.heat.forecast import forecast
from ingle.crafts.heat.joint import Joint
from ingle.crafts.heat.stage import Stage
from ingle.ground.units import ZERO_CELSIUS_K
from ingle.physics import film_compiled, heating, heating_compiled, series, transport
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


def core_is_done(cells: tuple[int, int]) -> Callable[[float, Floats], float]:
    """An event that ends SciPy's march."""

    def done(_t: float, y: Floats) -> float:
        return core(y.reshape(cells)) - DONE

    done.terminal = True  # type: ignore[attr-defined]
    return done


def by_bdf() -> float:
    """The time by SciPy's BDF with the exact sparse matrix. [s]"""
    matrix, gain = conduction()
    start = np.full(CELLS[0] * CELLS[1], COLD)
    told = solve_ivp(lambda _t, y: matrix @ y + gain, (0, 1e6), start, "BDF", jac=matrix, rtol=1e-5, atol=1e-4, events=core_is_done(CELLS))
    return float(told.t_events[0][0])


def by_fipy(step: float, *, climbing: bool = False) -> float:
    """The time by FiPy, implicit Euler; properties that climb are those of the step before. [s]"""
    import fipy as fp  # a peer that may not be there
    from fipy.solvers.scipy import LinearLUSolver

    nr, nz = CELLS
    dr, dz = RADIUS / nr, HALF / nz
    mesh = fp.CylindricalGrid2D(dr=dr, nr=nr, dz=dz, nz=nz)
    t = fp.CellVariable(mesh=mesh, value=COLD, hasOld=True)
    r, z = mesh.cellCenters.value
    side = (r > RADIUS - dr) * (RADIUS / (1 / FILM + dr / 2 / K) / ((RADIUS - dr / 2) * dr))
    wet = fp.CellVariable(mesh=mesh, value=side + (z > HALF - dz) / (1 / FILM + dz / 2 / K) / dz)
    k, storage = (K * (1 + SOFTER * (t - AT)), STORAGE * (1 + FULLER * (t - AT))) if climbing else (K, STORAGE)
    equation = fp.TransientTerm(storage) == fp.DiffusionTerm(k) + wet * OVEN - fp.ImplicitSourceTerm(wet)
    solver, now, before = LinearLUSolver(), 0.0, COLD
    while True:
        t.updateOld()
        equation.solve(t, dt=step, solver=solver)
        now += step
        here = core(np.array(t.value).reshape(nz, nr).T)
        if here >= DONE:
            return now - step + step * (DONE - before) / (here - before)
        before = here


# The roast with properties that climb: k by 1e-3 and rho cp by 5e-4 per K from 40 degC on, as in the cost of real ones.
SOFTER, FULLER, AT = 1e-3, 5e-4, 40.0


def climbing() -> heating.Matter:
    """Tables of the roast's properties."""
    t = np.arange(-10.0, 120.1, 1.0)
    heat = STORAGE * ((t + 10.0) + FULLER / 2 * ((t - AT) ** 2 - (-10.0 - AT) ** 2))
    return heating.tabled(t + ZERO_CELSIUS_K, K * (1 + SOFTER * (t - AT)), heat)


def marched(cells: tuple[int, int] = (16, 12)) -> float:
    """The time by the compiled march. [s]"""
    body = heating.cylinder(2 * RADIUS, 2 * HALF, cells=cells)
    return heating_compiled.time_to_core(body, climbing(), COLD + ZERO_CELSIUS_K, (FILM, FILM), OVEN + ZERO_CELSIUS_K, DONE + ZERO_CELSIUS_K)[0]


def by_bdf_climbing(cells: tuple[int, int] = CELLS) -> float:
    """The time by SciPy's BDF, with the pattern of its matrix. [s]"""
    nr, nz = cells
    dr, dz = RADIUS / nr, HALF / nz
    edges = np.arange(nr + 1) * dr
    area = ((edges[1:] ** 2 - edges[:-1] ** 2) / 2)[:, None]

    def rate(_t: float, y: Floats) -> Floats:
        t = y.reshape(cells)
        k = K * (1 + SOFTER * (t - AT))
        flow_r = edges[1:-1, None] * 2 / (dr / k[:-1] + dr / k[1:]) * (t[1:] - t[:-1])
        flow_z = 2 / (dz / k[:, :-1] + dz / k[:, 1:]) * (t[:, 1:] - t[:, :-1])
        told = np.zeros_like(t)
        told[:-1] += flow_r / area[:-1]
        told[1:] -= flow_r / area[1:]
        told[-1] += RADIUS * (OVEN - t[-1]) / (1 / FILM + dr / 2 / k[-1]) / area[-1]
        told[:, :-1] += flow_z / dz
        told[:, 1:] -= flow_z / dz
        told[:, -1] += (OVEN - t[:, -1]) / (1 / FILM + dz / 2 / k[:, -1]) / dz
        return np.asarray((told / (STORAGE * (1 + FULLER * (t - AT)))).ravel())

    pattern = diags([1.0, 1.0, 1.0], [0, 1, -1], shape=(nr, nr))
    sparsity = kron(pattern, eye(nz)) + kron(eye(nr), diags([1.0, 1.0, 1.0], [0, 1, -1], shape=(nz, nz)))
    told = solve_ivp(rate, (0, 1e6), np.full(nr * nz, COLD), "BDF", jac_sparsity=sparsity, rtol=1e-5, atol=1e-4, events=core_is_done(cells))
    return float(told.t_events[0][0])


def by_engine() -> float:
    """The time by the transport engine with laws. [s]"""
    grid = transport.short_cylinder_grid(RADIUS, HALF, CELLS, wet=("side", "top"))
    field = transport.Field(
        storage=STORAGE, conductance=K, start=COLD, conductance_law=lambda t: 1 + SOFTER * (t - AT),
        storage_law=lambda t: 1 + FULLER * (t - AT), law_range=(0.0, 120.0),
    )  # fmt: skip
    times = np.linspace(0.0, 9000.0, 61)
    faces = {side: transport.film(FILM, OVEN) for side in ("side", "top")}
    found = transport.run(grid, field, faces, times, watch=[transport.at_point(grid, (0.0, 0.0))], keep=False, tol=1e-3, scale=1.0)
    return float(np.interp(DONE, found.watched[:, 0], times))


def climbing_rows() -> Iterator[Row]:
    """The roast with properties that change."""
    true = marched((64, 48))
    one = best(marched, 50)
    name = "roast, properties that climb, time to core"
    stiff, found = timed(by_bdf_climbing)
    yield Row(
        name, one, 0.0006, "SciPy BDF {} x {}".format(*CELLS), stiff, 20,
        f"ours misses 64 x 48 cells by {marched() / true - 1:+.0e}, the peer by {found / true - 1:+.0e}",
    )  # fmt: skip
    yield Row(name, one, 0.0006, "the transport engine", best(by_engine))
    try:
        slow, late = timed(lambda: by_fipy(15.0, climbing=True))  # at 30 s it misses ten times what ours does
        yield Row(
            name, one, 0.0006, "FiPy {} x {}, 15 s steps".format(*CELLS), slow, 10_000,
            f"the peer misses by {late / true - 1:+.0e}",
        )  # fmt: skip
    except ImportError:
        yield Row(name, one, 0.0006, note="FiPy is not installed: no peer run")


def judged(*words: str) -> float:
    """Shortest of five new processes; 3 says that some rule is not met, which is an answer. [s]"""

    def once() -> None:
        done = subprocess.run(words, capture_output=True, check=False)
        if done.returncode not in (0, 3):
            raise RuntimeError(done.stderr.decode())

    return best(once, 5)


def cook_rows() -> Iterator[Row]:
    """A cook in words, with its bands; and the commands from cold."""
    joint, oven = Joint("collar", "box", 1300.0, 70.0), [Stage("oven", 160.0, until_c=71.0, fan=True)]
    yield Row("a cook with bands, 256 members, box", best(lambda: forecast(joint, oven, 4.0)), 1.0)
    exact_words = ("cook", "--shape", "cylinder", "--diameter", "100mm", "--length", "200mm", "--oven", "110C", "--start", "4C", "--core", "68C",
                   "--h", "25", "--conductivity", "0.45", "--density", "1070", "--specific-heat", "3500", "--json")  # fmt: skip
    yield Row("ingle cook by physical numbers, cold", judged(INGLE, *exact_words), 0.4)
    words = ("cook", "--part", "collar", "--weight", "1.3kg", "--thickness", "70mm", "--oven", "160C", "--fan", "--core", "71C", "--json")
    yield Row("ingle cook in a cook's words, 256 members, cold", judged(INGLE, *words), 1.0, goal=True)


def rows() -> Iterator[Row]:
    """The roast in closed form, then by the march, then a cook."""
    yield from exact_rows()
    yield from climbing_rows()
    yield from cook_rows()


def exact_rows() -> Iterator[Row]:
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
