"""Where every gram goes: takes fed from their maker or the shop, what is left over, what is short and what mends it."""

from __future__ import annotations

import math
from collections.abc import Mapping

from ingle.ground.units import show_mass
from ingle.planning.brief import Brief
from ingle.planning.masses import PartMass, Shortfall
from ingle.planning.parts import Give, Part, Take, main_give
from ingle.planning.plan import Flow
from ingle.planning.shopping import Want
from ingle.planning.spans import span


def move(
    masses: dict[str, PartMass], parts: dict[str, Part]
) -> tuple[tuple[Flow, ...], tuple[Want, ...], tuple[Shortfall, ...]]:
    """Feed every take from its maker or the shop; name what is left."""
    left_low = {(k, i): band.low for k, m in masses.items() for i, band in m.gives_g.items()}
    used = dict.fromkeys(left_low, 0.0)
    flows, wants, short = [], [], []
    for key, part in parts.items():
        mass = masses[key]
        for take in part.takes:
            need, likely = mass.takes_g[take.item], mass.likely_takes_g[take.item]
            if take.tap or need <= 0:
                continue
            source = (take.from_part or "", take.item)
            if source in left_low:
                maker = next(g for g in parts[source[0]].gives if g.item == take.item)
                fed = need if maker.main else min(need, max(0.0, left_low[source]))
                left_low[source] -= fed
                used[source] += fed
                if fed > 0:
                    flows.append(
                        Flow(take.item, maker.name, source[0], key, fed, need, keeps=_keeps_words(maker))
                    )
                need, likely = need - fed, max(0.0, likely - fed)
            if need <= 1e-9:
                continue
            if take.bought is None:
                short.append(_nothing_to_buy(part, take, need, mass))
                continue
            wants.append(Want(take.bought, key, take.at, need, likely, _cuts(take, mass)))
    flows += _leftovers(masses, parts, used)
    return tuple(flows), tuple(wants), tuple(short)


def _cuts(take: Take, mass: PartMass) -> tuple[float, ...]:
    """Weights of pieces the brief names: they are bought as they are, not by the pack."""
    if not take.pieces or not mass.boxes:
        return ()
    return (mass.takes_g[take.item],)


def _leftovers(
    masses: dict[str, PartMass], parts: dict[str, Part], used: dict[tuple[str, str], float]
) -> list[Flow]:
    """What comes out at the likely yield and nobody takes."""
    left = []
    for key, mass in masses.items():
        for give in parts[key].gives:
            out = (
                mass.gives_g[give.item].likely - used[key, give.item] - (mass.plates_g if give.main else 0.0)
            )
            if out > 1e-9:
                left.append(Flow(give.item, give.name, key, None, out, 0.0, keeps=_keeps_words(give)))
    return left


def _keeps_words(give: Give) -> str:
    said = [
        f"{span(m)} {where}"
        for m, where in ((give.keeps.fridge_min, "in the fridge"), (give.keeps.frozen_min, "frozen"))
        if m
    ]
    return ", ".join(said)


def _nothing_to_buy(part: Part, take: Take, missing: float, mass: PartMass) -> Shortfall:
    need = mass.takes_g[take.item]
    return Shortfall(
        part.key,
        take.item,
        need,
        need - missing,
        "low yield",
        f"{part.name} takes {show_mass(need)} of {take.name}; {show_mass(need - missing)} is there, "
        "and nothing is named to buy in its place.",
        f"Make more of {take.from_part}, serve {show_mass(mass.plates_g * (1 - missing / need))} of this, "
        "or write instead = ... at what it takes.",
    )


def too_little(masses: dict[str, PartMass], parts: Mapping[str, Part], brief: Brief) -> list[Shortfall]:
    """Parts whose named pieces do not feed the table."""
    short = []
    for key, mass in masses.items():
        give = main_give(parts[key])
        out = mass.gives_g[give.item]
        if not mass.boxes or out.low >= mass.need_g * (1 - 1e-9):
            continue
        more = _green_g(parts[key], mass) * (mass.need_g / out.low - 1)
        at = "low yield" if out.likely >= mass.need_g else "likely yield"
        have = out.low if at == "low yield" else out.likely
        fewer = max(0.0, out.low - (mass.need_g - mass.plates_g)) / brief.plates
        short.append(
            Shortfall(
                key,
                give.item,
                mass.need_g,
                have,
                at,
                f"{parts[key].name}: the pieces give {show_mass(have)} at the {at}; "
                f"the table takes {show_mass(mass.need_g)}.",
                f"Cure {show_mass(math.ceil(more / 10) * 10)} more green weight, "
                f"or serve {show_mass(math.floor(fewer))} a plate.",
            )
        )
    return short


def _green_g(part: Part, mass: PartMass) -> float:
    return mass.begun_g + sum(mass.takes_g[t.item] for t in part.takes if t.pieces)
