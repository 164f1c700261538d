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
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ingle.physics.depths import Depth, between, depth, nested
from ingle.physics.drying_face import as_film

__all__ = [
    "Depth", "Pieces", "Surface", "add", "depth", "exchange", "fresh", "march", "nested", "open_to_pass", "parts_of", "pour",
    "pump", "steps_of",
]  # fmt: skip
Floats = NDArray[np.float64]
GAMMA = 1.0 - np.sqrt(0.5)
_SOLID = 1.3  # density of dry matter over that of water (protein, memory)
POURS = 10  # times in a stage that its drip is poured off, dense at the start
_WALL = 1e12  # capacity of a bath without end, as a multiple of the meat's water


@dataclass(frozen=True)
class Pieces:
    """All members at one moment. [kg per kg of green weight]"""

    water: Floats  # (N, M) water of each cell
    solute: Floats  # (N, K, M) solutes of each cell
    dry_matter: Floats  # (N, M) what is neither water nor solute
    brine: Floats  # (M,) water that stands beside the meat
    dissolved: Floats  # (K, M) solutes in it, those still dry counted
    poured: Floats  # (K, M) poured or rinsed away
    poured_water: Floats  # (M,)
    lost: Floats  # (K, M) gone by reaction
    evaporated: Floats  # (M,)

    @property
    def strength(self) -> Floats:
        """Solute per water of every cell, shape (N, K, M)."""
        return self.solute / self.water[:, None, :]

    @property
    def weight(self) -> Floats:
        """Weight of the meat, shape (M,)."""
        return self.water.sum(0) + self.dry_matter.sum(0) + self.solute.sum((0, 1))

    def total(self) -> Floats:
        """Every solute wherever it is, shape (K, M): stays the same."""
        return self.solute.sum(0) + self.dissolved + self.poured + self.lost


def fresh(cells: Depth, water: Floats, solutes: int) -> Pieces:
    """Raw pieces: ``water`` per green weight, shape (M,), even everywhere; no solute."""
    members = len(water)
    share = cells.share[:, None]
    nothing = np.zeros((solutes, members))
    return Pieces(
        water=share * water[None, :],
        solute=np.zeros((len(cells.share), solutes, members)),
        dry_matter=share * (1 - water)[None, :],
        brine=np.zeros(members),
        dissolved=nothing,
        poured=nothing.copy(),
        poured_water=np.zeros(members),
        lost=nothing.copy(),
        evaporated=np.zeros(members),
    )


@dataclass(frozen=True)
class Surface:
    """What the surface meets during a stage.

    ``open``: sealed when False. ``endless``: fresh water without end (a rinse under the tap). ``saturated`` [kg/kg water]: ceiling
    of each solute in the brine, shape (K,); infinite where none. ``exchange``: given brine's salt per water, meat's water and the
    start's, the water that the meat tends to, shape (M,), and ``exchange_s`` its time constant, shape (M,); None: water stays.
    ``drying``: given the water activity of the surface cell, kg water per kg green weight and second, shape (M,); None: none.
    ``film``: brine that always clings [kg/kg].
    """

    open: bool = True
    endless: bool = False
    saturated: Floats | None = None
    exchange: Callable[[Floats], Floats] | None = None
    exchange_s: Floats | None = None
    drying: Callable[[Floats, Floats], Floats] | None = None
    film: float = 0.0005


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
    first, second = _two_stages(capacity, start, rate, np.concatenate([inside, outside[None]]), dt)
    solute = second[:n] * water
    lost = dt * loss * (((1 - GAMMA) * first[:n] + GAMMA * second[:n]) * water).sum(0)
    return solute, lost, solute.sum(0) - p.solute.sum(0) + lost


def _sealed(cells: Depth, p: Pieces, dt: float, pace: Floats, loss: Floats) -> Pieces:
    """The same with nothing beyond the surface; the solver's rounding is put back where it came from."""
    inside, _ = _conductance(cells, p.water, pace, open_to_pass(p.water, p.dry_matter))
    water = np.broadcast_to(p.water[:, None, :], p.solute.shape)
    rate = np.broadcast_to(loss, p.solute.shape)
    first, second = _two_stages(water, p.strength, rate, inside, dt)
    lost = dt * loss * (((1 - GAMMA) * first + GAMMA * second) * water).sum(0)
    solute = second * water
    held = solute.sum(0)
    solute = solute * np.where(held > 0, (p.solute.sum(0) - lost) / np.where(held > 0, held, 1.0), 1.0)[None]
    return replace(p, solute=solute, lost=p.lost + lost)


def _two_stages(capacity: Floats, start: Floats, rate: Floats, links: Floats, dt: float) -> tuple[Floats, Floats]:
    """Both stages of the implicit step: concentrations along the first axis.

    Where the step would leave the range of what is there (a stiff surface after a jump), that solute and member takes one step
    of implicit Euler instead: first order, never out of range.
    """
    per = capacity / (GAMMA * dt)
    first, second = _through(per, capacity * rate, links, start)
    out = (second.min(0) < -1e-12) | (second.max(0) > start.max(0) * (1 + 1e-9) + 1e-12)
    if out.any():
        euler = _through(capacity / dt, capacity * rate, links, start)[0]
        first, second = np.where(out[None], euler, first), np.where(out[None], euler, second)
    return first, second


