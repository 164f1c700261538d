"""Logs that are in the notebook: which there are, and one of them judged once more by the lines of its place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from ingle.jobs.batch_facts import thickness_of
from ingle.jobs.read import ReadAnswer, judged
from ingle.jobs.withdrawn import Withdrawn
from ingle.notebook.logbook import find_log, probes_of, withdrawn
from ingle.notebook.logs_keep import open_log
from ingle.notebook.logs_things import Sighting
from ingle.notebook.models import Batch, Deviation, Instrument, Kitchen, LogFile, LogProbe
from ingle.notebook.rows import by_uid, only_kitchen, stands
from ingle.notebook.store import Notebook

MOST = 200  # logs listed, the newest first
PLACE_OF = {"air": "fridge", "chamber": "smoker", "core": "cooling", "surface": "fridge"}


@dataclass(frozen=True)
class LogRow:
    """One file that came in. Times are UTC."""

    uid: str
    name: str
    instrument: str
    first: datetime | None
    last: datetime | None
    rows: int
    came: datetime
    who: str
    probes: tuple[tuple[str, str], ...]  # column, kind
    batches: tuple[tuple[str, str], ...]  # code, name
    deviations: tuple[tuple[int, str, str, str], ...]  # number, level, what, act
    withdrawn: Withdrawn | None = None  # it was taken in wrongly and counts no more

    @property
    def place(self) -> str:
        """Where it most likely stood, by what its probes measured."""
        kinds = [kind for _, kind in self.probes]
        return next((PLACE_OF[k] for k in ("core", "chamber", "air", "surface") if k in kinds), "")

    def as_dict(self) -> dict[str, Any]:
        """Keys and values of ``/api/logs``."""
        return {
            "uid": self.uid, "name": self.name, "instrument": self.instrument or None, "first": self.first.isoformat() if self.first else None,
            "last": self.last.isoformat() if self.last else None, "rows": self.rows, "came": self.came.isoformat(), "who": self.who,
            "place": self.place or None, "probes": [{"name": n, "kind": k} for n, k in self.probes], "batches": [c for c, _ in self.batches],
            "deviations": [{"id": i, "level": level, "what": what, "act": act} for i, level, what, act in self.deviations],
            "withdrawn": None if self.withdrawn is None else self.withdrawn.as_dict(),
        }  # fmt: skip


def logs(notebook: Notebook, *, most: int = MOST) -> tuple[tuple[LogRow, ...], int]:
    """Logs of this kitchen, the newest first, and how many there are in all."""
    with notebook.look() as session:
        home = only_kitchen(session)
        of = LogFile.kitchen_id == home.id
        found = session.scalars(select(LogFile).where(of).order_by(LogFile.last_utc.desc(), LogFile.id.desc()).limit(most))
        return tuple(_row(session, log) for log in found), session.scalar(select(func.count()).select_from(LogFile).where(of)) or 0


def _row(session: Session, log: LogFile) -> LogRow:
    probes = probes_of(session, log)
    batches = session.execute(
        select(Batch.code, Batch.name).where(Batch.id.in_(select(LogProbe.batch_id).where(LogProbe.log_id == log.id))).order_by(Batch.id)
    )
    found = session.scalars(select(Deviation).where(Deviation.log_id == log.id, stands(Deviation)).order_by(Deviation.at_utc, Deviation.id))
    tool = session.get(Instrument, log.instrument_id) if log.instrument_id else None
    gone = withdrawn(session, log)
    return LogRow(
        log.uid, log.name, tool.name if tool else "", log.first_utc, log.last_utc, log.rows, log.at_utc, log.who,
        tuple((p.column, p.kind) for p in probes), tuple((b.code, b.name) for b in batches), tuple((d.id, d.level, d.what, d.act) for d in found),
        None if gone is None else Withdrawn(log.uid, log.name, gone.at_utc, gone.who, gone.why),
    )  # fmt: skip


def may_belong(notebook: Notebook) -> tuple[tuple[str, str], ...]:
    """Code and name of the batches that are going, the newest first: a log that comes in belongs to one of them."""
    with notebook.look() as session:
        home = only_kitchen(session)
        found = session.execute(
            select(Batch.code, Batch.name).where(Batch.kitchen_id == home.id, Batch.state == "going").order_by(Batch.at_utc.desc(), Batch.id.desc()).limit(MOST)
        )
        return tuple((b.code, b.name) for b in found)


def stored(notebook: Notebook, uid: str, *, place: str = "", countries: Sequence[str] = (), hanging: str = "meat") -> tuple[LogRow, ReadAnswer]:
    """One log as it was kept, judged by the lines of ``place`` (left out: where it most likely stood).

    Raises
    ------
    NotFound
        No log of that UUID.
    BadBrief
        A place that is none.
    """
    row, seen = seen_again(notebook, uid)
    where = place or row.place
    thickness = thickness_of(notebook, [code for code, _ in row.batches]) if where == "cooling" else None
    return row, judged(seen, where, countries=countries, hanging=hanging, kitchen_zone=seen.zone, thickness_mm=thickness)


def kept_as(notebook: Notebook, source_sha256: str) -> str:
    """UUID of the log that came from a file of this content and counts; "" where there is none."""
    with notebook.look() as session:
        log = find_log(session, source_sha256)
        return log.uid if log else ""


def seen_again(notebook: Notebook, uid: str) -> tuple[LogRow, Sighting]:
    """One log as it was kept, with every reading.

    Raises
    ------
    NotFound
        No log of that UUID.
    """
    with notebook.look() as session:
        log = by_uid(session, LogFile, uid, "log")
        row = _row(session, log)
        tracks = open_log(session, notebook, log)
        zone = session.get_one(Kitchen, log.kitchen_id).zone
    return row, Sighting(log.name, log.source_sha256, 0, log.understood, (), (), (), tracks, row.instrument, zone)
