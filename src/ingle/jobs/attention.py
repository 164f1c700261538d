"""What needs attention: deviations nobody closed, instruments that failed, food near its day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import exists, func, select
from sqlalchemy.orm import Session

from ingle.notebook.control import open_deviations
from ingle.notebook.models import (
    Batch,
    Handed,
    Instrument,
    InstrumentCheck,
    Kitchen,
    Link,
    LogFile,
    Lot,
    Pack,
    Reading,
    Step,
    Traced,
)
from ingle.notebook.rows import some, stands

DAY = timedelta(days=1)
SOON = timedelta(days=3)
LONG_AGO = timedelta(days=31)  # a lot past its day for longer is taken as thrown away


@dataclass(frozen=True)
class Need:
    """One line that needs someone: how grave, what, the act, by when, and where to go."""

    level: str  # stop | today | note
    what: str
    act: str
    by: datetime | None
    kind: str  # deviation | step | lot | pack | batch | instrument | plan | book
    ref: str  # number or code
    log: str = ""  # UUID of the log it was read from
    verb: str = ""  # of a step: what is to do


def needs_of(session: Session, home: Kitchen, now: datetime) -> list[Need]:
    """Deviations, instruments and days, in no order."""
    day = now.astimezone(ZoneInfo(home.zone)).date()
    open_ = open_deviations(session, home)
    read = {d.log_id for d in open_ if d.log_id}
    logs = {r.id: r.uid for r in session.execute(select(LogFile.id, LogFile.uid).where(LogFile.id.in_(read)))} if read else {}
    found = [
        Need(d.level, d.what + (f" ({d.count} times)" if d.count > 1 else ""), d.act, d.deadline_utc, "deviation", str(d.id), logs.get(d.log_id or 0, ""))
        for d in open_
    ]
    return found + _instruments(session, home) + _lots(session, home, day) + _packs(session, home, day) + _batches(session, home, day) + _meals_over(session, home, now)


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
    lot, named = Lot.__table__.c, Traced.__table__.c
    used = select(func.coalesce(func.sum(Link.amount_g), 0.0)).where(Link.from_id == lot.id, stands(Link)).scalar_subquery()
    taken = select(Link.id).where(Link.from_id == lot.id, stands(Link)).exists()
    asked = session.execute(
        select(lot.id, named.code, named.name, named.kitchen_id, lot.use_by, lot.amount_g, used.label("used"), taken.label("taken"))
        .join(Traced.__table__, named.id == lot.id)
        .where(lot.use_by.between(day - LONG_AGO, day + SOON))
    )
    found = asked.all()
    over = select(Reading.lot_id).where(Reading.lot_id.in_([r.id for r in found]), Reading.kind == "state", stands(Reading))
    closed = set(session.scalars(over))
    return [
        _day(r.use_by, day, f"{r.name} ({r.code})", "lot", r.code)
        for r in found
        if r.kitchen_id == home.id
        and r.id not in closed
        and ((r.amount_g is None and not r.taken) or (r.amount_g is not None and r.used < r.amount_g * 0.99))
    ]


def _packs(session: Session, home: Kitchen, day: date) -> list[Need]:
    pack, named = Pack.__table__.c, Traced.__table__.c
    gone = select(func.coalesce(func.sum(Handed.count), 0)).where(Handed.pack_id == pack.id, stands(Handed)).scalar_subquery()
    due = select(pack.id, pack.use_by, (pack["count"] - gone).label("left")).where(pack.use_by.between(day - LONG_AGO, day + SOON)).subquery()
    here = {r.id: r for r in session.execute(select(due).where(due.c.left > 0))}  # most of them are gone: names are looked up for the rest
    names = some(session, select(named.id, named.code, named.name).where(named.kitchen_id == home.id).order_by(named.id), named.id, here)
    return [_day(here[n.id].use_by, day, f"{here[n.id].left} packs of {n.name} ({n.code})", "pack", n.code) for n in names]


def _batches(session: Session, home: Kitchen, day: date) -> list[Need]:
    batch, named = Batch.__table__.c, Traced.__table__.c
    found = session.execute(
        select(named.code, named.name, named.kitchen_id, batch.use_by)
        .join(Traced.__table__, named.id == batch.id)
        .where(batch.state.in_(("going", "planned")), batch.use_by <= day + SOON)
    )
    return [_day(r.use_by, day, f"{r.name} ({r.code})", "batch", r.code) for r in found if r.kitchen_id == home.id]


def _meals_over(session: Session, home: Kitchen, now: datetime) -> list[Need]:
    """Meals whose batches nobody closed, a day after the last step of each: one line a meal."""
    batch, named = Batch.__table__.c, Traced.__table__.c
    ahead = exists().where(Step.batch_id == batch.id, Step.planned_end_utc > now - DAY)
    found = session.execute(
        select(batch.plan_name, func.count())
        .join(Traced.__table__, named.id == batch.id)
        .where(named.kitchen_id == home.id, batch.state == "going", batch.plan_name.is_not(None), ~ahead)
        .group_by(batch.plan_name)
    )
    return [
        Need("note", f"{name} is over; {n} of its batches {'stands' if n == 1 else 'stand'} open", "Pack what is left, or say of each that it is over.", None, "book", name)
        for name, n in found
    ]


def _day(use_by: date, day: date, what: str, kind: str, code: str) -> Need:
    if use_by < day:
        return Need("stop", f"{what}: use-by {use_by:%a %d %b} has passed", "Do not use it; throw it away and say so.", None, kind, code)
    when = "today" if use_by == day else f"{use_by:%a %d %b}"
    return Need("today" if use_by == day else "note", f"{what}: use-by {when}", "Use it, freeze it, or throw it away.", None, kind, code)
