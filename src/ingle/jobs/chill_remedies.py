"""What would make a piece or a pot get cold in time, each way with its own forecast."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from ingle.crafts.heat.heated import Heated
from ingle.crafts.heat.joint import Joint, sizes
from ingle.crafts.heat.stage import Stage
from ingle.ground.errors import IngleError
from ingle.ground.units import millimetres
from ingle.safety import cooling
from ingle.safety.cooling import Stage as RuleStage

Again = Callable[[Joint, Sequence[Stage]], tuple[Heated, tuple[RuleStage, ...]]]
_RANK = {"within": 0, "cannot_say": 1, "near": 2, "over": 3}
BATH_MIN = 60.0
WATER_C = 12.0  # of a tap in a cold kitchen; common practice
SLICE_MM = 25.0
STIRRED_W_MK = 60.0  # stands for mixing: no difference inside worth a tenth of a kelvin at a fridge's film


@dataclass(frozen=True)
class Remedy:
    """One way, and what it does."""

    key: str
    act: str
    level: str
    strictest: str
    taken_s: tuple[tuple[str, str, float | None, float | None, str], ...]  # (rule, segment, taken, allowed, level)
    core_at_2h_c: float

    def as_dict(self) -> dict[str, Any]:
        """Plain keys and values."""
        return {
            "key": self.key, "act": self.act, "level": self.level, "strictest": self.strictest, "core_at_2h_c": self.core_at_2h_c,
            "stages": [{"rule": r, "segment": s, "taken_s": t, "allowed_s": a, "level": v} for r, s, t, a, v in self.taken_s],
        }  # fmt: skip


def remedies(joint: Joint, stages: tuple[Stage, ...], liquid: str, again: Again, rank: int) -> tuple[Remedy, ...]:
    """Ways that cool it better than it is, best first; each is forecast and judged as the question itself was."""
    found = []
    for key, act, other, way in _ways(joint, stages, liquid):
        try:
            h, judged = again(other, way)
        except IngleError:
            continue  # a way this piece cannot go
        level = cooling.worst(judged)
        rows = tuple((s.rule, s.segment, s.taken_s, s.allowed_s, s.level) for s in judged if s.kind != "advice" and s.allowed_s)
        at_2h = float(h.curves.core[(h.curves.seconds <= 7200.0).nonzero()[0][-1]])
        found.append(Remedy(key, act, level, cooling.strictest(judged), rows, at_2h))
    better = [r for r in found if _RANK[r.level] <= rank]
    return tuple(sorted(better, key=lambda r: (_RANK[r.level], r.core_at_2h_c)))


def _ways(joint: Joint, stages: tuple[Stage, ...], liquid: str) -> list[tuple[str, str, Joint, tuple[Stage, ...]]]:
    last = stages[-1]
    t = joint.thickness_mm or millimetres(sizes(joint).thickness)
    bath = Stage("ice-bath", 0.0, lasts_s=60.0 * BATH_MIN)
    ways: list[tuple[str, str, Joint, tuple[Stage, ...]]] = []
    if liquid:
        depth, mixed = joint.length_mm or t, replace(joint, conductivity=STIRRED_W_MK)
        wide = replace(joint, thickness_mm=t * 2.0**0.5, length_mm=depth / 2.0)
        ways.append(("shallow", f"Pour it into a wider vessel, {depth / 2:.0f} mm deep.", wide, stages))
        small = replace(joint, thickness_mm=t / 4.0 ** (1.0 / 3.0), length_mm=depth / 4.0 ** (1.0 / 3.0))
        ways.append(("small", "Part it into four vessels.", small, stages))
        ways.append(("ice-bath", f"Stand the pot in ice and water for {BATH_MIN:.0f} min and stir, then the fridge.", mixed, (bath, last)))
        ways.append(("small-ice-bath", f"Part it into four vessels, {BATH_MIN:.0f} min in ice and water, stirred, then the fridge.",
                     replace(small, conductivity=STIRRED_W_MK), (bath, last)))  # fmt: skip
        if liquid == "still":
            ways.append(("stir", "Stir it every few minutes while it cools.", mixed, stages))
        return ways
    half = _halved(joint, t)
    ways.append(("halves", f"Cut it in halves, each {t / 2:.0f} mm thick, and lay them apart.", half, stages))
    ways.append(("ice-bath", f"Bag it and lay it in ice and water for {BATH_MIN:.0f} min, then the fridge.", joint, (bath, last)))
    ways.append(("halves-ice-bath", f"Cut it in halves, bag them, ice and water for {BATH_MIN:.0f} min, then the fridge.", half, (bath, last)))
    if t > 1.5 * SLICE_MM:
        thin = replace(_halved(joint, t), thickness_mm=SLICE_MM)
        ways.append(("slices", f"Slice it {SLICE_MM:.0f} mm thick and lay the slices apart.", thin, stages))
        ways.append(("slices-ice-bath", f"Slice it {SLICE_MM:.0f} mm thick, bag flat, ice and water for {BATH_MIN:.0f} min, then the fridge.", thin, (bath, last)))
    if last.kind == "fridge" and last.fan is not True:
        ways.append(("moving-air", "Let a small fan blow over it in the cold.", joint, (*stages[:-1], replace(last, fan=True, film=None, wrapped=True))))
    if last.air_c > -5.0 and last.kind not in ("freezer", "ice-bath"):
        cold = Stage("freezer", -18.0, lasts_s=3600.0, wrapped=True, film=last.film)
        ways.append(("freezer", "An hour in the freezer first, apart from what is frozen, then the fridge.", joint, (cold, last)))
    water = Stage("cold-water", WATER_C, lasts_s=1800.0)
    ways.append(("cold-water", "Bag it and lay it in running cold water for 30 min, then the fridge.", joint, (water, last)))
    return ways


def _halved(joint: Joint, t: float) -> Joint:
    told = sizes(joint)
    if joint.shape == "slab":
        return replace(joint, thickness_mm=t / 2.0)
    wide = told.width or told.thickness * 0.89
    long = told.length or told.thickness
    half = told.thickness / 2.0
    return replace(
        joint, shape="box", weight_g=None, thickness_mm=millimetres(half), width_mm=millimetres(max(wide, half)), length_mm=millimetres(max(long, half)),
    )  # fmt: skip
