"""How long a piece that lay too long must soak, whole or cut into slices, until it holds the wished salt."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.base import base_of
from ingle.crafts.cure.forecast_draw import law
from ingle.crafts.cure.history_draw import SOLUTES, Members, cells_of, draw
from ingle.crafts.cure.history_march import CELLS, pass_through
from ingle.crafts.cure.history_stage import Stage, require_temperatures
from ingle.crafts.cure.history_told import looked
from ingle.ground import units
from ingle.ground.spread import MARKS, band, median
from ingle.ground.things import Band, Piece
from ingle.physics import histories
from ingle.physics.histories import Depth, Pieces

Floats = NDArray[np.float64]
LONGEST_H = 336.0  # looked at for a whole piece
SLICES_LONGEST_H = 48.0
NIGHT_H, SLICE_MM = 12.0, 10.0  # a night in the fridge; a slice as it is fried (common practice)
MEMBERS = 64
STEPS = 20  # of each stage: hours within 3 % of those of 160 steps, the spread between members is tenfold


@dataclass(frozen=True)
class Soaks:
    """Hours of soak that bring a piece back, in three times its weight of water, not changed. [h], 5, 50 and 95 %"""

    holds: Band  # g salt per 100 g of the whole piece before the soak
    core: Band  # and of its core
    whole: Band | None  # None: not within ``LONGEST_H``, more likely than not
    sliced: Band | None  # slices of ``SLICE_MM``, where the whole takes more than a night; None as above


def soaks(
    piece: Piece,
    stages: tuple[Stage, ...],
    wished: float,
    *,
    members: int = MEMBERS,
    diffusivity: float | None = None,
) -> Soaks:
    """Hours of soaking after some stages, whole, and sliced where the whole piece takes more than a night.

    Parameters
    ----------
    wished : float
        Wished salt of the finished tissue [1], 0.025 for 2.5 g per 100 g.
    members, diffusivity
        As in `history.run`.

    Notes
    -----
    Each member soaks on with its own diffusivity. Slices begin even, at what the whole piece of their member has taken up.
    """
    cells, grams, drawn, laid, hours = _laid(piece, stages, members, diffusivity)
    goal = wished * units.PER_HUNDRED
    whole = _hours(_soak(cells, laid, grams, drawn, LONGEST_H, hours), goal, LONGEST_H)
    sliced = None
    if whole is None or whole.likely > NIGHT_H:
        thin = histories.depth("slab", CELLS)
        middle = float(median(drawn.path))
        cut = replace(drawn, path=drawn.path / middle * units.metres(SLICE_MM) / 2)
        sliced = _hours(
            _soak(thin, levelled(laid, thin.share), grams, cut, SLICES_LONGEST_H, hours), goal, SLICES_LONGEST_H
        )
    return Soaks(band(_mean(laid)), band(looked(laid)[0]), whole, sliced)


def soak_needed(
    piece: Piece, stages: tuple[Stage, ...], wished: float, *, longest_h: float = LONGEST_H, members: int = MEMBERS
) -> Band | None:
    """Hours of soaking, after some stages, until the whole piece holds the wished salt when it is even again.

    Parameters
    ----------
    wished : float
        Wished salt of the finished tissue [1], 0.025 for 2.5 g per 100 g.
    longest_h : float
        Longest soak looked at [h], in three times the piece's weight of water, not changed.

    Returns
    -------
    Band or None
        5, 50 and 95 % of the members [h], the last not past the longest soak; None when half do not come there by then.
    """
    cells, grams, drawn, laid, hours = _laid(piece, stages, members)
    return _hours(_soak(cells, laid, grams, drawn, longest_h, hours), wished * units.PER_HUNDRED, longest_h)


def levelled(p: Pieces, share: Floats) -> Pieces:
    """The same pieces with everything spread evenly over other cells, ``share`` of it in each, shape (N,)."""
    return replace(
        p,
        water=share[:, None] * p.water.sum(0)[None],
        solute=share[:, None, None] * p.solute.sum(0)[None],
        dry_matter=share[:, None] * p.dry_matter.sum(0)[None],
    )


def _laid(
    piece: Piece, stages: tuple[Stage, ...], members: int, diffusivity: float | None = None
) -> tuple[Depth, float, Members, Pieces, float]:
    """Pieces after the stages that lie behind them."""
    require_temperatures(stages)
    drawn, (cells, _) = draw(piece, members, diffusivity), cells_of(piece, CELLS)
    grams = base_of(piece).skin_free_g
    raw = histories.fresh(cells, np.full(len(drawn.path), law()["water"]["lean"]["value"]), len(SOLUTES))
    passed = pass_through(cells, raw, stages, grams, drawn, steps=STEPS)
    return cells, grams, drawn, passed.now, passed.hours


def _soak(
    cells: Depth, laid: Pieces, grams: float, drawn: Members, longest_h: float, at: float
) -> tuple[Floats, Floats]:
    """Hours of soak, shape (T,), and salt of the whole after them [g/100 g], shape (T, M)."""
    hours, salt = [0.0], [_mean(laid)]

    def note(hour: float, p: Pieces) -> None:
        hours.append(hour - at)
        salt.append(_mean(p))

    pass_through(cells, laid, (Stage("soak", longest_h),), grams, drawn, at=at, steps=STEPS, note=note)
    return np.array(hours), np.array(salt)


def _mean(p: Pieces) -> Floats:
    return np.asarray(p.solute[:, 0].sum(0) / p.weight * units.PER_HUNDRED)


def _hours(soaked: tuple[Floats, Floats], goal: float, longest_h: float) -> Band | None:
    """First hour at which each member is at its goal, straight lines between steps, as a band."""
    hours, salt = soaked
    below = salt <= goal
    first = below.argmax(0)
    before, members = np.maximum(first - 1, 0), np.arange(salt.shape[1])
    fell = salt[before, members] - salt[first, members]
    share = np.where(first > 0, (salt[before, members] - goal) / np.where(fell > 0, fell, 1.0), 0.0)
    found = np.where(below.any(0), hours[before] + share * (hours[first] - hours[before]), np.inf)
    ranked = np.sort(found)
    low, likely, high = (float(ranked[math.ceil(chance * (len(ranked) - 1))]) for chance in MARKS)
    return Band(low, likely, high if math.isfinite(high) else longest_h) if math.isfinite(likely) else None
