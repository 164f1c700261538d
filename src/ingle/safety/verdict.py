"""A verdict: one number beside one cited limit, and what was not checked."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from ingle.ground.things import LEVELS

WORDS = {"within": "within", "near": "near the line", "over": "over the line", "cannot_say": "cannot say"}


@dataclass(frozen=True)
class Verdict:
    """One value against one limit.

    ``value``, ``low``, ``high`` and ``limit`` are in ``unit``. ``low`` and ``high`` are the stated spread (scale
    error, forecast band); a spread that touches the limit is near. ``kind`` says what sort of line it is:
    ``law`` (food that is sold), ``harm`` (can hurt), ``practice`` (a rule of the craft), ``plan`` (a forecast of
    this plan), ``advice`` (addressed to inspected plants; never part of the strictest).
    """

    rule: str
    title: str
    level: str
    value: float | None
    limit: float | None
    unit: str
    clause: str
    source: str
    sure: str
    kind: str = "law"
    country: str = ""
    low: float | None = None
    high: float | None = None
    basis: str = ""
    act: str = ""
    doubt: str = ""
    not_checked: tuple[str, ...] = ()
    more: dict[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.level not in LEVELS:
            raise ValueError(f"level {self.level!r} is not one of {LEVELS}")
        if not self.clause or not self.source:
            raise ValueError(f"verdict {self.rule!r} has no clause or no source")

    def as_dict(self) -> dict[str, Any]:
        """Plain keys and values for ``--json``."""
        told = {k: v for k, v in vars(self).items() if k != "more"}
        told["not_checked"] = list(self.not_checked)
        return told | self.more


def level_of_max(value: float, limit: float, low: float | None = None, high: float | None = None) -> str:
    """Level of a value against a ceiling; the spread touching the ceiling is near.

    A value on the limit is within it (laws say "at most"); one part in a million above is taken as arithmetic noise.
    """
    edge = limit * (1 + 1e-6)
    if value > edge:
        return "over"
    if (high is not None and high > edge) or (low is not None and low > edge):
        return "near"
    return "within"


def level_of_min(value: float, limit: float, low: float | None = None) -> str:
    """Level of a value against a floor."""
    edge = limit * (1 - 1e-6)
    if value < edge:
        return "over"
    if low is not None and low < edge:
        return "near"
    return "within"


def worst(verdicts: tuple[Verdict, ...] | list[Verdict]) -> str:
    """The gravest level among verdicts of law, harm, practice and plan; advice does not count."""
    order = {"within": 0, "cannot_say": 1, "near": 2, "over": 3}
    counted = [v.level for v in verdicts if v.kind != "advice"]
    return max(counted, key=order.__getitem__, default="cannot_say")
