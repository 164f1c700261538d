"""What a mix already made is: against which limits, what the piece will hold, and what can still be done."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ingle.crafts.cure import accounting, forecast, harm
from ingle.crafts.cure.accounting import Ingoing
from ingle.crafts.cure.base import Base, base_of_all
from ingle.crafts.cure.forecast import Criterion, CureCurves
from ingle.crafts.cure.formula import HOME_SALT
from ingle.crafts.cure.history_soak import Soaks, soaks
from ingle.crafts.cure.history_stage import Stage
from ingle.crafts.cure.late import EXCESS_OVER_WISH
from ingle.crafts.cure.mix import Mix
from ingle.crafts.cure.rescue import Advice, rescue
from ingle.crafts.cure.shares import Share, shares
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.ground.things import Forecast, Piece
from ingle.jobs.weigh import (
    CAUTION_COLD,
    CAUTION_LAW,
    CAUTION_NITRITE,
    CAUTION_NO_NITRITE,
    DEFAULT_STEP_G,
    asked_dict,
    countries_named,
    ingoing_dict,
    judged_level,
)
from ingle.jobs.windows import window_dict
from ingle.safety import limits
from ingle.safety.limits import Limit, Product
from ingle.safety.verdict import Verdict


@dataclass(frozen=True)
class SaltAt:
    """Salt in the piece at one time. [g per 100 g of tissue], likely and 5-95 %."""

    days: float
    core: tuple[float, float, float]
    mean: tuple[float, float, float]


@dataclass(frozen=True)
class JudgeAnswer:
    """The answer to `judge`."""

    kind: str  # equilibrium | excess | light | none
    product: Product
    rules: tuple[str, ...]
    rules_named: bool
    day: str
    base: Base
    mix: Mix
    ruling: Ingoing
    accountings: tuple[Ingoing, ...]
    wished_salt: float
    verdicts: tuple[Verdict, ...]
    strictest: Limit | None
    shares: tuple[Share, ...]
    at: SaltAt | None  # at the day that was asked
    table: tuple[SaltAt, ...]  # around it
    left: float | None  # if left for ever [g/100 g]
    ready: Forecast | None
    even: Forecast | None
    curves: CureCurves | None
    advice: tuple[Advice, ...]
    cautions: tuple[str, ...]
    not_checked: tuple[str, ...]

    @property
    def level(self) -> str:
        """Gravest level among the limits that could be judged."""
        return judged_level(self.verdicts)

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/judge.md)."""
        told: dict[str, Any] = {
            "kind": self.kind,
            "method": self.ruling.method,
            **asked_dict(self.product, self.rules, self.rules_named, self.day, self.base),
            "ingoing": ingoing_dict(self.ruling.content),
            "salt_per_green_weight": self.ruling.salt,
            "wished_salt": self.wished_salt,
            "accountings": [
                {
                    "method": w.method,
                    "sodium_nitrite_mg_per_kg": w.content.nitrite_as_sodium,
                    "salt_per_green_weight": w.salt,
                    "clause": w.clause,
                }
                for w in self.accountings
            ],
            "level": self.level,
            "strictest": None if self.strictest is None else self.strictest.rule,
            "shares": [{"name": s.name, "by_mass": s.by_mass, "by_surface": s.by_surface} for s in self.shares],
            "verdicts": [v.as_dict() for v in self.verdicts],
            "advice": [
                {
                    "act": a.act,
                    "why": a.why,
                    "adds": {_name(x): x.grams for x in a.adds},
                    "adds_meat_g": a.adds_meat_g,
                    "gives": a.gives,
                }
                for a in self.advice
            ],
            "cautions": list(self.cautions),
            "not_checked": list(self.not_checked),
            "forecast": None,
        }
        if self.at is not None and self.ready is not None and self.even is not None:
            told["forecast"] = salt_at_dict(self.at) | {
                "days": self.at.days,
                "left_salt_g_per_100g": self.left,
                "table": [{"days": s.days} | salt_at_dict(s) for s in self.table],
                "ready_h": window_dict(self.ready),
                "even_h": window_dict(self.even),
                "basis": self.ready.basis,
                "not_in_it": list(self.ready.not_in_it),
            }
        return told


def _name(x: Any) -> str:
    return f"curing-salt@{units.per_hundred(x.curing_salt.nitrite):g}%" if x.curing_salt else x.kind


