"""What a history's picture is drawn from, and what is refused."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Protocol

import numpy as np

from ingle.faces.history_panels import Floats
from ingle.ground.errors import OutOfRange

Named = tuple[str, float, float]  # a stage: name, start and end in hours

LEAST_WIDTH = 280


class HistoryLike(Protocol):
    """What is drawn: rows along ``hours`` [h]; bands are (5 %, likely, 95 %)."""

    @property
    def hours(self) -> Any: ...
    @property
    def core(self) -> Any: ...  # g salt per 100 g
    @property
    def mean(self) -> Any: ...
    @property
    def surface(self) -> Any: ...
    @property
    def change_pct(self) -> Any: ...  # against green weight
    @property
    def nitrite_core(self) -> Any: ...  # mg/kg


def checked(told: HistoryLike, stages: Sequence[Named], width: float) -> tuple[Floats, dict[str, Floats]]:
    """Times and bands as arrays, shape (n,) and (3, n), or OutOfRange with what does not fit."""
    if width < LEAST_WIDTH:
        raise OutOfRange(f"A picture {width} px wide has no room.", field="width", value=f"{width} px",
                         limit=f"{LEAST_WIDTH} px and more", remedy=f"Take {LEAST_WIDTH} px or more.")  # fmt: skip
    hours = np.asarray(told.hours, float)
    if (
        hours.ndim != 1
        or len(hours) < 2
        or not np.isfinite(hours).all()
        or (np.diff(hours) < 0).any()
        or hours[-1] <= 0
    ):
        raise OutOfRange("The hours are no line of time.", field="hours", value=hours.shape,
                         limit="two and more, rising", remedy="Give a history that lasts some time.")  # fmt: skip
    rows = {}
    for name in ("core", "mean", "surface", "change_pct", "nitrite_core"):
        band = np.asarray(getattr(told, name), float)
        if band.shape != (3, len(hours)) or not np.isfinite(band).all():
            raise OutOfRange(
                f"{name} of shape {band.shape} does not fit {len(hours)} times, or holds what is no number.", field=name,
                value=band.shape, limit=(3, len(hours)), remedy="Give rows at 5, 50 and 95 %, one number a time.",
            )  # fmt: skip
        rows[name] = band
    for i, (name, start, end) in enumerate(stages):
        if not 0 <= start <= end < math.inf:
            raise OutOfRange(f"stage[{i}] ({name}) is from {start:g} to {end:g} h.", field=f"stage[{i}]", value=f"{end:g} h",
                             limit=f"{start:g} h and later", remedy="Let it end after it starts.")  # fmt: skip
    return hours, rows
