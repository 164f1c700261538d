"""A box in a finite bath by its closed form, beside finite volumes on the same equations; then a thousand of it.

The box is 200 x 120 x 50 mm with one dry large face, D 2.5e-10 m2/s, bath 6 % of its volume, 100 equal times in 7 days.
An error is the largest difference at any of them from the closed form with 240 terms, over the larger of that and the end.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.sparse import bmat, csc_matrix, diags, eye, kron

from benchmarks.run import Row, best
from ingle.crafts.cure import forecast, forecast_curves
from ingle.ground.things import Piece
from ingle.physics import series, series_compiled, series_table
from ingle.physics.series_product import product_bath
from ingle.physics.shapes import Box

Floats = NDArray[np.float64]
Told = tuple[Floats, ...]  # mean, core, bath over the end

BODY = Box(0.20, 0.12, 0.05, ("one-large-face",))
DIFFUSIVITY, ALPHA, WEEK = 2.5e-10, 0.06, 7 * 86400.0
TIMES = WEEK * np.arange(1, 101) / 100
WAYS = tuple(path for _, path in BODY.factors)  # thickness, half width, half length: a quarter of the box
CHEAPEST = ((36, 22, 18), 0.00035)  # of a dozen grids tried, the quickest with mean, core and bath within 1e-3
COARSE = ((20, 16, 14), 0.0004)  # the others are too slow on that one: a minute and more, and more with every cell
FEW = 24  # Chebyshev terms, far more than 1e-3 needs
MEMBERS = 1000


def error(told: Told, true: Told) -> str:
    """Worst miss of mean, core and bath."""
    missed = [float(np.max(np.abs(a - b) / np.maximum(b, 1.0))) for a, b in zip(told, true, strict=True)]
    return "mean {:.1e}, core {:.1e}, bath {:.1e}".format(*missed)


def cells(way: float, count: int, first: float) -> Floats:
    """Cell sizes from the core to the wet face, growing inwards by one factor from ``first``. [m]"""
    low, high = 1.0, 3.0
    for _ in range(60):
        growth = (low + high) / 2
        low, high = (growth, high) if first * np.sum(growth ** np.arange(count)) < way else (low, growth)
    sizes = first * low ** np.arange(count)[::-1]
    return sizes * (way / sizes.sum())


def by_numpy(counts: tuple[int, ...], first: float) -> tuple[Told, int]:
    """Explicit finite volumes in plain NumPy, steps at 95 % of what is stable; and how many steps."""
    sizes = [cells(way, count, first) for way, count in zip(WAYS, counts, strict=True)]
    shaped = [s.reshape([-1 if axis == way else 1 for axis in range(3)]) for way, s in enumerate(sizes)]
    inner = [DIFFUSIVITY / ((np.take(s, range(1, s.shape[w]), w) + np.take(s, range(s.shape[w] - 1), w)) / 2)
             for w, s in enumerate(shaped)]  # fmt: skip
    outer = [DIFFUSIVITY / (s[-1] / 2) for s in sizes]
    volume = shaped[0] * shaped[1] * shaped[2] / np.prod(WAYS)
    fastest = sum(float(np.max(np.abs(np.linalg.eigvals(one_way(s).toarray())))) for s in sizes)
    fastest += sum(o / (ALPHA * way) for o, way in zip(outer, WAYS, strict=True))  # the bath's own
    every = int(np.ceil(TIMES[0] * fastest / (2 * 0.95)))
    step = TIMES[0] / every
    c, bath = np.zeros(counts), (1 + ALPHA) / ALPHA
    change = np.empty(counts)
    flux = [np.zeros([n + 1 if axis == way else n for axis, n in enumerate(counts)]) for way in range(3)]
    cut = [[tuple(part if axis == way else slice(None) for axis in range(3)) for way in range(3)]
           for part in (slice(1, None), slice(None, -1), slice(1, -1), slice(-1, None))]  # fmt: skip
    after, before, middle, last = cut
    rates = [step / s for s in shaped]
    told: list[tuple[float, float, float]] = []
    for _ in TIMES:
        for _ in range(every):
            for w in range(3):
                np.subtract(c[after[w]], c[before[w]], out=flux[w][middle[w]])
                flux[w][middle[w]] *= inner[w]
                flux[w][last[w]] = outer[w] * (bath - c[last[w]])
            for w in range(3):
                np.subtract(flux[w][after[w]], flux[w][before[w]], out=change)
                change *= rates[w]
                c += change
            mean = float(np.einsum("ijk,ijk", volume, c))  # vdot would wake a second thread for nothing
            bath = (1 + ALPHA - mean) / ALPHA
        told.append((mean, middle_of(c, sizes), bath))
    return tuple(np.array(told).T), every * len(TIMES)


def middle_of(c: Floats, sizes: list[Floats]) -> float:
    """The value at the slowest corner, from cell averages: an even parabola along each way."""
    for s in sizes:
        at = (s[0] / 2, s[0] + s[1] / 2)
        share = at[0] ** 2 / (at[1] ** 2 - at[0] ** 2)
        c = c[0] - share * (c[1] - c[0])
    return float(c)


def one_way(sizes: Floats) -> csc_matrix:
    """Change of every cell along one way, the wet face held at 0. [1/s]"""
    g = DIFFUSIVITY / ((sizes[1:] + sizes[:-1]) / 2)
    main = -(np.append(g, DIFFUSIVITY / (sizes[-1] / 2)) + np.append(0.0, g)) / sizes
    return csc_matrix(diags([main, g / sizes[:-1], g / sizes[1:]], [0, 1, -1]))


def by_bdf(counts: tuple[int, ...], first: float) -> Told:
    """The same finite volumes by SciPy's BDF with the exact sparse matrix; the bath is the last unknown."""
    sizes = [cells(way, count, first) for way, count in zip(WAYS, counts, strict=True)]
    a, b, c = (one_way(s) for s in sizes)
    inside = kron(kron(a, eye(counts[1])), eye(counts[2])) + kron(kron(eye(counts[0]), b), eye(counts[2]))
    inside = inside + kron(kron(eye(counts[0]), eye(counts[1])), c)
    wet = -np.asarray(inside.sum(axis=1)).ravel()  # what a cell gains from the bath
    volume = np.einsum("i,j,k->ijk", *sizes).ravel() / np.prod(WAYS)
    loss = volume * wet / ALPHA
    whole = csc_matrix(bmat([[inside, wet[:, None]], [loss[None, :], np.array([[-loss.sum()]])]]))
    start = np.append(np.zeros(volume.size), (1 + ALPHA) / ALPHA)
    y = solve_ivp(lambda _t, c: whole @ c, (0, WEEK), start, "BDF", TIMES, jac=whole, rtol=1e-5, atol=1e-7).y
    return volume @ y[:-1], np.array([middle_of(now[:-1].reshape(counts), sizes) for now in y.T]), y[-1]


