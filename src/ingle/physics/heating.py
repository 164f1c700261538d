"""Heating and cooling of many bodies at once: conduction inside, any law of exchange at the faces.

    d(enthalpy)/dt = div(k(T) grad T),    k dT/dn = flux(surface temperature, time) at the faces

in finite volumes on a product of axes, second order in space and time. Each step is split by axes (Strang), each axis is
taken by an L-stable two-stage method; conductivity, heat capacity and the slope of the surface law are frozen at the
middle of the step, told ahead from the step before. Storage is by enthalpy: what the faces give in is what the body
holds, also through melting, and the account of the faces is kept apart from the march so that it tests it.

    body = cylinder(0.10, 0.20)
    matter = constant(0.45, 1070 * 3500)
    course = run(body, matter, begin(body, matter, 277.15), film(25.0, 383.15), 6 * 3600.0, until=341.15)
    course.reached      # 8381 s

Plain NumPy: nothing is compiled, and 256 members cost a few times what one does. Left out: shrinkage, juice and fat that
move, and the heat they carry.

References
----------
Strang G., SIAM J. Numer. Anal. 5 (1968) 506 (splitting; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics.heating_body import Body, box, cylinder, one_sided, slab, sphere
from ingle.physics.heating_matter import Matter, Reader, constant, tabled
from ingle.physics.heating_step import Flux, Outside, State, begin, slowest, step
from ingle.physics.heating_told import Course, Telling, core_of, lagging_place

__all__ = [
    "Body",
    "Course",
    "Flux",
    "Matter",
    "Outside",
    "State",
    "begin",
    "box",
    "constant",
    "cylinder",
    "film",
    "join",
    "lagging_place",
    "one_sided",
    "run",
    "slab",
    "sphere",
    "tabled",
]

Floats = NDArray[np.float64]

MOST_STEPS = 20_000
FIRST_STEP = 1.0 / 1500.0  # step after a jump of the outside, of the slowest time of the body
GROWTH, SHRINK = 1.6, 0.5  # of a step against the one before it, at most
SURPRISE = 1.0  # wanted of a step, see `State.surprise` [K]


def film(conductance: ArrayLike, temperature: ArrayLike | Callable[[float], ArrayLike]) -> Outside:
    """The same plain film [W/m2K] to air of a temperature [K], (M,) or a function of time, at every face."""
    h = np.asarray(conductance, float)

    def outside(face: str, surface: Floats, time: float, lost: Floats) -> Flux:  # noqa: ARG001
        air = np.asarray(temperature(time) if callable(temperature) else temperature, float)
        return Flux(h * (air - surface), np.broadcast_to(h, surface.shape))

    return outside


def run(
    body: Body, matter: Matter, state: State, outside: Outside, end: float, *, until: float | None = None,
    breaks: Sequence[float] = (), fineness: float = 1.0, place: float = 0.0, probe: float | None = None,
    after: Callable[[float, Floats], bool] | None = None,
) -> Course:  # fmt: skip
    """March from a state to an hour, or until the core has met a temperature.

    Parameters
    ----------
    outside : Outside
        The law of the faces; it may hold arrays (M,) of its own for each member.
    end : float
        Latest time. [s]
    until : float
        Stop when the core of every member has met this temperature, rising or falling [K]; with one member the last
        step ends there.
    breaks : sequence of float
        Times at which the outside jumps: steps end there and begin small again. [s]
    fineness : float
        2 halves the steps.
    place, probe : float
        Places on the first axis called core and probe: 0 at its low end (the middle of an axis of symmetry), 1 at the face.
    after : callable
        Called with time and core (M,) after each step; True stops the march.

    Raises
    ------
    OutOfRange
        A temperature outside the tables of ``matter``, an end before the start, or more than 20,000 steps.
    """
    if not end > state.time:
        raise OutOfRange(
            f"The end {end:g} s is not after {state.time:g} s.", field="end", value=end, limit=state.time, remedy="Give a later end."
        )
    reader = Reader(matter, body.members)
    slow = slowest(body, matter, state.temperature)
    told = Telling(body, reader, state, place, probe)
    rising = None if until is None else told.core < until
    now, count = state, 0
    for stop in sorted({*(t for t in breaks if state.time + 1e-9 < t < end - 1e-9), end}):
        h, now = slow * FIRST_STEP / fineness, replace(now, rate=None, surface_rate=None, lost_rate=None)
        while now.time < stop - 1e-9:
            left = stop - now.time
            dt = left if left <= 1.001 * h else min(h, left / 2.0)
            before, (now, gained) = now, step(body, reader, now, outside, dt)
            core = core_of(body, now.temperature, place)
            met = None if until is None or rising is None else np.where(rising, core >= until, core <= until)
            if until is not None and met is not None and met.all() and body.members == 1:
                now, gained = _meet(body, reader, before, outside, (until, place), dt, float(told.core[0]), float(core[0]))
                core = core_of(body, now.temperature, place)
            told.add(now, gained, core)
            count += 1
            if met is not None and met.all():
                return told.course(now, count, now.time)
            if after is not None and after(now.time, core):
                return told.course(now, count, None)
            if count > MOST_STEPS:
                raise OutOfRange(
                    f"More than {MOST_STEPS} steps.", field="end", value=end, limit=MOST_STEPS, remedy="Ask for less time."
                )
            h = dt * _next(now.surprise * fineness**2, first=before.rate is None)
    return told.course(now, count, None)


def _next(surprise: float, first: bool) -> float:
    """Factor on the length of the step: the surprise of a step grows with the square of its length."""
    wanted = GROWTH if first or surprise <= 0.0 else math.sqrt(SURPRISE / surprise)
    return min(max(wanted, SHRINK), GROWTH)


def _meet(
    body: Body, reader: Reader, before: State, outside: Outside, goal: tuple[float, float], dt: float, low: float, high: float
) -> tuple[State, Floats]:  # fmt: skip
    """Repeat the last step so that it ends when the core is at the goal (temperature, place), one member.

    False position; an end that stays is halved (Illinois).
    """
    until, place = goal
    a, fa, b, fb = 0.0, low - until, dt, high - until
    now, gained, side = before, np.zeros(body.members), 0
    for _ in range(20):
        x = b - fb * (b - a) / (fb - fa) if fb != fa else b
        now, gained = step(body, reader, before, outside, max(x, 1e-9 * dt))
        f = float(core_of(body, now.temperature, place)[0]) - until
        if abs(f) < 1e-7:
            break
        if (f > 0) == (fb > 0):
            b, fb, fa, side = x, f, fa * (0.5 if side == 1 else 1.0), 1
        else:
            a, fa, fb, side = x, f, fb * (0.5 if side == -1 else 1.0), -1
    return now, gained


def join(first: Course, second: Course) -> Course:
    """Two marches one after the other as one course; the second began in the first's state."""
    def rows(name: str, plus: Floats | float = 0.0) -> Floats:
        return np.concatenate([getattr(first, name), getattr(second, name)[1:] + plus])

    return Course(
        rows("times"), rows("core"), rows("mean"), rows("surface"), rows("probe"), rows("heat", first.heat[-1]),
        rows("stored", first.stored[-1]), rows("lost"), second.state, first.steps + second.steps, second.reached,
    )  # fmt: skip
