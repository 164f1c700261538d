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
from ingle.crafts.cure.history_draw import SOLUTES, cells_of, draw
from ingle.crafts.cure.history_march import CELLS, pass_through
from ingle.crafts.cure.history_soak import soak_needed
from ingle.crafts.cure.history_stage import Record, Stage, require_stages, require_temperatures, turning
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
from ingle.ground.things import Piece
from ingle.physics import histories
from ingle.physics.histories import Pieces

__all__ = ["After", "Record", "Stage", "Told", "Worst", "run", "soak_needed"]

Floats = NDArray[np.float64]


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

    def note(hour: float, p: Pieces) -> None:
        when.append(hour)
        rows.append(looked(p))

    def ended(number: int, stage: Stage, hour: float, p: Pieces) -> None:
        after.append(after_of(stage, hour, p))
        if seen is not None:
            seen(number + 1, len(stages))

    note(0.0, now)
    passed = pass_through(cells, now, stages, grams, drawn, note=note, ended=ended)
    now, given = passed.now, passed.given
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
        assumed=(*turning(piece, stages), *body, *passed.assumed),
        hardening=passed.crust,
    )
