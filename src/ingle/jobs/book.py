"""The book as it is leafed through: the list of batches, and one batch with all that was written of it, corrections visible."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from ingle.jobs.batch_facts import Facts, facts_of
from ingle.jobs.green import coarse, item_of, planned_of
from ingle.jobs.lying import Lying, lying
from ingle.jobs.withdrawn import Withdrawn, withdrawn_of
from ingle.notebook import kitchens
from ingle.notebook.models import (
    Batch,
    Deviation,
    Done,
    Dose,
    Link,
    LogFile,
    Pack,
    Piece,
    PlanTaken,
    Reading,
    Step,
    Traced,
)
from ingle.notebook.rows import only_kitchen, stands
from ingle.notebook.store import Notebook

MOST = 200


@dataclass(frozen=True)
class BatchRow:
    """One batch in the list."""

    code: str
    name: str
    part: str
    state: str
    laid_in: datetime
    use_by: date | None
    pieces: int
    last: datetime | None  # last reading


@dataclass(frozen=True)
class Version:
    """One wording of an entry: the value that counts, or one that was replaced."""

    uid: str
    row: Any  # Reading or Dose
    at: datetime
    written: datetime
    who: str
    void: bool


@dataclass(frozen=True)
class Entry:
    """A reading or dose with what it replaced, newest first. ``about`` names the piece."""

    kind: str  # reading | dose
    about: str
    versions: tuple[Version, ...]

    @property
    def now(self) -> Version:
        """What counts."""
        return self.versions[0]


@dataclass(frozen=True)
class PieceRow:
    """One piece: as it was weighed green, as it was weighed last, what went on."""

    code: str
    name: str
    green_g: float  # as weighed last before the cure, else as cut or planned
    told_g: float  # as cut or planned
    thickness_mm: float | None
    last_g: float | None
    last_at: datetime | None
    doses: tuple[Dose, ...]
    planned: dict[str, float]  # what the formula gives it, for its green weight
    coarse: bool = False  # the scale's step is more than 5 % of its curing salt


@dataclass(frozen=True)
class StepRow:
    """One step of the batch."""

    id: int
    key: str
    name: str
    state: str
    start: datetime | None
    end: datetime | None
    done: tuple[tuple[str, datetime | None, datetime | None, str], ...]  # uid, began, ended, who
    look_for: str


@dataclass(frozen=True)
class Leaf:
    """One batch."""

    code: str
    name: str
    part: str
    state: str
    laid_in: datetime
    ended: datetime | None
    use_by: date | None
    note: str
    plan: str
    again_of: str
    formula: dict[str, Any]
    lies: Lying | None  # its forecast as it stands now
    logs: dict[int, tuple[str, str]]  # by number: UUID and name of the logs its deviations and its forecast come from
    pieces: tuple[PieceRow, ...]
    entries: tuple[Entry, ...]  # newest first
    steps: tuple[StepRow, ...]
    deviations: tuple[Deviation, ...]
    lots: tuple[tuple[str, str, str], ...]  # code, name, kind of what went in
    packs: tuple[Pack, ...]
    facts: Facts
    withdrawn: tuple[Withdrawn, ...] = ()  # logs it was told to lie by, that count no more


def has_plan(notebook: Notebook, name: str, number: int) -> bool:
    """Whether this number of a plan was taken in."""
    with notebook.look() as session:
        home = only_kitchen(session)
        asked = select(func.max(PlanTaken.number)).where(PlanTaken.kitchen_id == home.id, PlanTaken.name == name)
        return (session.scalar(asked) or 0) >= number


def batches(notebook: Notebook, *, state: str = "", find: str = "", most: int = MOST, skip: int = 0) -> tuple[BatchRow, ...]:
    """Batches by the day they were laid in, newest first; at most ``most`` of them, after the first ``skip``."""
    with notebook.look() as session:
        home = only_kitchen(session)
        pieces = (
            select(func.count()).select_from(Link).join(Piece.__table__, Piece.__table__.c.id == Link.from_id).where(Link.to_id == Batch.id, stands(Link))
        ).scalar_subquery()
        last = select(func.max(Reading.at_utc)).where(Reading.batch_id == Batch.id, stands(Reading)).scalar_subquery()
        asked = select(Batch, pieces, last).where(Batch.kitchen_id == home.id).order_by(Batch.at_utc.desc(), Batch.id.desc()).offset(skip).limit(most)
        if state:
            asked = asked.where(Batch.state == state)
        if find:
            like = f"%{find.replace('%', '').replace('_', '')}%"
            asked = asked.where(or_(Batch.code.ilike(like), Batch.name.ilike(like), Batch.part.ilike(like)))
        return tuple(BatchRow(b.code, b.name, b.part, b.state, b.at_utc, b.use_by, n, at) for b, n, at in session.execute(asked))


def kind_of(notebook: Notebook, code: str) -> tuple[str, str]:
    """What a code stands for, and the batch to look at: its own, or the one a piece lies in; "" where there is none."""
    with notebook.look() as session:
        thing = kitchens.traced(session, code)
        if thing.kind != "piece":
            return thing.kind, thing.code
        batch = session.scalar(select(Batch).join(Link, Link.to_id == Batch.id).where(Link.from_id == thing.id, stands(Link)).order_by(Link.id.desc()).limit(1))
        return thing.kind, batch.code if batch else ""


def leaf(notebook: Notebook, code: str) -> Leaf:
    """One batch with all that was written of it."""
    with notebook.look() as session:
        batch = kitchens.traced(session, code, ("batch",))
        facts = facts_of(session, [batch])[0]
        names = {p.id: p.name for p in facts.pieces}
        entries = [*_entries(session, Reading, "reading", batch.id, names), *_entries(session, Dose, "dose", batch.id, names)]
        again = session.get(Batch, batch.again_of_id) if batch.again_of_id else None
        sources = session.scalars(select(Traced).join(Link, Link.from_id == Traced.id).where(Link.to_id == batch.id, stands(Link)).order_by(Traced.id))
        return Leaf(
            batch.code, batch.name, batch.part, batch.state, batch.at_utc, batch.ended_utc, batch.use_by, batch.note, batch.plan_name or "",
            again.code if again else "", batch.formula or {}, lying(session, batch), _logs(session, facts), tuple(_piece(p, i, facts) for i, p in enumerate(facts.pieces)),
            tuple(sorted(entries, key=lambda e: (e.now.at, e.now.written), reverse=True)), _steps(session, batch), facts.deviations,
            tuple((t.code, t.name, t.kind) for t in sources if t.kind != "piece"), facts.packs, facts, withdrawn_of(session, batch),
        )  # fmt: skip


def _logs(session: Session, facts: Facts) -> dict[int, tuple[str, str]]:
    asked = select(LogFile.id, LogFile.uid, LogFile.name).where(LogFile.id.in_({d.log_id for d in facts.deviations if d.log_id}))
    return {r.id: (r.uid, r.name) for r in session.execute(asked)}


def _entries(session: Session, model: Any, kind: str, batch: int, names: dict[int, str]) -> list[Entry]:
    rows = {r.id: r for r in session.scalars(select(model).where(model.batch_id == batch).order_by(model.id))}
    newer = {r.corrects_id: r for r in rows.values() if r.corrects_id}
    found = []
    for row in rows.values():
        if row.id in newer:
            continue
        chain, at = [], row
        while at is not None:
            chain.append(Version(at.uid, at, at.at_utc, at.written_utc, at.who, at.void))
            at = rows.get(at.corrects_id) if at.corrects_id else None
        found.append(Entry(kind, names.get(row.piece_id, ""), tuple(chain)))
    return found


def _piece(piece: Piece, i: int, facts: Facts) -> PieceRow:
    weights = [r for r in facts.readings if r.piece_id == piece.id and r.weight_g is not None]
    doses = tuple(d for d in facts.doses if d.piece_id == piece.id)
    formula, green = facts.batch.formula or {}, facts.greens[i]
    planned = planned_of(formula, i, piece, facts.pieces, green)
    return PieceRow(
        piece.code, piece.name, green, piece.green_weight_g, piece.thickness_mm, weights[-1].weight_g if weights else None, weights[-1].at_utc if weights else None, doses,
        {item_of(k, formula): g for k, g in planned.items() if g}, coarse(planned, formula),
    )  # fmt: skip


def _steps(session: Session, batch: Batch) -> tuple[StepRow, ...]:
    rows = list(session.scalars(select(Step).where(Step.batch_id == batch.id, Step.state != "dropped").order_by(Step.planned_start_utc, Step.id)))
    done: dict[int, list[tuple[str, datetime | None, datetime | None, str]]] = {}
    for d in session.scalars(select(Done).where(Done.step_id.in_([r.id for r in rows]), stands(Done)).order_by(Done.id)):
        done.setdefault(d.step_id, []).append((d.uid, d.began_utc, d.ended_utc, d.who))
    return tuple(
        StepRow(r.id, r.key, r.name, r.state, r.planned_start_utc, r.planned_end_utc, tuple(done.get(r.id, ())), (r.said or {}).get("look_for", "")) for r in rows
    )
