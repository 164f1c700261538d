"""What each box of cure is to get, and when it is ready: the cure craft asked in the plan's words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from ingle.crafts.cure import forecast, formula
from ingle.crafts.cure.base import Base, base_of_all
from ingle.crafts.cure.forecast import Criterion
from ingle.crafts.cure.formula import Formula, Targets
from ingle.crafts.cure.mix import CuringSalt, Mix, mix
from ingle.crafts.cure.thick import as_measured
from ingle.ground.errors import NoPlan
from ingle.ground.things import Forecast, Piece
from ingle.planning.parts import CureSpec
from ingle.planning.pieces import Box
from ingle.planning.spans import moment
from ingle.planning.tasks import StepTime

# An equilibrium cure may run over: a week more does little (common practice); an excess cure has this much play.
MAY_RUN_OVER_H = 7 * 24.0
EXCESS_PLAY_H = 6.0


@dataclass(frozen=True)
class BoxDose:
    """What one box gets or has got."""

    part: str
    box: Box
    base: Base
    mix: Mix
    formula: Formula | None  # None: the box is begun, its mix was weighed by the cook
    packet: CuringSalt
    known: bool = True  # False: begun, and the brief does not say what was added; the part's targets are taken


def targets_of(cure: CureSpec) -> Targets:
    """The targets a part file names."""
    return Targets(
        salt=cure.salt_per_green_weight,
        nitrite_mg_per_kg=cure.nitrite_mg_per_kg,
        sugar=cure.sugar_per_green_weight,
    )


def dose_of(part: str, cure: CureSpec, box: Box, step_g: float) -> BoxDose:
    """Weigh for a box, or read what lies in it."""
    base = base_of_all(box.pieces)
    packet = CuringSalt(cure.curing_salt_nitrite)
    added = [(name, f"{grams}g") for begun in box.begun for name, grams in begun.added_g.items()]
    if added:
        return BoxDose(part, box, base, mix(added), None, packet)
    made = formula.dry(base, targets_of(cure), packet if cure.nitrite_mg_per_kg else None, step_g)
    return BoxDose(part, box, base, made.mix, made, packet, known=box.started is None)


def slowest(box: Box) -> Piece:
    """The piece that is ready last: the longest way for the salt."""
    return max(
        (as_measured(p) for p in box.pieces),
        key=lambda p: (p.thickness_mm or 0) * (2 if p.skin != "none" else 1),
    )


def ready(dose: BoxDose, cure: CureSpec, temperature_c: float, sd_c: float, chance: float) -> StepTime:
    """How long a box lies in its cure.

    Raises
    ------
    NoPlan
        The dose never brings the core there at the wished chance.
    """
    share = dose.mix.salt / dose.base.skin_free_g
    piece = slowest(dose.box)
    excess = cure.method == "excess"
    criterion = Criterion("mean", 1.0) if excess else Criterion("cooked")
    told = forecast.window(
        piece,
        share,
        temperature_c,
        wished=min(cure.salt_per_green_weight, share),
        criterion=criterion,
        chances=(0.5, chance),
        temperature_sd_c=sd_c,
    )
    hours = told.likely_h if excess else told.at_chance[f"{chance:g}"]
    if hours > 1e6:
        raise NoPlan(
            f"{dose.part}: at {share * 100:.2f} % salt the core is not ready at a chance of {chance:.0%}, however long it lies.",
            clash=(f"{dose.part}: {share * 100:.2f} % salt", f"ready at a chance of {chance:.0%}"),
            field="ready_chance",
            value=chance,
            remedy="Give it more salt, or accept a lower chance.",
        )
    return StepTime(hours, hours + (EXCESS_PLAY_H if excess else MAY_RUN_OVER_H), told, _each(dose, cure, temperature_c, sd_c, chance, criterion))


def _each(dose: BoxDose, cure: CureSpec, temperature_c: float, sd_c: float, chance: float, criterion: Criterion) -> tuple[tuple[Piece, Forecast], ...]:
    """The window of each piece of a box in which several lie, all at the box's share of salt."""
    if len(dose.box.pieces) < 2:
        return ()
    share = dose.mix.salt / dose.base.skin_free_g
    wished = min(cure.salt_per_green_weight, share)
    return windows([(p, share, wished) for p in dose.box.pieces], temperature_c, chance, criterion=criterion, sd_c=sd_c)


def windows(
    pieces: Sequence[tuple[Piece, float, float]], temperature_c: float, chance: float, *, criterion: Criterion = Criterion(), sd_c: float | None = None
) -> tuple[tuple[Piece, Forecast], ...]:
    """Pieces that lie together, each with its own window.

    Parameters
    ----------
    pieces : sequence of (Piece, float, float)
        Each with its salt and its wished salt, per green weight without skin [1].
    sd_c : float, optional
        Spread of the fridge; left out: of a fridge of which nothing is known. [K]
    """
    return tuple(
        (p, forecast.window(as_measured(p), share, temperature_c, wished=wished, criterion=criterion, chances=(0.5, chance), temperature_sd_c=sd_c))
        for p, share, wished in pieces
    )


def ready_dates(start: datetime, told: Forecast) -> tuple[datetime, datetime, datetime]:
    """Earliest, likely and latest as dates, to the minute."""
    from_start = lambda h: _after(start, h)  # noqa: E731
    return from_start(told.earliest_h), from_start(told.likely_h), from_start(told.latest_h)


def _after(start: datetime, hours: float) -> datetime:
    return moment(start, round(min(hours, 1e6) * 60))
