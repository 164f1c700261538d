"""What was weighed in, beside the limits in force on that day; kept with the dose, as it was told then."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.crafts.cure.base import base_of_all
from ingle.jobs.batch_facts import Facts, facts_of
from ingle.jobs.cure_told import DEFAULT_STEP_G
from ingle.jobs.take_plan import line_of
from ingle.notebook import control, kitchens
from ingle.notebook.models import Batch, Dose, Instrument, Judged, Kitchen, LimitInForce, Piece
from ingle.notebook.rows import new_uid
from ingle.notebook.store import Notebook
from ingle.safety import limits
from ingle.safety.limits import Product
from ingle.safety.verdict import Verdict

_NOT_CHECKED = ("what is left in the finished product", "the strength printed on the packet")
_TAKEN = "the product is taken as whole muscle, cured dry"
_GRAVEST = {"over": 0, "near": 1, "within": 2, "cannot_say": 3}


def judge_dose(session: Session, home: Kitchen, batch: Batch, piece: Piece | None, dose: Dose) -> tuple[Judged, ...]:
    """Keep every limit that speaks of the curing agents this piece (or batch) has now got; none where it got none."""
    day = kitchens.local(home, dose.at_utc)
    found = _beside_limits(session, home, facts_of(session, [batch])[0], piece, (), day)
    return tuple(
        control.judge(
            session, home, new_uid("judged", dose.uid, v.rule), control.keep_limit(session, line_of(v), day), v.level, value=v.value, low=v.low,
            high=v.high, act=v.act, not_checked=v.not_checked, batch=batch, piece=piece, at=dose.at_utc, who=dose.who,
        )
        for v in found
    )  # fmt: skip


def _beside_limits(session: Session, home: Kitchen, facts: Facts, piece: Piece | None, more: Sequence[Dose], day: date) -> tuple[Verdict, ...]:
    """What a piece (or batch) has got, with ``more`` that is not written yet, beside the limits of that day that can be judged."""
    alone = piece is not None and len(facts.pieces) == 1  # then what was written for the batch went on its piece
    mine = (*(d for d in facts.doses if d.piece_id == (piece.id if piece else None) or alone), *more)
    cuts = tuple(c for c, p in zip(facts.cuts, facts.pieces, strict=True) if piece is None or p.id == piece.id)
    mix = replace(facts, doses=mine).mix
    if mix is None or not cuts:
        return ()
    base = base_of_all(cuts)
    content = mix.content(base.skin_free_g)
    if not (content.nitrite_as_sodium or content.sodium_nitrate or content.potassium_nitrate):
        return ()
    said = facts.batch.formula.get("product")
    product = Product(said or "whole_muscle_dry", skin_on=base.skin_on, skin_weighed=base.skin_weighed, use=home.use)
    found = limits.verdicts(
        limits.applicable(product, limits.countries(home.rules), day.isoformat()), content, skin_free=base.skin_free_g, whole=base.whole_g,
        spread=_spread(session, mine), use=home.use,
    )  # fmt: skip
    unsure = _NOT_CHECKED if said else (*_NOT_CHECKED, _TAKEN)
    return tuple(replace(v, not_checked=(*v.not_checked, *unsure)) for v in found if v.kind != "advice" and v.level != "cannot_say")


@dataclass(frozen=True)
class DoseJudged:
    """A piece's dose beside the limits, the gravest first. ``why_not`` says why there is none to compare."""

    verdicts: tuple[Verdict, ...]
    why_not: str = ""


def doses_judged(notebook: Notebook, code: str) -> dict[str, DoseJudged]:
    """What lies on each piece of a batch now, by the piece's code; "" = what was weighed in for the batch as a whole.

    Judged anew from what counts, so that a correction or a green weight put right shows; by the limits of the day of its last dose.
    """
    with notebook.look() as session:
        batch = kitchens.traced(session, code, ("batch",))
        home = session.get_one(Kitchen, batch.kitchen_id)
        facts = facts_of(session, [batch])[0]
        alone = len(facts.pieces) == 1
        held: dict[Piece | None, list[Dose]] = {}
        for dose in facts.doses:
            piece = facts.pieces[0] if alone else next((p for p in facts.pieces if p.id == dose.piece_id), None)
            held.setdefault(piece, []).append(dose)
        found = {}
        for piece, doses in held.items():
            day = kitchens.local(home, max(d.at_utc for d in doses))
            verdicts = _beside_limits(session, home, facts, piece, (), day)
            found[piece.code if piece else ""] = DoseJudged(_ranked(verdicts), "" if verdicts else _why_not(doses))
        return found


def would_be(notebook: Notebook, code: str, piece_code: str, amounts: Mapping[str, float], at: datetime) -> tuple[Verdict, ...]:
    """What these amounts [g] would come to on a piece (or, with "", on the batch), with what is on it already; nothing is written."""
    with notebook.look() as session:
        batch = kitchens.traced(session, code, ("batch",))
        home = session.get_one(Kitchen, batch.kitchen_id)
        facts = facts_of(session, [batch])[0]
        piece = next((p for p in facts.pieces if p.code == piece_code), None)
        more = [Dose(item=item, weighed_g=grams, piece_id=piece.id if piece else None, instrument_id=None) for item, grams in amounts.items()]
        return _ranked(_beside_limits(session, home, facts, piece, more, kitchens.local(home, at)))


def _ranked(found: Sequence[Verdict]) -> tuple[Verdict, ...]:
    return tuple(sorted(found, key=lambda v: (_GRAVEST[v.level], -(v.value or 0.0) / (v.limit or 1.0))))


def _why_not(doses: Sequence[Dose]) -> str:
    if any(d.item == "premix" for d in doses):
        return "a premix: how it was mixed is not written, so its nitrite cannot be counted"
    if any(d.item.startswith("curing") and "@" not in d.item for d in doses):
        return "the strength of the curing salt is not written"
    if any(d.item.startswith("curing") and d.weighed_g > 0 for d in doses):
        return "no limit that can be judged speaks of it, or its pieces were not weighed"
    return ""


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
    with notebook.look() as session:
        rows = session.execute(
            select(Judged, LimitInForce)
            .join(LimitInForce, LimitInForce.id == Judged.limit_id)
            .where(Judged.batch_id == dose.batch_id, Judged.piece_id == dose.piece_id, Judged.at_utc == dose.at_utc)
        )
        return sorted(((j, x) for j, x in rows), key=lambda pair: (_GRAVEST[pair[0].level], pair[1].value or 0.0, pair[0].id))
