"""Logs that count no more, and why: told wherever they were counted before."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.notebook.models import Batch, LogFile, LogProbe, LogWithdrawn


@dataclass(frozen=True)
class Withdrawn:
    """One log that counts no more. Times are UTC."""

    uid: str  # of the log
    name: str
    at: datetime
    who: str
    why: str

    @property
    def words(self) -> str:
        """By whom and why."""
        return f"withdrawn{f' by {self.who}' if self.who else ''}: {self.why}"

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json``."""
        return {"at": self.at.isoformat(), "who": self.who, "why": self.why}


def told_of(log: LogFile, row: LogWithdrawn) -> Withdrawn:
    """A log and the row that withdrew it, as they are told."""
    return Withdrawn(log.uid, log.name, row.at_utc, row.who, row.why)


def withdrawn_of(session: Session, batch: Batch) -> tuple[Withdrawn, ...]:
    """Logs that a batch was told to lie by and that were withdrawn, by the time of that."""
    own = select(LogProbe.log_id).where(LogProbe.batch_id == batch.id)
    found = session.execute(select(LogFile, LogWithdrawn).join(LogWithdrawn, LogWithdrawn.log_id == LogFile.id).where(LogFile.id.in_(own)).order_by(LogWithdrawn.id))
    return tuple(told_of(log, row) for log, row in found)