def by_fipy(counts: tuple[int, ...], first: float) -> Told:
    """The same finite volumes by FiPy, implicit Euler, one step to each of the times.

    A step is linear in the bath: what one bath of 1 would bring is solved once, the rest in every step.
    """
    from fipy import CellVariable, DiffusionTerm, Grid3D, TransientTerm  # a peer that may not be there

    sizes = [cells(way, count, first) for way, count in zip(WAYS, counts, strict=True)]
    mesh = Grid3D(dx=sizes[0], dy=sizes[1], dz=sizes[2])
    wet = mesh.facesRight | mesh.facesTop | mesh.facesBack
    equation = TransientTerm() == DiffusionTerm(coeff=DIFFUSIVITY)
    volume = np.asarray(mesh.cellVolumes) / np.prod(WAYS)

    def stepped(start: Floats, bath: float) -> Floats:
        c = CellVariable(mesh=mesh, value=start, hasOld=True)
        c.constrain(bath, wet)
        equation.solve(var=c, dt=float(TIMES[0]))
        return np.array(c.value)

    c = np.zeros(mesh.numberOfCells)
    brought = stepped(c, 1.0)
    told = []
    for _ in TIMES:
        alone = stepped(c, 0.0)
        bath = (1 + ALPHA - float(volume @ alone)) / (ALPHA + float(volume @ brought))
        c = alone + bath * brought
        told.append((float(volume @ c), middle_of(c.reshape(counts[::-1]).T, sizes), bath))
    return tuple(np.array(told).T)


def timed(call: Callable[..., Any], *given: object) -> tuple[float, Any]:
    """Seconds of one run and what it gave."""
    begin = time.perf_counter()
    found = call(*given)
    return time.perf_counter() - begin, found


def thousand() -> tuple[Floats, Floats]:
    """Exposures (members, times) and thickness (members,): D log-normal by 0.25, thickness spread 10 %."""
    rng = np.random.default_rng(20261203)
    d = DIFFUSIVITY * np.exp(0.25 * rng.standard_normal((MEMBERS, 1)))
    return d * TIMES, BODY.thickness * np.exp(0.10 * rng.standard_normal(MEMBERS))


