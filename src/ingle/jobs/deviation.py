"""One line that was crossed, with what was done about it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select

from ingle.notebook.models import Batch, CorrectiveAction, Deviation, LimitInForce
from ingle.notebook.rows import by_uid, stands
from ingle.notebook.store import Notebook


@dataclass(frozen=True)
class Crossed:
    """A deviation as its page shows it. Times are UTC."""

    id: int
    level: str
    what: str
    act: str
    batch: str  # code; "" where it is of no batch
    batch_name: str
    began: datetime | None
    ended: datetime | None
    deadline: datetime | None
    limit: str  # "at most 5 degC"
    clause: str
    source: str
    actions: tuple[tuple[datetime, str, str, str], ...]  # when, what, what became of the food, who


def crossed(notebook: Notebook, ref: str) -> Crossed:
    """By its number or UUID. NotFound where there is none."""
    with notebook.look() as session:
        row = by_uid(session, Deviation, ref, "deviation")
        batch = session.get(Batch, row.batch_id) if row.batch_id else None
        line = session.get(LimitInForce, row.limit_id) if row.limit_id else None
        acts = session.scalars(select(CorrectiveAction).where(CorrectiveAction.deviation_id == row.id, stands(CorrectiveAction)).order_by(CorrectiveAction.id))
        limit = "" if line is None or line.value is None else f"at {'least' if line.side == 'min' else 'most'} {line.value:g} {line.unit}"
        return Crossed(
            row.id, row.level, row.what, row.act, batch.code if batch else "", batch.name if batch else "", row.began_utc, row.ended_utc, row.deadline_utc,
            limit, line.clause if line else "", line.source if line else "", tuple((a.at_utc, a.act, a.product, a.who) for a in acts),
        )  # fmt: skip
