"""What a mix already made will do: salt on the days around the one that is asked, when it is ready, how long to soak."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ingle.crafts.cure import forecast
from ingle.crafts.cure.accounting import Ingoing
from ingle.crafts.cure.base import Base
from ingle.crafts.cure.forecast import Criterion, CureCurves
from ingle.crafts.cure.history_soak import Soaks, soaks
from ingle.crafts.cure.history_stage import Stage
from ingle.crafts.cure.late import EXCESS_OVER_WISH
from ingle.crafts.cure.mix import Mix
from ingle.ground.things import Forecast, Piece
from ingle.jobs.judge_answer import SaltAt


@dataclass(frozen=True)
class Ahead:
    """What a mix will do; all empty where the thickness was not measured or there is no salt."""

    at: SaltAt | None = None  # at the day that was asked
    table: tuple[SaltAt, ...] = ()  # around it
    left: float | None = None  # if left for ever [g/100 g]
    ready: Forecast | None = None
    even: Forecast | None = None
    curves: CureCurves | None = None
    pull_h: float | None = None  # of an excess cure: when the mean is the wished one [h]


def salt_ahead(
    pieces: tuple[Piece, ...],
    mix: Mix,
    base: Base,
    ruling: Ingoing,
    temperature_c: float | None,
    days: float | None,
    wished: float,
) -> Ahead:
    """Salt at the asked day and around it, for the thickest piece (the slowest)."""
    measured = [p for p in pieces if p.thickness_mm is not None]
    if not measured or ruling.method not in ("dry", "immersion-two", "immersion-one") or mix.salt == 0:
        return Ahead()
    slowest = max(measured, key=lambda p: (p.thickness_mm or 0) * (2 if p.skin != "none" else 1))
    warm = 4.0 if temperature_c is None else temperature_c
    pickle = mix.grams("water") / base.skin_free_g or None
    dose = mix.salt / base.skin_free_g
    asked = 7.0 if days is None else days
    around = sorted({max(asked - 1, 0.0), asked, asked + 1, asked + 3, asked + 7})
    near = forecast.curves(slowest, dose, warm, hours=np.array(around) * 24.0, pickle_water=pickle)
    table = tuple(
        SaltAt(
            d,
            (float(near.core_low[i]), float(near.core[i]), float(near.core_high[i])),
            (float(near.mean_low[i]), float(near.mean[i]), float(near.mean_high[i])),
        )
        for i, d in enumerate(around)
    )
    ready = forecast.window(
        slowest,
        dose,
        warm,
        wished=min(wished, dose) if pickle is None else min(wished, ruling.salt),
        pickle_water=pickle,
    )
    even = forecast.window(slowest, dose, warm, criterion=Criterion("even"), pickle_water=pickle)
    pull = None
    if dose > wished * EXCESS_OVER_WISH:
        pull = forecast.window(
            slowest, dose, warm, wished=wished, criterion=Criterion("mean"), pickle_water=pickle
        ).likely_h
    full = forecast.curves(slowest, dose, warm, days=max(asked * 1.5, 10.0), pickle_water=pickle)
    return Ahead(table[around.index(asked)], table, near.left, ready, even, full, pull)


def soak_back(
    pieces: tuple[Piece, ...], mix: Mix, temperature_c: float | None, days: float | None, wished: float
) -> Soaks | None:
    """How long an excess cure that has lain must soak whole, and in slices where whole takes more than a night."""
    if not days or len(pieces) != 1 or pieces[0].thickness_mm is None:
        return None
    laid = (Stage("rub", days * 24, 4.0 if temperature_c is None else temperature_c, add=mix),)
    return soaks(pieces[0], laid, forecast.wished_in_tissue(wished))
