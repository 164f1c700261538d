"""Ingoing by each published method of counting (FSIS Directive 7620.3, 1995, chapter 3).

Fractions go in as fractions. A pickle weighs all that is in it: water, salt, sugar, curing salt; its water alone
is not the pickle, and the water of the meat is not counted again.
"""

from __future__ import annotations

from dataclasses import dataclass

from ingle.crafts.cure.mix import Mix
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.safety.limits import Content

CLAUSES = {
    "dry": "FSIS 7620.3 ch. 3, p. 24: agent per green weight",
    "immersion-one": "FSIS 7620.3 ch. 3, p. 22, Method One: agent x pick-up / pickle weight",
    "immersion-two": "FSIS 7620.3 ch. 3, p. 22, Method Two: agent / (green weight + pickle weight)",
    "pump": "FSIS 7620.3 ch. 3, p. 19: agent x pump share / pickle weight",
}


@dataclass(frozen=True)
class Ingoing:
    """What one method of counting makes of a mix, per kg of the base."""

    method: str
    content: Content
    salt: float  # fraction of the base
    clause: str


def dry(mix: Mix, base_g: float) -> Ingoing:
    """Dry cure: all that is put on counts, per green weight."""
    return Ingoing("dry", mix.content(base_g), mix.salt / base_g, CLAUSES["dry"])


def immersion_one(pickle: Mix, pick_up: float) -> Ingoing:
    """Short soak with a measured weight gain: the share of pickle taken up, per green weight.

    ``pick_up`` is the gain per green weight [1].
    """
    return _by_share("immersion-one", pickle, pick_up, "pick-up")


def immersion_two(pickle: Mix, base_g: float) -> Ingoing:
    """Left until even: meat and pickle share all of it."""
    _require_pickle(pickle)
    both = base_g + pickle.total
    return Ingoing("immersion-two", pickle.content(both), pickle.salt / both, CLAUSES["immersion-two"])


def pump(pickle: Mix, pump_share: float) -> Ingoing:
    """Injected: ``pump_share`` is the pickle injected per green weight [1]."""
    return _by_share("pump", pickle, pump_share, "pump")


def _by_share(method: str, pickle: Mix, share: float, field: str) -> Ingoing:
    """A share of pickle per green weight stays in the piece, with what is dissolved in it."""
    _require_pickle(pickle)
    _require_share(share, field)
    return Ingoing(method, pickle.content(pickle.total, share), pickle.salt * share / pickle.total, CLAUSES[method])


def together(*ways: Ingoing) -> Ingoing:
    """Several methods on one piece: what each brings is added (memory of the handbook, pp. 32-33)."""
    total = Content(**{k: sum(getattr(w.content, k) for w in ways) for k in vars(Content())})
    return Ingoing(
        "+".join(w.method for w in ways), total, sum(w.salt for w in ways), "; ".join(w.clause for w in ways)
    )


def _require_pickle(pickle: Mix) -> None:
    if not pickle.grams("water") > 0:
        raise BadBrief(
            "The pickle has no water.",
            field="add",
            value="water missing",
            limit="water above 0 g",
            remedy="Give the water as weighed: --add water=1kg.",
        )


def _require_share(share: float, field: str) -> None:
    if not 0 < share <= 1:
        raise OutOfRange(
            f"{field} is {share * 100:g} %.",
            field=field,
            value=share,
            limit="above 0 %, at most 100 %",
            remedy="Weigh the piece before and after: gain per green weight, like 10%.",
        )
