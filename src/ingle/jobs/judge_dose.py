"""What was weighed in, beside the limits in force on that day; kept with the dose, as it was told then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.crafts.cure.base import base_of_all
from ingle.jobs.batch_facts import facts_of
from ingle.jobs.take_plan import line_of
from ingle.jobs.weigh import DEFAULT_STEP_G
from ingle.notebook import control, kitchens
from ingle.notebook.models import Batch, Dose, Instrument, Judged, Kitchen, LimitInForce, Piece
from ingle.notebook.rows import new_uid
from ingle.notebook.store import Notebook
from ingle.safety import limits
from ingle.safety.limits import Product

_NOT_CHECKED = ("what is left in the finished product", "the strength printed on the packet")
_TAKEN = "the product is taken as whole muscle, cured dry"


def judge_dose(session: Session, home: Kitchen, batch: Batch, piece: Piece | None, dose: Dose) -> tuple[Judged, ...]:
    """Keep every limit that speaks of the curing agents this piece (or batch) has now got; none where it got none."""
    facts = facts_of(session, [batch])[0]
    mine = replace(facts, doses=tuple(d for d in facts.doses if d.piece_id == (piece.id if piece else None)))
    cuts = tuple(c for c, p in zip(facts.cuts, facts.pieces, strict=True) if piece is None or p.id == piece.id)
    mix = mine.mix
    if mix is None or not cuts:
        return ()
    base = base_of_all(cuts)
    content = mix.content(base.skin_free_g)
    if not (content.nitrite_as_sodium or content.sodium_nitrate or content.potassium_nitrate):
        return ()
    said = batch.formula.get("product")
    product = Product(said or "whole_muscle_dry", skin_on=base.skin_on, skin_weighed=base.skin_weighed, use=home.use)
    day = kitchens.local(home, dose.at_utc)
    found = limits.verdicts(
        limits.applicable(product, limits.countries(home.rules), day.isoformat()), content, skin_free=base.skin_free_g, whole=base.whole_g,
        spread=_spread(session, mine.doses), use=home.use,
    )  # fmt: skip
    unsure = _NOT_CHECKED if said else (*_NOT_CHECKED, _TAKEN)
    return tuple(
        control.judge(
            session, home, new_uid("judged", dose.uid, v.rule), control.keep_limit(session, line_of(v), day), v.level, value=v.value, low=v.low,
            high=v.high, act=v.act, not_checked=(*v.not_checked, *unsure), batch=batch, piece=piece, at=dose.at_utc, who=dose.who,
        )
        for v in found
        if v.kind != "advice" and v.level != "cannot_say"
    )  # fmt: skip


def _spread(session: Session, doses: Sequence[Dose]) -> float:
    """The scale's step beside the curing salt that was weighed."""
    weighed = [d for d in doses if d.item.startswith("curing-salt") and d.weighed_g > 0]
    if not weighed:
        return 0.0
    steps = []
    for d in weighed:
        tool = session.get(Instrument, d.instrument_id) if d.instrument_id else None
        steps.append(tool.resolution if tool and tool.resolution else DEFAULT_STEP_G)
    return min(1.0, sum(steps) / sum(d.weighed_g for d in weighed))


def judged_of(notebook: Notebook, dose: Dose) -> list[tuple[Judged, LimitInForce]]:
    """What was told of a dose when it was written, the gravest first."""
    order = {"over": 0, "near": 1, "within": 2, "cannot_say": 3}
    with notebook.look() as session:
        rows = session.execute(
            select(Judged, LimitInForce)
            .join(LimitInForce, LimitInForce.id == Judged.limit_id)
            .where(Judged.batch_id == dose.batch_id, Judged.piece_id == dose.piece_id, Judged.at_utc == dose.at_utc)
        )
        return sorted(((j, x) for j, x in rows), key=lambda pair: (order[pair[0].level], pair[1].value or 0.0, pair[0].id))
