"""Which logger files are in the notebook. Their rows live in Parquet files in `Notebook.logs`; here is one row a file."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, exists, select
from sqlalchemy.orm import Session

from ingle.ground.errors import BadBrief
from ingle.notebook import readings
from ingle.notebook.models import Batch, Deviation, Instrument, Kitchen, LogFile, LogProbe, LogWithdrawn
from ingle.notebook.rows import add_once, moment, new_uid, stands, text
from ingle.notebook.trouble import AlreadyThere


def counts() -> ColumnElement[bool]:
    """Condition: this log was not withdrawn."""
    return ~exists().where(LogWithdrawn.log_id == LogFile.id)


def key_of(source_sha256: str, take: int) -> str:
    """What a file's content is known by when it comes in for the first time (0: its own hash), or anew after ``take`` withdrawals."""
    return source_sha256 if not take else hashlib.sha256(f"{source_sha256}/{take}".encode()).hexdigest()


def find_log(session: Session, source_sha256: str) -> LogFile | None:
    """The log that came from a file with this content and was not withdrawn."""
    return _find(session, source_sha256)[0]


def _find(session: Session, source_sha256: str) -> tuple[LogFile | None, str]:
    """The log of this content that counts, else None, with the key that such a log has or will have."""
    take = 0
    while True:
        key = key_of(source_sha256, take)
        row = session.scalar(select(LogFile).where(LogFile.source_sha256 == key))
        if row is None or withdrawn(session, row) is None:
            return row, key
        take += 1


def withdrawn(session: Session, log: LogFile) -> LogWithdrawn | None:
    """Who withdrew a log, when and why; None where it counts."""
    return session.scalar(select(LogWithdrawn).where(LogWithdrawn.log_id == log.id))


def withdraw(session: Session, log: LogFile, uid: str, *, why: str, at: datetime | None = None, who: str = "") -> tuple[LogWithdrawn, int]:
    """A log was taken in wrongly: it stays readable and counts no more, and the deviations that were read from it are withdrawn with it.

    Returns the row, and how many deviations were withdrawn.

    Raises
    ------
    AlreadyThere
        It was withdrawn before, by another entry.
    """
    before = withdrawn(session, log)
    if before is not None and before.uid != uid:
        raise AlreadyThere(
            f"{log.name} was withdrawn before{f' by {before.who}' if before.who else ''}, {before.written_utc:%Y-%m-%d %H:%M} UTC. Nothing was stored.",
            field="log", value=log.name, remedy="Read the file in again, as it should be.",
        )  # fmt: skip
    row, new = add_once(
        session, LogWithdrawn, uid, ("at_utc", "who"), log_id=log.id, why=text(why, "why", most=400, needed=True), at_utc=moment(at), zone=log.zone,
        who=text(who, "who", most=40),
    )  # fmt: skip
    found = session.scalars(select(Deviation).where(Deviation.log_id == log.id, stands(Deviation)).order_by(Deviation.id)).all() if new else ()
    for d in found:
        readings.correct(session, new_uid("withdrawn", uid, d.uid), d, void=True, who=who)
    return row, len(found)


def logs_of(session: Session, *, instrument: Instrument | None = None, batch: Batch | None = None) -> list[LogFile]:
    """Logs of an instrument, or those with a probe in a batch, by time; what was withdrawn is not among them."""
    asked = select(LogFile).where(counts()).order_by(LogFile.first_utc, LogFile.id)
    if instrument is not None:
        asked = asked.where(LogFile.instrument_id == instrument.id)
    if batch is not None:
        asked = asked.where(LogFile.id.in_(select(LogProbe.log_id).where(LogProbe.batch_id == batch.id)))
    return list(session.scalars(asked))


def probes_of(session: Session, log: LogFile) -> list[LogProbe]:
    """The columns of a log, as they were assigned last: a later assignment of a column stands in the place of an earlier one."""
    found = session.scalars(select(LogProbe).where(LogProbe.log_id == log.id).order_by(LogProbe.id))
    return list({p.column: p for p in found}.values())


def register_log(
    session: Session, kitchen: Kitchen, uid: str, name: str, *, source_sha256: str, parquet: str, parquet_sha256: str, rows: int,
    first: datetime | None, last: datetime | None, understood: Mapping[str, Any], instrument: Instrument | None = None,
    at: datetime | None = None, who: str = "",
) -> tuple[LogFile, bool]:  # fmt: skip
    """One row for a file whose Parquet lies on the disk already; False when that content is in the notebook.

    ``uid`` is the log's where the content comes in for the first time; of a later take it is made of this and the take's key.
    """
    have, key = _find(session, source_sha256)
    if have is not None:
        return have, False
    if key != source_sha256:  # read in anew: another log, whose file's own hash stands beside what was understood
        uid, understood = new_uid("log", key), {**understood, "file_sha256": source_sha256}
    if parquet.startswith(("/", "\\")) or ".." in parquet.replace("\\", "/").split("/"):
        raise BadBrief(f"{parquet!r} leads out of the folder of logs.", field="parquet", value=parquet, limit="a path below it")
    return add_once(
        session, LogFile, uid, ("at_utc",), kitchen_id=kitchen.id, instrument_id=instrument.id if instrument else None,
        name=text(name, "name", most=255), source_sha256=key, parquet=parquet, parquet_sha256=parquet_sha256, rows=rows,
        first_utc=first, last_utc=last, understood=dict(understood), at_utc=moment(at), zone=kitchen.zone, who=text(who, "who", most=40),
    )  # fmt: skip


def assign_probe(
    session: Session, log: LogFile, uid: str, column: str, *, kind: str, unit: str, batch: Batch | None = None, place: str = "",
    at: datetime | None = None, who: str = "",
) -> LogProbe:  # fmt: skip
    """Say what a column measured and which batch it belongs to; said again, the newer word counts."""
    row: Any = add_once(
        session, LogProbe, uid, ("at_utc",), log_id=log.id, batch_id=batch.id if batch else None, column=text(column, "probe", most=120),
        kind=text(kind, "kind", most=40), unit=text(unit, "unit", most=20), place=text(place, "place", most=80), at_utc=moment(at),
        zone=log.zone, who=text(who, "who", most=40),
    )[0]  # fmt: skip
    return row