def ensembles(explicit: float) -> Iterator[Row]:
    """A thousand boxes, 300 numbers each: every one by its closed form, and all from a table."""
    exposures, thickness = thousand()
    peer = "NumPy explicit x 1,000", explicit * MEMBERS
    some = slice(None, None, 50)
    alone = product_bath((("slab", thickness[some, None]), *BODY.factors[1:]), exposures[some], ALPHA, nodes=144)

    def missed(told: Told) -> str:
        return f"every fiftieth member: {error(tuple(part[some] for part in told), alone)}"

    def made() -> series_table.Table:
        return series_table.bath_table(
            BODY.factors, float(exposures.max()), ALPHA, low=float(thickness.min()), high=float(thickness.max())
        )

    factors = (("slab", thickness[:, None]), *BODY.factors[1:])
    for name, form in (("NumPy", product_bath), ("compiled", series_compiled.product_bath)):
        each = lambda form=form: form(factors, exposures, ALPHA, nodes=FEW)  # noqa: E731
        yield Row(f"the same, 1,000 members, {name}", best(each), 0.15, *peer, 5000, missed(each()))
    table = made()
    yield Row("table of it over thickness, made", best(made, 5), 0.010, note="its own miss: " + "{:.1e}, {:.1e}, {:.1e}".format(*table.missed))
    read = lambda: series_compiled.read(table, exposures, thickness)  # noqa: E731
    yield Row("1,000 members read from it", best(read, 10), 0.002, *peer, 300000, missed(read()))


def rows() -> Iterator[Row]:
    """One box, by arrays and compiled; a thousand of it, 300 numbers each; and the ready window of a box."""
    exposure = DIFFUSIVITY * TIMES
    true = product_bath(BODY.factors, exposure, ALPHA, nodes=240)

    def closed(form: Any, **terms: int) -> Callable[[], series.Curves]:
        return lambda: form.finite_bath(BODY, exposure, ALPHA, bath=(1 + ALPHA) / ALPHA, **terms)

    def reached(form: Callable[[], series.Curves]) -> str:
        found = form()
        return "error " + error((found.mean, found.core, found.surface), true)

    arrays, compiled, few = closed(series), closed(series_compiled), closed(series_compiled, nodes=FEW)
    runs = [timed(by_numpy, *CHEAPEST) for _ in range(3)]  # a busy machine is unkind to the peer too
    explicit, (found, steps) = min(runs, key=lambda run: run[0])
    peer = "NumPy explicit {} x {} x {}".format(*CHEAPEST[0]), explicit
    missed = f"peer in {steps:,} steps: {error(found, true)}"
    yield Row("box in a finite bath, 100 times, NumPy", best(arrays, 20), 0.008, *peer, 500, f"{reached(arrays)}; {missed}")
    yield Row("the same compiled, warm", best(compiled, 50), 0.0002, *peer, 5000, f"{reached(compiled)}; {missed}")
    yield Row(f"the same with {FEW} terms", best(few, 50), 0.0002, *peer, 10000, f"{reached(few)}; {missed}")
    grid = "{} x {} x {}".format(*COARSE[0])
    stiff, found = timed(by_bdf, *COARSE)
    yield Row(
        "box compiled, warm", best(few, 50), 0.0002, f"SciPy BDF sparse {grid}", stiff, 50000,
        f"{reached(few)}; peer, too coarse for 1e-3: {error(found, true)}",
    )  # fmt: skip
    try:
        slow, found = timed(by_fipy, *COARSE)
        yield Row(
            "box compiled, warm", best(few, 50), 0.0002, f"FiPy {grid}", slow, 50000,
            f"{reached(few)}; peer, too coarse for 1e-3: {error(found, true)}",
        )  # fmt: skip
    except ImportError:
        yield Row(
            "box compiled, warm", best(few, 50), 0.0002,
            note="no peer run: FiPy is not installed; .venv/bin/python -m pip install -r requirements/bench.lock",
        )  # fmt: skip
    yield from ensembles(explicit)
    piece = Piece(1000.0, 50.0, 100.0, 150.0, "box")

    def window() -> None:
        forecast_curves.study.cache_clear()
        forecast.window(piece, 0.025, 4.0)

    window()
    yield Row("cure window of a box, 512 members, in process", best(window, 5), 0.15)
