"""Solutes and water of a drawn section through one stage, on the engine.

In each step the solutes move with water and matter as they stand (under air in every other step), then water passes between
meat and brine, or from cell to cell and into the air, as in ``physics/histories``. The engine keeps its own steps within ours.
At a drying face the water of the surface itself is sought, half a cell from where the cell's water is told, and what leaves is
drawn as a straight line from there to the water at which air takes no more: the engine then solves it with the cells, and no
step is too long for it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.section_body import Body
from ingle.physics import histories, transport
from ingle.physics.drying_face import air_takes, as_film
from ingle.physics.histories import Pieces, Surface
from ingle.physics.transport import Bath, Field, Held

Floats = NDArray[np.float64]
TOL = 3e-2  # error target of the engine, as a share of the strength in the end; a third of it moves salt by under 0.01 g/100 g
_WATER = -1  # its number among the runs; solutes count from 0


@dataclass
class Pace:
    """The step that each run of the engine would have taken next; forgotten where something jumps."""

    step: dict[int, float] = field(default_factory=dict)


def march(
    body: Body,
    now: Pieces,
    seconds: Floats,
    diffusivity: Callable[[float], Floats],
    loss: Callable[[float], Floats],
    surface: Surface,
    *,
    water_diffusivity: Callable[[float], Floats] | None = None,
    seen: Callable[[float, Pieces], None] | None = None,
) -> Pieces:
    """Take one piece through (part of) a stage; arguments as in `histories.march`, with D in m2/s instead of D / path**2.

    ``surface.drying`` tells kg of water per m2 and second.
    """
    pace = Pace()
    owed = 0.0
    for n, (t0, t1) in enumerate(pairwise(seconds), start=2):
        dt, middle = float(t1 - t0), float(t0 + t1) / 2
        owed += dt
        if surface.open or n % 2 or n == len(seconds):  # under air the solutes only even out: every other step will do
            half_way = float(t1) - owed / 2
            now = _solutes(body, now, owed, diffusivity(half_way)[:, 0], loss(half_way)[:, 0], surface, pace)
            owed = 0.0
        if surface.exchange is not None:
            now = histories.exchange(now, dt, surface, body.facing)
        if surface.drying is not None and water_diffusivity is not None:
            now = _dry(body, now, dt, float(water_diffusivity(middle)[0]), surface.drying, pace)
        if seen is not None:
            seen(float(t1), now)
    return now


def _solutes(body: Body, p: Pieces, dt: float, d: Floats, loss: Floats, surface: Surface, pace: Pace) -> Pieces:
    """One step of every solute that is there at all, each beside its own bath."""
    water, cell = p.water[:, 0], body.found.cell_m2
    storage = body.field(water * (body.mass / cell), 1.0)
    freely = body.field(water * body.pace * histories.open_to_pass(water, body.holds) * (body.mass / cell), 0.0)
    brine = max(float(p.brine[0]), surface.film)
    solute, lost = p.solute.copy(), p.lost.copy()
    dissolved, poured = p.dissolved.copy(), p.poured.copy()
    for k in range(d.size):
        there = float(solute[:, k, 0].sum() + dissolved[k, 0])
        if there <= 0.0:
            continue
        faces: dict[str, transport.Outside] = {}
        if surface.endless:
            faces = {"wet": Held(0.0)}
        elif surface.open:
            full = None if surface.saturated is None or not np.isfinite(surface.saturated[k]) else float(surface.saturated[k])
            faces = {"wet": Bath(brine * body.mass, saturated=full).holding(float(dissolved[k, 0]) * body.mass)}
        start = body.field(solute[:, k, 0] / water, 0.0)
        told, pace.step[k] = _run(body, Field(storage, freely * d[k], loss[k], start=start), faces, dt, there / (water.sum() + brine), pace.step.get(k))
        solute[:, k, 0] = told.state.values.ravel()[body.at] * water
        lost[k] += told.lost[-1] / body.mass
        if surface.endless:
            poured[k] -= told.given[-1, 0] / body.mass
        elif surface.open:
            dissolved[k] = told.state.contents[0] / body.mass
    return replace(p, solute=solute, lost=lost, dissolved=dissolved, poured=poured)


def _run(
    body: Body, what: Field, faces: dict[str, transport.Outside], dt: float, scale: float, step: float | None
) -> tuple[transport.Result, float]:
    state = None if step is None else transport.State(0.0, np.asarray(what.start, float), (), min(step, dt))
    told = transport.run(body.grid, what, faces, [0.0, dt], state=state, keep=False, tol=TOL, scale=scale, method="march")
    return told, told.state.step


def _dry(
    body: Body, p: Pieces, dt: float, d: float, drying: Callable[[Floats, Floats], Floats], pace: Pace
) -> Pieces:
    """Water inside the meat by its own diffusion per dry matter, and out of the wet faces into air."""
    water, holds, cell, at = p.water[:, 0], body.holds, body.found.cell_m2, body.face_cell
    per_dry = water / holds
    lets = _lets(body, water, d)
    strength = (p.solute[:, 0, 0] / water)[at]
    rate, least = as_film(per_dry[at], lets[at] / body.half_m, lambda x: drying(strength, x))
    by_face = body.face_m * rate  # [kg/s] by unit of water per dry
    content = holds * body.mass
    what = Field(
        storage=body.field(content / cell, 1.0), conductance=body.field(lets, 0.0), start=body.field(per_dry, 0.0),
        loss=body.field(np.bincount(at, by_face, holds.size) / content, 0.0),
        source=body.field(np.bincount(at, by_face * least, holds.size) / cell, 0.0),
    )  # fmt: skip
    told, pace.step[_WATER] = _run(body, what, {}, dt, float(water.sum() / holds.sum()), pace.step.get(_WATER))
    left = told.state.values.ravel()[body.at] * holds
    return replace(p, water=left[:, None], evaporated=p.evaporated + (told.lost[-1] - told.made[-1]) / body.mass)


def dried_face(body: Body, p: Pieces, d: float, drying: Callable[[Floats, Floats], Floats]) -> Floats:
    """Water per dry matter at the wet faces themselves while air dries them, shape (F,); ``d`` of water in lean. [m2/s]"""
    water, at = p.water[:, 0], body.face_cell
    inside = _lets(body, water, d)[at] / body.half_m
    strength = (p.solute[:, 0, 0] / water)[at]
    return air_takes((water / body.holds)[at], inside, lambda x: drying(strength, x))[1]


def _lets(body: Body, water: Floats, d: float) -> Floats:
    """What water passes through, by gradient of water per dry matter, shape (N,). [kg/m s]"""
    return body.holds * body.pace * histories.open_to_pass(water, body.holds) * (d * body.mass / body.found.cell_m2)
