"""The answer to a mishap: before and after, what fails now, what can be saved, and the deviation for the record."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ingle.ground.things import Band, Piece
from ingle.jobs.mishap_act import Way
from ingle.jobs.mishap_air import Accident, Course
from ingle.jobs.mishap_judge import Food
from ingle.jobs.mishap_lines import ORDER, Line

Floats = NDArray[np.float64]
CAUTIONS = (
    "Never taste a piece to find out.",
    "These are readings of published limits, no permit: local food law and qualified advice come first.",
)
_NAMES = {
    "fridge-off": "the fridge failed", "left-out": "it was left out", "started-late": "the cure began late", "smoker": "the smoker ran hot",
    "record": "the fridge warmed, by its record",
}  # fmt: skip


@dataclass(frozen=True)
class Salt:
    """The cure before and after: when the core is ready, and the core's salt along the hours."""

    ready_before: Band
    ready_after: Band
    hours: Floats
    core_before: Floats  # likely [g/100 g]
    core_after: Floats
    shift_h: float | None


@dataclass(frozen=True)
class MishapAnswer:
    """The answer to `mishap`."""

    piece: Piece
    food: Food
    accident: Accident
    way: Way
    level: str
    lines: tuple[Line, ...]
    salt: Salt | None
    courses: tuple[Course, Course, Course]  # as planned, the colder end, the warmer end
    settle: str
    assumed: tuple[str, ...]
    not_in_it: tuple[str, ...]
    cautions: tuple[str, ...] = CAUTIONS

    @property
    def what(self) -> str:
        """The mishap in words."""
        return _NAMES[self.accident.kind]

    @property
    def peak_c(self) -> tuple[float, float]:
        """Warmest place of the piece in the accident and the day after it, colder and warmer end. [C]"""
        cold, warm = (float(c.places[:, (c.hours >= self.accident.after_h) & (c.hours <= self.accident.end_h + 24.0)].max()) for c in self.courses[1:])
        return cold, warm

    @property
    def failing(self) -> tuple[Line, ...]:
        """Limits that are worse by the mishap, gravest first; advice last."""
        now = [line for line in self.lines if line.now]
        return tuple(sorted(now, key=lambda line: (not line.counts, -ORDER[line.level], not line.said.hard_stop, not line.said.toxin)))

    @property
    def over_before(self) -> tuple[Line, ...]:
        """Limits that failed without it, and not more by it."""
        return tuple(line for line in self.lines if line.over_before and not line.now and line.counts)

    def deviation(self) -> dict[str, Any]:
        """What a notebook keeps: what, when, how long, peak, limit, act; hours from the start of the first stage."""
        worst = next((line for line in self.failing if line.counts), None)
        deadline = self.way.deadline_h
        return {
            "level": self.way.urgency, "what": self.what, "cause": self.accident.kind, "place": "" if worst is None else worst.said.place,
            "began_h": self.accident.after_h, "ended_h": self.accident.end_h, "lasted_h": self.accident.hours,
            "peak_c_low": round(self.peak_c[0], 2), "peak_c": round(self.peak_c[1], 2),
            "rule": None if worst is None else worst.key, "value": None if worst is None else worst.said.value,
            "limit": None if worst is None else worst.said.limit, "unit": "" if worst is None else worst.said.unit,
            "clause": "" if worst is None else worst.said.clause, "source": "" if worst is None else worst.said.source,
            "act": self.way.act, "deadline_h": None if deadline is None else self.accident.end_h + deadline,
        }  # fmt: skip

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/mishap.md)."""
        return {
            "level": self.level, "act": self.way.act, "why": self.way.why, "urgency": self.way.urgency,
            "choices": [vars(c) for c in self.way.choices], "settle": self.settle, "deviation": self.deviation(),
            "lines": [line.as_dict() for line in self.lines], "failing": [line.key for line in self.failing],
            "over_before": [line.key for line in self.over_before], "cure": self._salt(), "curve": self._curve(),
            "assumed": list(self.assumed), "not_in_it": list(self.not_in_it), "cautions": list(self.cautions),
        }  # fmt: skip

    def _salt(self) -> dict[str, Any] | None:
        if self.salt is None:
            return None
        s = self.salt
        return {
            "ready_before_h": _band(s.ready_before), "ready_after_h": _band(s.ready_after), "shift_h": s.shift_h,
            "core_end_before": float(s.core_before[-1]), "core_end_after": float(s.core_after[-1]), "unit": "g salt per 100 g",
        }  # fmt: skip

    def _curve(self) -> list[dict[str, float]]:
        plan, cold, warm = self.courses
        every = max(1, warm.hours.size // 400)
        return [
            {
                "h": float(warm.hours[i]), "air_before_c": float(plan.air[min(i, plan.air.size - 1)]), "air_c": float(warm.air[i]),
                "core_c_low": float(cold.places[0, i]), "core_c": float(warm.places[0, i]), "surface_c": float(warm.places[-1, i]),
            }
            for i in range(0, warm.hours.size, every)
        ]  # fmt: skip


def _band(band: Band) -> dict[str, float | None]:
    return {k: v if math.isfinite(v) else None for k, v in vars(band).items()}
