"""A confirmed sighting into the notebook, once: rows into a Parquet file beside it, then one row with its hash.

The file is written under another name, brought to the disk, renamed, and only then registered: a crash leaves a file nobody
points at, never a row without its file. The same content a second time adds nothing; of an overlapping export of the same
instrument only the new rows are stored.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import polars as pl
from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.ground.errors import BadBrief
from ingle.notebook import control
from ingle.notebook.logbook import assign_probe, counts, find_log, probes_of, register_log
from ingle.notebook.logs_files import frame_of, scan, whole, write_rows
from ingle.notebook.logs_things import Sighting, Track
from ingle.notebook.models import Batch, Instrument, Kitchen, LogFile
from ingle.notebook.rows import new_uid
from ingle.notebook.store import Notebook
from ingle.notebook.trouble import KEPT, Locked, in_words

__all__ = ["Kept", "frame_of", "keep", "open_log", "whole", "write_rows"]

SAME_K = 0.06  # of two exports of one reading: rounding to a tenth, or by way of Fahrenheit
TRIES = 8  # where logs of one instrument come in at once


@dataclass(frozen=True)
class Kept:
    """What became of a file."""

    uid: str  # of the log; "" where nothing was new
    name: str
    added: int  # readings
    known: int  # readings that were in the notebook before
    already: bool  # this very content was in the notebook
    notes: tuple[str, ...] = ()


def keep(
    notebook: Notebook, kitchen: Kitchen, sighting: Sighting, *, batches: Mapping[str, Batch] | None = None, who: str = "",
    at: datetime | None = None, also: Callable[[Session, LogFile], None] | None = None, rises: Sequence[str] = (),
) -> Kept:  # fmt: skip
    """Store a sighting.

    Parameters
    ----------
    batches : mapping, optional
        Probe -> the batch it measured; "" for all probes.
    also : callable, optional
        Writes what belongs to the log (deviations) in the same transaction.
    rises : sequence of str
        Rises of the air that are kept with the log and ring no bell.

    Raises
    ------
    BadBrief
        Questions are open; other values at the same times of the same instrument.
    NotebookError
        The disk or the notebook did not take it: nothing is stored then.
    """
    if sighting.questions:
        first = sighting.questions[0]
        raise BadBrief(first.text, field=first.field, value="not answered", limit=", ".join(first.choices), remedy=f"Say it with --{first.field}.")
    rows = frame_of(sighting.tracks)
    for _ in range(TRIES):
        try:
            return _keep(notebook, kitchen, sighting, rows, batches or {}, who, at, also, rises)
        except _Overtaken:
            continue
    raise Locked(f"{notebook.name} is taking many logs of {sighting.instrument} at once. {KEPT}", field="log", value=sighting.name,
                 remedy="Try again in a moment.")  # fmt: skip


class _Overtaken(Exception):
    """Another log of the instrument came in between the look and the write."""


def _keep(
    notebook: Notebook, kitchen: Kitchen, sighting: Sighting, rows: pl.DataFrame, batches: Mapping[str, Batch], who: str, at: datetime | None,
    also: Callable[[Session, LogFile], None] | None, rises: Sequence[str],
) -> Kept:  # fmt: skip
    with notebook.look() as session:
        have = find_log(session, sighting.sha256)
        if have is not None:
            return _already(have, sighting)
        earlier = _earlier(session, kitchen, sighting)
    fresh = _fresh(notebook.logs, rows, earlier, sighting.name)
    known = rows.height - fresh.height
    if not fresh.height:
        return Kept("", sighting.name, 0, known, False, ("every reading of it is in the notebook already",))
    with in_words(str(notebook.logs)):
        path, digest, made = write_rows(notebook.logs, sighting.sha256, fresh)
    uid = new_uid("log", sighting.sha256)
    taken = {"notes": list(sighting.notes), "rises": list(rises), "known": known}

    def work(session: Session) -> tuple[str, bool]:
        session.execute(select(Kitchen.id).where(Kitchen.id == kitchen.id).with_for_update())
        if find_log(session, sighting.sha256) is None and _earlier(session, kitchen, sighting) != earlier:
            raise _Overtaken
        instrument = _instrument(session, kitchen, sighting, who)
        log, new = register_log(
            session, kitchen, uid, sighting.name, source_sha256=sighting.sha256, parquet=path.name, parquet_sha256=digest, rows=fresh.height,
            first=fresh["time_utc"].min(), last=fresh["time_utc"].max(),  # type: ignore[arg-type]
            understood=dict(sighting.understood) | taken, instrument=instrument, at=at, who=who,
        )  # fmt: skip
        if not new:
            return log.uid, False
        for t in sighting.tracks:
            batch = batches.get(t.name) or batches.get("")
            assign_probe(session, log, new_uid("probe", log.uid, t.name), t.name, kind=t.kind, unit=t.stored_unit, batch=batch, at=at, who=who)
        if also is not None:
            also(session, log)
        return log.uid, True

    try:
        uid, new = notebook.write(work)
    except BaseException:
        if made:
            path.unlink(missing_ok=True)
        raise
    if not new:  # another import of the same content was quicker
        with notebook.look() as session:
            won = find_log(session, sighting.sha256)
            if made and won is not None and won.parquet != path.name:
                path.unlink(missing_ok=True)
        return Kept(uid, sighting.name, 0, rows.height, True)
    note = (f"{known:,} readings were in the notebook already",) if known else ()
    return Kept(uid, sighting.name, fresh.height, known, False, note)


def _already(have: LogFile, sighting: Sighting) -> Kept:
    notes = [f"this file came in before, as {have.name}; nothing was added"]
    if have.understood.get("zone") != sighting.understood.get("zone"):
        notes.append(f"it was taken in zone {have.understood.get('zone')}; what is said now ({sighting.zone}) changes nothing")
    return Kept(have.uid, have.name, 0, sighting.rows, True, tuple(notes))


def _instrument(session: Session, kitchen: Kitchen, sighting: Sighting, who: str) -> Instrument | None:
    if not sighting.instrument:
        return None
    found = _known(session, kitchen, sighting.instrument)
    if found is not None:
        return found
    name = sighting.instrument
    return control.add_instrument(session, kitchen, new_uid("instrument", kitchen.uid, name), name, kind="logger", unit="degC", serial=name, who=who)


def _known(session: Session, kitchen: Kitchen, name: str) -> Instrument | None:
    found = select(Instrument).where(Instrument.kitchen_id == kitchen.id, (Instrument.serial == name) | (Instrument.name == name))
    return session.scalars(found.order_by(Instrument.id)).first()


def _earlier(session: Session, kitchen: Kitchen, sighting: Sighting) -> list[tuple[str, str]]:
    """Files of the same instrument that share some of the time: name and Parquet."""
    instrument = _known(session, kitchen, sighting.instrument) if sighting.instrument else None
    if instrument is None:
        return []
    asked = select(LogFile).where(
        counts(), LogFile.instrument_id == instrument.id, LogFile.first_utc <= sighting.last, LogFile.last_utc >= sighting.first
    )
    return [(log.name, log.parquet) for log in session.scalars(asked.order_by(LogFile.id))]


def _fresh(folder: Path, rows: pl.DataFrame, earlier: Sequence[tuple[str, str]], name: str) -> pl.DataFrame:
    """Rows that no earlier file of the instrument holds."""
    first, last = rows["time_utc"].min(), rows["time_utc"].max()
    for other, parquet in earlier:
        probe = pl.col("probe").cast(pl.String).cast(rows.schema["probe"], strict=False)  # probes that only the other has are none of these
        kept = scan(folder / parquet).filter(pl.col("time_utc").is_between(first, last)).select(probe, "time_utc", was="value").collect()
        both = rows.join(kept, on=["probe", "time_utc"], how="left")
        differ = both.filter((pl.col("value") - pl.col("was")).abs() > SAME_K)
        if differ.height:
            row = differ.row(0, named=True)
            raise BadBrief(
                f"log {name} has other values than {other} at {differ.height:,} times of the same instrument, first {row['time_utc']:%Y-%m-%d %H:%M}: "
                f"{row['value']:.2f}, was {row['was']:.2f}. {KEPT}", field="instrument", value=f"{row['value']:.2f}", limit=f"{row['was']:.2f}",
                remedy="If it is another instrument, name it: --instrument NAME. If its clock was set, say its zone.",
            )  # fmt: skip
        rows = both.filter(pl.col("was").is_null()).drop("was")
    return rows


def open_log(session: Session, notebook: Notebook, log: LogFile, *, first: datetime | None = None, last: datetime | None = None) -> tuple[Track, ...]:
    """Tracks of a stored log, or the part between two times. Rows that were known from earlier files lie in those."""
    rows = scan(notebook.logs / log.parquet)
    if first is not None:
        rows = rows.filter(pl.col("time_utc") >= first)
    if last is not None:
        rows = rows.filter(pl.col("time_utc") <= last)
    kinds = {p.column: p.kind for p in probes_of(session, log)}
    found = rows.collect().partition_by("probe", maintain_order=True)
    return tuple(
        Track(str(f["probe"][0]), kinds.get(str(f["probe"][0]), "air"), "%" if f["unit"][0] == "%" else "C", f["time_utc"].dt.timestamp("ms").to_numpy(),
              f["value"].to_numpy()) for f in found
    )  # fmt: skip
