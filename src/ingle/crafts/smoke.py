"""Cold smoke: is the chamber cool enough, for how long altogether, with how much fuel, and how long to rest.

A session is judged against every line that applies to what hangs in it; nothing here counts as cooking.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ingle.crafts._lines import CitedBand, Note, band, judged, line_value, notes, require
from ingle.ground.errors import OutOfRange
from ingle.safety.verdict import Verdict, worst

KINDS = ("meat", "fish", "butter")
FUELS = ("tray", "tube")
NOT_CHECKED = (
    "growth of germs along the core and surface temperature",
    "salt in the water phase, water activity, pH",
)
_COOL = "Stop the fuel, open the chamber, set frozen bottles on the top shelf, and go on when it is cooler."


@dataclass(frozen=True)
class Session:
    """One run of the smoker: chamber temperature at rising hours from its start."""

    hours: tuple[float, ...]
    chamber_c: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.hours) != len(self.chamber_c) or len(self.hours) < 2:
            raise OutOfRange(
                f"a session needs 2 readings or more; got {len(self.hours)} hours and "
                f"{len(self.chamber_c)} readings.",
                field="session", value=len(self.hours), limit=2,
                remedy="Read the chamber at least at the start and the end.",
            )  # fmt: skip
        for hour, chamber in zip(self.hours, self.chamber_c, strict=True):
            require(hour, "hour", 0.0, 10_000.0, "h")
            require(chamber, "chamber", -40.0, 150.0, "C")
        if any(b <= a for a, b in pairwise(self.hours)):
            raise OutOfRange(
                f"the hours of a session must rise; got {self.hours}.",
                field="hours",
                value=self.hours,
                remedy="Sort the readings by time.",
            )


@dataclass(frozen=True)
class Fuel:
    """Fuel for a run, and how often to look."""

    kind: str
    fills: int  # planned on the shortest burn, so that it does not go out
    lasts_low_h: float
    lasts_high_h: float
    looks: int
    look_every_h: float
    sure: str


@dataclass(frozen=True)
class SmokeCheck:
    """Sessions of one piece against the lines, with what to mind and how long to rest."""

    kind: str
    level: str
    verdicts: tuple[Verdict, ...]
    smoked_h: float
    warmest_c: float
    longest_run_h: float
    rest_d: CitedBand
    usual_run_h: CitedBand
    cautions: tuple[Note, ...]


def steady(hours: float, chamber_c: float) -> Session:
    """A planned session at one temperature."""
    require(hours, "hours", 1e-6, 10_000.0, "h")
    return Session((0.0, hours), (chamber_c, chamber_c))


def hours_above(session: Session, line_c: float) -> float:
    """Hours a chamber stood above a temperature, straight lines between readings. [h]"""
    t, v = np.asarray(session.hours), np.asarray(session.chamber_c) - line_c
    a, b, step = v[:-1], v[1:], np.diff(t)
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = np.where(a == b, 0.0, np.maximum(a, b) / np.abs(b - a))
    share = np.where((a > 0) & (b > 0), 1.0, np.where((a > 0) | (b > 0), crossing, 0.0))
    return float(np.sum(step * share))


def fuel(hours: float, kind: str = "tray") -> Fuel:
    """Fills of dust or pellets for a run: a tray burns 8 to 10 h, a tube 2 to 6."""
    require(hours, "hours", 1e-6, 10_000.0, "h")
    if kind not in FUELS:
        raise OutOfRange(f"fuel {kind!r} is not one of {', '.join(FUELS)}.", field="fuel", value=kind,
                         limit=FUELS,
                         remedy="Take the closest: tray for dust, tube for pellets.")  # fmt: skip
    burn, look = band("smoke", f"{kind}_h"), band("smoke", "look_every_h")
    return Fuel(
        kind=kind, fills=math.ceil(hours / burn.low), lasts_low_h=burn.low, lasts_high_h=burn.high,
        looks=math.ceil(hours / look.high), look_every_h=look.high, sure=burn.sure,
    )  # fmt: skip


def check(kind: str, sessions: Sequence[Session], interior_barred: bool = False) -> SmokeCheck:
    """Judge all the cold-smoke sessions of one piece, planned or done.

    Parameters
    ----------
    kind : str
        ``meat``, ``fish`` or ``butter`` (cheese and salt as butter).
    sessions : sequence of Session
        In order; their hours add up.
    interior_barred : bool
        True once every place of the piece is known to hold 10 % salt in its water, aw 0.935 or less,
        or pH 4.6
        or less: then the botulinum hours do not bind.
    """
    if kind not in KINDS:
        raise OutOfRange(f"{kind!r} is not one of {', '.join(KINDS)}.", field="kind", value=kind, limit=KINDS,
                         remedy="Say what hangs in the smoke; cheese and salt go as butter.")  # fmt: skip
    if not sessions:
        raise OutOfRange(
            "a smoke is judged by 1 session or more; none was given.",
            field="sessions",
            value=0,
            limit=1,
            remedy="Give at least one run of the smoker.",
        )
    warmest = max(max(s.chamber_c) for s in sessions)
    total = sum(s.hours[-1] - s.hours[0] for s in sessions)
    longest = max(s.hours[-1] - s.hours[0] for s in sessions)
    if kind == "meat":
        lines = _meat(warmest)
    elif kind == "fish":
        lines = _fish(warmest, total)
    else:
        lines = _butter(warmest, longest)
    if kind != "butter" and not interior_barred:
        lines = (*lines, *_interior(sessions))
    return SmokeCheck(
        kind=kind, level=worst(lines), verdicts=lines, smoked_h=total, warmest_c=warmest,
        longest_run_h=longest,
        rest_d=band("smoke", f"rest_{kind}_d"), usual_run_h=band("smoke", f"{kind}_h"),
        cautions=notes("smoke"),
    )  # fmt: skip


def _meat(warmest: float) -> tuple[Verdict, ...]:
    return (
        judged("smoke", "stop", warmest, _COOL, not_checked=NOT_CHECKED),
        judged("smoke", "home", warmest, _COOL, not_checked=NOT_CHECKED),
    )


def _fish(warmest: float, total: float) -> tuple[Verdict, ...]:
    """Either at most 10 degC for 24 h, or at most 32 degC for 20 h; the home line is told beside it."""
    shorter = "End the smoke and chill the fish now."
    home = (judged("smoke", "stop", warmest, _COOL, not_checked=NOT_CHECKED),)
    if warmest <= line_value("smoke", "fish_cold"):
        return (*home, judged("smoke", "fish_cold_hours", total, shorter, not_checked=NOT_CHECKED))
    return (
        *home,
        judged("smoke", "fish_warm", warmest, _COOL, not_checked=NOT_CHECKED),
        judged("smoke", "fish_warm_hours", total, shorter, not_checked=NOT_CHECKED),
    )


def _butter(warmest: float, longest: float) -> tuple[Verdict, ...]:
    return (
        judged("smoke", "butter", warmest, "Set the dish over ice, or wait for a colder night."),
        judged("smoke", "butter_shape", warmest, "Take it out and chill it: it is losing its shape."),
        judged("smoke", "butter_hours", longest, "Put it back into the fridge."),
    )


def _interior(sessions: Sequence[Session]) -> tuple[Verdict, ...]:
    warm = sum(hours_above(s, line_value("smoke", "interior_warm_from")) for s in sessions)
    mild = sum(hours_above(s, line_value("smoke", "interior_from")) for s in sessions) - warm
    act = "Smoke at 10 C or below, or in fewer, shorter runs; have the growth along the record reckoned."
    return (
        judged("smoke", "interior_10_21", mild, act, not_checked=NOT_CHECKED),
        judged("smoke", "interior_above_21", warm, act, not_checked=NOT_CHECKED),
    )
