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
from ingle.crafts.cure.history_draw import cells_of, draw
from ingle.crafts.cure.history_march import CELLS, STEPS
from ingle.crafts.cure.history_parts import Each, Part, split, walk_all
from ingle.crafts.cure.history_soak import soak_needed
from ingle.crafts.cure.history_stage import Record, Stage, require_stages, require_temperatures, turning
from ingle.crafts.cure.history_told import (
    After,
    Told,
    Worst,
    after_told,
    band_of,
    first_hours_of,
    profile_of,
    worst_of,
)
from ingle.ground.spread import median
from ingle.ground.things import Piece

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
    each: Each | None = None,
    steps: int = STEPS,
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
        Told stages done and stages in all, over the parts of `history_parts.PART` members.
    each : callable, optional
        Works the parts out elsewhere, see `history_parts.Each`; here, one after the other, when left out. The numbers are
        the same.
    steps : int
        Of each stage.

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
    total_salt = sum(s.add.salt for s in stages) / grams
    water0 = law()["water"]["lean"]["value"]
    goal = 0.9 * (wished or total_salt) * float(np.mean(drawn.taken)) / water0 if total_salt else math.inf
    gone = walk_all([Part(cells, stages, grams, some, steps) for some in split(drawn)], each, seen)
    core, mean, surface_salt, nitrite, change, strength = gone.rows
    ends = enumerate(zip(stages, gone.ends, strict=True))
    return Told(
        hours=gone.hours,
        core=band_of(core),
        mean=band_of(mean),
        surface=band_of(surface_salt),
        nitrite_core=band_of(nitrite),
        change_pct=band_of(change),
        after=tuple(after_told(stage, hour, tuple(gone.left[:, i])) for i, (stage, hour) in ends),
        worst=worst_of(cells, gone.now, stages[-1].celsius(stages[-1].lasts_h), drawn),
        profile=profile_of(cells, gone.now, drawn),
        ready_h=first_hours_of(gone.hours, strength, goal),
        mean_of=mean,
        closes=gone.closes,
        assumed=(*turning(piece, stages), *body, *gone.assumed),
        hardening=max((float(median(crusts)) for crusts in gone.crusts), default=0.0),
    )
