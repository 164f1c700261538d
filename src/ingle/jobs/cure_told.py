"""What `weigh` and `judge` say alike: what was asked, how it is counted, which level it comes to, what to beware of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ingle.crafts.cure.accounting import Ingoing
from ingle.crafts.cure.base import Base
from ingle.crafts.cure.shares import Share
from ingle.ground.errors import BadBrief
from ingle.safety import limits
from ingle.safety.limits import Product
from ingle.safety.verdict import Verdict

DEFAULT_STEP_G = 0.1  # of a scale, where none is named

CAUTION_NITRITE = (
    "Curing salt: weigh it twice, on a scale that shows 0.1 g. Keep it locked, in its own labelled jar, away from table salt, sugar, "
    "acids and children."
)
CAUTION_COLD = "Keep the piece at 1 to 4 C from now on; above 5 C (FDA Food Code 3-501.16(A)(2)) germs outrun the cure."
CAUTION_NO_NITRITE = (
    "Without nitrite salt alone guards against botulism: keep it cold, cook it, do not vacuum-pack or cold-smoke it."
)
CAUTION_LAW = "Compare with your local food law before you sell any."


def require_weight(pieces: Sequence[object]) -> None:
    """A mix is judged, or weighed, by the weight of what it goes on."""
    if not pieces:
        raise BadBrief("No weight is given.", field="weight", value="missing", limit="like 1.38kg", remedy="Weigh the piece: --weight 1.38kg.")


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


def accountings_dict(ways: Sequence[Ingoing]) -> list[dict[str, object]]:
    """Each way of counting that was gone: nitrite as NaNO2 [mg/kg], salt per green weight [1], its clause."""
    return [
        {
            "method": w.method,
            "sodium_nitrite_mg_per_kg": w.content.nitrite_as_sodium,
            "salt_per_green_weight": w.salt,
            "clause": w.clause,
        }
        for w in ways
    ]


def shares_dict(split: Sequence[Share]) -> list[dict[str, object]]:
    """How pieces share one box, by mass and by surface [1]."""
    return [{"name": s.name, "by_mass": s.by_mass, "by_surface": s.by_surface} for s in split]


def judged_level(verdicts: tuple[Verdict, ...]) -> str:
    """Gravest level of the limits on what is added; residual limits and advice do not change it."""
    order = {"within": 0, "near": 1, "over": 2}
    judged = [v.level for v in verdicts if v.kind != "advice" and v.level in order]
    return max(judged, key=order.__getitem__, default="cannot_say")


def countries_named(rules: str | tuple[str, ...]) -> bool:
    """Whether the person named a country."""
    return bool(rules if isinstance(rules, str) else tuple(r for r in rules if r))


def with_skin(product: Product, base: Base) -> Product:
    """The product, its skin as the pieces have it."""
    return replace(product, skin_on=base.skin_on, skin_weighed=base.skin_weighed)
