"""One step of the heating march, and the state it moves on: conduction by axes, films by their laws."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics.heating_body import Axis, Body
from ingle.physics.heating_matter import Matter, Reader
from ingle.physics.heating_sweep import GAMMA, Film, Lines

Floats = NDArray[np.float64]
_TURNS = 4  # towards the temperature of a face after a jump,
_MOST_TURN = 25.0  # each by no more [K]: laws of vapour are steep
_FOLLOWS = 4.0  # a face that moves by less in half a step is told ahead from the step before [K]
_MELTS, _AGREES, _MOST_HALVES = 4, 0.1, 8  # turns towards the capacity of a step that freezes or melts, until both temperatures agree [K]
_LEAST_SLOPE = 1e-9  # [W/m2K]: a face that does not answer to its own temperature
_FADE = {"slab": math.pi / 2.0, "cylinder": 2.404825557695773, "sphere": math.pi}  # first roots with faces held


@dataclass(frozen=True)
class Flux:
    """What a face takes in at a surface temperature."""

    heat: Floats  # into the body [W/m2]
    slope: Floats  # its fall with the surface temperature, at least 0 [W/m2K]
    vapour: Floats | float = 0.0  # water leaving [kg/m2s]
    vapour_slope: Floats | float = 0.0  # its rise with the surface temperature [kg/m2sK]


class Outside(Protocol):
    """The law of a face, asked by its name; arrays are (other cells..., M).

    ``surface`` [K], ``time`` [s], ``lost``: water given off there so far [kg/m2].
    """

    def __call__(self, face: str, surface: Floats, time: float, lost: Floats) -> Flux: ...


@dataclass(frozen=True)
class State:
    """Where a march stands: enough to go on from."""

    time: float  # [s]
    temperature: Floats  # (cells..., M) [K]
    enthalpy: Floats  # (cells..., M) [J/m3]
    surface: dict[str, Floats]  # per face (other cells..., M) [K]
    lost: dict[str, Floats]  # water given off per face [kg/m2]
    rate: Floats | None = None  # of temperature in the last step [K/s]; None after a jump of the outside
    surface_rate: dict[str, Floats] | None = None  # as ``rate``
    lost_rate: dict[str, Floats] | None = None  # [kg/m2s]
    surprise: float = 0.0  # root mean square of what the last step did beyond the rate of the one before it [K]


class Face(NamedTuple):
    """One open face: the number of its axis, the axis, 0 or -1, its name."""

    along: int
    axis: Axis
    end: int
    name: str


def faces(body: Body) -> list[Face]:
    """Every open face."""
    told = []
    for i, axis in enumerate(body.axes):
        told += [Face(i, axis, end, name) for end, name in ((0, axis.low), (-1, axis.high)) if name]
    return told


def begin(body: Body, matter: Matter, temperature: ArrayLike) -> State:
    """A body at one temperature, (M,) or one for all, or a field (cells..., M). [K]"""
    t = np.broadcast_to(np.asarray(temperature, float), body.shape).copy()
    if not np.isfinite(t).all() or (t <= 0.0).any():
        raise OutOfRange(
            f"A start of {float(np.min(t)):g} K.", field="start", value=float(np.min(t)), limit="above 0 K", remedy="Give the start in K."
        )
    surface = {f.name: np.moveaxis(t, f.along, 0)[f.end].copy() for f in faces(body)}
    lost = {name: np.zeros_like(t_face) for name, t_face in surface.items()}
    return State(0.0, t, Reader(matter, body.members).enthalpy(t), surface, lost)


def step(
    body: Body, reader: Reader, now: State, outside: Outside, dt: float, *, halves: int = _MOST_HALVES
) -> tuple[State, Floats]:  # fmt: skip
    """One step; the new state and the heat each member took in through its faces [J].

    A step in which a cell freezes through, or melts, further than its capacity foresaw is taken in two halves.
    """
    then, heat, agrees = _one(body, reader, now, outside, dt)
    if agrees or halves == 0:
        return then, heat
    first, heat_1 = step(body, reader, now, outside, 0.5 * dt, halves=halves - 1)
    second, heat_2 = step(body, reader, first, outside, 0.5 * dt, halves=halves - 1)
    return second, heat_1 + heat_2


def _one(body: Body, reader: Reader, now: State, outside: Outside, dt: float) -> tuple[State, Floats, bool]:
    """A step as it comes, and whether the temperatures it was solved for are those that its heat makes."""
    middle, ahead = now.temperature, now.temperature
    if now.rate is not None:
        ahead = np.clip(now.temperature + dt * now.rate, reader.matter.low, reader.matter.high)
        middle = 0.5 * (now.temperature + ahead)
    k, c = reader.properties(middle)
    if now.rate is not None and not reader.matter.constant:
        c = reader.capacity_between(now.temperature, now.enthalpy, ahead)
    films, met = _films(body, k, middle, now, outside, dt)
    for _ in range(1 if reader.matter.constant else _MELTS):
        t, heat = _swept(body, films, k, c, now.temperature, dt)
        h = now.enthalpy + c * (t - now.temperature)
        new = reader.temperature(h, t)
        if np.abs(new - t).max() < _AGREES:
            break
        # over ice or melting fat the capacity of the step was not the one it went through: that of the way it went
        went = np.clip(new, reader.matter.low, reader.matter.high)
        c = np.sqrt(c * reader.capacity_between(now.temperature, now.enthalpy, went))
    surface, lost = {}, {}
    for f in faces(body):
        g_cell, cell_film, law, at = met[f.name]
        behind = np.moveaxis(new, f.along, 0)[f.end]
        before = np.moveaxis(now.temperature, f.along, 0)[f.end]
        surface[f.name] = behind + cell_film.conductance * (cell_film.outside - behind) / g_cell
        mid = 0.5 * (behind + before)
        mid_surface = mid + cell_film.conductance * (cell_film.outside - mid) / g_cell
        lost[f.name] = now.lost[f.name] + dt * (law.vapour + law.vapour_slope * (mid_surface - at))
    off = new - ahead
    surface_rate = {name: (surface[name] - now.surface[name]) / dt for name in surface} if now.rate is not None else None
    return State(
        now.time + dt, new, h, surface, lost, (new - now.temperature) / dt, surface_rate,
        {name: (lost[name] - now.lost[name]) / dt for name in lost}, math.sqrt(float(np.mean(off * off))),
    ), heat, bool(np.abs(new - t).max() < _AGREES)  # fmt: skip


def _swept(
    body: Body, films: list[list[Film | None]], k: Floats, c: Floats, start: Floats, dt: float
) -> tuple[Floats, Floats]:  # fmt: skip
    """Temperatures after a sweep along every axis and back, and the heat each member took in [J]."""
    last = len(body.axes) - 1
    lengths = [*(0.5 * dt for _ in range(last)), dt]  # half steps to and from the last axis
    lines = [Lines(axis, i, k, c, films[i], lengths[i]) for i, axis in enumerate(body.axes)]
    t, heat = start, np.zeros(body.members)
    for i in (*range(last), last, *reversed(range(last))):
        t, first, second = lines[i].step(t)
        heat += _entered(body, i, films[i], first, second, lengths[i])
    return t, heat


class _Met(NamedTuple):
    """How a face met its law in this step."""

    half_cell: Floats  # [W/m2K]
    film: Film
    law: Flux
    at: Floats  # surface temperature the law was asked at [K]


def _films(
    body: Body, k: Floats, middle: Floats, now: State, outside: Outside, dt: float
) -> tuple[list[list[Film | None]], dict[str, _Met]]:  # fmt: skip
    """The linear film of every face for this step, with the half cell behind it, and the law it came from."""
    films: list[list[Film | None]] = [[None, None] for _ in body.axes]
    met: dict[str, _Met] = {}
    time = now.time + 0.5 * dt
    for f in faces(body):
        half = float(np.diff(f.axis.edges)[f.end]) / 2.0
        g_cell = np.moveaxis(k, f.along, 0)[f.end] / (half * f.axis.length)
        behind = np.moveaxis(middle, f.along, 0)[f.end]
        at = now.surface[f.name]
        ahead = None if now.surface_rate is None else (0.5 * dt) * now.surface_rate[f.name]
        follows = ahead is not None and float(np.abs(ahead).max()) < _FOLLOWS
        if follows and ahead is not None:
            at = at + ahead
        gone = now.lost[f.name] + (0.0 if now.lost_rate is None else 0.5 * dt * now.lost_rate[f.name])
        law = outside(f.name, at, time, gone)
        for _ in range(0 if follows else _TURNS):  # after a jump: to where the law and the cell behind it agree
            found = (g_cell * behind + law.heat + law.slope * at) / (g_cell + law.slope)
            at = at + np.clip(found - at, -_MOST_TURN, _MOST_TURN)
            law = outside(f.name, at, time, gone)
        slope = np.maximum(law.slope, _LEAST_SLOPE)
        film = Film(g_cell * slope / (g_cell + slope), at + law.heat / slope)
        films[f.along][f.end] = film
        met[f.name] = _Met(g_cell, film, law, at)
    return films, met


def _entered(body: Body, index: int, films: list[Film | None], first: Floats, second: Floats, dt: float) -> Floats:
    """Heat through the faces of one axis in one sweep, from the stages of the method [J]; (M,)."""
    told = np.zeros(body.members)
    for film_, edge, end in zip(films, (0, -1), (0, body.axes[index].cells), strict=True):
        if film_ is None:
            continue
        cell = (1.0 - GAMMA) * first[edge] + GAMMA * second[edge]
        flow = film_.conductance * (film_.outside - cell) * body.face_area(index, end)
        told += dt * flow.reshape(-1, body.members).sum(axis=0)
    return told


def slowest(body: Body, matter: Matter, temperature: Floats) -> float:
    """Longest time of the body, of its slowest member, with faces held. [s]"""
    k, c = Reader(matter, body.members).properties(temperature)
    alpha = (k / c).reshape(-1, body.members).max(axis=0)
    fade = np.zeros(body.members)
    for axis in body.axes:
        path = axis.length / 2.0 if axis.low and axis.high else axis.length
        if axis.low or axis.high:
            fade = fade + (_FADE[axis.kind] / path) ** 2
    if not (fade > 0).all():
        raise OutOfRange("Every face is sealed.", field="faces", value="all sealed", limit="one open face", remedy="Open a face.")
    return float(np.median(1.0 / (alpha * fade)))


