"""Rows of the notebook as rows of a record: values in words, what was corrected beside what replaced it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.jobs.dossier import Action, Deviated, Row, Was
from ingle.notebook.models import (
    CorrectiveAction,
    Deviation,
    Done,
    Dose,
    Instrument,
    Judged,
    LimitInForce,
    LogFile,
    LogProbe,
    LogWithdrawn,
    Reading,
    Step,
    Traced,
)
from ingle.notebook.rows import some, stands

LATER = timedelta(minutes=5)  # an entry this much after the event says so
MEASURED = (
    ("weight_g", "weight", "g"), ("temperature_c", "temperature", "\u00b0C"), ("ph", "pH", "pH"), ("water_activity", "water activity", "aw"),
    ("humidity_pct", "humidity", "%"), ("salt_g_per_100g", "salt", "g/100 g"),
)  # fmt: skip


def chains(rows: Sequence[Any]) -> list[tuple[Any, list[Any]]]:
    """Each row that was not replaced, with those it stands in the place of, oldest first."""
    by_id = {r.id: r for r in rows}
    replaced = {r.corrects_id for r in rows if r.corrects_id is not None}
    told = []
    for row in rows:
        if row.id in replaced:
            continue
        before, at = [], row
        while at.corrects_id is not None and at.corrects_id in by_id:
            at = by_id[at.corrects_id]
            before.append(at)
        told.append((row, before[::-1]))
    return told


def _entered(row: Any, zone: ZoneInfo) -> datetime | None:
    return row.written_utc.astimezone(zone) if row.written_utc - row.at_utc > LATER else None


def was(before: Sequence[Any], after: Any, say: Callable[[Any], str], zone: ZoneInfo) -> tuple[Was, ...]:
    """Old values with who wrote them and when, and why the next one came."""
    nexts = [*before, after][1:]
    return tuple(Was(say(old), old.who, old.written_utc.astimezone(zone), _why(old, new, zone)) for old, new in zip(before, nexts, strict=True))


def _why(old: Any, new: Any, zone: ZoneInfo) -> str:
    """Who corrected it and when, with the words that were added."""
    fresh, at = _added(old, new), new.written_utc.astimezone(zone)
    what = "withdrawn" if new.void else "corrected"
    return f"{what} {at.day} {at:%b %Y, %H:%M} by {new.who or 'no name'}" + (f": {fresh}" if fresh else "")


def _added(old: Any, new: Any) -> str:
    """Words of a correction that the old row did not have: why it was made."""
    words = getattr(new, "text", "") or getattr(new, "note", "")
    return "" if words == (getattr(old, "text", "") or getattr(old, "note", "")) else words


def _reading_value(row: Reading, *, words: bool = True) -> str:
    values = [with_unit(getattr(row, key), unit) for key, _, unit in MEASURED if getattr(row, key) is not None]
    said = row.text.replace("\n", "; ").replace(" -> ", " to ") if words or not values else ""
    return "; ".join([*values, *([said] if said else []), *(["photo"] if row.photo_id else [])]) or "no value"


def with_unit(value: float, unit: str) -> str:
    """A stored number with its unit, no figure added or taken."""
    if unit == "g":
        return grams(value)
    told = f"{value:.10g}"
    return f"pH {told}" if unit == "pH" else f"{told} {unit}"


def grams(value: float | None) -> str:
    """``350 g``, ``1.284 kg``; empty for none."""
    if value is None:
        return ""
    return f"{value / 1000:.10g} kg" if value >= 1000 else f"{value:.10g} g"


def _names(session: Session, row: Any) -> tuple[str, str, str]:
    """Step, piece or lot, and instrument of a row, in words."""
    step = session.get(Step, row.step_id).name if getattr(row, "step_id", None) else ""  # type: ignore[union-attr]
    held = getattr(row, "piece_id", None) or getattr(row, "lot_id", None)
    thing = session.get_one(Traced, held).code if held else getattr(row, "place", "")
    tool = session.get_one(Instrument, row.instrument_id).name if getattr(row, "instrument_id", None) else ""
    return step, thing, tool


@dataclass(frozen=True)
class Hanging:
    """What hangs on readings, by their number: the last verdict, the deviations."""

    judged: Mapping[int, Judged]
    deviated: Mapping[int, Sequence[Deviation]]


def hanging(session: Session, rows: Sequence[Reading]) -> Hanging:
    """Verdicts and deviations of many readings, in few questions."""
    ids = [r.id for r in rows]
    deviated: dict[int, list[Deviation]] = {}
    for (d,) in sorted(some(session, select(Deviation), Deviation.reading_id, ids), key=lambda r: r[0].id):
        deviated.setdefault(d.reading_id, []).append(d)
    return Hanging({j.reading_id: j for (j,) in sorted(some(session, select(Judged), Judged.reading_id, ids), key=lambda r: r[0].id)}, deviated)


def readings(session: Session, rows: Sequence[Reading], hung: Hanging, zone: ZoneInfo) -> Iterable[Row]:
    """Readings with the verdict and the deviations that hang on each."""
    for row, before in chains(rows):
        step, thing, tool = _names(session, row)
        what = ", ".join(name for key, name, _ in MEASURED if getattr(row, key) is not None) or row.kind
        how = "; ".join(x for x in (tool, f"probe {row.probe_depth_mm:g} mm deep" if row.probe_depth_mm else "") if x)
        told = hung.judged.get(row.id)
        line = session.get_one(LimitInForce, told.limit_id) if told else None
        devs = [d for r in (*before, row) for d in hung.deviated.get(r.id, ())]
        yield Row(
            row.at_utc.astimezone(zone), what, _reading_value(row, words=not before or not _added(before[-1], row)), row.who, step, thing, how, limit_words(line), line.clause if line else "",
            told.level if told else "", told.act if told else "", _entered(row, zone) if not before else None, was(before, row, _reading_value, zone), row.void,
            deviations(session, devs, zone), tuple(told.not_checked) if told else (),
        )  # fmt: skip


def doses(session: Session, rows: Sequence[Dose], zone: ZoneInfo) -> Iterable[Row]:
    """What was weighed in."""
    say = lambda r: grams(r.weighed_g)  # noqa: E731
    for row, before in chains(rows):
        step, thing, tool = _names(session, row)
        planned = f"planned {grams(row.planned_g)}" if row.planned_g is not None else ""
        yield Row(
            row.at_utc.astimezone(zone), f"weighed in: {_item(row.item)}" + (" (a second time, as said)" if row.again else ""), say(row), row.who, step,
            thing, tool, planned, entered=_entered(row, zone) if not before else None, was=was(before, row, say, zone), withdrawn=row.void,
        )  # fmt: skip


def _item(written: str) -> str:
    """``curing-salt@6.25%`` to ``curing salt, 6.25 %``."""
    name, _, strength = written.partition("@")
    return name.replace("-", " ") + (f", {strength.rstrip('%')}\u00a0%" if strength else "")


def steps_done(rows: Sequence[tuple[Done, Step]], zone: ZoneInfo) -> Iterable[Row]:
    """Steps begun and done."""

    def say(row: Done) -> str:
        ends = [f"{word} {at.astimezone(zone):%H:%M}" for word, at in (("begun", row.began_utc), ("done", row.ended_utc)) if at]
        return ", ".join(ends) + (f"; {row.note}" if row.note else "")

    names = {done.id: step.name for done, step in rows}
    for row, before in chains([done for done, _ in rows]):
        yield Row(
            row.at_utc.astimezone(zone), "step", say(row), row.who, names[row.id], entered=_entered(row, zone) if not before else None,
            was=was(before, row, say, zone), withdrawn=row.void,
        )  # fmt: skip


FORECAST = "plan"  # a verdict of this kind is of what was to come: it is no entry of the record
LOGS = (  # the batch, its log, and whether it was withdrawn; once for each probe that measured it
    select(LogProbe.batch_id, LogFile, LogWithdrawn).join(LogFile, LogFile.id == LogProbe.log_id)
    .outerjoin(LogWithdrawn, LogWithdrawn.log_id == LogFile.id)
)  # fmt: skip


def logs_in(session: Session, rows: Sequence[tuple[LogFile, LogWithdrawn | None]], zone: ZoneInfo) -> Iterable[Row]:
    """Loggers' files that belong to a batch; one that was withdrawn is struck, with who said so, when and why."""
    for log, gone in rows:
        span = f", {log.first_utc.astimezone(zone):%d %b %H:%M} to {log.last_utc.astimezone(zone):%d %b %H:%M}" if log.first_utc and log.last_utc else ""
        value = f"{log.rows} readings{span}"
        tool = session.get_one(Instrument, log.instrument_id).name if log.instrument_id else ""
        replaced: tuple[Was, ...] = ()
        if gone is not None:
            at = gone.at_utc.astimezone(zone)
            why = f"withdrawn {at.day} {at:%b %Y, %H:%M} by {gone.who or 'no name'}: {gone.why}; nothing is worked out from it"
            replaced = (Was(value, log.who, log.written_utc.astimezone(zone), why),)
        yield Row(log.at_utc.astimezone(zone), f"log {log.name}", value, log.who, how=tool, was=replaced, withdrawn=gone is not None)


