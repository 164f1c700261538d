"""Many pieces at once, in one dimension, through a chain of stages: the ensemble's engine.

The same balance as ``transport`` (content = water x concentration, flow = water x D x grad of concentration), for a slab,
cylinder or sphere on one graded grid in the dimensionless depth, with every member and every solute in one array. The bath is
one more cell: a finite one while it is a brine, one without end while dry salt keeps it saturated or fresh water flows.
Water moves as a whole between meat and brine, and leaves by the surface where air dries it.

Nothing is made: meat + brine + dry + poured off + lost closes to rounding. Steps are L-stable and of second order in time
(two-stage diagonally implicit Runge-Kutta, gamma = 1 - sqrt(1/2)); water is moved between steps (first order in time).

Shapes: members M, cells N, solutes K. Masses are per kg of green weight.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ingle.physics.depths import Depth, between, depth, nested
from ingle.physics.drying_face import as_film
from ingle.physics.histories_brine import add, exchange, pour, pump
from ingle.physics.histories_step import GAMMA, factored, two_stages
from ingle.physics.histories_things import Pieces, Surface, fresh

__all__ = [
    "Depth", "Pieces", "Surface", "add", "depth", "exchange", "fresh", "march", "nested", "open_to_pass", "parts_of", "pour",
    "pump", "steps_of",
]  # fmt: skip
Floats = NDArray[np.float64]
_SOLID = 1.3  # density of dry matter over that of water (protein, memory)
POURS = 10  # times in a stage that its drip is poured off, dense at the start
_WALL = 1e12  # capacity of a bath without end, as a multiple of the meat's water


def march(
    cells: Depth,
    pieces: Pieces,
    seconds: Floats,
    pace: Callable[[float], Floats],
    loss: Callable[[float], Floats],
    surface: Surface,
    *,
    water_pace: Callable[[float], Floats] | None = None,
    seen: Callable[[float, Pieces], None] | None = None,
) -> Pieces:
    """Take all members through one stage.

    Parameters
    ----------
    seconds : ndarray, shape (T,)
        Rising times of the steps from the start of the stage, the first is 0. [s]
    pace : callable
        At a time [s], D / path**2 of every solute and member, shape (K, M). [1/s]
    loss : callable
        At a time, first-order loss of every solute and member, shape (K, M). [1/s]
    surface : Surface
    water_pace : callable, optional
        At a time, the same for water inside the meat, shape (M,); needed where air dries the surface. [1/s]
    seen : callable, optional
        Told time and pieces after every step.

    Returns
    -------
    Pieces at the end of the stage.
    """
    now = pieces
    for t0, t1 in pairwise(seconds):
        dt, middle = float(t1 - t0), float(t0 + t1) / 2
        now = _solutes(cells, now, dt, pace(middle), loss(middle), surface)
        if surface.exchange is not None and surface.exchange_s is not None:
            now = exchange(now, dt, surface)
        if surface.drying is not None and water_pace is not None:
            now = _dry(cells, now, dt, water_pace(middle), surface)
        if seen is not None:
            seen(float(t1), now)
    return now


def open_to_pass(water: Floats, dry_matter: Floats) -> Floats:
    """How freely a solute passes tissue that has dried or swollen, over fresh tissue of 74 % water.

    Mackie and Meares 1955: ((1 - f)/(1 + f))**2 with f the volume share of what is not water, taken at 1,300 kg/m3.
    """

    def lets(f: Floats | float) -> Floats:
        return np.asarray(((1 - f) / (1 + f)) ** 2)

    solid = dry_matter / _SOLID
    fresh = 0.26 / _SOLID
    return lets(solid / (solid + water)) / lets(fresh / (fresh + 0.74))


def _conductance(cells: Depth, content: Floats, pace: Floats, freely: Floats) -> tuple[Floats, Floats]:
    """Between neighbours, shape (N - 1, K, M), and from the outermost cell to the surface, shape (K, M). [kg/s]

    ``content`` is what carries (water, or dry matter where water itself moves), ``freely`` the share of the fresh pace.
    """
    links = between(cells, content * (freely if cells.passes is None else freely * cells.passes[:, None]))
    inside, outside = links[:-1], links[-1]
    return inside[:, None, :] * pace[None], outside[None, :] * pace


def _solutes(cells: Depth, p: Pieces, dt: float, pace: Floats, loss: Floats, surface: Surface) -> Pieces:
    """One step of all solutes. A member whose dry salt is used up within the step takes it from a finite bath instead."""
    if not surface.open:
        return _sealed(cells, p, dt, pace, loss)
    brine = np.maximum(p.brine, surface.film)
    strength = p.dissolved / brine
    if surface.endless:
        solute, lost, given = _step(cells, p, dt, pace, loss, np.zeros_like(strength), np.full_like(strength, _WALL))
        return replace(p, solute=solute, lost=p.lost + lost, poured=p.poured - given)
    bath = np.broadcast_to(brine, pace.shape)
    ceiling = np.full_like(strength, np.inf) if surface.saturated is None else surface.saturated[:, None]
    full = strength > ceiling
    wall = np.where(full, _WALL, bath)
    solute, lost, given = _step(cells, p, dt, pace, loss, np.where(full, ceiling, strength), wall)
    ends = full & (p.dissolved - given < np.where(full, ceiling, 0.0) * brine)
    if ends.any():
        own, own_lost, own_given = _step(cells, p, dt, pace, loss, strength, bath)
        solute = np.where(ends[None], own, solute)
        lost, given = np.where(ends, own_lost, lost), np.where(ends, own_given, given)
    return replace(p, solute=solute, lost=p.lost + lost, dissolved=p.dissolved - given)


def _step(
    cells: Depth, p: Pieces, dt: float, pace: Floats, loss: Floats, strength: Floats, bath: Floats
) -> tuple[Floats, Floats, Floats]:
    """Solutes after a step beside a bath of a strength and capacity: contents (N, K, M), lost and given by the bath (K, M).

    The bath is the last cell of a tridiagonal system.
    """
    n = len(cells.share)
    inside, outside = _conductance(cells, p.water, pace, open_to_pass(p.water, p.dry_matter))
    water = np.broadcast_to(p.water[:, None, :], p.solute.shape)
    capacity = np.concatenate([water, bath[None]])
    start = np.concatenate([p.strength, strength[None]])
    rate = np.concatenate([np.broadcast_to(loss, p.solute.shape), np.zeros((1, *pace.shape))])
    first, second = two_stages(capacity, start, rate, np.concatenate([inside, outside[None]]), dt)
    solute = second[:n] * water
    lost = dt * loss * (((1 - GAMMA) * first[:n] + GAMMA * second[:n]) * water).sum(0)
    return solute, lost, solute.sum(0) - p.solute.sum(0) + lost


def _sealed(cells: Depth, p: Pieces, dt: float, pace: Floats, loss: Floats) -> Pieces:
    """The same with nothing beyond the surface; the solver's rounding is put back where it came from."""
    inside, _ = _conductance(cells, p.water, pace, open_to_pass(p.water, p.dry_matter))
    water = np.broadcast_to(p.water[:, None, :], p.solute.shape)
    rate = np.broadcast_to(loss, p.solute.shape)
    first, second = two_stages(water, p.strength, rate, inside, dt)
    lost = dt * loss * (((1 - GAMMA) * first + GAMMA * second) * water).sum(0)
    solute = second * water
    held = solute.sum(0)
    solute = solute * np.where(held > 0, (p.solute.sum(0) - lost) / np.where(held > 0, held, 1.0), 1.0)[None]
    return replace(p, solute=solute, lost=p.lost + lost)


