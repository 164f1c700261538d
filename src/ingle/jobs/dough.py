"""Dough: the water that brings it to its temperature, the mixer's friction, the proof in the cold, and how far a dough has come."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ingle.crafts import dough as craft
from ingle.ground import units
from ingle.ground.errors import OutOfRange
from ingle.jobs.figures import Act, BenchAnswer, Figure, Group, ends, spread

FACTOR_IN_RISE = 3.0  # the factor rule's friction is about three times the true rise of the dough
_RULE, _HEAT, _FRICTION = "balances.dough_factor", "dough.heat", "practice.bread.friction_k"
_PROOF, _BALL, _PACE = "practice.bread.cold_proof_h", "dough.ball", "dough.rate.default"
_LAWS = {"default": "Doubling and Q10", "growth": "Growth of yeast", "trade": "A tenth more per degree"}


@dataclass(frozen=True)
class Mixing:
    """What goes into one mix, and how warm each is. [g], [degC], [K]"""

    flour_g: float
    flour_c: float
    water_g: float
    tap_c: float
    wanted_c: float
    room_c: float | None = None
    preferment: tuple[float, float, float] | None = None  # g, degC, water per flour
    friction_k: float | None = None  # of the factor rule
    rise_k: float | None = None  # true rise of the whole dough
    last: tuple[float, float] | None = None  # dough and water of the last batch, degC

    @property
    def others(self) -> tuple[tuple[float, float, float], ...]:
        """The preferment as heat sees it: its water per its weight."""
        if self.preferment is None:
            return ()
        mass, celsius, hydration = self.preferment
        return ((mass, celsius, hydration / (1.0 + hydration)),)


def dough(mixing: Mixing | None = None, *, piece_g: float | None = None, fridge_c: float = 4.0, dough_c: float = 24.5, head_start_h: float = 0.0,
          hours: Sequence[float] = (), celsius: Sequence[float] = ()) -> BenchAnswer:  # fmt: skip
    """Answer what is asked of a dough: its water, its cold proof, its way along a record of its own temperature.

    Parameters
    ----------
    mixing : Mixing, optional
        For the water.
    piece_g, fridge_c, dough_c, head_start_h
        For the proof: mass of one piece, the fridge's true temperature, the dough's when it goes in, hours at 24 degC beyond the usual.
    hours, celsius
        A record of the dough's own temperature. [h], [degC]
    """
    groups: list[Group] = []
    acts: list[Act] = []
    told: list[str] = []
    assumed: list[str] = []
    if mixing is not None:
        groups += _water(mixing, assumed)
        told.append(f"{units.show_mass(mixing.flour_g)} flour and {units.show_mass(mixing.water_g)} water to {mixing.wanted_c:g} C")
    if piece_g is not None:
        group, act = _proof(piece_g, fridge_c, dough_c, head_start_h)
        groups += group
        acts.append(act)
        told.append(f"a piece of {units.show_mass(piece_g)} in a fridge of {fridge_c:g} C")
    if hours:
        group, act = _along(hours, celsius)
        groups += group
        acts.append(act)
        told.append(f"a record of {hours[-1] - hours[0]:.1f} h")
    fermented = piece_g is not None or bool(hours)
    return BenchAnswer("; ".join(told), tuple(groups), acts=tuple(acts), assumed=tuple(assumed), not_modelled=craft.NOT_MODELLED if fermented else (),
                       not_checked=("the look of the dough: it decides, not the clock",) if fermented else ("what the flour's own damp takes up",))  # fmt: skip


def _water(m: Mixing, assumed: list[str]) -> list[Group]:
    low, likely, high = spread(_FRICTION)
    given = m.friction_k if m.friction_k is not None else m.rise_k * FACTOR_IN_RISE if m.rise_k is not None else None
    if given is not None:
        low = likely = high = given
    else:
        assumed.append(f"friction {likely:g} K by the factor rule ({low:g} by hand to {high:g} in a machine): fit your own from one batch")
    if m.room_c is None:
        assumed.append(f"the room as warm as the flour, {m.flour_c:g} C")
    rise = m.rise_k if m.rise_k is not None else likely / FACTOR_IN_RISE
    if m.rise_k is None:
        assumed.append(f"the whole dough warms by {rise:.1f} K in mixing, a third of the factor rule's friction")
    found = _balanced(m, rise, likely)
    warm, cold = (_needed(m, k / FACTOR_IN_RISE if given is None else rise, k) for k in (low, high))
    figures = {
        "water_c": Figure("Water by heat balance", found.by_balance_c, "degC", _HEAT, *ends(cold, warm)),
        "water_by_rule_c": Figure("Water by the factor rule", found.by_rule_c, "degC", _RULE, *ends(found.by_rule_c - (high - likely), found.by_rule_c + (likely - low))),
    }
    note = "The rule counts flour, room and water alike; the balance weighs each by its mass and heat."
    if found.ice_g > 0:
        figures |= {
            "pour_g": Figure("Tap water to pour", found.water_g, "g", _HEAT), "ice_g": Figure("Ice to weigh", found.ice_g, "g", _HEAT),
        }  # fmt: skip
        note = f"The tap, {m.tap_c:g} C, is too warm: part of the water goes in as ice from the freezer. {note}"
    groups = [Group("Water", figures, note)]
    if m.last is not None:
        dough_c, water_c = m.last
        own = craft.friction_by_factor(dough_c, m.flour_c, m.flour_c if m.room_c is None else m.room_c, water_c, m.others[0][1] if m.others else None)
        groups.append(Group("Your mixer", {"friction_k": Figure("Friction of the last batch", own, "K", _RULE)}, "For the factor rule, with this mixer and this time."))
    return groups


def _balanced(m: Mixing, rise_k: float, friction_k: float) -> craft.DoughWater:
    return craft.water_by_balance(m.wanted_c, m.flour_g, m.flour_c, m.water_g, m.tap_c, others=m.others, heating_k=rise_k, room_c=m.room_c, friction_k=friction_k)


def _needed(m: Mixing, rise_k: float, friction_k: float) -> float | None:
    """Water at an end of the spread; None where that end cannot be poured."""
    try:
        return _balanced(m, rise_k, friction_k).by_balance_c
    except OutOfRange:
        return None


def _proof(piece_g: float, fridge_c: float, dough_c: float, head_start_h: float) -> tuple[list[Group], Act]:
    found = craft.cold_proof(piece_g, fridge_c, dough_c, head_start_h)
    groups = [Group("Proof in the cold", {
        "best_h": Figure("Best after", found.best_h, "h", _PROOF, found.earliest_h, found.latest_h),
        "time_constant_h": Figure("It cools by two thirds in", found.time_constant_h, "h", _BALL),
        "dose_h": Figure("Work by then, hours at 24 C", found.hours_at_24_c[1], "h", _PACE, found.hours_at_24_c[0], found.hours_at_24_c[2]),
    })]  # fmt: skip
    others = {
        f"best_by_{name}_h": Figure(_LAWS[name], times[1], "h", f"dough.rate.{name}", *ends(times[0], times[2] if math.isfinite(times[2]) else None))
        for name, times in found.by_law.items() if math.isfinite(times[1])
    }  # fmt: skip
    never = [_LAWS[name] for name, times in found.by_law.items() if not math.isfinite(times[1])]
    groups.append(Group("Best hour by each rate law", others, f"Not within ten days by: {', '.join(never)}." if never else "The window told is by the first of them; none is chosen for its answer."))
    near = fridge_c > 5.0 or found.stopped_at_72_h
    return groups, Act("near" if near else "within", found.act, found.doubt, "practice.bread.cold_proof_stop_h" if found.stopped_at_72_h else _PROOF)


def _along(hours: Sequence[float], celsius: Sequence[float]) -> tuple[list[Group], Act]:
    done = craft.progress(hours, celsius)
    usual = craft.cold_proof(spread("practice.bread.cold_proof_mass_g")[1], 4.0)
    earliest, best, latest = usual.hours_at_24_c
    groups = [Group("So far", {
        "done_h": Figure("Work done, hours at 24 C", done.hours_at_24_c, "h", _PACE),
        "of_best": Figure("Of the work at its best", units.per_hundred(done.hours_at_24_c / best), "%", _PACE),
        "pace": Figure("Pace against 24 C", units.per_hundred(done.mean_rate), "%", _PACE),
    })]  # fmt: skip
    if done.hours_at_24_c > latest:
        return groups, Act("over", "Bake it now: it has worked longer than is usual.", usual.doubt, _PROOF)
    if done.hours_at_24_c < earliest:
        return groups, Act("within", "Not ready yet: leave it.", usual.doubt, _PROOF)
    return groups, Act("within", "It can be baked." if done.hours_at_24_c < best else "Bake it soon: its best is reached.", usual.doubt, _PROOF)
