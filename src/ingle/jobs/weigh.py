"""What to put on the scale for this piece, and what the laws say of it."""

from __future__ import annotations

from typing import Any

from ingle.crafts.cure import formula
from ingle.crafts.cure.base import Base, base_of, base_of_all
from ingle.crafts.cure.formula import Formula, Targets
from ingle.crafts.cure.harm import CHILD_MG_PER_KG
from ingle.crafts.cure.mix import CuringSalt
from ingle.crafts.cure.shares import Share, shares
from ingle.ground import units
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.things import Piece
from ingle.jobs.cure_told import (
    CAUTION_COLD,
    CAUTION_LAW,
    CAUTION_NITRITE,
    CAUTION_NO_NITRITE,
    DEFAULT_STEP_G,
    countries_named,
    require_weight,
    with_skin,
)
from ingle.jobs.weigh_answer import WEAK_CURING_SALT, PieceDose, WeighAnswer
from ingle.safety import limits
from ingle.safety.limits import Product

COARSE_STEP_G = 1.0


def weigh(
    pieces: tuple[Piece, ...],
    *,
    targets: Targets = Targets(),
    packet: CuringSalt | None = None,
    product: Product = Product(),
    rules: str | tuple[str, ...] = "",
    day: str,
    step_g: float | None = None,
    method: str = "dry",
    one_box: bool = False,
    water_g: float | None = None,
    share: float | None = None,
) -> WeighAnswer:
    """Weights for targets.

    Parameters
    ----------
    pieces : tuple of Piece
        One, or several (each with its own bag, or all in ``one_box``).
    targets : Targets
    packet : CuringSalt or None
        What the packet says; None only when no nitrite is wanted.
    rules : str or tuple of str
        Countries; nothing named gives the strictest of all.
    day : str
        ISO date on which the limits are read.
    step_g : float, optional
        Step of the scale [g]; when not given both 0.1 g and 1 g are answered.
    method : str
        ``dry``, ``immersion`` or ``pump``.
    water_g, share : float, optional
        Water of a pickle [g]; pump share or measured pick-up [1].

    Raises
    ------
    Refused
        A toxic target. BadBrief, OutOfRange: input that cannot be.
    """
    require_weight(pieces)
    if targets.nitrite_mg_per_kg > 0 and packet is None:
        raise BadBrief(
            "The strength of the curing salt is missing: no dose can be given without it.",
            field="curing-salt",
            value="missing",
            limit="like 6.25%",
            remedy="Read the packet: nitrite ... %, and write --curing-salt 6.25%. For none at all write --nitrite 0.",
        )
    if targets.nitrite_mg_per_kg == 0:
        packet = None
    base = base_of_all(pieces)
    step = DEFAULT_STEP_G if step_g is None else step_g
    make = _maker(method, base, targets, water_g, share)
    made = make(packet, step)
    named = countries_named(rules)
    keys = limits.countries(rules)
    product = with_skin(product, base)
    found = limits.applicable(product, keys, day)
    weighed = made.grams.get("premix") or made.grams["curing_salt"]
    spread = step / weighed if weighed else 0.0
    split = shares(pieces) if one_box and len(pieces) > 1 else ()
    spread = max([spread, *(spread + abs(s.surface_over_mass - 1) for s in split)])
    verdicts = limits.verdicts(
        found,
        made.ingoing.content,
        skin_free=base.skin_free_g,
        whole=base.whole_g,
        spread=min(spread, 1.0),
        use=product.use,
    )
    several = (
        tuple(_own_dose(p, targets, packet, step) for p in pieces)
        if len(pieces) > 1 and not one_box and method == "dry"
        else ()
    )
    both = packet is not None and step_g is None and method == "dry"
    return WeighAnswer(
        method=method,
        product=product,
        rules=keys,
        rules_named=named,
        day=day,
        base=base,
        formula=made,
        packet=packet,
        step_given=step_g is not None,
        verdicts=verdicts,
        strictest=limits.strictest(found),
        pieces=several,
        shares=split,
        coarse_way=make(packet, COARSE_STEP_G) if both else None,
        weak_way=_weak(make) if both else None,
        cautions=_cautions(packet, product, targets),
        not_checked=_not_checked(packet, split, pieces),
        notes=_notes(made, split, product),
    )


