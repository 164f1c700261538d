"""When a cure is ready and what the piece holds on the way."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from ingle.crafts.cure import forecast, history
from ingle.crafts.cure.base import Base, base_of
from ingle.crafts.cure.forecast import Criterion, CureCurves
from ingle.crafts.cure.formula import HOME_SALT
from ingle.crafts.cure.history import Stage, Told
from ingle.crafts.cure.history_file import read_history
from ingle.crafts.cure.mix import Mix
from ingle.ground.things import Forecast, Piece
from ingle.jobs.judge import EXCESS_OVER_WISH, window_dict

HISTORY_MEMBERS = 96  # for weights beside the closed form: the median is steady to 0.1 % of green weight
WINDOW_MEMBERS = 512
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
    per_day_late: float | None  # excess cures: salt the whole piece gains in the day after the likely pull [g/100 g]
    cautions: tuple[str, ...] = CAUTIONS

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/cure.md)."""
        c = self.curves
        window = window_dict(self.ready)
        return {
            "window_h": {k: window[k] for k in ("earliest", "likely", "latest")},
            "what": self.ready.what,
            "even_h": window_dict(self.even),
            "at_chance": {
                "chance": self.ready_chance,
                "h": _finite(self.ready.at_chance[f"{self.ready_chance:g}"]),
            },
            "chance_by": None
            if self.asked_days is None
            else {"days": self.asked_days, "chance": forecast.chance_ready(self.ready, self.asked_days * 24)},
            "kind": "excess" if self.excess else "equilibrium",
            "salt_per_green_weight": self.dose,
            "wished_salt": self.wished_salt,
            "whole_holds_wish_h": None if self.whole is None else window_dict(self.whole),
            "salt_gain_per_day_late_g_per_100g": self.per_day_late,
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
            "grains_h": [_finite(h) for h in self.ready.quantiles_h],
            "weight": weight_rows(self.history),
            "worst": vars(self.history.worst),
            "after": after_rows(self.history),
            "basis": self.ready.basis,
            "not_in_it": list(self.ready.not_in_it),
            "cautions": list(self.cautions),
        }


def weight_rows(told: Told) -> list[dict[str, float]]:
    """Weight of the meat against green weight along time [%], with 5 and 95 %."""
    low, likely, high = told.change_pct
    return [
        {
            "h": float(h),
            "change_pct": float(likely[i]),
            "change_pct_low": float(low[i]),
            "change_pct_high": float(high[i]),
        }
        for i, h in enumerate(told.hours)
    ]


def after_rows(told: Told) -> list[dict[str, Any]]:
    """What each stage leaves."""
    return [
        {
            "kind": a.kind, "h": a.hours, "change_pct": a.change_pct.likely, "change_pct_low": a.change_pct.low,
            "change_pct_high": a.change_pct.high, "brine_g_per_kg": a.brine_g_per_kg.likely, "brine_strength": a.brine_strength,
            "mean_salt_g_per_100g": a.mean_salt.likely,
        }
        for a in told.after
    ]  # fmt: skip


def _finite(hours: float) -> float | None:
    return hours if hours < 1e9 else None


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
    base = base_of(piece)
    dose = mix.salt / base.skin_free_g
    pickle = mix.grams("water") / base.skin_free_g or None
    even_dose = dose / (1 + (pickle or 0.0))
    wish = wished_salt if wished_salt is not None else (HOME_SALT if even_dose > HOME_SALT * 1.4 else even_dose)
    excess = even_dose > wish * EXCESS_OVER_WISH
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
    late = None
    if whole is not None and whole.likely_h < 1e9:
        pair = forecast.curves(
            piece, dose, temperature_c, hours=np.array([whole.likely_h, whole.likely_h + 24.0]), **common
        )
        late = float(pair.mean[1] - pair.mean[0])
    stage = Stage("immerse" if pickle else "rub", min(span, 400.0) * 24, temperature_c, add=mix)
    weights = history.run(piece, (stage,), wished=wish, members=HISTORY_MEMBERS, diffusivity=diffusivity)
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
    )


@dataclass(frozen=True)
class HistoryAnswer:
    """The answer to `cure` with a file of stages."""

    piece: Piece
    stages: tuple[Stage, ...]
    told: Told
    wished_salt: float | None
    ready_chance: float
    cautions: tuple[str, ...] = CAUTIONS

    @property
    def ready(self) -> Forecast:
        """When the core holds 90 % of the wished salt; infinite where the history ends before."""
        ranked = np.sort(self.told.ready_h)

        def at(chance: float) -> float:
            return float(ranked[min(len(ranked) - 1, max(0, int(np.ceil(chance * len(ranked))) - 1))])

        return Forecast(
            what="core holds 90% of the wished salt", earliest_h=at(0.05), likely_h=at(0.5), latest_h=at(0.95),
            quantiles_h=tuple(at(q) for q in forecast.GRAINS), at_chance={f"{self.ready_chance:g}": at(self.ready_chance)},
            basis=f"{len(ranked)} members through {len(self.stages)} stages", not_in_it=("fat and seams in the piece",),
        )  # fmt: skip

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/README.md)."""
        told, window = self.told, window_dict(self.ready)
        columns = {"core": told.core, "mean": told.mean, "surface": told.surface, "nitrite_core": told.nitrite_core}
        return {
            "window_h": {k: window[k] for k in ("earliest", "likely", "latest")}, "what": self.ready.what,
            "curve": [
                {"h": float(h)}
                | {k: float(v[1][i]) for k, v in columns.items()}
                | {f"{k}_low": float(v[0][i]) for k, v in columns.items()}
                | {f"{k}_high": float(v[2][i]) for k, v in columns.items()}
                for i, h in enumerate(told.hours)
            ],
            "unit": "g salt per 100 g of tissue; nitrite mg/kg", "weight": weight_rows(told), "after": after_rows(told),
            "worst": vars(told.worst),
            "profile": [{"depth_mm": float(d), "salt_g_per_100g": float(s)} for d, s in zip(*told.profile, strict=True)],
            "hardening": told.hardening, "assumed": list(told.assumed), "closes": told.closes, "basis": self.ready.basis,
            "not_in_it": list(self.ready.not_in_it), "cautions": list(self.cautions),
        }  # fmt: skip


def cure_by_stages(
    path: Path, *, wished_salt: float | None = None, ready_chance: float = 0.95, diffusivity: float | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> HistoryAnswer:  # fmt: skip
    """Forecast a history of stages from its file."""
    piece, stages = read_history(path)
    told = history.run(
        piece, stages, wished=wished_salt, members=WINDOW_MEMBERS, diffusivity=diffusivity, seen=progress
    )
    return HistoryAnswer(piece, stages, told, wished_salt, ready_chance)
