"""The answer to `judge`, and its keys."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ingle.crafts.cure.accounting import Ingoing
from ingle.crafts.cure.base import Base
from ingle.crafts.cure.forecast import CureCurves
from ingle.crafts.cure.mix import Added, Mix
from ingle.crafts.cure.rescue import Advice
from ingle.crafts.cure.shares import Share
from ingle.ground import units
from ingle.ground.things import Forecast
from ingle.jobs.cure_told import accountings_dict, asked_dict, ingoing_dict, judged_level, shares_dict
from ingle.jobs.windows import window_dict
from ingle.safety.limits import Limit, Product
from ingle.safety.verdict import Verdict


@dataclass(frozen=True)
class SaltAt:
    """Salt in the piece at one time. [g per 100 g of tissue], likely and 5-95 %."""

    days: float
    core: tuple[float, float, float]
    mean: tuple[float, float, float]


@dataclass(frozen=True)
class JudgeAnswer:
    """The answer to `judge`."""

    kind: str  # equilibrium | excess | light | none
    product: Product
    rules: tuple[str, ...]
    rules_named: bool
    day: str
    base: Base
    mix: Mix
    ruling: Ingoing
    accountings: tuple[Ingoing, ...]
    wished_salt: float
    verdicts: tuple[Verdict, ...]
    strictest: Limit | None
    shares: tuple[Share, ...]
    at: SaltAt | None  # at the day that was asked
    table: tuple[SaltAt, ...]  # around it
    left: float | None  # if left for ever [g/100 g]
    ready: Forecast | None
    even: Forecast | None
    curves: CureCurves | None
    advice: tuple[Advice, ...]
    cautions: tuple[str, ...]
    not_checked: tuple[str, ...]

    @property
    def level(self) -> str:
        """Gravest level among the limits that could be judged."""
        return judged_level(self.verdicts)

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/README.md, judge)."""
        told: dict[str, Any] = {
            "kind": self.kind,
            "method": self.ruling.method,
            **asked_dict(self.product, self.rules, self.rules_named, self.day, self.base),
            "ingoing": ingoing_dict(self.ruling.content),
            "salt_per_green_weight": self.ruling.salt,
            "wished_salt": self.wished_salt,
            "accountings": accountings_dict(self.accountings),
            "level": self.level,
            "strictest": None if self.strictest is None else self.strictest.rule,
            "shares": shares_dict(self.shares),
            "verdicts": [v.as_dict() for v in self.verdicts],
            "advice": [
                {
                    "act": a.act,
                    "why": a.why,
                    "adds": {_name(x): x.grams for x in a.adds},
                    "adds_meat_g": a.adds_meat_g,
                    "gives": a.gives,
                }
                for a in self.advice
            ],
            "cautions": list(self.cautions),
            "not_checked": list(self.not_checked),
            "forecast": None,
        }
        if self.at is not None and self.ready is not None and self.even is not None:
            told["forecast"] = salt_at_dict(self.at) | {
                "days": self.at.days,
                "left_salt_g_per_100g": self.left,
                "table": [{"days": s.days} | salt_at_dict(s) for s in self.table],
                "ready_h": window_dict(self.ready),
                "even_h": window_dict(self.even),
                "basis": self.ready.basis,
                "not_in_it": list(self.ready.not_in_it),
            }
        return told


def _name(x: Added) -> str:
    return f"curing-salt@{units.per_hundred(x.curing_salt.nitrite):g}%" if x.curing_salt else x.kind


def salt_at_dict(s: SaltAt) -> dict[str, float]:
    """Core and mean salt with their marks."""
    return {
        "core_salt_g_per_100g": s.core[1],
        "core_salt_g_per_100g_low": s.core[0],
        "core_salt_g_per_100g_high": s.core[2],
        "mean_salt_g_per_100g": s.mean[1],
        "mean_salt_g_per_100g_low": s.mean[0],
        "mean_salt_g_per_100g_high": s.mean[2],
    }
