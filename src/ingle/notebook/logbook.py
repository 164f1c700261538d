"""Which logger files are in the notebook. Their rows live in Parquet files in `Notebook.logs`; here is one row a file."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.ground.errors import BadBrief
from ingle.notebook.models import Batch, Instrument, Kitchen, LogFile, LogProbe
from ingle.notebook.rows import add_once, moment, text


def find_log(session: Session, source_sha256: str) -> LogFile | None:
    """The log that came from a file with this content."""
    return session.scalar(select(LogFile).where(LogFile.source_sha256 == source_sha256))


def logs_of(session: Session, *, instrument: Instrument | None = None, batch: Batch | None = None) -> list[LogFile]:
    """Logs of an instrument, or those with a probe in a batch, by time."""
    asked = select(LogFile).order_by(LogFile.first_utc, LogFile.id)
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
    """One row for a file whose Parquet lies on the disk already; False when that content is in the notebook."""
    have = find_log(session, source_sha256)
    if have is not None:
        return have, False
    if parquet.startswith(("/", "\\")) or ".." in parquet.replace("\\", "/").split("/"):
        raise BadBrief(f"{parquet!r} leads out of the folder of logs.", field="parquet", value=parquet, limit="a path below it")
    return add_once(
        session, LogFile, uid, ("at_utc",), kitchen_id=kitchen.id, instrument_id=instrument.id if instrument else None,
        name=text(name, "name", most=255), source_sha256=source_sha256, parquet=parquet, parquet_sha256=parquet_sha256, rows=rows,
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
