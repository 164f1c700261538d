"""The stages of a history: what can be done to a piece, for how long, and how warm."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.forecast_draw import KIND, law
from ingle.crafts.cure.mix import Mix
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.things import Piece

Floats = NDArray[np.float64]
WET = ("rub", "bag", "turn", "top-up", "immerse", "soak")
AIR = ("pellicle", "dry", "smoke")
TURNED = ("rub", "bag", "top-up", "turn")  # stages in which turning would matter
TURNING = "turning: nothing is computed for it; taken as turned daily, every open face wet with brine"
UNTURNED = "a flat piece that salt enters by one face of two takes four times as long, at the worst"
KINDS = (*WET, "pump", "drain", "rinse", "rest", *AIR)


@dataclass(frozen=True)
class Record:
    """A temperature record of a stage: hours from its start, and C."""

    hours: Floats
    celsius: Floats

    def at(self, hour: float) -> float:
        """Temperature at an hour, on straight lines; the last one holds on. [C]"""
        return float(np.interp(hour, self.hours, self.celsius))


@dataclass(frozen=True)
class Stage:
    """One stage of a history."""

    kind: str
    lasts_h: float
    temperature_c: float = 4.0
    record: Record | None = None
    add: Mix = field(default_factory=lambda: Mix(()))
    drip: str = "kept"  # kept | poured (as it comes; what is still dry stays on until the end)
    humidity: float | None = None  # of the air, where it dries

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise BadBrief(
                f"stage kind {self.kind!r} is not known. There are: {', '.join(KINDS)}.",
                field="kind",
                value=self.kind,
                limit=", ".join(KINDS),
                remedy=f"Write one of {', '.join(KINDS)}.",
            )
        if self.drip not in ("kept", "poured"):
            raise BadBrief(
                f"drip {self.drip!r} is not known.",
                field="drip",
                value=self.drip,
                limit="kept, poured",
                remedy="Write kept or poured.",
            )
        if self.kind == "dry" and self.humidity is None:
            raise BadBrief(
                "A stage that dries needs the humidity of its air.",
                field="humidity",
                value="missing",
                limit="like 75%",
                remedy='Write humidity = "75%".',
            )

    def celsius(self, hour: float) -> float:
        """Temperature at an hour of the stage [C]."""
        return self.temperature_c if self.record is None else self.record.at(hour)


def require_stages(stages: tuple[Stage, ...]) -> None:
    """Refuse a history of nothing (BadBrief)."""
    if not stages:
        raise BadBrief(
            "The history has no stage.",
            field="stage",
            value="missing",
            limit="at least one",
            remedy='Write [[stage]] kind = "rub".',
        )


def turning(piece: Piece, stages: tuple[Stage, ...]) -> tuple[str, ...]:
    """What is assumed of turning, where it would matter; no source gives what it is worth, the path gives the worst."""
    if not any(stage.kind in TURNED for stage in stages):
        return ()
    flat = KIND[piece.shape] == "slab" and piece.skin == "none"
    return (f"{TURNING}; {UNTURNED}" if flat else TURNING,)


def require_temperatures(stages: tuple[Stage, ...]) -> None:
    """Refuse a stage that is ever outside the range of the law (OutOfRange), and say which way out."""
    low, high = law()["salt"]["lean"]["valid_c"]
    for i, stage in enumerate(stages):
        values = (
            [stage.temperature_c]
            if stage.record is None
            else [float(stage.record.celsius.min()), float(stage.record.celsius.max())]
        )
        for value in values:
            if not low <= value <= high:
                raise OutOfRange(
                    f"stage[{i}] ({stage.kind}) is at {value:g} C; the forecast holds from {low:g} to {high:g} C"
                    + (" and for no frozen piece." if value < low else "."),
                    field=f"stage[{i}].temperature",
                    value=f"{value:g} C",
                    limit=f"{low:g} to {high:g} C",
                    remedy="Thaw the piece first."
                    if value < low
                    else "A fridge at 39 is most likely in F: write 39F."
                    if 30 < value < 60
                    else "Use a cooler place.",
                )
