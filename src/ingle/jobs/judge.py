"""What a mix already made is: against which limits, what the piece will hold, and what can still be done."""

from __future__ import annotations

from ingle.crafts.cure import accounting, harm
from ingle.crafts.cure.accounting import Ingoing
from ingle.crafts.cure.base import Base, base_of_all
from ingle.crafts.cure.formula import HOME_SALT
from ingle.crafts.cure.late import EXCESS_OVER_WISH
from ingle.crafts.cure.mix import Mix
from ingle.crafts.cure.rescue import Advice, rescue
from ingle.crafts.cure.shares import shares
from ingle.ground.errors import BadBrief
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
from ingle.jobs.judge_ahead import salt_ahead, soak_back
from ingle.jobs.judge_answer import JudgeAnswer, SaltAt
from ingle.safety import limits
from ingle.safety.limits import Product


def judge(
    pieces: tuple[Piece, ...],
    mix: Mix,
    *,
    product: Product = Product(),
    rules: str | tuple[str, ...] = "",
    day: str,
    temperature_c: float | None = None,
    days: float | None = None,
    wished_salt: float = HOME_SALT,
    step_g: float = DEFAULT_STEP_G,
    pick_up: float | None = None,
    pump_share: float | None = None,
    cover: Mix | None = None,
) -> JudgeAnswer:
    """Judge a mix already made.

    Parameters
    ----------
    pieces : tuple of Piece
        What it is on. Several share it in one box.
    mix : Mix
        What was added. With water in it: a pickle (immersion), or the pickle that was pumped when ``pump_share`` is given.
    days : float, optional
        How long it has been on, or is to be on [d]; 0 or None: just made.
    wished_salt : float
        Salt wished at the table, per green weight [1].
    pick_up : float, optional
        Measured weight gain of an immersion [1]: Method One stands beside Method Two and the higher rules.
    pump_share : float, optional
        Pickle injected per green weight [1].
    cover : Mix, optional
        A cover pickle or rub on top of a pumped piece.

    Raises
    ------
    Refused
        A dose that can hurt: do not eat it.
    """
    require_weight(pieces)
    if not mix.added:
        raise BadBrief(
            "Nothing was added.",
            field="add",
            value="missing",
            limit="like salt=50g",
            remedy="Say what was added: --add salt=50g.",
        )
    base = base_of_all(pieces)
    ways = _ways(mix, base, pick_up, pump_share, cover)
    ruling = max(ways, key=lambda w: w.content.nitrite_as_sodium)
    nitrite = ruling.content.nitrite_as_sodium
    harm.require_not_toxic(nitrite, already_on=True)
    product = with_skin(product, base)
    keys = limits.countries(rules)
    found = limits.applicable(product, keys, day)
    strictest = limits.strictest(found)
    split = shares(pieces) if len(pieces) > 1 else ()
    agents = [a.grams for a in mix.added if a.curing_salt and a.grams > 0]
    spread = step_g / min(agents) if agents else 0.0
    spread = min(1.0, max([spread, *(spread + abs(s.surface_over_mass - 1) for s in split)]))
    said = limits.verdicts(
        found, ruling.content, skin_free=base.skin_free_g, whole=base.whole_g, spread=spread, use=product.use
    )
    ahead = salt_ahead(pieces, mix, base, ruling, temperature_c, days, wished_salt)
    ceiling = limits.as_sodium_nitrite(strictest) if strictest else None
    advice: tuple[Advice, ...] = ()
    if ruling.method == "dry":
        salty = ruling.salt > wished_salt * EXCESS_OVER_WISH
        back = soak_back(pieces, mix, temperature_c, days, wished_salt) if salty else None
        advice = rescue(
            mix,
            base.skin_free_g,
            wished_salt=wished_salt,
            ceiling_mg_per_kg=ceiling,
            days=days or 0.0,
            step_g=step_g,
            pull_h=ahead.pull_h,
            soaks=back,
        )
    return JudgeAnswer(
        kind=_kind(ruling.salt, wished_salt),
        product=product,
        rules=keys,
        rules_named=countries_named(rules),
        day=day,
        base=base,
        mix=mix,
        ruling=ruling,
        accountings=ways,
        wished_salt=wished_salt,
        verdicts=said,
        strictest=strictest,
        shares=split,
        at=ahead.at,
        table=ahead.table,
        left=ahead.left,
        ready=ahead.ready,
        even=ahead.even,
        curves=ahead.curves,
        advice=advice,
        cautions=_cautions(nitrite, product),
        not_checked=_not_checked(ahead.at),
    )


def _ways(
    mix: Mix, base: Base, pick_up: float | None, pump_share: float | None, cover: Mix | None
) -> tuple[Ingoing, ...]:
    if pump_share is not None:
        pumped = accounting.pump(mix, pump_share)
        if cover is None:
            return (pumped,)
        over = (
            accounting.immersion_two(cover, base.skin_free_g)
            if cover.grams("water")
            else accounting.dry(cover, base.skin_free_g)
        )
        return (accounting.together(pumped, over),)
    if cover is not None:
        raise BadBrief(
            "A cover goes over a pumped piece; the pump share is missing.",
            field="pump",
            value="missing",
            limit="like 10%",
            remedy="Give the pickle injected per green weight: --pump 10%.",
        )
    if mix.grams("water"):
        two = accounting.immersion_two(mix, base.skin_free_g)
        return (two, accounting.immersion_one(mix, pick_up)) if pick_up is not None else (two,)
    if pick_up is not None:
        raise BadBrief(
            "A pick-up belongs to a pickle, and there is no water.",
            field="pick-up",
            value=f"{pick_up:g}",
            limit="water above 0 g",
            remedy="Give the water: --add water=1kg, or leave the pick-up out.",
        )
    return (accounting.dry(mix, base.skin_free_g),)


def _kind(salt: float, wished: float) -> str:
    if salt == 0:
        return "none"
    if salt > wished * EXCESS_OVER_WISH:
        return "excess"
    return "equilibrium" if salt >= wished * 0.8 else "light"


def _cautions(nitrite: float, product: Product) -> tuple[str, ...]:
    found = [CAUTION_NITRITE if nitrite else CAUTION_NO_NITRITE, CAUTION_COLD]
    if nitrite >= harm.CHILD_MG_PER_KG:
        found.insert(
            0,
            f"At {nitrite:.0f} mg/kg a helping of 100 g brings a child of 15 kg to the dose where signs begin ({harm.CLAUSE}).",
        )
    if product.use == "sale":
        found.append(CAUTION_LAW)
    return tuple(found)


def _not_checked(at: SaltAt | None) -> tuple[str, ...]:
    found = ["what is left in the finished product", "the strength printed on the packet"]
    if at is None:
        found.append("how far the salt has come: thickness not measured")
    else:
        found += ["fat and seams in the piece", "brine poured off"]
    return tuple(found)


__all__ = ["JudgeAnswer", "SaltAt", "judge"]
