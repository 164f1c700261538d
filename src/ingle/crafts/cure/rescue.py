"""A mix that is not what was meant: what can still be done, in grams.

Acts are given in their order and add up: after all of them the mix holds what ``gives`` says.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ingle.crafts.cure.formula import HOME_NITRITE_MG_PER_KG, round_down, round_up
from ingle.crafts.cure.harm import CHILD_MG_PER_KG
from ingle.crafts.cure.history_soak import LONGEST_H, NIGHT_H, SLICE_MM, Soaks
from ingle.crafts.cure.mix import Added, CuringSalt, Mix
from ingle.ground import units

# Between these no advice is given: the home window of nitrite, and a fifth around the wished salt (common practice).
LEAST_NITRITE_MG_PER_KG = 100.0
SALT_SLACK = 0.2


@dataclass(frozen=True)
class Advice:
    """One act, why, what it adds, and what the mix then holds."""

    act: str
    why: str
    adds: tuple[Added, ...] = ()
    adds_meat_g: float = 0.0
    gives: dict[str, float] = field(default_factory=dict)


def rescue(
    mix: Mix,
    base_g: float,
    *,
    wished_salt: float,
    ceiling_mg_per_kg: float | None,
    days: float,
    step_g: float,
    pull_h: float | None = None,
    nitrite_wanted: bool = True,
    soaks: Soaks | None = None,
) -> tuple[Advice, ...]:
    """What can still be done with a dry mix.

    Parameters
    ----------
    mix : Mix
        What was put on.
    base_g : float
        Green weight without skin [g].
    wished_salt : float
        Salt wished at the table, per green weight [1].
    ceiling_mg_per_kg : float or None
        The lowest ceiling on ingoing nitrite that applies [mg NaNO2/kg].
    days : float
        Days the mix has been on; meat can share a mix only at the start.
    soaks : Soaks, optional
        Hours of soak that bring an excess cure back to the wish, whole or sliced.
    pull_h : float, optional
        For an excess cure: the likely hour at which the whole piece holds the wished salt.
    """
    found: list[Advice] = []
    as_told = mix.salt
    packet = next((a.curing_salt for a in mix.added if a.curing_salt), None)
    nitrite = mix.content(base_g).nitrite_as_sodium
    mass = base_g
    ceiling = ceiling_mg_per_kg if ceiling_mg_per_kg is not None else HOME_NITRITE_MG_PER_KG * 1.2
    if nitrite > ceiling * (1 + 1e-6):
        advice, mass = _too_much_nitrite(mix, base_g, nitrite, ceiling, days, step_g)
        found.append(advice)
    elif nitrite_wanted and nitrite < LEAST_NITRITE_MG_PER_KG * (1 - 1e-9):
        advice, mix = _too_little_nitrite(mix, mass, nitrite, ceiling, packet, step_g)
        found.append(advice)
    salt = mix.salt / mass
    if salt < wished_salt * (1 - SALT_SLACK / 4):
        more = round_up((wished_salt - salt) * mass, step_g)
        mix = mix.plus(Added("salt", more))
        found.append(
            Advice(
                f"Add {units.show_mass(more, step_g)} salt and rub it in.",
                f"It holds {units.show_fraction(salt)} salt, {units.show_fraction(wished_salt)} is wished.",
                (Added("salt", more),),
                gives={"salt_per_green_weight": mix.salt / mass},
            )
        )
    elif salt > wished_salt * (1 + SALT_SLACK) >= as_told / base_g:
        found.append(_salted_by_advice(as_told / base_g, salt, wished_salt, found[-1].adds))
    elif salt > wished_salt * (1 + SALT_SLACK):
        found.append(_too_salty(salt, wished_salt, mass, days, pull_h, soaks))
    return tuple(found)


def _too_much_nitrite(
    mix: Mix, base_g: float, nitrite: float, ceiling: float, days: float, step_g: float
) -> tuple[Advice, float]:
    over = f"{nitrite:.0f} mg/kg nitrite is over the {ceiling:.0f} that rules here."
    if days > 0:
        child = " Keep it from small children." if nitrite >= CHILD_MG_PER_KG else ""
        return Advice(
            "Mark it not for sale; do not give it to small children, pregnant or ill people."
            if not child
            else "Mark it not for sale, and keep it from small children, pregnant and ill people.",
            over
            + " It has been on the meat: what has gone in cannot be counted back out, and a soak cannot be shown to bring it under.",
        ), base_g
    wanted = min(HOME_NITRITE_MG_PER_KG, ceiling * 0.98)
    more = round_up(base_g * (nitrite / wanted - 1), max(step_g, 1.0))
    mass = base_g + more
    return Advice(
        f"Let more meat share it: {units.show_mass(more)} more, rubbed with the same mix now.",
        over
        + f" On {units.show_mass(mass)} it is {nitrite * base_g / mass:.0f} mg/kg. Or wipe the mix off, throw it away and weigh anew.",
        adds_meat_g=more,
        gives={"nitrite_mg_per_kg": nitrite * base_g / mass, "salt_per_green_weight": mix.salt / mass},
    ), mass


def _too_little_nitrite(
    mix: Mix, mass: float, nitrite: float, ceiling: float, packet: CuringSalt | None, step_g: float
) -> tuple[Advice, Mix]:
    nitrate = mix.agent("KNO3") + mix.agent("NaNO3")
    why = f"It holds {nitrite:.0f} mg/kg nitrite; {LEAST_NITRITE_MG_PER_KG:.0f} to {ceiling:.0f} is the window here."
    if nitrate and nitrite == 0:
        why = "It holds nitrate and no nitrite: in a fridge nitrate turns into nitrite too slowly to cure a piece in weeks."
    wanted = min(HOME_NITRITE_MG_PER_KG, ceiling * 0.98)
    if packet is None:
        example = CuringSalt(0.0625)
        grams = round_down((wanted - nitrite) * 1e-6 * mass / example.nitrite, step_g)
        return Advice(
            f"Add curing salt: {units.show_mass(grams, step_g)} if its packet says 6.25 %, more if it is weaker.",
            why,
            (Added("curing-salt", grams, example),),
            gives={"nitrite_mg_per_kg": nitrite + grams * example.nitrite / mass * 1e6},
        ), mix.plus(Added("curing-salt", grams, example))
    grams = round_down((wanted - nitrite) * 1e-6 * mass / packet.nitrite, step_g)
    more = Added("curing-salt", grams, packet)
    return Advice(
        f"Add {units.show_mass(grams, step_g)} more of the same curing salt ({units.show_fraction(packet.nitrite)}).",
        why,
        (more,),
        gives={"nitrite_mg_per_kg": mix.plus(more).content(mass).nitrite_as_sodium},
    ), mix.plus(more)


def _salted_by_advice(as_told: float, salt: float, wished: float, adds: tuple[Added, ...]) -> Advice:
    """A weak curing salt brings its own salt: told as what the advice does, not as what is the matter now."""
    weak = next(a for a in adds if a.curing_salt is not None)
    assert weak.curing_salt is not None
    nitrite_g = weak.grams * weak.curing_salt.nitrite
    strong = CuringSalt(0.0625)
    least = min(a for a in (nitrite_g / strong.nitrite, weak.grams))
    why = f"Now it holds {units.show_fraction(as_told)} salt; with the {units.show_mass(weak.grams)} of advice on it, {units.show_fraction(salt)}, and {units.show_fraction(wished)} is wished."
    later = f"With the {units.show_mass(weak.grams)} on it, count its time anew: it is an excess cure then, and time decides."
    if weak.curing_salt.nitrite >= strong.nitrite:
        return Advice(later, why)
    return Advice(
        f"Better take a curing salt of 6.25 % for it: {units.show_mass(round_down(least, 0.1))} holds as much nitrite, and hardly any salt. {later}", why
    )


def _about(hours: float) -> str:
    """Hours of a soak to the whole hour: the spread is far wider than minutes."""
    return units.show_hours(float(max(1, round(hours))))


def soak_words(soaks: Soaks) -> str:
    """What brings it back: the soak of the whole piece, or of slices where that takes more than a night."""
    whole, sliced = soaks.whole, soaks.sliced
    if whole is not None and whole.likely <= NIGHT_H:
        return f"soak it in three times its weight of cold water in the fridge for about {_about(whole.likely)} ({_about(whole.low)} to {_about(whole.high)})"
    how_long = (
        f"no soak within {units.show_hours(LONGEST_H)} brings the whole piece back"
        if whole is None
        else f"whole it would have to soak about {_about(whole.likely)}"
    )
    if sliced is None:
        return f"{how_long}, nor slices of {SLICE_MM:.0f} mm within two days: cook it in plenty of unsalted water, or with what needs salt"
    return (
        f"{how_long}: cut what you need into slices {SLICE_MM:.0f} mm thick and soak those in three times their weight of cold "
        f"water in the fridge for about {_about(sliced.likely)} ({_about(sliced.low)} to {_about(sliced.high)})"
    )


def capital(text: str) -> str:
    """The same with a capital first letter."""
    return text[:1].upper() + text[1:]


def _too_salty(
    salt: float,
    wished: float,
    mass: float,
    days: float,
    pull_h: float | None,
    soaks: Soaks | None,
) -> Advice:
    why = f"{units.show_fraction(salt)} salt is an excess cure: left until even the piece would be that salty, {units.show_fraction(wished)} is wished."
    if pull_h is not None and pull_h > 24 * days + 6:
        return Advice(f"Pull it {units.show_hours(pull_h)} after it went on, rinse, and let it rest until even.", why)
    if days == 0:
        more = round_up(mass * (salt / wished - 1), 1.0)
        return Advice(
            f"Wipe off what salt you can, or let {units.show_mass(more)} more meat share it; count the nitrite anew for that weight.",
            why,
        )
    if soaks is not None and soaks.whole is not None and soaks.whole.likely <= NIGHT_H:
        return Advice(
            f"Pull it now, rinse it, and {soak_words(soaks)}. Fry a slice to taste before you take it out, then rest it until even.",
            why,
        )
    if soaks is not None and soaks.sliced is not None:
        return Advice(f"Pull it now and rinse it. {capital(soak_words(soaks))}; fry one to taste.", why)
    return Advice(
        "Pull it now, rinse it, soak it in cold water in the fridge and fry a slice of the thinnest part to taste every few hours; "
        "then rest it until even.",
        why,
    )
