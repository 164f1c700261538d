"""The answer about one germ: four answers, their level, and the sentences that may be said of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ingle.ground.things import LEVELS

ANSWERS = ("outside_range", "below", "above", "cannot_say")
LEVEL_OF = {"outside_range": "within", "below": "within", "above": "over", "cannot_say": "cannot_say"}
NOT_CHECKED = (
    "parasites",
    "histamine",
    "mould and its toxins",
    "viruses",
    "allergens",
    "calibration of your thermometer",
)


@dataclass(frozen=True)
class Growth:
    """One germ over one record.

    ``log10_low``, ``log10``, ``log10_high``: growth in tenfold steps at the worst place, without lag: 5 %, as told, 95 %; None
    where no model tells it. ``log10_with_lag`` is the nominal figure with the published lag, told beside it and never judged.
    """

    organism: str
    key: str
    answer: str
    level: str
    log10_low: float | None
    log10: float | None
    log10_high: float | None
    place: str
    hours: float
    line: float | None
    line_clause: str
    source: str
    sure: str
    text: str
    log10_with_lag: float | None = None
    psi: float | None = None
    interface: str = ""
    hours_to_line: float | None = None
    settle: str = ""  # the one reading that would settle a cannot_say
    act: str = ""
    hard_stop: bool = False
    ruled_out_by: str = ""
    assumed: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    not_checked: tuple[str, ...] = NOT_CHECKED
    doubt: str = ""

    def __post_init__(self) -> None:
        if self.answer not in ANSWERS or self.level not in LEVELS:
            raise ValueError(f"{self.answer!r}, {self.level!r}: one of {ANSWERS}, {LEVELS}")

    def as_dict(self) -> dict[str, Any]:
        """Plain keys and values for ``--json``."""
        told = dict(vars(self))
        for key in ("assumed", "notes", "not_checked"):
            told[key] = list(told[key])
        return told


def at_place(place: str) -> str:
    """``at the surface``, ``everywhere``."""
    return place if place in ("everywhere",) or place.startswith(("at ", "in ")) else f"at the {place}" if not place.startswith("place ") else f"at {place}"


def warmth(low: float, high: float) -> str:
    """``2 to 5 C``."""
    return f"{low:.1f} C" if high - low < 0.05 else f"{low:.1f} to {high:.1f} C"


def logs(value: float) -> str:
    """``0.3 log``; what would round to nothing is told as less than a tenth."""
    return "under 0.1 log" if 0 < value < 0.05 else f"{value:.1f} log"
