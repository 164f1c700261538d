"""The cure bench: one piece and its mix, judged and forecast at once, quick enough to be dragged."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ingle.crafts.cure import forecast
from ingle.crafts.cure.base import base_of
from ingle.crafts.cure.forecast import CureCurves
from ingle.crafts.cure.formula import Targets
from ingle.crafts.cure.front import Front, front
from ingle.crafts.cure.late import wish_of
from ingle.crafts.cure.mix import CuringSalt
from ingle.crafts.cure.thick import as_measured, assumed_words
from ingle.ground import units
from ingle.ground.things import Forecast, Piece
from ingle.jobs.cure import CAUTIONS, cure
from ingle.jobs.weigh import WeighAnswer, weigh
from ingle.safety.limits import Product


@dataclass(frozen=True)
class Asked:
    """What stands on the bench."""

    piece: Piece
    targets: Targets
    packet: CuringSalt | None
    temperature_c: float
    days: float
    rules: tuple[str, ...]
    day: str
    step_g: float
    product: Product = Product()  # noqa: RUF009  frozen, a value
    ready_chance: float = units.fraction("95%")  # read as the command reads it, to the last bit


@dataclass(frozen=True)
class Bench:
    """The answer: what to weigh, what the laws say, when it is ready, how far the salt is at the day asked."""

    asked: Asked
    weighed: WeighAnswer
    ready: Forecast
    curves: CureCurves
    front: Front | None
    excess: bool
    wished: float
    chance_by_day: float
    pull_h: float  # an equilibrium cure: the hour by which ``ready_chance`` are ready; an excess cure: the likely hour
    cautions: tuple[str, ...] = CAUTIONS
    assumed: tuple[str, ...] = ()  # of a piece that was not measured


def bench(asked: Asked) -> Bench:
    """Judge and forecast one piece. The same jobs and closed forms as `weigh` and `cure`, without the weights along the way.

    Raises
    ------
    BadBrief, OutOfRange, Refused
        As `weigh` and `cure`.
    """
    weighed = weigh((asked.piece,), targets=asked.targets, packet=asked.packet, product=asked.product, rules=asked.rules, day=asked.day, step_g=asked.step_g)
    dose = weighed.formula.mix.salt / base_of(asked.piece).skin_free_g
    wish, excess = wish_of(dose, None)
    piece = as_measured(asked.piece)
    ready = forecast.window(piece, dose, asked.temperature_c, wished=min(wish, dose), chances=(0.5, asked.ready_chance))
    told = forecast.curves(piece, dose, asked.temperature_c, days=_as_far(asked.days, ready))
    across = front(piece, dose, asked.temperature_c, 24 * asked.days)
    pull = ready.likely_h if excess else ready.at_chance[f"{asked.ready_chance:g}"]
    return Bench(asked, weighed, ready, told, across, excess, wish, forecast.chance_ready(ready, 24 * asked.days), pull, assumed=assumed_words(asked.piece))


def _as_far(days: float, ready: Forecast) -> float:
    """How far the curve goes: past the day asked, and to the latest hour where that is not months off, so that the day is seen on its way."""
    late = min(ready.latest_h, 2.5 * ready.likely_h) if ready.likely_h < 1e9 else 0.0
    return max(days, min(late / 24, 90.0)) * 1.08


def as_dict(asked: Asked) -> dict[str, Any]:
    """What `ingle weigh --json` and, for what it says to weigh, `ingle cure --json` answer."""
    weighed = weigh((asked.piece,), targets=asked.targets, packet=asked.packet, product=asked.product, rules=asked.rules, day=asked.day, step_g=asked.step_g)
    told = cure(asked.piece, weighed.formula.mix, temperature_c=asked.temperature_c, days=asked.days, ready_chance=asked.ready_chance)
    return {"weigh": weighed.as_dict(), "cure": told.as_dict()}
