"""An excess cure and its clock: what a day too long costs, and the soak that brings the piece back."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ingle.crafts.cure.base import base_of
from ingle.crafts.cure.formula import HOME_SALT
from ingle.crafts.cure.history import run
from ingle.crafts.cure.history_soak import Soaks, soaks
from ingle.crafts.cure.history_stage import WET, Stage
from ingle.ground.spread import band
from ingle.ground.things import Band, Piece

# Above this share of the wished salt the time decides, below it the dose does (common practice).
EXCESS_OVER_WISH = 1.2
DAY_H = 24.0
SALTS = ("rub", "bag", "turn", "top-up", "immerse")  # stages that a piece is pulled from


@dataclass(frozen=True)
class Late:
    """What lying too long does to an excess cure. Salt in g per 100 g, 5, 50 and 95 %."""

    pull_h: float  # hour at which it is to be pulled
    per_day: Band  # what the whole piece gains in the day after
    out_h: float  # hour for which the rest is told
    core: Band  # what core and whole then hold
    whole: Band
    soaks: Soaks  # from then on


def wish_of(even_dose: float, wished: float | None) -> tuple[float, bool]:
    """Wished salt per green weight, and whether a dose is an excess cure.

    Parameters
    ----------
    even_dose : float
        All salt that is given, spread over meat and added water [1].
    wished : float, optional
        As said by the cook; left out: the dose, or `HOME_SALT` where the dose is far above it.
    """
    wish = wished if wished is not None else (HOME_SALT if even_dose > HOME_SALT * 1.4 else even_dose)
    return wish, even_dose > wish * EXCESS_OVER_WISH


def even_dose(piece: Piece, stages: tuple[Stage, ...]) -> float:
    """All salt of some stages over green weight and the water put beside or into it [1]."""
    water = sum(stage.add.grams("water") for stage in stages)
    return sum(stage.add.salt for stage in stages) / (base_of(piece).skin_free_g + water)


def late_by_stages(
    piece: Piece,
    stages: tuple[Stage, ...],
    wished_tissue: float,
    *,
    due_h: float = math.inf,
    members: int = 256,
    diffusivity: float | None = None,
) -> Late | None:
    """What the stages of an excess cure leave, and what a day more in the last of its salt would add.

    Parameters
    ----------
    wished_tissue : float
        Wished salt of the finished tissue [1].
    due_h : float
        Hour at which the whole piece holds the wish, likely: days are counted from there, or from the end of the last stage
        with salt where that comes first.
    members : int
        For the gain; soaks have their own.
    diffusivity : float, optional
        As in `history.run`.

    Returns
    -------
    Late or None
        The soak begins at the end of the last stage with salt, or after the last soak that is written. None where the piece never lies in salt.
    """
    last = max((i for i, stage in enumerate(stages) if stage.kind in SALTS and stage.lasts_h > 0), default=None)
    if last is None:
        return None
    pulled = min(due_h, sum(stage.lasts_h for stage in stages[: last + 1]))
    longer = (*stages[:last], _longer(stages[last]))
    told = run(piece, longer, members=members, diffusivity=diffusivity)
    at = [np.array([np.interp(h, told.hours, salt) for salt in told.mean_of.T]) for h in (pulled, pulled + DAY_H)]
    wet = max(i for i, stage in enumerate(stages) if stage.kind in WET)
    laid = stages[: wet + 1]
    back = soaks(piece, laid, wished_tissue, diffusivity=diffusivity)
    return Late(
        pull_h=pulled,
        per_day=band(at[1] - at[0]),
        out_h=sum(stage.lasts_h for stage in laid),
        core=back.core,
        whole=back.holds,
        soaks=back,
    )


def _longer(stage: Stage) -> Stage:
    return Stage(
        stage.kind,
        stage.lasts_h + DAY_H,
        stage.temperature_c,
        stage.record,
        stage.add,
        stage.drip,
        stage.humidity,
    )
