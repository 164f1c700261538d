"""Will it crackle: a level with its chance, what stops it, and one act that was tried on the same rinds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from ingle.crafts._lines import band
from ingle.crafts.skin.forecast import Told, forecast
from ingle.crafts.skin.laws import window
from ingle.crafts.skin.members import Programme
from ingle.crafts.skin.things import SALT_NOT_MODELLED, Skin, Stage

WITHIN, NEAR = 0.75, 0.25  # three of four such rinds; one of four
_TRIAL = 32  # members of a remedy's trial
_MORE_MIN, _FIRST_MIN, _MORE_H, _HOT_C = 10.0, 20.0, 12.0, 220.0
_MILD_C, _MILD_MIN = 120.0, 60.0  # dries a skin and boils little of it inside
_SMOKED_C = 200.0  # smoked skin browns early (common practice)
_UNDECIDED = 0.2  # share of members on either side
_SETTLES = {
    False: "Weigh the skin before and after drying.",
    True: "Weigh a scrap, dry it hard in the oven, weigh it again: its loss is the water of the raw skin; then ask again with it.",
}
_ORDER = ("within", "near", "over")

NOT_MODELLED = (
    SALT_NOT_MODELLED + "; that it slows the drying (water activity) is in the weights",
    "brine that salt draws out and that is wiped off: no published rate",
    "fat run off: no yield against heat is published, so only its order is modelled",
    "burning and colour: no published threshold for an oven",
    "scoring, blisters and their size",
)
_WHY = {
    "wet": "the skin is still too wet when the oven cools down: above {high:.0f} % water it only boils.",
    "cool": "the skin does not come to 180 C, or not while there is water in it.",
    "boiled": "so wet that much boils off inside; steam that has made its ways out no longer lifts the skin, and how much one stands is not published.",
    "dry": "too dry: below {low:.0f} % water there is no steam to blow it up.",
}
_LAST_RESORT = {
    "wet": "Dry it longer, uncovered, and start again hot.",
    "cool": f"Finish at {_HOT_C:g} C on a rack until it blisters.",
    "boiled": "Dry it longer, uncovered, before it meets the heat.",
    "dry": "Crisp it thin as it is; it will not blister.",
}


@dataclass(frozen=True)
class Answer:
    """The answer for one rind."""

    level: str  # within: can puff | near: may or may not | over: will not | cannot_say
    told: Told
    why: str
    act: str
    tried: float | None  # chance after the act, on the same rinds [1]
    warnings: tuple[str, ...]
    not_modelled: tuple[str, ...] = NOT_MODELLED
    sure: str = "gap"  # both thresholds of puffing are assumed

    @property
    def doubt(self) -> str:
        """What the two thresholds rest on."""
        return f"{band('skin', 'puff_water').doubt} {band('skin', 'puff_temperature_c').doubt}"


@dataclass(frozen=True)
class Rind:
    """What is known of the rind, besides `Skin`."""

    skin: Skin
    fat_mm: float = 0.0
    salt_rubbed_g: float = 0.0
    dried_g: float | None = None
    water_known: bool = False
    thickness_known: bool = True


def answer(rind: Rind, programme: Programme) -> Answer:
    """Forecast a rind and say whether it can puff; where it may not, the first act that helps."""
    told = _run(rind, programme)
    level = level_of(told.chance)
    if level == "over" and told.chance + told.causes["boiled"] >= NEAR:
        level = "near"  # what boils inside may leak or not: no study says where
    warnings = tuple(_warnings(rind, programme, told))
    worst = max(told.causes, key=lambda k: told.causes[k])
    if _browns(rind, programme):
        level = max(level, "near", key=_ORDER.index)
    too_dry = told.causes["dry"]
    if level != "within" and min(too_dry, 1.0 - too_dry) > _UNDECIDED and (rind.dried_g is None or not rind.water_known):
        why = "some such rinds are too dry to blow up and some are not: how dry it goes in decides."
        return Answer("cannot_say", told, why, _SETTLES[rind.dried_g is not None], None, warnings)
    if level == "within":
        puffs = told.puff_min
        assert puffs is not None
        return Answer(level, told, f"it comes to 180 C with {_window()} % water, about minute {puffs.likely:.0f}.", "", None, warnings)
    if told.chance >= WITHIN:
        return Answer(level, told, "smoked skin browns early.", f"Start at {_SMOKED_C:g} C.", None, warnings)
    act, tried = _remedy(rind, programme, worst, told.chance)
    low, high = window()
    return Answer(level, told, _WHY[worst].format(low=100.0 * low, high=100.0 * high), act, tried, warnings)


def _window() -> str:
    low, high = window()
    return f"{100.0 * low:.0f} to {100.0 * high:.0f}"


def level_of(chance: float) -> str:
    """Level of a chance that half the skin puffs: within from three of four, near from one of four."""
    return "within" if chance >= WITHIN else "near" if chance >= NEAR else "over"


def _run(rind: Rind, programme: Programme, members: int | None = None) -> Told:
    more = {} if members is None else {"members": members}
    return forecast(
        rind.skin, programme, fat_mm=rind.fat_mm, salt_rubbed_g=rind.salt_rubbed_g, dried_g=rind.dried_g,
        water_known=rind.water_known, thickness_known=rind.thickness_known, **more,
    )  # fmt: skip


def _remedy(rind: Rind, programme: Programme, cause: str, now: float) -> tuple[str, float | None]:
    """The first act that brings the chance to three of four, else the best one; each is tried on the same rinds."""
    best, best_chance = _LAST_RESORT[cause], now
    if cause == "dry":
        return best, None
    first = ""
    if _browns(rind, programme):
        first = f"Start at {_SMOKED_C:g} C. "
        programme = replace(programme, oven=tuple(replace(s, oven_c=min(s.oven_c, _SMOKED_C)) for s in programme.oven))
    for what, other in _acts(rind, programme, cause):
        words = first + what
        chance = _run(rind, other, _TRIAL).chance
        if chance > best_chance + 0.05:
            best, best_chance = words, chance
        if chance >= WITHIN:
            break
    return best, best_chance if best_chance > now else None


def _acts(rind: Rind, programme: Programme, cause: str) -> Iterator[tuple[str, Programme]]:
    """Single changes, the easiest first; then the hot stage and the drying together. More heat helps no skin that boils inside."""
    if not programme.rack:
        yield "Lay it on a rack.", replace(programme, rack=True)
    words, heat, longer = _hotter(rind, programme)
    if cause != "boiled":
        yield words, longer
    if rind.dried_g is None:
        most = band("skin", "dry_h").high
        hours = max(programme.fridge_h, _MORE_H) if programme.covered else min(programme.fridge_h + _MORE_H, 240.0)
        dry = "Dry it uncovered" if programme.covered else f"Dry it {_MORE_H:.0f} h longer, uncovered"
        for what, h in ((dry, hours), (f"Dry it uncovered, {most:.0f} h in all", most)):
            if h < hours:
                continue
            if h == hours or cause == "boiled":
                yield f"{what}.", replace(programme, fridge_h=h, covered=False)
            if cause != "boiled":
                yield f"{what}, and {heat}.", replace(longer, fridge_h=h, covered=False)
    if cause == "boiled":
        yield f"Dry it in the oven first, {_MILD_C:g} C for {_MILD_MIN:.0f} min.", replace(programme, oven=(Stage(_MILD_C, _MILD_MIN), *programme.oven))


def _hotter(rind: Rind, programme: Programme) -> tuple[str, str, Programme]:
    """A hot stage first, or a longer one: as an order, within a sentence, and as a programme."""
    hot, *rest = programme.oven
    top = _SMOKED_C if rind.skin.smoked else max(hot.oven_c, _HOT_C - (20.0 if programme.fan else 0.0))
    cool = hot.oven_c < top - 5.0
    first = (Stage(top, _FIRST_MIN), *programme.oven) if cool else (Stage(top, hot.minutes + _MORE_MIN), *rest)
    heat = f"begin with {top:.0f} C for {_FIRST_MIN:.0f} min" if cool else f"give the first stage {first[0].minutes:.0f} min"
    return f"{heat[0].upper()}{heat[1:]}.", heat, replace(programme, oven=first)


def _browns(rind: Rind, programme: Programme) -> bool:
    """Whether a smoked skin meets more heat than it stands."""
    return rind.skin.smoked and any(s.oven_c > _SMOKED_C for s in programme.oven)


def _warnings(rind: Rind, programme: Programme, told: Told) -> Iterator[str]:
    if _browns(rind, programme):
        yield "Smoked skin browns early: keep the first stage at 200 C (common practice)."
    if rind.fat_mm > 5.0:
        yield "Scrape the fat down to 2 to 5 mm: it shuts the lower face and takes the heat (common practice)."
    if told.rendered < 0.3:
        yield "Little of the fat has run off: give the second stage longer, or it stays greasy."
    if told.face_above_200_min > 5.0:
        yield (
            f"The face stands above 200 C for about {told.face_above_200_min:.0f} min: look in, it browns "
            "(fried rind hardened within minutes at 210 C, not at 180 C)."
        )
    if not programme.rack:
        yield "On a tray one face is shut and lies in its fat."
    salt = band("skin", "soak_above").likely
    if rind.skin.salt_per_skin > salt:
        yield f"More than {100.0 * salt:.1f} % salt in the skin: soak it first."
