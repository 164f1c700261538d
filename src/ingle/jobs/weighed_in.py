"""What a cure's step says to weigh, as it stands now: amounts for the weight that was read, or that they are on the piece already."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.ground import units
from ingle.jobs.batch_facts import Facts, facts_of
from ingle.jobs.green import green_read, planned_of
from ingle.notebook.models import Batch, Dose, Step
from ingle.notebook.rows import some


def amounts_now(session: Session, steps: Sequence[Step], at: datetime, zone: ZoneInfo) -> dict[int, tuple[str, ...]]:
    """Lines to read in place of the plan's, by the step's number; a step is left out where the plan's still hold.

    ``at`` is now, aware: a dose of another day is told with its day.
    """
    batches = [row for (row,) in some(session, select(Batch), Batch.id, (s.batch_id for s in steps if s.batch_id))]
    cures = {b.id: key for b in batches if (key := (b.forecast or {}).get("step"))}
    told = {f.batch.id: lines for f in facts_of(session, [b for b in batches if b.id in cures]) if (lines := _lines(f, at, zone))}
    return {s.id: told[s.batch_id] for s in steps if s.batch_id in told and s.key == cures[s.batch_id]}


def basis_of(facts: Facts, i: int) -> str:
    """What a piece's amounts rest on: "dosed" (it is on it), "weighed" (its weight was read before), else "planned"."""
    piece = facts.pieces[i]
    if any(d.piece_id in (piece.id, None) and d.weighed_g > 0 for d in facts.doses):
        return "dosed"
    read = abs(facts.greens[i] - piece.green_weight_g) > 1e-6 or green_read(piece, facts.batch, facts.readings, facts.doses, facts.began)
    return "weighed" if read else "planned"


def _lines(facts: Facts, at: datetime, zone: ZoneInfo) -> tuple[str, ...] | None:
    if not facts.doses and all(basis_of(facts, i) == "planned" for i in range(len(facts.pieces))):
        return None
    whole = [d for d in facts.doses if d.piece_id is None]
    if whole or not facts.pieces:
        return (_weighed(whole, at, zone),) if whole else None
    alone = len(facts.pieces) == 1
    return tuple(
        line
        for i, piece in enumerate(facts.pieces)
        for line in _of_piece(facts, i, [d for d in facts.doses if d.piece_id == piece.id], "" if alone else f"{piece.name}: ", at, zone)
    )


def _of_piece(facts: Facts, i: int, doses: Sequence[Dose], about: str, at: datetime, zone: ZoneInfo) -> list[str]:
    if doses:
        return [about + _weighed(doses, at, zone)]
    formula, piece, green = facts.batch.formula or {}, facts.pieces[i], facts.greens[i]
    grams = planned_of(formula, i, piece, facts.pieces, green)
    names = {"salt": "plain salt", "curing_salt": formula.get("curing_salt") or "curing salt"}
    step = min(float(formula.get("step_g") or 0.1), 1.0)
    lines = [f"{names.get(k, k.replace('_', ' '))}  {units.show_mass(g, step)}" for k, g in sorted(grams.items()) if g]
    name = piece.name or "the piece"
    if basis_of(facts, i) == "planned":
        return [f"for {name} {units.show_mass(green)}; weigh it first", *(about + line for line in lines)]
    was = "" if abs(green - piece.green_weight_g) < 1e-6 else f" (planned {units.show_mass(piece.green_weight_g)})"
    return [f"on {name} {units.show_mass(green)}, as weighed{was}", *(about + line for line in lines)]


def _weighed(doses: Sequence[Dose], at: datetime, zone: ZoneInfo) -> str:
    last = max(doses, key=lambda d: (d.at_utc, d.id))
    when = last.at_utc.astimezone(zone)
    day = "" if when.date() == at.astimezone(zone).date() else f"{when:%a} {when.day} {when:%b}, "
    return f"weighed in {day}{when:%H:%M}{', ' + last.who if last.who else ''}"
