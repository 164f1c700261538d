"""How much: plates back through yields to what is bought and weighed, and where every gram goes.

What is weighed in is what feeds the table at the low yield; what comes out at the likely yield beyond that
is a named leftover. By-products feed other parts at their low yield; what is missing is bought.
"""

from __future__ import annotations

from collections.abc import Mapping
from graphlib import CycleError, TopologicalSorter

from ingle.ground.things import Band, Piece
from ingle.planning.brief import Brief, Served
from ingle.planning.fields import refuse
from ingle.planning.flows import move, too_little
from ingle.planning.masses import PartMass, Quantities, Shortfall
from ingle.planning.part_check import check_together, find
from ingle.planning.parts import Give, Part, Take, main_give
from ingle.planning.pieces import before_cure, boxes, cure_step, meat_g, skins
from ingle.planning.shopping import shopping_lines


def quantities(brief: Brief, parts: Mapping[str, Part]) -> Quantities:
    """Plates back through yields.

    Parameters
    ----------
    parts : mapping of str to Part
        Every part known; those of the brief and those whose product they need are used.

    Raises
    ------
    BadBrief
        A part that is not known, pieces for a part that takes none, parts that feed each other in a circle.
    """
    served = {s.part: s for s in brief.serve}
    for i, s in enumerate(brief.serve):
        part = find(parts, s.part, f"serve[{i}].part")
        if s.pieces and not any(t.pieces for t in part.takes):
            refuse(
                f"serve[{i}].pieces",
                f"{part.name} is not made from pieces.",
                value=len(s.pieces),
                limit="no pieces",
                remedy="Take pieces out, or write the part with pieces = true at what it takes.",
            )
    used = _with_makers(tuple(served), parts)
    check_together(parts, used)
    masses = _masses(brief, {k: parts[k] for k in used}, served)
    flows, wants, short = move(masses, {k: parts[k] for k in used})
    return Quantities(
        masses, shopping_lines(wants), flows, (*too_little(masses, parts, brief), *short), wants
    )


def _with_makers(served: tuple[str, ...], parts: Mapping[str, Part]) -> tuple[str, ...]:
    """The served parts and those whose main product they take and cannot buy; makers first."""
    todo, used = list(served), dict.fromkeys(served)
    while todo:
        for take in parts[todo.pop()].takes:
            maker = take.from_part
            if (
                maker
                and maker in parts
                and maker not in used
                and take.bought is None
                and main_give(parts[maker]).item == take.item
            ):
                used[maker] = None
                todo.append(maker)
    feeds = {k: {t.from_part or "" for t in parts[k].takes if _is_main_flow(t, parts, used)} for k in used}
    try:
        return tuple(TopologicalSorter(feeds).static_order())
    except CycleError as why:
        circle = " -> ".join(why.args[1])
        refuse(
            "serve",
            f"these parts are made from each other in a circle: {circle}.",
            value=circle,
            limit="a first part",
            remedy="Let one of them be bought: instead = ... at what it takes.",
        )


def _is_main_flow(take: Take, parts: Mapping[str, Part], used: Mapping[str, object]) -> bool:
    maker = take.from_part
    return maker is not None and maker in used and main_give(parts[maker]).item == take.item


def weighed_at(part: Part, mass: PartMass, step: str) -> tuple[tuple[Take, float], ...]:
    """What a step weighs in: each take of the part that belongs to it, and its grams."""
    return tuple((t, mass.takes_g[t.item]) for t in part.takes if t.at == step and mass.takes_g[t.item] > 0)


def _masses(brief: Brief, parts: dict[str, Part], served: dict[str, Served]) -> dict[str, PartMass]:
    """Consumers first, so that makers know what is asked of them."""
    asked = dict.fromkeys(parts, 0.0)
    found: dict[str, PartMass] = {}
    for key in reversed(parts):
        part, on_plate = parts[key], served.get(key)
        plates_g = brief.plates * on_plate.grams_per_plate if on_plate else 0.0
        found[key] = _mass(part, plates_g + asked[key], plates_g, on_plate)
        for take in part.takes:
            if take.from_part and _is_main_flow(take, parts, parts):
                asked[take.from_part] += found[key].takes_g[take.item]
    return {key: found[key] for key in parts}


def _mass(part: Part, need_g: float, plates_g: float, on_plate: Served | None) -> PartMass:
    if on_plate and on_plate.pieces:
        return _mass_of_pieces(part, need_g, plates_g, on_plate)
    give = main_give(part)
    base = sum(t.per_kg_out_g for t in part.takes if give.of in ("all", t.item))
    likely = {t.item: t.per_kg_out_g * need_g / (base * give.share.likely) for t in part.takes}
    weighed = {t.item: t.per_kg_out_g * need_g / (base * give.share.low) for t in part.takes}
    return PartMass(
        part.key, need_g, plates_g, weighed, likely, {g.item: _out(g, weighed) for g in part.gives}
    )


def _out(give: Give, weighed: dict[str, float]) -> Band:
    base = sum(weighed.values()) if give.of == "all" else weighed[give.of]
    return Band(give.share.low * base, give.share.likely * base, give.share.high * base)


def _mass_of_pieces(part: Part, need_g: float, plates_g: float, on_plate: Served) -> PartMass:
    """The brief names the meat: everything else follows its weight."""
    take = next(t for t in part.takes if t.pieces)
    skin = next((g for g in part.gives if g.skin), None)
    whole = 1 - (
        skin.share.likely if skin and take.skinned else 0.0
    )  # yields count from the piece as bought, skin on
    fresh = [p.piece for p in on_plate.pieces if p.begun is None]
    begun = [p.piece for p in on_plate.pieces if p.begun is not None]
    cured = {cure_step(part), *before_cure(part)}

    def scaled(pieces: list[Piece]) -> dict[str, float]:
        as_bought = sum(map(meat_g, pieces)) / whole
        return {t.item: t.per_kg_out_g * as_bought / take.per_kg_out_g for t in part.takes}

    new, every = scaled(fresh), scaled([*fresh, *begun])
    weighed = {t.item: (new if t.at in cured else every)[t.item] for t in part.takes}
    weighed[take.item] = sum(p.weight_g for p in fresh)
    gives = {
        g.item: skins(g, fresh) if g.skin else _out(g, new if g.at in cured - {cure_step(part)} else every)
        for g in part.gives
    }
    return PartMass(
        part.key,
        need_g,
        plates_g,
        weighed,
        dict(weighed),
        gives,
        boxes(on_plate, take),
        sum(p.weight_g for p in begun),
    )


__all__ = ["PartMass", "Quantities", "Shortfall", "quantities", "weighed_at"]
