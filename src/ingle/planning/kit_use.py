"""A step's share of the kitchen: which place, how many litres, rails or shelves."""

from __future__ import annotations

import math

from ingle.ground.errors import OutOfRange
from ingle.planning.kit import NO_SMOKE, SMOKE_MAKERS, AnyPlace, Cold, Kit, Oven, Smoker, places_of
from ingle.planning.kit_words import dial_c, runs
from ingle.planning.parts import KitUse, StepSpec
from ingle.planning.problem import Place, Use
from ingle.planning.quantities import PartMass
from ingle.planning.values import refuse, unknown


def use_of(use: KitUse, mass: PartMass, kit: Kit, where: str, share: float = 1.0) -> Use:
    """A share of kit for this batch: litres and rails per kg are rounded up.

    Any place of the kind will do; of the ovens, those that reach the heat, of the smokers, those that make smoke.
    """
    found = places_for(use, kit, where)
    return Use(found[0].key, amount_of(use, mass, share), use.mode_c, tuple(p.key for p in found[1:]))


def places_for(use: KitUse, kit: Kit, where: str) -> tuple[AnyPlace, ...]:
    """Every place that would do; refused where there is none."""
    found = places_of(kit, use.use)
    if not found:
        keys = tuple(p.key for p in places(kit))
        unknown(f"{where}.kit", use.use, keys, f"in {kit.name}")
    found = _that_smoke(found, kit, where)
    if use.mode_c is not None:
        found = _that_reach(found, use.mode_c, where)
    return found


def _that_smoke(found: tuple[AnyPlace, ...], kit: Kit, where: str) -> tuple[AnyPlace, ...]:
    smoking = tuple(p for p in found if not isinstance(p, Smoker) or p.makes_smoke != NO_SMOKE)
    if not smoking:
        names = ", ".join(p.name for p in found)
        refuse(
            f"{where}.kit",
            f"needs smoke; nothing in {kit.name} makes any ({names}: makes_smoke = false).",
            value=names,
            limit=f"makes_smoke: {', '.join(SMOKE_MAKERS)}",
            remedy='Set a tray, a tube or a box with its pipe to it and write makes_smoke = "tray" in the kit; what only hangs food goes under [[other]].',
        )
    return smoking


def _that_reach(found: tuple[AnyPlace, ...], mode_c: int, where: str) -> tuple[AnyPlace, ...]:
    """Ovens whose dial goes to where it has to stand for this heat."""
    ovens = tuple(p for p in found if not isinstance(p, Oven) or p.low_c <= dial_c(p, mode_c) <= p.high_c)
    if not ovens:
        reach = ", ".join(f"{p.name} {p.low_c:g} to {p.high_c:g} C{_off(p, mode_c)}" for p in found if isinstance(p, Oven))
        refuse(
            f"{where}.kit",
            f"needs {mode_c} C; no oven here gives that ({reach}).",
            value=f"{mode_c} C",
            limit=reach,
            remedy="Lower the heat in the part file, or mend the oven's range in the kit.",
            kind=OutOfRange,
        )
    return ovens


def _off(oven: Oven, mode_c: int) -> str:
    """Where its dial would have to stand, of an oven whose dial is off."""
    return f", its dial at {dial_c(oven, mode_c)} C for it: {runs(oven)}" if dial_c(oven, mode_c) != mode_c else ""


def amount_of(use: KitUse, mass: PartMass, share: float = 1.0) -> int:
    """Litres, rails or shelves for this batch, at least 1."""
    if use.per_kg is None:
        return use.amount or 1
    grams = mass.batch_g if use.of is None else _mass_of(use.of, mass)
    return max(1, math.ceil(use.per_kg * grams * share / 1000 - 1e-9))


def _mass_of(item: str, mass: PartMass) -> float:
    """Grams of an item at most: what goes in, or what may come out."""
    return mass.takes_g[item] if item in mass.takes_g else mass.gives_g[item].high


def temperature_of(step: StepSpec, kit: Kit) -> float | None:
    """Of the place that holds the step: the oven's mode, the coldest fridge's or freezer's of those that would do.

    Which of them it will stand in is not known before the hours are laid, and in the coldest a forecast takes longest.
    """
    for use in step.kit:
        if use.mode_c is not None:
            return float(use.mode_c)
        cold = [place.temperature_c for place in places_of(kit, use.use) if isinstance(place, Cold)]
        if cold:
            return min(cold)
    return None


def places(kit: Kit) -> tuple[Place, ...]:
    """Everything that can be full, with its room, for the schedule."""
    return (
        *(Place(o.key, "oven", o.name, o.holds, o.heat_up_min) for o in kit.ovens),
        *(Place(c.key, "fridge", c.name, c.litres) for c in kit.fridges),
        *(Place(c.key, "freezer", c.name, c.litres) for c in kit.freezers),
        *(Place(s.key, "smoker", s.name, s.rails) for s in kit.smokers),
        *(Place(o.key, "other", o.name, o.holds) for o in kit.others),
    )
