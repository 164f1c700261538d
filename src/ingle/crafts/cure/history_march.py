"""Pieces through a chain of stages, one after the other: what a history and a soak have in common."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.history_draw import SOLUTES, Members, loss_of, pace_of, water_pace_of
from ingle.crafts.cure.history_stage import Stage
from ingle.crafts.cure.history_surface import area_of, begin, crusts_of, surface_of
from ingle.ground import units
from ingle.physics import histories
from ingle.physics.histories import Depth, Pieces

Floats = NDArray[np.float64]
CELLS, STEPS = 30, 40


@dataclass(frozen=True)
class Passed:
    """Where the pieces are after some stages."""

    now: Pieces
    hours: float  # from the start
    given: Floats  # (K, M) put on or in, per green weight
    crusts: tuple[Floats, ...]  # (M,) for each stage that dries: how much it asks for a hard crust, 0 to 1
    assumed: tuple[str, ...]


def pass_through(
    cells: Depth,
    now: Pieces,
    stages: tuple[Stage, ...],
    grams: float,
    drawn: Members,
    *,
    at: float = 0.0,
    steps: int = STEPS,
    note: Callable[[float, Pieces], None] | None = None,
    ended: Callable[[int, Stage, float, Pieces], None] | None = None,
) -> Passed:
    """Take pieces through stages.

    Parameters
    ----------
    grams : float
        Green weight without skin, on which what is added counts [g].
    at : float
        Hours that lie behind the pieces [h].
    steps : int
        Of each stage.
    note : callable, optional
        Told hour and pieces after every step.
    ended : callable, optional
        Told number of the stage, stage, hour and pieces after every stage.
    """
    given = np.zeros((len(SOLUTES), len(drawn.path)))
    crusts: list[Floats] = []
    assumed: list[str] = []
    area = area_of(cells, drawn)
    for number, stage in enumerate(stages):
        now, put = begin(cells.share, now, stage, grams, drawn)
        given += put
        surface, dries, said = surface_of(stage, drawn, area)
        assumed += said
        if stage.lasts_h > 0:
            seconds = histories.steps_of(stage.lasts_h * units.HOUR_S, steps)
            for part in histories.parts_of(seconds, stage.drip == "poured" and surface.saturated is not None):
                now = histories.march(
                    cells,
                    now,
                    part,
                    pace_of(stage, drawn),
                    loss_of(stage, drawn),
                    surface,
                    water_pace=water_pace_of(stage, drawn) if dries else None,
                    seen=None if note is None else _since(at, note),
                )
                if len(part) < len(seconds):
                    now = histories.pour(now, surface.saturated)
            at += stage.lasts_h
        if dries:
            crusts.append(crusts_of(stage, now.water[-1], now.solute[-1, 0], now.dry_matter[-1]))
        if stage.drip == "poured" or stage.kind in ("immerse", "soak"):
            now = histories.pour(now)
        if ended is not None:
            ended(number, stage, at, now)
    return Passed(now, at, given, tuple(crusts), tuple(dict.fromkeys(assumed)))


def _since(start: float, note: Callable[[float, Pieces], None]) -> Callable[[float, Pieces], None]:
    return lambda second, p: note(start + second / units.HOUR_S, p)
