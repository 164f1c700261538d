"""What the small jobs of the bench answer: figures, each with the record it rests on, and what to do, to mind, what was not looked at."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ingle.ground import tables
from ingle.safety.verdict import Verdict, worst

_PRACTICE = "practice"


@dataclass(frozen=True)
class Figure:
    """One number. ``ground`` is the key of its record, as ``ingle sources`` lists it; ``low`` and ``high`` are a spread in ``unit``."""

    name: str
    value: float
    unit: str
    ground: str
    low: float | None = None
    high: float | None = None

    @property
    def said(self) -> Mapping[str, Any]:
        """The record it rests on."""
        return record(self.ground)

    def as_dict(self) -> dict[str, Any]:
        """Plain keys and values."""
        said = self.said
        return {
            "name": self.name, "value": self.value, "low": self.low, "high": self.high, "unit": self.unit, "record": self.ground,
            "source": said["source"], "sure": said["sure"], "doubt": said.get("doubt", ""),
        }  # fmt: skip


@dataclass(frozen=True)
class Group:
    """Figures that are read together; ``figures`` by the keys they have in JSON."""

    title: str
    figures: Mapping[str, Figure]
    note: str = ""


@dataclass(frozen=True)
class Act:
    """One thing to do or to mind, how grave, and where it is written."""

    level: str  # within | near | over | cannot_say
    act: str
    why: str
    ground: str

    @property
    def said(self) -> Mapping[str, Any]:
        """The record it rests on."""
        return record(self.ground)


@dataclass(frozen=True)
class Care:
    """A caution where work can hurt; ``ground`` where it is written, if anywhere."""

    text: str
    ground: str = ""


@dataclass(frozen=True)
class BenchAnswer:
    """The answer of `brine`, `butter`, `bread`, `dough`, `sauce`, `smoke`."""

    asked: str  # what it is about, in one line
    groups: tuple[Group, ...]
    verdicts: tuple[Verdict, ...] = ()
    acts: tuple[Act, ...] = ()
    assumed: tuple[str, ...] = ()
    not_modelled: tuple[str, ...] = ()
    not_checked: tuple[str, ...] = ()
    cautions: tuple[Care, ...] = ()

    @property
    def judged(self) -> bool:
        """Whether anything stood beside a line: a sum alone is no verdict."""
        return bool(self.verdicts or self.acts)

    @property
    def level(self) -> str:
        """within | near | over | cannot_say; within where nothing was judged, see `judged`."""
        order = ("within", "cannot_say", "near", "over")
        found = [a.level for a in self.acts] + ([worst(self.verdicts)] if self.verdicts else [])
        return max(found, key=order.index, default="within")

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/bench.md)."""
        return {
            "level": self.level if self.judged else None, "asked": self.asked,
            "figures": {key: f.as_dict() for g in self.groups for key, f in g.figures.items()},
            "notes": [g.note for g in self.groups if g.note],
            "verdicts": [v.as_dict() for v in self.verdicts],
            "acts": [{"level": a.level, "act": a.act, "why": a.why, "record": a.ground, "source": a.said["source"], "sure": a.said["sure"]} for a in self.acts],
            "assumed": list(self.assumed), "not_modelled": list(self.not_modelled), "not_checked": list(self.not_checked), "cautions": [c.text for c in self.cautions],
        }  # fmt: skip


def record(key: str) -> Mapping[str, Any]:
    """A record of laws by its key, or of practice: ``balances.solids``, ``practice.butter.churn_min``."""
    first, *rest = key.split(".")
    if first == _PRACTICE:
        told: Mapping[str, Any] = tables.toml_table("tables", f"practice_{rest[0]}.toml")
        return {**told.get("band", {}), **told.get("note", {})}[rest[1]]
    told = tables.toml_table("laws", f"{first}.toml")
    for part in rest:
        told = told[part]
    return told


def ends(low: float | None, high: float | None) -> tuple[float, ...]:
    """Both ends of a spread; none where one is not known or both are one."""
    return () if low is None or high is None or math.isclose(low, high) else (low, high)


def spread(key: str) -> tuple[float, float, float]:
    """Low, likely, high of a record of practice."""
    said = record(key)
    return float(said["low"]), float(said["likely"]), float(said["high"])
