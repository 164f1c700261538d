"""The answer to `weigh`, and its keys."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from ingle.crafts.cure.base import Base
from ingle.crafts.cure.formula import Formula
from ingle.crafts.cure.mix import CuringSalt
from ingle.crafts.cure.premix import Premix
from ingle.crafts.cure.shares import Share
from ingle.jobs.cure_told import accountings_dict, asked_dict, ingoing_dict, judged_level, shares_dict
from ingle.safety.limits import Limit, Product
from ingle.safety.verdict import Verdict

WEAK_CURING_SALT = CuringSalt(0.006)  # European nitrite salt, 0.6 % (read from its packet; strengths differ)


@dataclass(frozen=True)
class PieceDose:
    """What one piece gets when each has its own bag."""

    name: str
    green_weight_g: float
    grams: dict[str, float]


@dataclass(frozen=True)
class WeighAnswer:
    """The answer to `weigh`."""

    method: str
    product: Product
    rules: tuple[str, ...]
    rules_named: bool
    day: str
    base: Base
    formula: Formula
    packet: CuringSalt | None
    step_given: bool
    verdicts: tuple[Verdict, ...]
    strictest: Limit | None
    pieces: tuple[PieceDose, ...] = ()
    shares: tuple[Share, ...] = ()
    coarse_way: Formula | None = None  # the same with a 1 g scale, when no step was given
    weak_way: Formula | None = None  # the same with a weaker curing salt on a 1 g scale
    cautions: tuple[str, ...] = ()
    not_checked: tuple[str, ...] = ()
    notes: tuple[str, ...] = field(default_factory=tuple)

    @property
    def level(self) -> str:
        """Gravest level among the limits that could be judged; ``cannot_say`` when none could."""
        return judged_level(self.verdicts)

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/README.md, weigh)."""
        f = self.formula
        told: dict[str, Any] = {
            "method": f.method,
            **asked_dict(self.product, self.rules, self.rules_named, self.day, self.base),
            "step_g": f.step_g,
            "grams": dict(f.grams),
            "ingoing": ingoing_dict(f.ingoing.content),
            "salt_per_green_weight": f.ingoing.salt,
            "accountings": accountings_dict((f.ingoing, *f.also)),
            "premix": None if f.premix is None else premix_dict(f.premix),
            "scale_too_coarse": f.coarse,
            "level": self.level,
            "strictest": None if self.strictest is None else self.strictest.rule,
            "pieces": [vars(p) for p in self.pieces],
            "shares": shares_dict(self.shares),
            "verdicts": [v.as_dict() for v in self.verdicts],
            "cautions": list(self.cautions),
            "not_checked": list(self.not_checked),
            "notes": list(self.notes),
        }
        if self.coarse_way is not None and self.weak_way is not None:
            told["with_1_g_scale"] = {
                "premix": None if self.coarse_way.premix is None else premix_dict(self.coarse_way.premix),
                "weaker_curing_salt": {
                    "strength": WEAK_CURING_SALT.nitrite,
                    "grams": dict(self.weak_way.grams),
                },
            }
        return told


def premix_dict(p: Premix) -> dict[str, Any]:
    """A premix as plain keys."""
    return {
        "curing_salt_g": p.curing_salt_g,
        "salt_g": p.salt_g,
        "nitrite": p.strength.nitrite,
        "dose_g": p.dose_g,
        "plain_salt_g": p.plain_salt_g,
        "step_g": p.step_g,
        "label": p.label,
        "mixing": p.mixing,
    }
