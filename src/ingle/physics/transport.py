"""The transport engine: one solver for every substance and for heat. The public door.

In every cell of a body

    d(content)/dt = - div(flow) - loss x content + source
    content = storage x potential        flow = - conductance x grad(potential)

====================  ==========================  ==========================================
                      salt, nitrite, sugar        heat
====================  ==========================  ==========================================
potential c           kg per kg water             temperature [K or deg C]
storage               rho w [kg water/m3]         rho cp [J/m3K]
conductance           rho w D [kg/m s]            k [W/m K]
bath                  water [kg], dry salt [kg]   a pot of water [J/K]
====================  ==========================  ==========================================

so that salt per water evens out, not salt: lean, fat and rind differ in storage and conductance, and what
stands between two cells is the harmonic mean of theirs. Storage 1 and conductance D [m2/s] give the plain
diffusion equation.

    grid = slab_grid(0.04, 60, wet=("left",), grade=20.0)
    bath = Bath(water=0.0024, start=0.30)
    result = run(grid, Field(storage=1.0, conductance=3.0e-10), {"left": bath}, times=[0.0, 86400.0])
    result.mean[-1], result.bath[-1, 0]

A history is a chain of runs: ``run(grid, field, {}, later, state=result.state)`` lets the piece rest sealed;
other faces drain, rinse, soak, dry or fill a new bath. `resume` hands the same bath on.

Cells are finite volumes: every content is moved, never made, so body + baths + lost - made stays equal to 1e-10 of the
total. Errors fall with the square of cell width and of step length. Steps follow ``tol``.

An even tissue in a box, a rectangle or a short cylinder is told by its modes (``transport_modes``), in plain NumPy and
at once. Uneven bodies of three axes are marched one axis after the other (``transport_split``), all else with all axes
at once (``transport_march``, ``transport_solve``), by kernels that Numba compiles when it is installed: the first call
ever for some 25 s, the first call in later processes loads for about a second, and without Numba the same lines run as
plain Python.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics.transport_faces import Bath, Held, Outside, Record, compile_faces, film, reservoirs
from ingle.physics.transport_field import Field, Rates, compile_clock, compile_tissue
from ingle.physics.transport_grid import (
    Grid,
    box_grid,
    cell_edges,
    cylinder_grid,
    plane_grid,
    short_cylinder_grid,
    slab_grid,
    sphere_grid,
)
from ingle.physics.transport_modes import march_modes, suits
from ingle.physics.transport_probe import at_point, compile_watch
from ingle.physics.transport_shapes import Mesh, Out, Plan, Tissue

__all__ = [
    "Bath",
    "Field",
    "Grid",
    "Held",
    "Rates",
    "Record",
    "Result",
    "State",
    "Steps",
    "at_point",
    "box_grid",
    "cell_edges",
    "cylinder_grid",
    "film",
    "plane_grid",
    "resume",
    "run",
    "run_each",
    "short_cylinder_grid",
    "slab_grid",
    "sphere_grid",
]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class State:
    """Where a run ended: enough to go on from."""

    time: float  # [s]
    values: Floats  # potential in each cell
    contents: tuple[float, ...]  # of the reservoirs, in the order of the faces
    step: float  # length of step that would have come next [s]


@dataclass(frozen=True)
class Steps:
    """What the run cost; counts do not depend on how busy the machine is."""

    taken: int
    refused: int
    euler: int  # steps that fell back to implicit Euler to keep the maximum principle
    turns: int  # of the linear solver
    assembled: int


@dataclass(frozen=True)
class Result:
    """A run at its output times.

    Contents are in storage unit x volume, per square metre for a slab, per metre for a cylinder or
    a cross-section.
    """

    times: Floats  # (T,) [s]
    values: Floats | None  # (T, *grid.shape) potentials; None when not kept
    mean: Floats  # (T,) body content / body capacity at the start's storage
    body: Floats  # (T,) content of the body
    bath: Floats  # (T, reservoirs) potential of each; NaN where it is held
    dry: Floats  # (T, reservoirs) undissolved content
    given: Floats  # (T, reservoirs) content that left each for the body since the start
    lost: Floats  # (T,) content lost by first-order loss since the start
    made: Floats  # (T,) content made by sources since the start
    watched: Floats  # (T, watches)
    state: State
    steps: Steps


def run(
    grid: Grid,
    field: Field,
    faces: Mapping[str, Outside],
    times: ArrayLike,
    *,
    rates: Rates | None = None,
    state: State | None = None,
    watch: Sequence[Mapping[int, float]] = (),
    keep: bool = True,
    tol: float = 1e-4,
    scale: float | None = None,
    steps: ArrayLike | None = None,
    method: Literal["auto", "march", "split"] = "auto",
) -> Result:
    """March one field along a stage.

    Parameters
    ----------
    grid : Grid
        From `slab_grid`, `cylinder_grid`, `sphere_grid`, `box_grid`, `plane_grid`, `short_cylinder_grid`.
    field : Field
        What the cells hold and let through.
    faces : mapping of side name to Held or Bath
        What stands outside; sides that are not named are sealed.
    times : array_like, shape (T,)
        Output times; the first is the start. [s]
    rates : Rates
        Factors on conductance and loss along time, for a temperature record.
    state : State
        Start from here instead of ``field.start``. Contents of baths come from ``faces``: see `resume`.
    watch : sequence of {cell number: weight}
        Values to follow at every output time, such as `at_point` gives.
    keep : bool
        Keep all values at all output times. False saves room and time in three dimensions.
    tol : float
        Error target as a share of ``scale``. Each step's estimated error in every cell and bath stays
        below a third of it.
    scale : float
        Potential difference that counts as 1; left out: the widest between start and outside.
    steps : array_like
        Ends of fixed steps instead of adaptive ones, the last at times[-1]. [s] No error control.
    method : {"auto", "march", "split"}
        "auto" takes an even tissue in a box, a rectangle or a short cylinder by its modes (``transport_modes``), an
        uneven one of three axes by the split march unless its steps are given, and all else by the march. "march" and
        "split" take everything their way; "split" needs three axes and storage that does not follow the state.

    Returns
    -------
    Result

    Raises
    ------
    OutOfRange
        Times that do not rise, arrays that do not fit the grid, values below zero where none can be.
    """

    told = _rising(times)
    begin = field.start if state is None else state.values
    tissue = compile_tissue(grid, field, begin)
    rim, pools = compile_faces(grid, faces)
    outside = reservoirs(faces)
    span = _span(grid, tissue.start, outside) if scale is None else scale
    plan = Plan(
        told,
        np.array(sorted({*_jumps(outside, told), told[-1]})),
        np.empty(0) if steps is None else _rising(steps),
        0.3 * tol * span,
        (1e-9 if len(grid.shape) == 1 else 0.03 * tol) * span,
        0.02 * tol * span,
        _first_step(tissue, rim, told[-1] - told[0]) if state is None else state.step,
    )
    sparse, clock = compile_watch(watch), compile_clock(rates)
    out = Out(
        np.zeros((told.size if keep else 0, grid.volume.size)), np.zeros((told.size, len(outside))),
        np.zeros((told.size, 3)), np.zeros((told.size, len(watch))), np.zeros(8), np.zeros(5, np.int64),
    )
    if told.size > 1 and method == "auto" and suits(grid, tissue, outside, clock):
        last, step = march_modes(grid, tissue, rim, outside[0], clock, sparse, plan, out)
        return _result(grid, field, told, outside, out, last, step)
    # here, not above: these load the compiler, a quarter second that only a march needs
    from ingle.physics.transport_kernels import workspace
    from ingle.physics.transport_march import march
    from ingle.physics.transport_stage import standing

    now = standing(tissue, pools)
    work = workspace(grid.volume.shape, rim.cell.size, len(outside))
    mesh = Mesh(*grid.area, *grid.halves)
    if method == "split" and not splits(grid, tissue):
        raise OutOfRange(
            f"A grid of {grid.shape} cells{' with a storage law' if tissue.content_law.size else ''} can't be marched axis by axis.",
            field="method", value=method, limit="three axes, no storage law", remedy="Leave the method to the engine.",
        )
    if told.size > 1 and (method == "split" or (method == "auto" and steps is None and splits(grid, tissue))):
        from ingle.physics.transport_axes import axes_room
        from ingle.physics.transport_split import march_split

        room, ordered = axes_room(grid.volume.size, len(outside), rim)
        step = march_split(mesh, ordered, pools, tissue, clock, sparse, plan, work, room, now, out)
    elif told.size > 1:
        step = march(mesh, rim, pools, tissue, clock, sparse, plan, work, now, out)
    return _result(grid, field, told, outside, out, now.c, step)


def run_each(
    grid: Grid, fields: Mapping[str, Field], faces: Mapping[str, Mapping[str, Outside]], times: ArrayLike,
    *, rates: Mapping[str, Rates] | None = None, **more: object,
) -> dict[str, Result]:
    """Several solutes in one body, each with its own field, faces and rates; keyword arguments as in `run`."""
    return {
        name: run(grid, field, faces[name], times, rates=(rates or {}).get(name), **more)  # type: ignore[arg-type]
        for name, field in fields.items()
    }


def resume(faces: Mapping[str, Outside], state: State) -> dict[str, Outside]:
    """The same faces with their baths as the run left them; held ones and shared baths stay as they are."""
    now: dict[int, Outside] = {
        id(pool): pool.holding(content) if isinstance(pool, Bath) else pool
        for pool, content in zip(reservoirs(faces), state.contents, strict=True)
    }
    return {side: now[id(pool)] for side, pool in faces.items()}


def splits(grid: Grid, tissue: Tissue) -> bool:
    """Whether a body is marched axis by axis: three of them, and storage that does not follow the state."""
    return min(grid.volume.shape) > 1 and not tissue.content_law.size


def _result(grid, field, times, outside, out, last, step) -> Result:  # type: ignore[no-untyped-def]
    """Contents of the reservoirs parted into dissolved and dry; arrays in the body's own shape."""
    values, contents, accounts, watched, _, counts = out
    bath, dry = np.full(contents.shape, np.nan), np.zeros(contents.shape)
    for p, pool in enumerate(outside):
        if isinstance(pool, Bath):
            most = np.inf if pool.saturated is None else pool.saturated * pool.water
            dry[:, p] = np.maximum(contents[:, p] - most, 0.0)
            bath[:, p] = (contents[:, p] - dry[:, p]) / pool.water
    capacity = float((grid.volume * grid.full(field.storage)).sum())
    if not np.isfinite(accounts).all():
        raise OutOfRange("The run ended in values that are not numbers.", field="field",
                         remedy="Look for a start, law or record that leaves the numbers.")
    return Result(
        times, values.reshape(-1, *grid.shape) if values.size else None, accounts[:, 0] / capacity, accounts[:, 0],
        bath, dry, contents[0] - contents, accounts[:, 1], accounts[:, 2], watched,
        State(float(times[-1]), last.reshape(grid.shape), tuple(map(float, contents[-1])), float(step)),
        Steps(*map(int, counts)),
    )


