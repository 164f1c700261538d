"""What is told of a heated body at each time: core, mean, surface, a probe, heat and water."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.physics.heating_body import Axis, Body
from ingle.physics.heating_matter import Reader
from ingle.physics.heating_step import State, faces

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Course:
    """Temperatures along time; T times, M members."""

    times: Floats  # (T,) [s]
    core: Floats  # (T, M) [K] the middle, or the place asked for between two unlike faces
    mean: Floats  # (T, M) [K] over the volume
    surface: Floats  # (T, M) [K] middle of the last face of the first axis
    probe: Floats  # (T, M) [K] at the place asked for; NaN where none was
    heat: Floats  # (T, M) through the faces since the start of this march [J]
    stored: Floats  # (T, M) enthalpy gained since then [J]
    lost: Floats  # (T, M) water given off since the state began [kg]
    state: State
    steps: int
    reached: float | None = None  # time at which the core met ``until`` [s]


def at_place(axis: Axis, line: Floats, place: float) -> Floats:
    """Value of a line (n, ...) at a place 0 to 1 of its axis, by the parabola through the nearest cells.

    At a plane of symmetry the parabola is even.
    """
    x = axis.middles
    if not axis.low and place <= x[0]:
        a = (x[1] ** 2 - place**2) / (x[1] ** 2 - x[0] ** 2)
        return np.asarray(a * line[0] + (1.0 - a) * line[1])
    i = int(np.clip(np.searchsorted(x, place), 1, x.size - 2))
    x0, x1, x2 = x[i - 1 : i + 2]
    w0 = (place - x1) * (place - x2) / ((x0 - x1) * (x0 - x2))
    w1 = (place - x0) * (place - x2) / ((x1 - x0) * (x1 - x2))
    w2 = (place - x0) * (place - x1) / ((x2 - x0) * (x2 - x1))
    return np.asarray(w0 * line[i - 1] + w1 * line[i] + w2 * line[i + 1])


def centre_line(body: Body, values: Floats) -> Floats:
    """The first axis' line through the middle of all others; (cells..., M) to (n, M)."""
    told = values
    for axis in reversed(body.axes[1:]):
        told = np.moveaxis(at_place(axis, np.moveaxis(told, -2, 0), 0.0), -1, -1)
    return told


def core_of(body: Body, values: Floats, place: float) -> Floats:
    """Value at a place of the first axis, in the middle of the others; (M,)."""
    return at_place(body.axes[0], centre_line(body, values), place)


def surface_of(body: Body, surface: dict[str, Floats]) -> Floats:
    """Middle of the last face of the first axis; (M,)."""
    told = surface[body.axes[0].high]
    for axis in reversed(body.axes[1:]):
        told = at_place(axis, np.moveaxis(told, -2, 0), 0.0)
    return told


def lagging_place(body: Body, values: Floats, member: int = 0) -> float:
    """Place of the first axis that is coldest when the faces are warmer, else warmest: 0.0 at a plane of symmetry."""
    axis = body.axes[0]
    if not (axis.low and axis.high):
        return 0.0
    line = centre_line(body, values)[:, member]
    heating = line[[0, -1]].mean() > line.mean()
    x = axis.middles
    fine = np.linspace(x[0], x[-1], 401)
    between = np.array([at_place(axis, line, p) for p in fine])
    return float(fine[int(between.argmin() if heating else between.argmax())])


class Telling:
    """Gathers a course step by step."""

    def __init__(self, body: Body, reader: Reader, state: State, place: float, probe: float | None) -> None:
        self.body, self.reader, self.place, self.probe = body, reader, place, probe
        self.areas = {f.name: body.face_area(f.along, 0 if f.end == 0 else f.axis.cells) for f in faces(body)}
        self.begun = body.mean(state.enthalpy) * body.volume
        self.given = np.zeros(body.members)
        self.rows: list[tuple[float, Floats, Floats, Floats, Floats, Floats, Floats, Floats]] = []
        self.add(state, self.given, core_of(body, state.temperature, place))

    @property
    def core(self) -> Floats:
        """The last core; (M,)."""
        return self.rows[-1][1]

    def add(self, now: State, gained: Floats, core: Floats) -> None:
        """One more time."""
        body = self.body
        self.given = self.given + gained
        lost = np.zeros(body.members)
        for name, per_area in now.lost.items():
            lost = lost + (per_area * self.areas[name]).reshape(-1, body.members).sum(axis=0)
        probe = np.full(body.members, np.nan) if self.probe is None else core_of(body, now.temperature, self.probe)
        self.rows.append((
            now.time, core, body.mean(now.temperature), surface_of(body, now.surface), probe, self.given,
            body.mean(now.enthalpy) * body.volume - self.begun, lost,
        ))  # fmt: skip

    def course(self, state: State, steps: int, reached: float | None) -> Course:
        """All of it."""
        times, core, mean, surface, probe, heat, stored, lost = (np.array(c) for c in zip(*self.rows, strict=True))
        return Course(times, core, mean, surface, probe, heat, stored, lost, state, steps, reached)