def _through(per: Floats, loss: Floats, links: Floats, start: Floats) -> tuple[Floats, Floats]:
    main = per + loss
    main[:-1] += links
    main[1:] += links
    solve = _factored(main, links)
    first = solve(per * start)
    return first, solve(per * (start + (1 - GAMMA) / GAMMA * (first - start)))


def _factored(main: Floats, links: Floats) -> Callable[[Floats], Floats]:
    """Solve for symmetric tridiagonal systems along the first axis, factored once."""
    n = len(main)
    pivot = np.empty_like(main)
    upper = np.empty_like(links)
    pivot[0] = main[0]
    for i in range(1, n):
        upper[i - 1] = links[i - 1] / pivot[i - 1]
        pivot[i] = main[i] - upper[i - 1] * links[i - 1]

    def solve(right: Floats) -> Floats:
        out = right.copy()
        for i in range(1, n):
            out[i] += upper[i - 1] * out[i - 1]
        out[-1] /= pivot[-1]
        for i in range(n - 2, -1, -1):
            out[i] = out[i] / pivot[i] + upper[i] * out[i + 1]
        return out

    return solve


def exchange(p: Pieces, dt: float, surface: Surface, faces: Floats | None = None) -> Pieces:
    """Water between meat and brine: out as water alone, in with what is dissolved in it.

    What comes in dissolved enters by ``faces``, the part of each cell in it, shape (N,); by the outermost cell when left out.
    """
    assert surface.exchange is not None and surface.exchange_s is not None
    brine = np.maximum(p.brine, surface.film)
    strength = p.dissolved[0] / brine
    if surface.saturated is not None:
        strength = np.minimum(strength, surface.saturated[0])
    now = p.water.sum(0)
    moved = (surface.exchange(strength) - now) * -np.expm1(-dt / surface.exchange_s)
    moved = np.clip(moved, -0.5 * now, np.maximum(p.brine - surface.film, 0.0))
    carried = np.where(moved > 0, moved / brine, 0.0)[None] * np.minimum(p.dissolved, _liquid(p, surface, brine))
    solute = p.solute.copy()
    if faces is None:
        solute[-1] += carried
    else:
        solute += faces[:, None, None] * carried[None]
    return replace(
        p,
        water=p.water * (1 + moved / now)[None],
        brine=p.brine - moved,
        solute=solute,
        dissolved=p.dissolved - carried,
    )


def _liquid(p: Pieces, surface: Surface, brine: Floats) -> Floats:
    """Solutes that are dissolved and not still dry, shape (K, M)."""
    if surface.saturated is None:
        return p.dissolved
    return np.minimum(p.dissolved, surface.saturated[:, None] * brine)


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
    water = _factored(main, links)(right) * p.dry_matter
    return replace(p, water=water, evaporated=p.evaporated + p.water.sum(0) - water.sum(0))


def steps_of(length: float, count: int) -> Floats:
    """Times from 0 to a stage's length, dense at its start: even steps in the square root of time. [s]"""
    return length * np.linspace(0.0, 1.0, count + 1) ** 2


def parts_of(seconds: Floats, poured: bool) -> list[Floats]:
    """The times of a stage in one, or in ten parts that share their ends where drip is poured off as it comes. [s]"""
    parts = np.array_split(np.arange(1, len(seconds)), POURS if poured else 1)
    return [seconds[part[0] - 1 : part[-1] + 1] for part in parts]


def pour(p: Pieces, saturated: Floats | None = None) -> Pieces:
    """Pour the brine away with what is in it; given the saturated strength of each solute (K,), what is still dry stays on."""
    liquid = p.dissolved
    if saturated is not None:
        bound = np.isfinite(saturated)  # only these can lie dry
        liquid = liquid.copy()
        liquid[bound] = np.minimum(liquid[bound], saturated[bound, None] * p.brine)
    return replace(
        p,
        brine=np.zeros_like(p.brine),
        dissolved=p.dissolved - liquid,
        poured=p.poured + liquid,
        poured_water=p.poured_water + p.brine,
    )


def add(p: Pieces, water: Floats, solutes: Floats) -> Pieces:
    """Put water and solutes beside the meat. [kg/kg], shapes (M,) and (K, M)"""
    return replace(p, brine=p.brine + water, dissolved=p.dissolved + solutes)


def pump(share: Floats, p: Pieces, water: Floats, solutes: Floats) -> Pieces:
    """Inject water and solutes into the meat, ``share`` of them into each cell (N,). [kg/kg], shapes (M,) and (K, M)"""
    return replace(
        p,
        water=p.water + share[:, None] * water[None],
        solute=p.solute + share[:, None, None] * solutes[None],
    )
