"""When a cure is ready and what the piece holds on the way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ingle.crafts.cure import forecast, history
from ingle.crafts.cure.base import Base, base_of
from ingle.crafts.cure.forecast import Criterion, CureCurves
from ingle.crafts.cure.history import Stage, Told
from ingle.crafts.cure.history_soak import soaks
from ingle.crafts.cure.late import DAY_H, Late, wish_of
from ingle.crafts.cure.mix import Mix
from ingle.crafts.cure.thick import as_measured, assumed_words
from ingle.ground.things import Band, Forecast, Piece
from ingle.jobs.windows import after_rows, finite, late_dict, weight_rows, window_dict

# For weights beside the closed form: 96 members hold the median to 0.1 % of green weight, 24 steps to 0.2 % of it.
HISTORY_MEMBERS, HISTORY_STEPS = 96, 24
CAUTIONS = (
    "Cure at 1 to 4 C; above 5 C (FDA Food Code 3-501.16(A)(2)) germs outrun the cure.",
    "Cured is not cooked: heat it to 71 C in the core before it is eaten (USDA; NCHFP).",
)


@dataclass(frozen=True)
class CureAnswer:
    """The answer to `cure`."""

    piece: Piece
    base: Base
    mix: Mix
    dose: float
    wished_salt: float
    temperature_c: float
    excess: bool
    ready: Forecast
    even: Forecast
    whole: Forecast | None  # excess cures: when the whole piece holds the wished salt
    ready_chance: float
    asked_days: float | None
    curves: CureCurves
    history: Told  # weights, nitrite and the worst place, with the water that moves
    stages: tuple[Stage, ...]
    late: Late | None  # excess cures that come to the wish: what lying longer does
    assumed: tuple[str, ...] = ()  # of the piece, where it was not measured: ``piece`` is as it is timed
    cautions: tuple[str, ...] = CAUTIONS

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/README.md)."""
        c = self.curves
        window = window_dict(self.ready)
        return {
            "window_h": {k: window[k] for k in ("earliest", "likely", "latest")},
            "what": self.ready.what,
            "even_h": window_dict(self.even),
            "at_chance": {
                "chance": self.ready_chance,
                "h": finite(self.ready.at_chance[f"{self.ready_chance:g}"]),
            },
            "chance_by": None
            if self.asked_days is None
            else {"days": self.asked_days, "chance": forecast.chance_ready(self.ready, self.asked_days * 24)},
            "kind": "excess" if self.excess else "equilibrium",
            "salt_per_green_weight": self.dose,
            "wished_salt": self.wished_salt,
            "whole_holds_wish_h": None if self.whole is None else window_dict(self.whole),
            "salt_gain_per_day_late_g_per_100g": None if self.late is None else self.late.per_day.likely,
            "late": late_dict(self.late),
            "at_days": None if self.asked_days is None else {"days": self.asked_days} | self._last(),
            "left_salt_g_per_100g": c.left,
            "curve": [
                {
                    "h": float(c.hours[i]),
                    "core": float(c.core[i]),
                    "mean": float(c.mean[i]),
                    "surface": float(c.surface[i]),
                    "core_low": float(c.core_low[i]),
                    "core_high": float(c.core_high[i]),
                    "mean_low": float(c.mean_low[i]),
                    "mean_high": float(c.mean_high[i]),
                }
                for i in range(len(c.hours))
            ],
            "unit": "g salt per 100 g of tissue",
            "grains_h": [finite(h) for h in self.ready.quantiles_h],
            "weight": weight_rows(self.history),
            "worst": vars(self.history.worst),
            "after": after_rows(self.history),
            "basis": self.ready.basis,
            "assumed": [*self.assumed, *self.history.assumed],
            "not_in_it": list(self.ready.not_in_it),
            "cautions": list(self.cautions),
        }

    def _last(self) -> dict[str, Any]:
        """Core and whole at the end of the curve."""
        c = self.curves
        return {
            "core": {"low": float(c.core_low[-1]), "likely": float(c.core[-1]), "high": float(c.core_high[-1])},
            "mean": {"low": float(c.mean_low[-1]), "likely": float(c.mean[-1]), "high": float(c.mean_high[-1])},
        }


