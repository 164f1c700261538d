"""Problems for the transport engine: a cure in a box, a cook in a short cylinder, a drawn belly.

Each `*_run` solves one problem once and gives what a caller compares; run this file to print times (best of
several) and errors. References are closed forms of ``series``. Nothing here is advice.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np

from ingle.physics import series, transport
from ingle.physics.shapes import Box, Cylinder
from ingle.physics.transport import Bath, Field, Result, film, run

# a box of 0.20 x 0.12 x 0.05 m with five wet faces, a quarter by symmetry, seven days
SIZE, D, RHO, WEEK = (0.10, 0.06, 0.05), 2.5e-10, 1070.0, 7 * 86400.0
BATH_SHARE = 0.06
CURE_TIMES = np.linspace(0.0, WEEK, 101)
# a cylinder of radius 0.05 and length 0.20 m in an oven, half by symmetry
RADIUS, HALF, K, RHO_CP, H, OVEN, COLD, DONE = 0.05, 0.10, 0.45, 1070.0 * 3500.0, 25.0, 110.0, 4.0, 68.0


def cure_run(
    cells: int = 36, *, steps: int | None = None, tol: float = 1e-3, varied: bool = False, method: str = "auto"
) -> Result:
    """The box in its bath; fixed steps, or adaptive ones.

    Fixed steps grow with their number, for the split march in blocks of ten equal ones, which share their matrix."""
    grid = transport.box_grid(SIZE, (cells,) * 3, wet=("right", "back", "top"), grade=20.0)
    volume = float(np.prod(SIZE))
    wet = dict.fromkeys(("right", "back", "top"), Bath(BATH_SHARE * volume, 0.030 * RHO / BATH_SHARE))
    core = transport.at_point(grid, (0.0, 0.0, 0.0), sealed=("left", "front", "bottom"))
    fixed = None if steps is None else WEEK * (np.arange(1, steps + 1) / steps) ** 2
    if fixed is not None and method == "split":
        lengths = np.cumsum(np.repeat(1.4 ** np.arange(-(-len(fixed) // 10)), 10)[: len(fixed)])
        fixed = WEEK * (lengths / lengths[-1])
    k = D * (1.0 + 0.5 * np.sin(np.arange(cells**3))).reshape(grid.shape) if varied else D
    return run(grid, Field(conductance=k), wet, CURE_TIMES, watch=[core], keep=False, tol=tol, steps=fixed,
               method=method)  # type: ignore[arg-type]


def cure_explicit(cells: int = 36, *, share: float = 0.02) -> tuple[float, int, float]:
    """Seconds of the whole week by explicit NumPy on the same cells, from a share of its steps; steps; the share."""
    grid = transport.box_grid(SIZE, (cells,) * 3, wet=("right", "back", "top"), grade=20.0)
    widths = [np.diff(e) for e in grid.edges]
    shaped = [w.reshape([-1 if way == axis else 1 for way in range(3)]) for axis, w in enumerate(widths)]
    inner = [D / ((w[1:] + w[:-1]) / 2) for w in widths]
    inner = [g.reshape([-1 if way == axis else 1 for way in range(3)]) for axis, g in enumerate(inner)]
    outer = [D / (w[-1] / 2) for w in widths]
    fastest = sum(2 * D / (w[-1] / 2) / w[-1] for w in widths)  # of a wet cell: conductances to both sides over its width
    steps = int(np.ceil(WEEK * fastest / 2 / 0.95))
    dt, some = WEEK / steps, max(1, int(share * steps))
    c, bath, volume = np.zeros((cells,) * 3), 0.030 * RHO / BATH_SHARE, grid.volume / np.prod(SIZE)
    flux = [np.zeros([cells + (way == axis) for way in range(3)]) for axis in range(3)]
    change = np.empty_like(c)
    cut = [[tuple(part if way == axis else slice(None) for way in range(3)) for axis in range(3)]
           for part in (slice(1, None), slice(None, -1), slice(1, -1), slice(-1, None))]
    after, before, middle, last = cut
    begin = time.perf_counter()
    for _ in range(some):
        for w in range(3):
            np.subtract(c[after[w]], c[before[w]], out=flux[w][middle[w]])
            flux[w][middle[w]] *= inner[w]
            flux[w][last[w]] = outer[w] * (bath - c[last[w]])
        for w in range(3):
            np.subtract(flux[w][after[w]], flux[w][before[w]], out=change)
            change *= dt / shaped[w]
            c += change
        bath = 0.030 * RHO / BATH_SHARE - float(np.einsum("ijk,ijk", volume, c)) / BATH_SHARE
    return (time.perf_counter() - begin) / some * steps, steps, some / steps


def cure_errors(result: Result) -> tuple[float, float, float]:
    """Largest error of mean, core and surface, as a share of the larger of reference and final value."""
    told = series.finite_bath(
        Box(2 * SIZE[0], 2 * SIZE[1], 2 * SIZE[2]), D * CURE_TIMES[1:], BATH_SHARE, bath=0.030 * RHO / BATH_SHARE)
    final = float(series.final_value(BATH_SHARE, 0.030 * RHO / BATH_SHARE))
    pairs = ((result.mean, told.mean), (result.watched[:, 0], told.core), (result.bath[:, 0], told.surface))
    mean, core, surface = (float(np.max(np.abs(a[1:] - b) / np.maximum(b, final))) for a, b in pairs)
    return mean, core, surface


def cook_run(cells: tuple[int, int] = (16, 20), *, tol: float = 3e-3, laws: bool = True) -> Result:
    """The cylinder from 4 to beyond 68 degrees at its core; ``laws``: k and rho cp rise with temperature."""
    grid = transport.short_cylinder_grid(RADIUS, HALF, cells, wet=(), grade=1.0)
    field = Field(
        storage=RHO_CP, conductance=K, start=COLD, law_range=(0.0, 120.0),
        conductance_law=(lambda t: 1.0 + 1e-3 * (t - 40.0)) if laws else None,
        storage_law=(lambda t: 1.0 + 5e-4 * (t - 40.0)) if laws else None,
    )
    core = transport.at_point(grid, (0.0, 0.0), sealed=("bottom",))
    oven = film(H, OVEN)
    times = np.linspace(0.0, 9000.0, 51)
    return run(grid, field, {"side": oven, "top": oven}, times, watch=[core], keep=False, tol=tol)


def cook_time(result: Result) -> float:
    """When the core reads 68 degrees, by a cubic through the four outputs around it. [s]"""
    core = result.watched[:, 0]
    at = int(np.searchsorted(core, DONE))
    around = slice(at - 2, at + 2)
    return float(np.polyval(np.polyfit(core[around] - DONE, result.times[around], 3), 0.0))


def cook_error(result: Result) -> float:
    """Relative error of the time to 68 degrees at constant properties."""
    shape = Cylinder(RADIUS, length=2 * HALF)
    told = series.film_surface(shape, K / RHO_CP * result.times, H / K, outside=OVEN, start=COLD).core
    around = slice(int(np.searchsorted(told, DONE)) - 2, int(np.searchsorted(told, DONE)) + 2)
    right = float(np.polyval(np.polyfit(told[around] - DONE, result.times[around], 3), 0.0))
    return cook_time(result) / right - 1.0


def belly_run(cells: tuple[int, int] = (96, 48), *, tol: float = 1e-3) -> Result:
    """A belly of 200 x 50 mm with bands of fat and lean under a rind, cured from three sides for a week."""
    x, y = np.meshgrid(np.arange(cells[0]) / cells[0], np.arange(cells[1]) / cells[1], indexing="ij")
    fat = np.sin(12.0 * y + 2.0 * np.sin(5.0 * x)) > 0.3
    water = np.where(fat, 100.0, 760.0)
    k = np.where(fat, 0.3, 1.0) * water * 3e-10
    grid = transport.plane_grid((0.20, 0.05), cells)
    bath = Bath(0.05 * float((water * grid.volume[0]).sum()), 0.3)
    wet = dict.fromkeys(("front", "back", "top"), bath)
    return run(grid, Field(storage=water, conductance=k), wet, [0.0, WEEK], tol=tol, keep=False)


def slab_run(cells: int, *, steps: int = 200) -> Result:
    """One line of cells in a bath: how cost grows with cells and steps."""
    grid = transport.slab_grid(0.05, cells, wet=("right",), grade=30.0)
    fixed = WEEK * (np.arange(1, steps + 1) / steps) ** 2
    return run(grid, Field(conductance=D), {"right": Bath(0.003, 1.0)}, [0.0, WEEK], steps=fixed, keep=False)


def best_of(act: Callable[[], object], times: int) -> float:
    """Shortest of several runs. [s]"""
    act()
    took = []
    for _ in range(times):
        began = time.perf_counter()
        act()
        took.append(time.perf_counter() - began)
    return min(took)


def slope(sizes: list[int], seconds: list[float]) -> float:
    """Growth of cost: 1 means twice the size takes twice the time."""
    return float(np.polyfit(np.log(sizes), np.log(seconds), 1)[0])


if __name__ == "__main__":
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    began = time.perf_counter()
    slab_run(20, steps=3)
    print(f"first run in this process {time.perf_counter() - began:.2f} s")
    for name, act in (
        ("cure 36^3, 200 steps", lambda: cure_run(steps=200)),
        ("cure 36^3, 200 steps, uneven D", lambda: cure_run(steps=200, varied=True)),
        ("cure 36^3, adaptive", cure_run),
        ("cook 16x20, laws", cook_run),
        ("cook 16x20, constant", lambda: cook_run(laws=False)),
        ("belly 96x48, adaptive", belly_run),
    ):
        print(f"{name:32s} {1e3 * best_of(act, many):9.2f} ms  {act().steps}")
    print("cure errors, mean core surface, 200 steps", *(f"{e:.1e}" for e in cure_errors(cure_run(steps=200))))
    print("cure errors, mean core surface, adaptive", *(f"{e:.1e}" for e in cure_errors(cure_run())))
    print(f"cook error in time {cook_error(cook_run(laws=False)):+.1e}")
    sizes = [400, 800, 1600, 3200]
    print(f"cost over cells, slope {slope(sizes, [best_of(lambda n=n: slab_run(n), many) for n in sizes]):.2f}")
    print(f"cost over steps, slope "
          f"{slope(sizes, [best_of(lambda n=n: slab_run(400, steps=n), many) for n in sizes]):.2f}")
