"""Stages of heating and cooling, as a cook tells them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ingle.ground.errors import OutOfRange
from ingle.ground.tables import toml_table

Floats = NDArray[np.float64]

KINDS = {
    "oven": "an oven",
    "smoker": "a hot smoker",
    "cold-smoker": "a cold-smoke chamber",
    "water-bath": "a bag in circulated warm water",
    "rest": "still air of the kitchen",
    "fridge": "a fridge",
    "freezer": "a freezer",
    "blast": "a blast chiller",
    "ice-bath": "ice and water",
    "cold-water": "running cold water",
}
COLD = ("rest", "fridge", "freezer", "blast", "ice-bath", "cold-water")
LIQUID = ("water-bath", "ice-bath", "cold-water")


@dataclass(frozen=True)
class Record:
    """Air temperatures that were logged from the start of the stage."""

    times: Floats  # [s]
    celsius: Floats


@dataclass(frozen=True)
class Stage:
    """One stage. None means not known: the spread of that kind is taken."""

    kind: str
    air_c: float
    lasts_s: float | None = None  # None: until the core has met ``until_c``
    until_c: float | None = None
    heat_up_s: float = 0.0  # the air climbs straight from ``from_c`` in this time
    from_c: float | None = None
    record: Record | None = None
    fan: bool | None = None
    runs: str = ""  # hot | cool | true | "" = not known
    offset_c: float | None = None  # measured error of the dial: true less dial
    offset_sd_c: float | None = None  # and how far it is off from time to time; None: as an oven that was checked
    support: str = ""  # tray | rack | "" = not known
    film: float | None = None  # total coefficient, given as a number [W/m2K]
    humidity: float | None = None  # relative, at the air's temperature [1]
    ratio: float | None = None  # or kg water per kg dry air
    wrapped: bool = False
    stirred: bool = False

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise OutOfRange(
                f"stage {self.kind!r} is not one of {', '.join(KINDS)}.", field="kind", value=self.kind, limit=tuple(KINDS),
                remedy="Write one of these.",
            )  # fmt: skip
        if self.lasts_s is None and self.until_c is None:
            raise OutOfRange(
                f"A stage of {KINDS[self.kind]} without an end.", field="lasts", value="missing", limit="a time or a core",
                remedy='Write lasts = "40min" or core = "68C".',
            )  # fmt: skip

    @property
    def situation(self) -> str:
        """Key of its film in the laws; for an oven of which nothing is said that of the still one."""
        if self.kind == "oven":
            return "fan-oven" if self.fan else "still-oven"
        if self.kind == "fridge":
            return "fan-fridge" if self.fan else "still-fridge"
        if self.kind == "freezer":
            return "still-freezer"
        return {"ice-bath": "stirred-ice-bath" if self.stirred else "ice-bath"}.get(self.kind, self.kind)

    def film_range(self) -> tuple[str, str]:
        """Situations between whose ends the film lies: two where it is not known whether a fan runs."""
        if self.kind == "oven" and self.fan is None:
            return "still-oven", "fan-oven"
        if self.kind == "fridge" and self.fan is None:
            return "still-fridge", "fan-fridge"
        return self.situation, self.situation

    def offset(self) -> tuple[float, float]:
        """Mean and standard deviation of what the air is beyond its dial [K]."""
        if self.record is not None:
            return 0.0, 0.0
        if self.offset_c is not None:
            return self.offset_c, said("oven")["true"]["sd_c"] if self.offset_sd_c is None else self.offset_sd_c
        if self.kind in ("oven", "smoker"):
            told = said("oven")[self.runs or "offset"]
            return told["mean_c"], told["sd_c"]
        if self.kind in ("rest", "fridge", "freezer"):
            return 0.0, said("room")["sd_c"] / 2.0
        return 0.0, 0.0


def said(key: str) -> dict[str, Any]:
    """A table of laws/cooking.toml."""
    found: dict[str, Any] = toml_table("laws", "cooking.toml")[key]
    return found


def usual_rest(minutes: float, *, wrapped: bool = False) -> Stage:
    """A rest on the board in kitchen air."""
    return Stage("rest", said("room")["celsius"], lasts_s=60.0 * minutes, wrapped=wrapped)


def fully_known(stage: Stage) -> bool:
    """True where film and vapour are given or ruled out, so that only the air's offset is open."""
    return stage.film is not None and stage.humidity is None and stage.ratio is None and stage.support != "tray"
