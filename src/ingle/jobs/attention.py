"""What needs attention: deviations nobody closed, instruments that failed, food near its day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from ingle.notebook.control import open_deviations
from ingle.notebook.models import Batch, Handed, Instrument, InstrumentCheck, Kitchen, Link, Lot, Pack, Reading
from ingle.notebook.rows import stands

SOON = timedelta(days=3)
LONG_AGO = timedelta(days=31)  # a lot past its day for longer is taken as thrown away


@dataclass(frozen=True)
class Need:
    """One line that needs someone: how grave, what, the act, by when, and where to go."""

    level: str  # stop | today | note
    what: str
    act: str
    by: datetime | None
    kind: str  # deviation | step | lot | pack | batch | instrument | plan
    ref: str  # number or code


def needs_of(session: Session, home: Kitchen, now: datetime) -> list[Need]:
    """Deviations, instruments and days, in no order."""
    day = now.astimezone(ZoneInfo(home.zone)).date()
    found = [
        Need(d.level, d.what + (f" ({d.count} times)" if d.count > 1 else ""), d.act, d.deadline_utc, "deviation", str(d.id))
        for d in open_deviations(session, home)
    ]
    return found + _instruments(session, home) + _lots(session, home, day) + _packs(session, home, day) + _batches(session, home, day)


def _instruments(session: Session, home: Kitchen) -> list[Need]:
    last = select(func.max(InstrumentCheck.id)).where(stands(InstrumentCheck)).group_by(InstrumentCheck.instrument_id)
    failed = session.execute(
        select(Instrument, InstrumentCheck)
        .join(InstrumentCheck, InstrumentCheck.instrument_id == Instrument.id)
        .where(Instrument.kitchen_id == home.id, Instrument.in_use, InstrumentCheck.id.in_(last), ~InstrumentCheck.passed)
    )
    return [
        Need("today", f"{i.name} showed {c.found:g} {i.unit} at {c.expected:g} {i.unit}", f"{c.act}; check it again.", None, "instrument", i.name)
        for i, c in failed
    ]


def _lots(session: Session, home: Kitchen, day: date) -> list[Need]:
    used = select(func.coalesce(func.sum(Link.amount_g), 0.0)).where(Link.from_id == Lot.id, stands(Link)).scalar_subquery()
    taken = select(Link.id).where(Link.from_id == Lot.id, stands(Link)).exists()
    closed = select(Reading.id).where(Reading.lot_id == Lot.id, Reading.kind == "state", stands(Reading)).exists()
    found = session.execute(
        select(Lot.code, Lot.name, Lot.use_by, Lot.amount_g, used.label("used"), taken.label("taken")).where(
            Lot.kitchen_id == home.id, Lot.use_by.between(day - LONG_AGO, day + SOON), ~closed
        )
    )
    return [
        _day(r.use_by, day, f"{r.name} ({r.code})", "lot", r.code)
        for r in found
        if (r.amount_g is None and not r.taken) or (r.amount_g is not None and r.used < r.amount_g * 0.99)
    ]


def _packs(session: Session, home: Kitchen, day: date) -> list[Need]:
    gone = select(func.coalesce(func.sum(Handed.count), 0)).where(Handed.pack_id == Pack.id, stands(Handed)).scalar_subquery()
    found = session.execute(
        select(Pack.code, Pack.name, Pack.use_by, (Pack.count - gone).label("left")).where(
            Pack.kitchen_id == home.id, Pack.use_by.between(day - LONG_AGO, day + SOON)
        )
    )
    return [_day(r.use_by, day, f"{r.left} packs of {r.name} ({r.code})", "pack", r.code) for r in found if r.left > 0]


def _batches(session: Session, home: Kitchen, day: date) -> list[Need]:
    found = session.execute(
        select(Batch.code, Batch.name, Batch.use_by).where(
            Batch.kitchen_id == home.id, Batch.state.in_(("going", "planned")), Batch.use_by <= day + SOON
        )
    )
    return [_day(r.use_by, day, f"{r.name} ({r.code})", "batch", r.code) for r in found]


def _day(use_by: date, day: date, what: str, kind: str, code: str) -> Need:
    if use_by < day:
        return Need("stop", f"{what}: use-by {use_by:%a %d %b} has passed", "Do not use it; throw it away and say so.", None, kind, code)
    when = "today" if use_by == day else f"{use_by:%a %d %b}"
    return Need("today" if use_by == day else "note", f"{what}: use-by {when}", "Use it, freeze it, or throw it away.", None, kind, code)
