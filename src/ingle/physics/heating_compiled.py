"""Time until a core is met, compiled: for programs that ask often of one body with properties that change.

The method, steps and numbers of `heating.run` (to 1e-6 s, `tests/unit/test_heating_compiled.py`), for a short cylinder behind plain
films; a step that melts through ice it takes in one where `heating.run` takes halves (1e-3 of the time). The first call in a process loads the compiled code, half a second; one cook in a new process is sooner told by
``heating``. Without Numba every call goes there.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics import heating, heating_kernels
from ingle.physics.heating import FIRST_STEP, GROWTH, SHRINK, SURPRISE, Body, Matter
from ingle.physics.heating_step import slowest

Floats = NDArray[np.float64]

_MOST_STEPS = 2000


def time_to_core(
    body: Body, matter: Matter, start: float, films: tuple[float, float], air: float, core: float, end: float = 2e5
) -> tuple[float, Floats, Floats]:  # fmt: skip
    """When the core of one body of two axes meets a temperature.

    Parameters
    ----------
    body : Body
        Of one member, two axes, from `heating.cylinder` with a length.
    films : (float, float)
        Along the first and the second axis. [W/m2K]
    start, air, core : float
        [K]
    end : float
        Latest time. [s]

    Returns
    -------
    time, times, cores
        Seconds, infinite when not by ``end``; and the steps on the way, shape (steps + 1,). [s], [K]

    Raises
    ------
    OutOfRange
        A body of another kind; temperatures outside the tables of ``matter``.
    """
    if len(body.axes) != 2 or body.members != 1 or any(a.low for a in body.axes):
        raise OutOfRange(
            f"A body of {len(body.axes)} axes and {body.members} members.", field="body", value=len(body.axes), limit="two axes, one member",
            remedy="Use heating.run.",
        )  # fmt: skip
    if not all(matter.low <= t <= matter.high for t in (start, air)):
        raise OutOfRange(
            f"Start {start:g} K or air {air:g} K is outside the properties that are known.", field="temperature", value=(start, air),
            limit=(matter.low, matter.high), remedy="Give a wider table.",
        )  # fmt: skip
    if not heating_kernels.COMPILED:
        return _by_numpy(body, matter, start, films, air, core, end)
    shape = body.shape[:2]
    t = np.full(shape, start)
    table = matter.enthalpy[0]
    scale = 1.0 / matter.step
    h = np.full(shape, float(np.interp(start, matter.low + matter.step * np.arange(table.size), table)))
    axes, weights = [], []
    for axis in body.axes:
        axes += [np.diff(axis.edges) / 2.0, axis.area, axis.volume, float(axis.length[0])]
        x = axis.middles
        weights.append(x[1] ** 2 / (x[1] ** 2 - x[0] ** 2))
    turned = shape[::-1]
    work = (*(np.zeros(shape) for _ in range(8)), *(np.zeros(turned) for _ in range(7)), np.zeros(shape[1]), np.zeros(shape[0]), np.zeros(shape))
    out = np.empty((_MOST_STEPS, 2))
    count = heating_kernels.march(
        t, h, tuple(axes), (float(films[0]), float(films[1])), float(air), (matter.low, scale, matter.conductivity[0], table),
        (weights[0], weights[1]), float(core), float(end), slowest(body, matter, np.full(body.shape, start)),
        (FIRST_STEP, GROWTH, SHRINK, SURPRISE), work, tuple(np.empty(shape) for _ in range(3)), out,
    )  # fmt: skip
    if count < 0:
        return math.inf, out[:0, 0], out[:0, 1]
    return float(out[count, 0]), out[: count + 1, 0], out[: count + 1, 1]


def _by_numpy(
    body: Body, matter: Matter, start: float, films: tuple[float, float], air: float, core: float, end: float
) -> tuple[float, Floats, Floats]:  # fmt: skip
    by_face = {axis.high: film for axis, film in zip(body.axes, films, strict=True)}

    def outside(face: str, surface: Floats, time: float, lost: Floats) -> heating.Flux:  # noqa: ARG001
        return heating.Flux(by_face[face] * (air - surface), np.full(surface.shape, by_face[face]))

    course = heating.run(body, matter, heating.begin(body, matter, start), outside, end, until=core)
    return (math.inf if course.reached is None else course.reached), course.times, course.core[:, 0]