def _rising(times: ArrayLike) -> Floats:
    """Times that rise from one to the next."""
    told = np.atleast_1d(np.asarray(times, dtype=float))
    if told.ndim != 1 or told.size < 1 or not np.isfinite(told).all() or (np.diff(told) <= 0.0).any():
        raise OutOfRange(
            "The times do not rise from one to the next.", field="times", remedy="Give times in order, in seconds.",
        )
    return told


def _jumps(outside: Sequence[Outside], times: Floats) -> list[float]:
    """Times inside the run at which a held value jumps."""
    found: list[float] = []
    for pool in outside:
        if isinstance(pool, Held) and isinstance(pool.value, Record):
            at = np.asarray(pool.value.times)
            found += [float(t) for t in at[1:][np.diff(at) == 0.0] if times[0] < t < times[-1]]
    return found


def _span(grid: Grid, start: Floats, outside: Sequence[Outside]) -> float:
    """Widest difference between potentials at the start and outside; where there is none, the largest."""
    values = [start[grid.inside]]
    for pool in outside:
        if isinstance(pool, Bath):
            values.append(np.array([pool.start]))
        else:
            values.append(np.atleast_1d(pool.value.values if isinstance(pool.value, Record) else pool.value))
    every = np.concatenate([np.ravel(v) for v in values])
    widest = float(every.max() - every.min())
    return widest or float(np.abs(every).max()) or 1.0


def _first_step(tissue, rim, length: float) -> float:  # type: ignore[no-untyped-def]
    """A tenth of the time in which a cell behind a wet face follows it, and never more than a twentieth of the run."""
    if rim.cell.size == 0:
        return length / 200.0
    through = rim.area * tissue.conductance.ravel()[rim.cell] / rim.half
    lets = through > 0.0  # a wet face of a shut cell passes nothing
    if not lets.any():
        return length / 200.0
    quick = float((tissue.storage.ravel()[rim.cell][lets] / through[lets]).min())
    return min(0.1 * quick, length / 20.0)