def _dry(cells: Depth, p: Pieces, dt: float, pace: Floats, surface: Surface) -> Pieces:
    """Water inside the meat by its own diffusion per dry matter, and out of the surface into air."""
    assert surface.drying is not None
    per_dry = p.water / p.dry_matter
    inside, outside = _conductance(cells, p.dry_matter, pace[None], open_to_pass(p.water, p.dry_matter))
    links = inside[:, 0]
    strength, drying = p.solute[-1, 0] / p.water[-1], surface.drying
    rate, least = as_film(per_dry[-1], outside[0], lambda x: drying(strength, x))
    per = p.dry_matter / dt
    main = per.copy()
    main[:-1] += links
    main[1:] += links
    main[-1] += rate
    right = per * per_dry
    right[-1] += rate * least
    water = factored(main, links)(right) * p.dry_matter
    return replace(p, water=water, evaporated=p.evaporated + p.water.sum(0) - water.sum(0))


def steps_of(length: float, count: int) -> Floats:
    """Times from 0 to a stage's length, dense at its start: even steps in the square root of time. [s]"""
    return length * np.linspace(0.0, 1.0, count + 1) ** 2


def parts_of(seconds: Floats, poured: bool) -> list[Floats]:
    """The times of a stage in one, or in ten parts that share their ends where drip is poured off as it comes. [s]"""
    parts = np.array_split(np.arange(1, len(seconds)), POURS if poured else 1)
    return [seconds[part[0] - 1 : part[-1] + 1] for part in parts]