def cure(
    piece: Piece,
    mix: Mix,
    *,
    temperature_c: float = 4.0,
    days: float | None = None,
    wished_salt: float | None = None,
    ready_chance: float = 0.95,
    diffusivity: float | None = None,
) -> CureAnswer:
    """Forecast a dry cure (or an immersion) at one temperature.

    Parameters
    ----------
    piece : Piece
        Without a thickness it is taken as thick as a cube of its weight, and the answer says so.
    mix : Mix
        Everything put on; with water in it, a pickle.
    days : float, optional
        How far the curve goes [d]; to the latest hour of the window when not given.
    wished_salt : float, optional
        Salt wished at the table, per green weight; 2.5 % for an excess cure, else the dose.
    ready_chance : float
        Chance at which an equilibrium cure is pulled.
    diffusivity : float, optional
        Fixes D [m2/s] and switches the ensemble off.
    """
    told_of, piece = assumed_words(piece), as_measured(piece)
    base = base_of(piece)
    dose = mix.salt / base.skin_free_g
    pickle = mix.grams("water") / base.skin_free_g or None
    even_dose = dose / (1 + (pickle or 0.0))
    wish, excess = wish_of(even_dose, wished_salt)
    common: dict[str, Any] = {"diffusivity": diffusivity, "pickle_water": pickle}
    ready = forecast.window(
        piece, dose, temperature_c, wished=min(wish, even_dose), chances=(0.5, ready_chance), **common
    )
    even = forecast.window(piece, dose, temperature_c, criterion=Criterion("even"), **common)
    whole = (
        forecast.window(piece, dose, temperature_c, wished=wish, criterion=Criterion("mean"), **common)
        if excess
        else None
    )
    span = days if days is not None else (min(ready.latest_h, 24 * 200.0) / 24 * 1.25 if ready.latest_h < 1e9 else 60.0)
    told = forecast.curves(piece, dose, temperature_c, days=span, **common)
    stage = Stage("immerse" if pickle else "rub", min(span, 400.0) * 24, temperature_c, add=mix)
    weights = history.run(
        piece, (stage,), wished=wish, members=HISTORY_MEMBERS, diffusivity=diffusivity, steps=HISTORY_STEPS
    )
    late = None
    if whole is not None and whole.likely_h < 1e9:
        late = _late(piece, dose, stage, wish, whole.likely_h, days, common)
    return CureAnswer(
        piece,
        base,
        mix,
        dose,
        wish,
        temperature_c,
        excess,
        ready,
        even,
        whole,
        ready_chance,
        days,
        told,
        weights,
        (stage,),
        late,
        told_of,
    )


def _late(
    piece: Piece, dose: float, stage: Stage, wish: float, pull_h: float, days: float | None, common: dict[str, Any]
) -> Late:
    """What a day too long adds, and what the piece holds, and needs, at the day that was asked where that is too late."""
    out = days * DAY_H if days is not None and days * DAY_H > pull_h else pull_h + DAY_H
    c = forecast.curves(piece, dose, stage.temperature_c, hours=np.array([out]), **common)
    laid = (Stage(stage.kind, out, stage.temperature_c, add=stage.add),)
    return Late(
        pull_h=pull_h,
        per_day=forecast.gain(piece, dose, stage.temperature_c, pull_h, **common),
        out_h=out,
        core=Band(float(c.core_low[0]), float(c.core[0]), float(c.core_high[0])),
        whole=Band(float(c.mean_low[0]), float(c.mean[0]), float(c.mean_high[0])),
        soaks=soaks(piece, laid, forecast.wished_in_tissue(wish), diffusivity=common["diffusivity"]),
    )