def verdict_row(session: Session, row: Judged, zone: ZoneInfo) -> Row:
    """A verdict that hangs on no reading: computed when the batch was laid in."""
    line = session.get_one(LimitInForce, row.limit_id)
    step, thing, _ = _names(session, row)
    value = "no value" if row.value is None else with_unit(float(f"{row.value:.4g}"), line.unit)  # computed: no more figures than the scale bore
    return Row(
        row.at_utc.astimezone(zone), line.title, value, row.who, step, thing, "computed", limit_words(line), line.clause, row.level, row.act,
        not_checked=tuple(row.not_checked),
    )  # fmt: skip


def limit_words(line: LimitInForce | None) -> str:
    """``at most 5 °C``."""
    if line is None:
        return ""
    return "no figure" if line.value is None else f"{'at most' if line.side == 'max' else 'at least'} {with_unit(line.value, line.unit)}"


def deviations(session: Session, rows: Sequence[Deviation], zone: ZoneInfo) -> tuple[Deviated, ...]:
    """Deviations with what was done about each."""
    told = []
    local = lambda at: at.astimezone(zone) if at else None  # noqa: E731
    for row, before in chains(rows):
        line = session.get_one(LimitInForce, row.limit_id) if row.limit_id else None
        own = [row.id, *(b.id for b in before)]
        acts = session.scalars(
            select(CorrectiveAction).where(CorrectiveAction.deviation_id.in_(own), stands(CorrectiveAction)).order_by(CorrectiveAction.at_utc)
        )
        unit = {"C": "\u00b0C"}.get(row.unit, row.unit)
        told.append(Deviated(
            row.at_utc.astimezone(zone), row.level, row.what + (f" ({row.count} times)" if row.count > 1 else ""), row.act, row.who, row.cause,
            "" if row.value is None else with_unit(row.value, unit), limit_words(line), line.clause if line else "", local(row.ended_utc),
            local(row.deadline_utc),
            tuple(Action(a.at_utc.astimezone(zone), a.act, a.who, a.cause, a.control, a.prevention, a.product, a.closes) for a in acts), row.void,
        ))  # fmt: skip
    return tuple(told)
