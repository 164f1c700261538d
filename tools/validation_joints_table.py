"""Joints whose cooling was measured (James and James 2002), and the one rule for what their tables do not print.

The rule, ``james_james_2002_rule.toml``, was laid down before any case was run with it, the same for joints seen before and held out.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from ingle.crafts.heat.joint import Joint
from tools.validation_rows import DATA, published

TABLE, RULE = "james_james_2002_joints.csv", "james_james_2002_rule.toml"
SOURCE = "James & James 2002, tables 16.4 and 16.7 (quoted, secondary copy)"
ROUND_H = 0.05  # half of the last printed digit
GROUPS = {"seen": "seen before", "held": "held out"}


@cache
def rule() -> dict[str, Any]:
    """What is put in for what is not printed, each entry with its source."""
    return tomllib.loads((DATA / RULE).read_text(encoding="utf-8"))


@dataclass(frozen=True)
class Leg:
    """One stage: medium, temperature with its ends or its fall, speed with its ends, hours or None."""

    medium: str
    celsius: tuple[float, float]
    fall_h: float | None  # hours in which the air falls from the first to the second; None: it lies between them
    speed: tuple[float, float] | None
    hours: float | None


@dataclass(frozen=True)
class Case:
    """One joint and its printed times: (from or None, to, hours)."""

    key: str
    group: str  # seen | held
    what: str
    joint: Joint
    step_mm: float
    cover: str
    start_c: float | None  # None: not printed
    form: str
    legs: tuple[Leg, ...]
    times: tuple[tuple[float | None, float, float], ...]


@dataclass(frozen=True)
class Timed:
    """One printed time beside its prediction. [h]"""

    case: Case
    span: str
    measured: float
    predicted: float
    low: float
    high: float
    least: float = 0.0  # what conduction needs at the least; 0 where the prediction is not the slower
    beyond: bool = False  # measured faster than that

    @property
    def error(self) -> float:
        """Predicted over measured, less 1."""
        return self.predicted / self.measured - 1.0

    @property
    def inside(self) -> bool:
        """Whether the band holds it."""
        return self.low - ROUND_H <= self.measured <= self.high + ROUND_H


@dataclass(frozen=True)
class Summary:
    """Errors and share inside of some times."""

    count: int
    joints: int
    median: float  # of the sizes of the errors [1]
    mean: float  # of the signed errors [1]
    inside: int

    @property
    def share(self) -> float:
        """Of the times that the band holds. [1]"""
        return self.inside / self.count


def summary(timed: tuple[Timed, ...]) -> Summary:
    """Of any of the times."""
    errors = np.array([t.error for t in timed])
    return Summary(
        len(timed), len({t.case.key for t in timed}), float(np.median(np.abs(errors))), float(errors.mean()), sum(t.inside for t in timed)
    )


def cases() -> tuple[Case, ...]:
    """The published table."""
    return tuple(_case(row) for row in published(TABLE))


def _case(row: dict[str, str]) -> Case:
    size = lambda key: float(row[key]) if row[key] not in ("", "weight") else None  # noqa: E731
    weight = 1000.0 * float(row["weight_kg"])
    if row["length"] not in ("", "weight"):  # all three sizes are printed: an egg has its weight within 5 %, a log less than its box
        weight = 0.0
    joint = Joint(row["part"], row["shape"], weight or None, size("thickness"), size("width"), size("length"))
    times = []
    for part in row["times"].split(";"):
        span, _, hours = part.partition("=")
        begin, _, end = span.rpartition("-")
        times.append((None if begin == "start" else float(begin), float(end), float(hours)))
    start = float(row["start_c"]) if row["start_c"] else None
    legs = tuple(_leg(t) for t in row["legs"].split("|"))
    return Case(row["case"], row["group"], row["what"], joint, float(row["step"]), row["cover"], start, row["form"], legs, tuple(times))


def _leg(text: str) -> Leg:
    medium, celsius, speed, hours = text.split(":")
    paces = {"room": "speed_room", "chill": "speed_chill_room"}
    fall = None
    if celsius == "mains":
        between = ends("mains_water")
    elif ">" in celsius:
        high, _, rest = celsius.partition(">")
        low, _, by = rest.partition("@")
        between, fall = (float(high), float(low)), float(by)
    else:
        between = _two(celsius)
    pace = None if speed == "-" else ends(paces[speed]) if speed in paces else _two(speed)
    return Leg(medium, between, fall, pace, float(hours) if hours else None)


def _two(text: str) -> tuple[float, float]:
    low, high = text.split("/")
    return float(low), float(high)


def ends(key: str) -> tuple[float, float]:
    """Low and high of one entry of the rule."""
    return rule()[key]["low"], rule()[key]["high"]