def _maker(method: str, base: Base, targets: Targets, water_g: float | None, share: float | None) -> Any:
    if method == "dry":
        if water_g is not None:
            raise BadBrief(
                "A dry cure has no water.",
                field="water",
                value=f"{water_g:g} g",
                limit="immersion or pump",
                remedy="Write --method immersion or --method pump.",
            )
        return lambda packet, step: formula.dry(base, targets, packet, step)
    if method in ("immersion", "pump"):
        if water_g is None:
            raise BadBrief(
                "The water of the pickle is missing.",
                field="water",
                value="missing",
                limit="like 1kg",
                remedy="Weigh the water: --water 1kg.",
            )
        return lambda packet, step: formula.pickle(
            base, targets, packet, step, method=method, water_g=water_g, share=share
        )
    raise BadBrief(
        f"method {method!r} is not known. There are: dry, immersion, pump.",
        field="method",
        value=method,
        limit="dry, immersion, pump",
        remedy="Write one of dry, immersion, pump.",
    )


def _weak(make: Any) -> Formula | None:
    try:
        return make(WEAK_CURING_SALT, COARSE_STEP_G)
    except OutOfRange:  # a weak curing salt can bring more salt than wanted: then it is no way
        return None


def _own_dose(piece: Piece, targets: Targets, packet: CuringSalt | None, step: float) -> PieceDose:
    own = formula.dry(base_of(piece), targets, packet, step)
    return PieceDose(piece.name or units.show_mass(piece.weight_g), piece.weight_g, own.grams)


def _cautions(packet: CuringSalt | None, product: Product, targets: Targets) -> tuple[str, ...]:
    found = [CAUTION_NITRITE if packet else CAUTION_NO_NITRITE, CAUTION_COLD]
    if targets.nitrite_mg_per_kg >= CHILD_MG_PER_KG:
        found.append(
            f"From {CHILD_MG_PER_KG:.0f} mg/kg a helping of 100 g brings a small child (15 kg) to the dose where signs begin."
        )
    if product.use == "sale":
        found.append(CAUTION_LAW)
    return tuple(found)


def _not_checked(packet: CuringSalt | None, split: tuple[Share, ...], pieces: tuple[Piece, ...]) -> tuple[str, ...]:
    found = (
        ["what is left in the finished product", "the strength printed on the packet"]
        if packet
        else ["botulism without nitrite"]
    )
    if split and not all(p.thickness_mm for p in pieces):
        found.append("how the pieces share the box: thickness not measured")
    return tuple(found)


def _notes(made: Formula, split: tuple[Share, ...], product: Product) -> tuple[str, ...]:
    found = []
    if split:
        most = max(split, key=lambda s: s.surface_over_mass)
        least = min(split, key=lambda s: s.surface_over_mass)
        found.append(
            f"In one box the pieces share by surface at first: {most.name} can take {units.show_fraction(most.surface_over_mass, 0)} and {least.name} "
            f"{units.show_fraction(least.surface_over_mass, 0)} of an even share per kg. A bag for each piece is more exact."
        )
    if made.method == "immersion" and not made.also:
        found.append(
            "Counted by Method Two (left until even). With a measured weight gain (--pick-up) Method One stands beside it."
        )
    if product.skin_on:
        found.append(f"Dosed on the {accounting_base(product)}: skin takes practically no cure.")
    return tuple(found)


def accounting_base(product: Product) -> str:
    """Words for the weight that is dosed."""
    return (
        "weight without the weighed skin" if product.skin_weighed else "weight less a tenth for the skin (FSIS 7620.3)"
    )


__all__ = ["PieceDose", "WeighAnswer", "weigh"]
