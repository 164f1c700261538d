"""Unknown weights from targets: what to put on the scale for this piece.

The salt inside the curing salt always counts. Curing salt is rounded down to the scale's step, plain salt up to its.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ingle.crafts.cure import accounting, harm
from ingle.crafts.cure.accounting import Ingoing
from ingle.crafts.cure.base import Base
from ingle.crafts.cure.mix import Added, CuringSalt, Mix
from ingle.crafts.cure.premix import Premix, premix, too_coarse
from ingle.ground import units
from ingle.ground.errors import BadBrief, OutOfRange

# The common window of the laws carried here, whole muscle and bacon alike (derived; docs/models/cure.md).
HOME_NITRITE_MG_PER_KG = 118.0
HOME_SALT = 0.025
# Wanted salt per green weight: below the first it barely guards, above the second it is a preserve to be soaked (common practice).
SALT_RANGE = (0.005, 0.12)
SALT_BASES = ("green", "finished", "water-phase")


@dataclass(frozen=True)
class Targets:
    """What is wanted, per green weight without skin unless the basis says otherwise."""

    salt: float = HOME_SALT
    nitrite_mg_per_kg: float = HOME_NITRITE_MG_PER_KG
    sugar: float = 0.0
    salt_basis: str = "green"
    finished_yield: float | None = None  # finished weight per green weight, for the basis "finished"
    water: float = 0.74  # water per green weight, for the basis "water-phase" (lean pork, USDA SR26)


@dataclass(frozen=True)
class Formula:
    """What to weigh. Grams are rounded to the step; ``exact`` are the unrounded ones."""

    method: str
    grams: dict[str, float]
    exact: dict[str, float]
    step_g: float
    mix: Mix
    ingoing: Ingoing  # by the method that rules
    also: tuple[Ingoing, ...]  # the other published accounting, side by side
    salt_target: float  # per base
    premix: Premix | None
    coarse: bool  # the scale's step is too coarse for the curing salt


def round_down(grams: float, step: float) -> float:
    """To the step below; a weight on a step stays."""
    return round(math.floor(grams / step + 1e-9) * step, 6)


def round_up(grams: float, step: float) -> float:
    """To the step above; a weight on a step stays."""
    return round(math.ceil(grams / step - 1e-9) * step, 6)


def salt_per_base(targets: Targets) -> float:
    """The wished salt as a share of green weight."""
    low, high = SALT_RANGE
    if targets.salt_basis not in SALT_BASES:
        raise BadBrief(
            f"salt basis {targets.salt_basis!r} is not known. There are: {', '.join(SALT_BASES)}.",
            field="salt-basis",
            value=targets.salt_basis,
            limit=", ".join(SALT_BASES),
            remedy="Write green, finished or water-phase.",
        )
    if targets.salt_basis == "finished":
        if targets.finished_yield is None:
            raise BadBrief(
                "Salt per finished weight needs the yield.",
                field="yield",
                value="missing",
                limit="like 85%",
                remedy="Give the finished weight per green weight: --yield 85%.",
            )
        wanted = targets.salt * targets.finished_yield
    elif targets.salt_basis == "water-phase":
        wanted = targets.salt / (1 - targets.salt) * targets.water
    else:
        wanted = targets.salt
    if not low <= wanted <= high:
        raise OutOfRange(
            f"salt is {units.show_fraction(wanted)} of the green weight; a cure here holds {units.show_fraction(low)} to "
            f"{units.show_fraction(high)}.",
            field="salt",
            value=units.show_fraction(wanted),
            limit=f"{units.show_fraction(low)} to {units.show_fraction(high)}",
            remedy="2.5 % is usual for a piece that is cooked.",
        )
    return wanted


def _require_targets(targets: Targets) -> None:
    if not 0 <= targets.sugar <= 0.3:
        raise OutOfRange(
            f"sugar is {units.show_fraction(targets.sugar)} of the green weight.",
            field="sugar",
            value=units.show_fraction(targets.sugar),
            limit="0 to 30 %",
            remedy="0.5 to 2 % is usual.",
        )
    if targets.nitrite_mg_per_kg < 0:
        raise OutOfRange(
            "nitrite is below zero.",
            field="nitrite",
            value=targets.nitrite_mg_per_kg,
            limit="0 mg/kg or more",
        )
    harm.require_not_toxic(targets.nitrite_mg_per_kg, already_on=False)


def dry(base: Base, targets: Targets, packet: CuringSalt | None, step_g: float) -> Formula:
    """A dry cure of one piece (or of several that share one box)."""
    _require_targets(targets)
    salt = salt_per_base(targets)
    mass = base.skin_free_g
    agent = _sodium_form(packet)
    curing = targets.nitrite_mg_per_kg * 1e-6 * mass / agent if packet and agent else 0.0
    total_salt = salt * mass
    inside = curing * packet.salt if packet else 0.0
    if inside > total_salt * (1 + 1e-9):
        raise OutOfRange(
            f"The curing salt alone brings {units.show_fraction(inside / mass)} salt, more than the {units.show_fraction(salt)} wanted.",
            field="salt",
            value=units.show_fraction(salt),
            limit=f"at least {units.show_fraction(inside / mass)}",
            remedy=f"Ask for {units.show_fraction(math.ceil(inside / mass * 1000) / 1000)} salt or more, for less nitrite, or take a stronger curing salt.",
        )
    coarse = packet is not None and too_coarse(curing, step_g)
    thinned = premix(curing, packet, total_salt, step_g) if coarse and packet else None
    exact = {"salt": total_salt - inside, "curing_salt": curing, "sugar": targets.sugar * mass}
    grams = {
        "salt": round_up(total_salt - (round_down(curing, step_g) * packet.salt if packet else 0.0), step_g),
        "curing_salt": round_down(curing, step_g),
        "sugar": round_up(exact["sugar"], step_g),
    }
    agent_added = [Added("curing-salt", grams["curing_salt"], packet)] if packet else []
    if thinned is not None:  # the scale cannot dose the curing salt: what is weighed is the premix
        grams = {"salt": thinned.plain_salt_g, "curing_salt": 0.0, "premix": thinned.dose_g, "sugar": grams["sugar"]}
        agent_added = [Added("curing-salt", thinned.dose_g, thinned.strength)]
    mix = Mix((Added("salt", grams["salt"]), *agent_added, Added("sugar", grams["sugar"])))
    return Formula("dry", grams, exact, step_g, mix, accounting.dry(mix, mass), (), salt, thinned, coarse)


def pickle(
    base: Base,
    targets: Targets,
    packet: CuringSalt | None,
    step_g: float,
    *,
    method: str,
    water_g: float,
    share: float | None = None,
) -> Formula:
    """A pickle of given water: immersion until even (Method Two) or pumped.

    Parameters
    ----------
    method : str
        ``immersion`` or ``pump``.
    water_g : float
        Water of the pickle as weighed [g].
    share : float, optional
        Pump share per green weight, or the measured pick-up of an immersion; for ``pump`` it must be given.
    """
    _require_targets(targets)
    salt = salt_per_base(targets)
    if not water_g > 0:
        raise OutOfRange(
            "The pickle has no water.",
            field="water",
            value=f"{water_g:g} g",
            limit="above 0 g",
            remedy="Give it as weighed: --water 1kg.",
        )
    if method == "pump" and share is None:
        raise BadBrief(
            "Pumping needs its share.",
            field="pump",
            value="missing",
            limit="like 10%",
            remedy="Give the pickle injected per green weight: --pump 10%.",
        )
    mass = base.skin_free_g
    agent = _sodium_form(packet)
    # Per gram of the sum (meat + pickle, or pickle alone times 1/share) the shares are fixed; water is what is left.
    scale = 1.0 if method == "immersion" else 1.0 / (share or 1.0)
    nitrite_share = (
        targets.nitrite_mg_per_kg * 1e-6 * scale / agent if packet and agent else 0.0
    )  # curing salt per g of the sum
    salt_share = salt * scale - nitrite_share * (packet.salt if packet else 0.0)
    sugar_share = targets.sugar * scale
    dissolved = nitrite_share + salt_share + sugar_share
    if salt_share < 0:
        raise OutOfRange(
            "The curing salt alone brings more salt than wanted.",
            field="salt",
            value=units.show_fraction(salt),
            limit=units.show_fraction(nitrite_share * (packet.salt if packet else 0) / scale),
            remedy="Ask for more salt, less nitrite, or a stronger curing salt.",
        )
    held = mass if method == "immersion" else 0.0
    if dissolved >= 0.95:
        raise OutOfRange(
            "The pickle would be more solids than water.",
            field="water",
            value=f"{water_g:g} g",
            limit="more water or a higher pump share",
        )
    total = (held + water_g) / (1 - dissolved)
    exact = {
        "salt": salt_share * total,
        "curing_salt": nitrite_share * total,
        "sugar": sugar_share * total,
        "water": water_g,
    }
    strength = (exact["salt"] + exact["curing_salt"]) / (exact["salt"] + exact["curing_salt"] + water_g)
    if strength > 0.264:
        raise OutOfRange(
            f"The pickle would need {units.show_fraction(strength, 1)} salt; brine is saturated at 26.4 %.",
            field="water",
            value=units.show_mass(water_g),
            limit="26.4 % (CFIA manual 4.13.2)",
            remedy="Take more water, or less salt per piece.",
        )
    grams = {
        "salt": round_up(exact["salt"], step_g),
        "curing_salt": round_down(exact["curing_salt"], step_g),
        "sugar": round_up(exact["sugar"], step_g),
        "water": water_g,
    }
    mix = Mix(
        (
            Added("water", water_g),
            Added("salt", grams["salt"]),
            *([Added("curing-salt", grams["curing_salt"], packet)] if packet else []),
            Added("sugar", grams["sugar"]),
        )
    )
    if method == "pump":
        ruling = accounting.pump(mix, share or 0.0)
        also: tuple[Ingoing, ...] = ()
    else:
        ruling = accounting.immersion_two(mix, mass)
        also = (accounting.immersion_one(mix, share),) if share else ()
    coarse = packet is not None and too_coarse(exact["curing_salt"], step_g)
    return Formula(method, grams, exact, step_g, mix, ruling, also, salt, None, coarse)


def _sodium_form(packet: CuringSalt | None) -> float:
    """NaNO2 that a gram of the packet amounts to [g]; potassium nitrite counted by its molar mass."""
    if packet is None:
        return 0.0
    return packet.nitrite * (68.9953 / 85.1038 if packet.nitrite_as == "KNO2" else 1.0)
