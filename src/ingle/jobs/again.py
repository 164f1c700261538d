"""A batch done again: other weights, another day, less salt; the same formula otherwise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

from sqlalchemy.orm import Session

from ingle.crafts.cure.formula import Targets
from ingle.ground import units
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.things import Piece as Cut
from ingle.jobs.batch_facts import Facts, facts_of, packet_of
from ingle.jobs.weigh import WeighAnswer, weigh
from ingle.notebook import kitchens
from ingle.notebook.models import Batch, Kitchen
from ingle.notebook.rows import new_uid, uid_of
from ingle.notebook.store import Notebook

LESS_SALT = 0.9  # "less salty": a tenth less, a step most can taste (common practice, no source)


@dataclass(frozen=True)
class Again:
    """The new weights, and what differs from the batch before."""

    before: str  # code
    answer: WeighAnswer
    salt_before: float  # per base weight
    salt_now: float
    changes: tuple[str, ...]
    batch: Batch | None = None  # the new one, where it was laid in


def again(
    notebook: Notebook, code: str, weights_g: Sequence[float] = (), *, less_salty: bool = False, salt: float | None = None,
    at: datetime | None = None, lay: bool = False, step_g: float | None = None, uid: str | None = None, who: str = "",
) -> Again:  # fmt: skip
    """Weigh a batch's formula for new pieces.

    Parameters
    ----------
    code : str
        The batch to do again. Its doses as weighed count; where none were written, its formula as planned.
    weights_g : sequence of float
        Green weights of the new pieces [g]; none = as heavy as before. Shape, skin and fat are taken over, thickness only
        where the weight is the same.
    less_salty : bool
        A tenth less salt. Nitrite and sugar stay.
    salt : float, optional
        Another share of salt [1] instead.
    at : datetime, optional
        When it is to be laid in.
    lay : bool
        Write it down as a planned batch with its pieces.
    """
    with notebook.look() as session:
        facts = facts_of(session, [kitchens.traced(session, code, ("batch",))])[0]
        home = session.get_one(Kitchen, facts.batch.kitchen_id)
    before = targets_of(facts)
    now = replace(before, salt=salt if salt is not None else before.salt * (LESS_SALT if less_salty else 1.0))
    cuts = _cuts(facts, weights_g)
    when = at or datetime.now(UTC)
    answer = weigh(
        cuts, targets=now, packet=packet_of(facts), rules=tuple(home.rules), day=kitchens.local(home, when).isoformat(),
        step_g=step_g or facts.batch.formula.get("step_g"), one_box=len(cuts) > 1,
    )  # fmt: skip
    told = Again(facts.batch.code, answer, before.salt, now.salt, _changes(facts, before, now, cuts))
    if not lay:
        return told
    known = uid_of(uid)
    return replace(told, batch=notebook.write(lambda s: _lay(s, facts.batch, cuts, answer, known, when, who)))


def targets_of(facts: Facts) -> Targets:
    """What the batch was made to: from what was weighed in, else from its formula."""
    said, mix, base = facts.batch.formula, facts.mix, facts.base
    if mix is not None and base is not None and mix.salt > 0:
        content = mix.content(base.skin_free_g)
        return Targets(mix.salt / base.skin_free_g, content.nitrite_as_sodium, mix.grams("sugar") / base.skin_free_g)
    if said.get("salt_per_green_weight"):
        return Targets(said["salt_per_green_weight"], said.get("nitrite_mg_per_kg", 0.0), said.get("sugar_per_green_weight", 0.0))
    raise BadBrief(
        f"{facts.batch.name} ({facts.batch.code}) has no formula and no doses: there is nothing to do again.", field="batch",
        value=facts.batch.code, limit="a batch with doses or a formula", remedy="Write what went in: ingle record dose CODE --add salt=34g.",
    )  # fmt: skip


def _cuts(facts: Facts, weights_g: Sequence[float]) -> tuple[Cut, ...]:
    old = facts.cuts
    if not weights_g:
        if old:
            return old
        green = facts.batch.formula.get("green_weight_g")
        if green:
            return (Cut(green),)
        raise BadBrief("No weight is known.", field="weight", remedy="Give it: --weight 1.38kg.")
    for grams in weights_g:
        if not grams > 0:
            raise OutOfRange(f"weight is {grams:g} g; it must be above 0.", field="weight", value=grams)
    made = []
    for i, grams in enumerate(weights_g):
        like = old[min(i, len(old) - 1)] if old else Cut(grams)
        same = abs(grams - like.weight_g) < 1e-9
        made.append(
            like if same and i < len(old) else Cut(grams, shape=like.shape, skin=like.skin, fat=like.fat, name=like.name if i < len(old) else f"piece {i + 1}")
        )
    return tuple(made)


def _changes(facts: Facts, before: Targets, now: Targets, cuts: tuple[Cut, ...]) -> tuple[str, ...]:
    told = []
    if now.salt != before.salt:
        told.append(f"salt {units.show_fraction(now.salt)} of green weight, was {units.show_fraction(before.salt)}")
    green, was = sum(c.weight_g for c in cuts), sum(c.weight_g for c in facts.cuts) or facts.batch.formula.get("green_weight_g", 0.0)
    if abs(green - was) > 1e-9:
        told.append(f"{units.show_mass(green)} green weight, was {units.show_mass(was)}")
        if any(c.thickness_mm is None for c in cuts):
            told.append("thickness is not taken over: measure it before the cure is timed")
    return tuple(told)


def _lay(session: Session, before: Batch, cuts: tuple[Cut, ...], answer: WeighAnswer, uid: str, at: datetime, who: str) -> Batch:
    home = session.get_one(Kitchen, before.kitchen_id)
    old: Any = session.get_one(Batch, before.id)
    pieces = [kitchens.cut(session, home, new_uid("piece", uid, i), c, who=who) for i, c in enumerate(cuts)]
    f = answer.formula
    formula = {
        "method": f.method, "green_weight_g": answer.base.whole_g, "salt_per_green_weight": f.ingoing.salt,
        "nitrite_mg_per_kg": f.ingoing.content.nitrite_as_sodium, "curing_salt": answer.packet.name if answer.packet else "",
        "curing_salt_nitrite": answer.packet.nitrite if answer.packet else None, "grams": dict(f.grams), "step_g": f.step_g,
        "sugar_per_green_weight": f.grams.get("sugar", 0.0) / answer.base.skin_free_g,
    }  # fmt: skip
    return kitchens.lay_in(
        session, home, uid, old.name, part=old.part, craft=old.craft, pieces=pieces, state="planned", formula=formula, again_of=old, at=at, who=who
    )
