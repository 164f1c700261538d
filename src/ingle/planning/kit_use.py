"""A step's share of the kitchen: which place, how many litres, rails or shelves."""

from __future__ import annotations

import math

from ingle.ground.errors import OutOfRange
from ingle.planning.kit import Cold, Kit, Oven, places_of
from ingle.planning.parts import KitUse, StepSpec
from ingle.planning.problem import Place, Use
from ingle.planning.quantities import PartMass
from ingle.planning.values import refuse, unknown


def use_of(use: KitUse, mass: PartMass, kit: Kit, where: str, share: float = 1.0) -> Use:
    """A share of kit for this batch: litres and rails per kg are rounded up.

    Any place of the kind will do; of the ovens, those that reach the heat.
    """
    found = places_of(kit, use.use)
    if not found:
        keys = tuple(p.key for p in places(kit))
        unknown(f"{where}.kit", use.use, keys, f"in {kit.name}")
    if use.mode_c is not None:
        ovens = tuple(p for p in found if not isinstance(p, Oven) or p.low_c <= use.mode_c <= p.high_c)
        if not ovens:
            reach = ", ".join(f"{p.name} {p.low_c:g} to {p.high_c:g} C" for p in found if isinstance(p, Oven))
            refuse(
                f"{where}.kit",
                f"needs {use.mode_c} C; no oven here gives that ({reach}).",
                value=f"{use.mode_c} C",
                limit=reach,
                remedy="Lower the heat in the part file, or mend the oven's range in the kit.",
                kind=OutOfRange,
            )
        found = ovens
    return Use(found[0].key, amount_of(use, mass, share), use.mode_c, tuple(p.key for p in found[1:]))


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
    """Of the first place that holds the step: the oven's mode, the fridge's or freezer's own."""
    for use in step.kit:
        if use.mode_c is not None:
            return float(use.mode_c)
        for place in places_of(kit, use.use):
            if isinstance(place, Cold):
                return place.temperature_c
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
