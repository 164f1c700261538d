"""Limits in force, verdicts, deviations and what was done about them, instruments and their checks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from importlib.metadata import version

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.ground.errors import BadBrief
from ingle.notebook.models import (
    Batch,
    CorrectiveAction,
    Deviation,
    Instrument,
    InstrumentCheck,
    Judged,
    Kitchen,
    LimitInForce,
    LogFile,
    Piece,
    PlanTaken,
    Reading,
    Step,
)
from ingle.notebook.rows import add_once, moment, new_uid, number, stands, text

LEVELS = ("stop", "today", "note")
BECAME = ("", "kept", "held", "reworked", "discarded")


@dataclass(frozen=True)
class Line:
    """A limit as it stands today, to be kept with what is judged by it."""

    rule: str
    title: str
    value: float | None
    unit: str
    clause: str
    source: str
    source_title: str
    sure: str
    side: str = "max"
    kind: str = "law"
    country: str = ""
    basis: str = ""
    doubt: str = ""


def keep_limit(session: Session, line: Line, read_on: date) -> LimitInForce:
    """The limit as it stood on a day: one row for the same content."""
    fields = vars(line) | {"read_on": read_on, "ingle_version": version("ingle")}
    row, _ = add_once(session, LimitInForce, new_uid("limit", *(f"{k}={fields[k]}" for k in sorted(fields))), **fields)
    return row


def judge(
    session: Session, kitchen: Kitchen, uid: str, limit: LimitInForce, level: str, *, value: float | None, low: float | None = None,
    high: float | None = None, act: str = "", not_checked: Sequence[str] = (), batch: Batch | None = None, plan: PlanTaken | None = None,
    piece: Piece | None = None, step: Step | None = None, reading: Reading | None = None, at: datetime | None = None, who: str = "",
) -> Judged:  # fmt: skip
    """One value beside one limit, kept as it was told."""
    row, _ = add_once(
        session, Judged, uid, ("at_utc",), kitchen_id=kitchen.id, batch_id=batch.id if batch else None,
        plan_id=plan.id if plan else None, piece_id=piece.id if piece else None, step_id=step.id if step else None,
        reading_id=reading.id if reading else None, limit_id=limit.id, level=level, value=value, low=low, high=high, act=text(act, "act"),
        not_checked=list(not_checked), at_utc=moment(at), zone=kitchen.zone, who=text(who, "who", most=40),
    )  # fmt: skip
    return row


def deviate(
    session: Session, kitchen: Kitchen, uid: str, what: str, *, level: str, act: str, batch: Batch | None = None, step: Step | None = None,
    reading: Reading | None = None, log: LogFile | None = None, limit: LimitInForce | None = None, cause: str = "", place: str = "",
    value: float | None = None, unit: str = "", began: datetime | None = None, ended: datetime | None = None, count: int = 1,
    deadline: datetime | None = None, at: datetime | None = None, who: str = "",
) -> Deviation:  # fmt: skip
    """A line that was crossed. Without an act it is no deviation but a note."""
    if level not in LEVELS:
        raise BadBrief(f"level {level!r} is not one of {', '.join(LEVELS)}.", field="level", value=level, limit=", ".join(LEVELS))
    row, _ = add_once(
        session, Deviation, uid, ("at_utc",), kitchen_id=kitchen.id, batch_id=batch.id if batch else None, step_id=step.id if step else None,
        reading_id=reading.id if reading else None, log_id=log.id if log else None, limit_id=limit.id if limit else None, level=level,
        what=text(what, "what", needed=True), cause=text(cause, "cause"), place=text(place, "place", most=80),
        value=number(value, "value", -1e9, 1e9, unit), unit=text(unit, "unit", most=20),
        began_utc=None if began is None else moment(began, "began"), ended_utc=None if ended is None else moment(ended, "ended"), count=count,
        act=text(act, "act", needed=True), deadline_utc=None if deadline is None else moment(deadline, "deadline", ahead=True),
        at_utc=moment(at), zone=kitchen.zone, who=text(who, "who", most=40),
    )  # fmt: skip
    return row


def act_on(
    session: Session, deviation: Deviation, uid: str, act: str, *, cause: str = "", control: str = "", prevention: str = "",
    product: str = "", closes: bool = False, at: datetime | None = None, who: str = "",
) -> CorrectiveAction:  # fmt: skip
    """What was done. An action that closes says what became of the food."""
    if product not in BECAME:
        raise BadBrief(f"product {product!r} is not one of {', '.join(BECAME[1:])}.", field="product", value=product, limit=", ".join(BECAME[1:]))
    if closes and not product:
        raise BadBrief(
            "A deviation is closed when it is said what became of the food.", field="product", value="", limit=", ".join(BECAME[1:]),
            remedy="Say --product kept, held, reworked or discarded.",
        )  # fmt: skip
    row, _ = add_once(
        session, CorrectiveAction, uid, ("at_utc",), deviation_id=deviation.id, act=text(act, "act", needed=True), cause=text(cause, "cause"),
        control=text(control, "control"), prevention=text(prevention, "prevention"), product=product, closes=closes, at_utc=moment(at),
        zone=deviation.zone, who=text(who, "who", most=40),
    )  # fmt: skip
    return row


def open_deviations(session: Session, kitchen: Kitchen) -> list[Deviation]:
    """Deviations that count and that no action has closed, the gravest first, then the newest."""
    closed = (
        select(CorrectiveAction.id)
        .where(CorrectiveAction.deviation_id == Deviation.id, CorrectiveAction.closes, stands(CorrectiveAction))
        .exists()
    )
    found = session.scalars(select(Deviation).where(Deviation.kitchen_id == kitchen.id, stands(Deviation), ~closed))
    return sorted(found, key=lambda d: (LEVELS.index(d.level), -d.at_utc.timestamp(), d.id))


def add_instrument(
    session: Session, kitchen: Kitchen, uid: str, name: str, *, kind: str, unit: str, serial: str = "", resolution: float | None = None,
    place: str = "", at: datetime | None = None, who: str = "",
) -> Instrument:  # fmt: skip
    """A scale, a thermometer, a logger."""
    row, _ = add_once(
        session, Instrument, uid, ("at_utc",), kitchen_id=kitchen.id, name=text(name, "instrument", most=80, needed=True),
        kind=text(kind, "kind", most=40, needed=True), serial=text(serial, "serial", most=80), unit=text(unit, "unit", most=20),
        resolution=number(resolution, "resolution", 0, 1e6, unit), place=text(place, "place", most=80), at_utc=moment(at), zone=kitchen.zone,
        who=text(who, "who", most=40),
    )  # fmt: skip
    return row


def check_instrument(
    session: Session, instrument: Instrument, uid: str, *, reference: str, expected: float, found: float, tolerance: float, act: str = "",
    at: datetime | None = None, who: str = "",
) -> InstrumentCheck:  # fmt: skip
    """An instrument beside a reference; one that fails wants an act."""
    unit = instrument.unit
    numbers = {
        "expected": number(expected, "expected", -1e6, 1e9, unit),
        "found": number(found, "found", -1e6, 1e9, unit),
        "tolerance": number(tolerance, "tolerance", 0, 1e6, unit),
    }
    passed = abs(found - expected) <= tolerance * (1 + 1e-9)
    if not passed and not act.strip():
        raise BadBrief(
            f"{instrument.name} shows {found:g} {unit} at {expected:g} {unit}: off by more than {tolerance:g} {unit}. What is done about it?",
            field="act", value="", remedy="Say it with --act: adjusted, taken out of use, readings since the last check looked at.",
        )  # fmt: skip
    row, _ = add_once(
        session, InstrumentCheck, uid, ("at_utc",), instrument_id=instrument.id, reference=text(reference, "reference", needed=True),
        passed=passed, act=text(act, "act"), at_utc=moment(at), zone=instrument.zone, who=text(who, "who", most=40), **numbers,
    )  # fmt: skip
    return row