def salt_at_dict(s: SaltAt) -> dict[str, float]:
    """Core and mean salt with their marks."""
    return {
        "core_salt_g_per_100g": s.core[1],
        "core_salt_g_per_100g_low": s.core[0],
        "core_salt_g_per_100g_high": s.core[2],
        "mean_salt_g_per_100g": s.mean[1],
        "mean_salt_g_per_100g_low": s.mean[0],
        "mean_salt_g_per_100g_high": s.mean[2],
    }


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
    if not pieces:
        raise BadBrief(
            "No weight is given.",
            field="weight",
            value="missing",
            limit="like 1kg",
            remedy="Weigh the piece: --weight 1kg.",
        )
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
    product = Product(
        product.name,
        product.heat,
        base.skin_on,
        base.skin_weighed,
        product.tradition,
        product.species,
        product.use,
    )
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
    forecasts = _forecast(pieces, mix, base, ruling, temperature_c, days, wished_salt)
    at, table, left, ready, even, curves, pull = forecasts
    ceiling = limits.as_sodium_nitrite(strictest) if strictest else None
    advice: tuple[Advice, ...] = ()
    if ruling.method == "dry":
        salty = ruling.salt > wished_salt * EXCESS_OVER_WISH
        back = _soaks(pieces, mix, temperature_c, days, wished_salt) if salty else None
        advice = rescue(
            mix,
            base.skin_free_g,
            wished_salt=wished_salt,
            ceiling_mg_per_kg=ceiling,
            days=days or 0.0,
            step_g=step_g,
            pull_h=pull,
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
        at=at,
        table=table,
        left=left,
        ready=ready,
        even=even,
        curves=curves,
        advice=advice,
        cautions=_cautions(nitrite, product),
        not_checked=_not_checked(at),
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


def _forecast(
    pieces: tuple[Piece, ...],
    mix: Mix,
    base: Base,
    ruling: Ingoing,
    temperature_c: float | None,
    days: float | None,
    wished: float,
) -> Any:
    """Salt at the asked day and around it, for the thickest piece (the slowest)."""
    none = (None, (), None, None, None, None, None)
    measured = [p for p in pieces if p.thickness_mm is not None]
    if not measured or ruling.method not in ("dry", "immersion-two", "immersion-one") or mix.salt == 0:
        return none
    slowest = max(measured, key=lambda p: (p.thickness_mm or 0) * (2 if p.skin != "none" else 1))
    warm = 4.0 if temperature_c is None else temperature_c
    pickle = mix.grams("water") / base.skin_free_g or None
    dose = mix.salt / base.skin_free_g
    asked = 7.0 if days is None else days
    around = sorted({max(asked - 1, 0.0), asked, asked + 1, asked + 3, asked + 7})
    near = forecast.curves(slowest, dose, warm, hours=np.array(around) * 24.0, pickle_water=pickle)
    table = tuple(
        SaltAt(
            d,
            (float(near.core_low[i]), float(near.core[i]), float(near.core_high[i])),
            (float(near.mean_low[i]), float(near.mean[i]), float(near.mean_high[i])),
        )
        for i, d in enumerate(around)
    )
    ready = forecast.window(
        slowest,
        dose,
        warm,
        wished=min(wished, dose) if pickle is None else min(wished, ruling.salt),
        pickle_water=pickle,
    )
    even = forecast.window(slowest, dose, warm, criterion=Criterion("even"), pickle_water=pickle)
    pull = None
    if dose > wished * EXCESS_OVER_WISH:
        pull = forecast.window(
            slowest, dose, warm, wished=wished, criterion=Criterion("mean"), pickle_water=pickle
        ).likely_h
    full = forecast.curves(slowest, dose, warm, days=max(asked * 1.5, 10.0), pickle_water=pickle)
    return table[around.index(asked)], table, near.left, ready, even, full, pull


def _soaks(
    pieces: tuple[Piece, ...], mix: Mix, temperature_c: float | None, days: float | None, wished: float
) -> Soaks | None:
    """How long an excess cure that has lain must soak whole, and in slices where whole takes more than a night."""
    if not days or len(pieces) != 1 or pieces[0].thickness_mm is None:
        return None
    laid = (Stage("rub", days * 24, 4.0 if temperature_c is None else temperature_c, add=mix),)
    return soaks(pieces[0], laid, forecast.wished_in_tissue(wished))


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
