"""What to put on the scale for this piece, and what the laws say of it."""

from __future__ import annotations

from dataclasses import dataclass, field
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
from ingle.safety import limits
from ingle.safety.limits import Limit, Product
from ingle.safety.verdict import Verdict

DEFAULT_STEP_G = 0.1
COARSE_STEP_G = 1.0
WEAK_CURING_SALT = CuringSalt(0.006)  # European nitrite salt, 0.6 % (read from its packet; strengths differ)

CAUTION_NITRITE = (
    "Curing salt: weigh it twice, on a scale that shows 0.1 g. Keep it locked, in its own labelled jar, away from table salt, sugar, "
    "acids and children."
)
CAUTION_COLD = "Keep the piece at 1 to 4 C from now on; above 5 C (FDA Food Code 3-501.16(A)(2)) germs outrun the cure."
CAUTION_NO_NITRITE = (
    "Without nitrite salt alone guards against botulism: keep it cold, cook it, do not vacuum-pack or cold-smoke it."
)
CAUTION_LAW = "Compare with your local food law before you sell any."


@dataclass(frozen=True)
class PieceDose:
    """What one piece gets when each has its own bag."""

    name: str
    green_weight_g: float
    grams: dict[str, float]


@dataclass(frozen=True)
class WeighAnswer:
    """The answer to `weigh`."""

    method: str
    product: Product
    rules: tuple[str, ...]
    rules_named: bool
    day: str
    base: Base
    formula: Formula
    packet: CuringSalt | None
    step_given: bool
    verdicts: tuple[Verdict, ...]
    strictest: Limit | None
    pieces: tuple[PieceDose, ...] = ()
    shares: tuple[Share, ...] = ()
    coarse_way: Formula | None = None  # the same with a 1 g scale, when no step was given
    weak_way: Formula | None = None  # the same with a weaker curing salt on a 1 g scale
    cautions: tuple[str, ...] = ()
    not_checked: tuple[str, ...] = ()
    notes: tuple[str, ...] = field(default_factory=tuple)

    @property
    def level(self) -> str:
        """Gravest level among the limits that could be judged; ``cannot_say`` when none could."""
        return judged_level(self.verdicts)

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/weigh.md)."""
        f = self.formula
        told: dict[str, Any] = {
            "method": f.method,
            **asked_dict(self.product, self.rules, self.rules_named, self.day, self.base),
            "step_g": f.step_g,
            "grams": dict(f.grams),
            "ingoing": ingoing_dict(f.ingoing.content),
            "salt_per_green_weight": f.ingoing.salt,
            "accountings": [
                {
                    "method": w.method,
                    "sodium_nitrite_mg_per_kg": w.content.nitrite_as_sodium,
                    "salt_per_green_weight": w.salt,
                    "clause": w.clause,
                }
                for w in (f.ingoing, *f.also)
            ],
            "premix": None if f.premix is None else premix_dict(f.premix),
            "scale_too_coarse": f.coarse,
            "level": self.level,
            "strictest": None if self.strictest is None else self.strictest.rule,
            "pieces": [vars(p) for p in self.pieces],
            "shares": [{"name": s.name, "by_mass": s.by_mass, "by_surface": s.by_surface} for s in self.shares],
            "verdicts": [v.as_dict() for v in self.verdicts],
            "cautions": list(self.cautions),
            "not_checked": list(self.not_checked),
            "notes": list(self.notes),
        }
        if self.coarse_way is not None and self.weak_way is not None:
            told["with_1_g_scale"] = {
                "premix": None if self.coarse_way.premix is None else premix_dict(self.coarse_way.premix),
                "weaker_curing_salt": {
                    "strength": WEAK_CURING_SALT.nitrite,
                    "grams": dict(self.weak_way.grams),
                },
            }
        return told


def asked_dict(product: Product, rules: tuple[str, ...], rules_named: bool, day: str, base: Base) -> dict[str, object]:
    """What an answer was asked for: product, rule books, day and the weight that is counted on. [g]"""
    return {
        "product": product.name,
        "rules": list(rules),
        "rules_named": rules_named,
        "on": day,
        "green_weight_g": base.whole_g,
        "base_g": base.skin_free_g,
        "base": base.words,
    }


def ingoing_dict(content: limits.Content) -> dict[str, float]:
    """Ingoing of every agent, all nitrite as NaNO2 first."""
    return {
        "sodium_nitrite_mg_per_kg": content.nitrite_as_sodium,
        "potassium_nitrite_mg_per_kg": content.potassium_nitrite,
        "sodium_nitrate_mg_per_kg": content.sodium_nitrate,
        "potassium_nitrate_mg_per_kg": content.potassium_nitrate,
        "ascorbate_mg_per_kg": content.ascorbate,
    }


def premix_dict(p: Any) -> dict[str, Any]:
    """A premix as plain keys."""
    return {
        "curing_salt_g": p.curing_salt_g,
        "salt_g": p.salt_g,
        "nitrite": p.strength.nitrite,
        "dose_g": p.dose_g,
        "plain_salt_g": p.plain_salt_g,
        "step_g": p.step_g,
        "label": p.label,
        "mixing": p.mixing,
    }


def judged_level(verdicts: tuple[Verdict, ...]) -> str:
    """Gravest level of the limits on what is added; residual limits and advice do not change it."""
    order = {"within": 0, "near": 1, "over": 2}
    judged = [v.level for v in verdicts if v.kind != "advice" and v.level in order]
    return max(judged, key=order.__getitem__, default="cannot_say")


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
    if not pieces:
        raise BadBrief(
            "No weight is given.",
            field="weight",
            value="missing",
            limit="like 1.38kg",
            remedy="Weigh the piece: --weight 1.38kg.",
        )
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
    product = _with_skin(product, base)
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


def countries_named(rules: str | tuple[str, ...]) -> bool:
    """Whether the person named a country."""
    return bool(rules if isinstance(rules, str) else tuple(r for r in rules if r))


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


def _with_skin(product: Product, base: Base) -> Product:
    return Product(
        product.name,
        product.heat,
        base.skin_on,
        base.skin_weighed,
        product.tradition,
        product.species,
        product.use,
    )


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
            f"In one box the pieces share by surface at first: {most.name} can take {most.surface_over_mass:.0%} and {least.name} "
            f"{least.surface_over_mass:.0%} of an even share per kg. A bag for each piece is more exact."
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
