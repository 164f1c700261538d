"""The dose ladder: what to weigh if the piece turns out lighter or heavier than planned, a line a weight."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ingle.crafts.cure import formula
from ingle.crafts.cure.base import Base
from ingle.crafts.cure.formula import Targets
from ingle.crafts.cure.mix import CuringSalt
from ingle.planning.plan import Weighing

_STEPS_G = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0)
RUNGS_EACH_WAY = 4


@dataclass(frozen=True)
class Rung:
    """One line: a green weight and what it takes [g]."""

    green_weight_g: float
    grams: dict[str, float]
    planned: bool = False


@dataclass(frozen=True)
class Ladder:
    """The lines of one piece or one box."""

    piece: str
    items: tuple[str, ...]  # keys of ``grams`` that are weighed, curing salt first
    rungs: tuple[Rung, ...]  # by weight
    step_g: float
    salt: float  # per green weight
    nitrite: float  # mg/kg, at most
    curing_salt: str
    basis: str = "planned"  # planned | weighed: what the marked line rests on

    @property
    def digits(self) -> int:
        """Decimals the scale shows."""
        return max(0, -math.floor(math.log10(self.step_g))) if self.step_g < 1 else 0


def ladder(weighing: Weighing) -> Ladder:
    """The same shares of salt, nitrite and sugar for weights around the planned one, each weighed anew.

    Every line goes through the same formula as the planned one (curing salt rounded down to the scale's step, plain salt
    up), so no line holds more nitrite per kg than was planned. A line on which the curing salt would be too little for
    the scale is left out.
    """
    mass, grams = weighing.green_weight_g, weighing.grams
    step = next((s for s in _STEPS_G if s * 2 * RUNGS_EACH_WAY >= mass * 0.4), _STEPS_G[-1])
    first = math.floor(mass / step) * step
    around = [first + step * n for n in range(1 - RUNGS_EACH_WAY, RUNGS_EACH_WAY + 1)]
    planned = Rung(mass, dict(grams), True)
    rungs = [planned]
    for weight in around:
        made = None if weight <= 0 or abs(weight - mass) < step * 0.05 else _weighed(weighing, weight)
        if made is not None:
            rungs.append(Rung(weight, made))
    first_keys = ("curing_salt", "premix", "salt", "sugar")
    items = tuple(k for k in (*first_keys, *grams) if grams.get(k, 0) > 0)
    return Ladder(
        weighing.piece, tuple(dict.fromkeys(items)), tuple(sorted(rungs, key=lambda r: r.green_weight_g)), weighing.step_g,
        weighing.salt_per_green_weight, weighing.nitrite_mg_per_kg, weighing.curing_salt, weighing.basis,
    )  # fmt: skip


def _weighed(weighing: Weighing, weight: float) -> dict[str, float] | None:
    grams, mass = weighing.grams, weighing.green_weight_g
    if grams.get("premix"):  # a premix is already thinned to the scale: its share is what counts
        share = {k: v / mass for k, v in grams.items()}
        down = formula.round_down(share["premix"] * weight, weighing.step_g)
        return {k: down if k == "premix" else formula.round_up(v * weight, weighing.step_g) for k, v in share.items()}
    curing = grams.get("curing_salt", 0.0)
    packet = CuringSalt(weighing.nitrite_mg_per_kg * 1e-6 * mass / curing) if curing else None
    targets = Targets(weighing.salt_per_green_weight, weighing.nitrite_mg_per_kg, grams.get("sugar", 0.0) / mass)
    made = formula.dry(Base(weight, weight, "green weight"), targets, packet, weighing.step_g)
    return None if made.premix is not None else dict(made.grams)
