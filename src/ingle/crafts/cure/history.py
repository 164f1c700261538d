"""A cure as a chain of stages: salt, nitrite, nitrate, sugar and water in an ensemble of pieces.

Rub, rest, rinse, soak, dry: each stage has its time, its temperature and what it does to the surface. Forecast are salt in core,
whole and surface, nitrite, the weight after each stage, and the worst place, where salt in the water is lowest.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.base import base_of
from ingle.crafts.cure.forecast_draw import law
from ingle.crafts.cure.history_draw import SOLUTES, cells_of, draw, loss_of, pace_of, water_pace_of
from ingle.crafts.cure.history_stage import Record, Stage, require_stages, require_temperatures
from ingle.crafts.cure.history_surface import area_of, begin, crust_of, surface_of
from ingle.crafts.cure.history_told import (
    After,
    Told,
    Worst,
    after_of,
    band_of,
    first_hours_of,
    looked,
    profile_of,
    worst_of,
)
from ingle.ground import units
from ingle.ground.things import Band, Piece
from ingle.physics import histories
from ingle.physics.histories import Pieces

__all__ = ["After", "Record", "Stage", "Told", "Worst", "run", "soak_needed"]

Floats = NDArray[np.float64]
CELLS, STEPS = 30, 40


def run(
    piece: Piece,
    stages: tuple[Stage, ...],
    *,
    wished: float | None = None,
    members: int = 256,
    diffusivity: float | None = None,
    seen: Callable[[int, int], None] | None = None,
) -> Told:
    """Take a piece through its stages.

    Parameters
    ----------
    piece : Piece
        With its thickness. A piece under its rind takes and gives through the other face only.
    stages : tuple of Stage
        What is added counts on the green weight without skin.
    wished : float, optional
        Salt wished at the table, per green weight; all salt that was given when left out.
    members : int
        Members of the ensemble; one, everything at its middle, when ``diffusivity`` [m2/s] is given.
    seen : callable, optional
        Told stages done and stages in all.

    Raises
    ------
    OutOfRange
        Frozen or warm beyond the prior's range; a dose beyond what the water dissolves; no thickness.
    """
    require_stages(stages)
    require_temperatures(stages)
    grams = base_of(piece).skin_free_g
    drawn = draw(piece, members, diffusivity)
    cells, body = cells_of(piece, CELLS)
    count = len(drawn.path)
    water0 = law()["water"]["lean"]["value"]
    now = histories.fresh(cells, np.full(count, water0), len(SOLUTES))
    total_salt = sum(s.add.salt for s in stages) / grams
    goal = 0.9 * (wished or total_salt) * float(np.mean(drawn.taken)) / water0 if total_salt else math.inf
    rows: list[tuple[Floats, ...]] = []
    when: list[float] = []
    after: list[After] = []
    assumed: list[str] = [*body]
    given = np.zeros((len(SOLUTES), count))
    at, crust = 0.0, 0.0

    def note(hour: float, p: Pieces) -> None:
        when.append(hour)
        rows.append(looked(p))

    def since(start: float) -> Callable[[float, Pieces], None]:
        return lambda second, p: note(start + second / units.HOUR_S, p)

    note(0.0, now)
    for number, stage in enumerate(stages):
        now, put = begin(cells.share, now, stage, grams, drawn)
        given += put
        surface, dries, said = surface_of(stage, drawn, area_of(cells, drawn))
        assumed += said
        if stage.lasts_h > 0:
            seconds = histories.steps_of(stage.lasts_h * units.HOUR_S, STEPS)
            for part in histories.parts_of(seconds, stage.drip == "poured" and surface.saturated is not None):
                now = histories.march(
                    cells,
                    now,
                    part,
                    pace_of(stage, drawn),
                    loss_of(stage, drawn),
                    surface,
                    water_pace=water_pace_of(stage, drawn) if dries else None,
                    seen=since(at),
                )
                if len(part) < len(seconds):
                    now = histories.pour(now, surface.saturated)
            at += stage.lasts_h
        crust = max(crust, crust_of(stage, now.water[-1], now.solute[-1, 0], now.dry_matter[-1]) if dries else 0.0)
        if stage.drip == "poured" or stage.kind in ("immerse", "soak"):
            now = histories.pour(now)
        after.append(after_of(stage, at, now))
        if seen is not None:
            seen(number + 1, len(stages))
    core, mean, surface_salt, nitrite, change, strength = (np.array(column) for column in zip(*rows, strict=True))
    return Told(
        hours=np.array(when),
        core=band_of(core),
        mean=band_of(mean),
        surface=band_of(surface_salt),
        nitrite_core=band_of(nitrite),
        change_pct=band_of(change),
        after=tuple(after),
        worst=worst_of(cells, now, stages[-1].celsius(stages[-1].lasts_h), drawn),
        profile=profile_of(cells, now, drawn),
        ready_h=first_hours_of(np.array(when), strength, goal),
        mean_of=mean,
        closes=float(np.max(np.abs(now.total() - given) / np.maximum(given, 1e-12) * (given > 0))),
        assumed=tuple(dict.fromkeys(assumed)),
        hardening=crust,
    )


def soak_needed(
    piece: Piece, stages: tuple[Stage, ...], wished: float, *, longest_h: float = 336.0, members: int = 64
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
    start = sum(s.lasts_h for s in stages)
    told = run(piece, (*stages, Stage("soak", longest_h)), members=members)
    later = told.hours >= start - 1e-9
    below = told.mean_of[later] <= wished * 100
    first = np.where(below.any(0), told.hours[later][below.argmax(0)] - start, np.inf)
    low, likely, high = (float(np.quantile(first, q, method="higher")) for q in (0.05, 0.5, 0.95))
    return Band(low, likely, high if math.isfinite(high) else longest_h) if math.isfinite(likely) else None
