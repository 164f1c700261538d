"""What keeps a kitchen honest: limits as they were in force, verdicts, deviations and what was done, instruments, logs."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, CheckConstraint, ForeignKey, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from ingle.notebook.tables_base import Base, Corrected, Written


class LimitInForce(Base):
    """A limit as it stood when something was judged by it. Its uid is made of its content: the same limit is one row."""

    __tablename__ = "limit_in_force"
    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    rule: Mapped[str]
    title: Mapped[str]
    kind: Mapped[str]  # law | harm | practice | plan | advice
    country: Mapped[str]
    side: Mapped[str] = mapped_column(String(3))  # max | min
    value: Mapped[float | None]
    unit: Mapped[str]
    basis: Mapped[str]
    clause: Mapped[str]
    source: Mapped[str]
    source_title: Mapped[str]
    sure: Mapped[str]
    doubt: Mapped[str]
    read_on: Mapped[date]  # the day on which the limits were read
    ingle_version: Mapped[str]


class Judged(Written, Base):
    """One value beside one limit, as it was told then."""

    __tablename__ = "judged"
    kitchen_id: Mapped[int] = mapped_column(ForeignKey("kitchen.id"))
    batch_id: Mapped[int | None] = mapped_column(ForeignKey("batch.id"), index=True)
    plan_id: Mapped[int | None] = mapped_column(ForeignKey("plan_taken.id"), index=True)
    piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"))
    step_id: Mapped[int | None] = mapped_column(ForeignKey("step.id"))
    reading_id: Mapped[int | None] = mapped_column(ForeignKey("reading.id"))
    limit_id: Mapped[int] = mapped_column(ForeignKey("limit_in_force.id"))
    level: Mapped[str] = mapped_column(String(10))
    value: Mapped[float | None]
    low: Mapped[float | None]
    high: Mapped[float | None]
    act: Mapped[str]
    not_checked: Mapped[list[str]] = mapped_column(JSON, default=list)
    __table_args__ = (CheckConstraint("level IN ('within', 'near', 'over', 'cannot_say')", name="level"),)


class Instrument(Written, Base):
    """A scale, a thermometer, a logger, a pH meter."""

    __tablename__ = "instrument"
    kitchen_id: Mapped[int] = mapped_column(ForeignKey("kitchen.id"))
    name: Mapped[str]
    kind: Mapped[str]
    serial: Mapped[str] = mapped_column(default="")
    unit: Mapped[str]  # "g", "C", "pH"
    resolution: Mapped[float | None]  # in that unit
    place: Mapped[str] = mapped_column(default="")
    in_use: Mapped[bool] = mapped_column(default=True)
    __table_args__ = (UniqueConstraint("kitchen_id", "name"),)


class InstrumentCheck(Corrected, Base):
    """An instrument against a reference: ice water, a weight."""

    __tablename__ = "instrument_check"
    instrument_id: Mapped[int] = mapped_column(ForeignKey("instrument.id"), index=True)
    reference: Mapped[str]
    expected: Mapped[float]  # in the instrument's unit
    found: Mapped[float]
    tolerance: Mapped[float]
    passed: Mapped[bool]
    act: Mapped[str] = mapped_column(default="")


class LogFile(Written, Base):
    """A logger's file, imported once. Its rows live in a Parquet file beside the notebook."""

    __tablename__ = "log_file"
    kitchen_id: Mapped[int] = mapped_column(ForeignKey("kitchen.id"))
    instrument_id: Mapped[int | None] = mapped_column(ForeignKey("instrument.id"), index=True)
    name: Mapped[str]  # as the person knew it
    source_sha256: Mapped[str] = mapped_column(String(64), unique=True)  # of the file that came; read in anew after a withdrawal: see `logbook.key_of`
    parquet: Mapped[str]  # path below the notebook's folder of logs
    parquet_sha256: Mapped[str] = mapped_column(String(64))
    rows: Mapped[int]
    first_utc: Mapped[datetime | None]
    last_utc: Mapped[datetime | None]
    understood: Mapped[dict[str, Any]] = mapped_column(JSON, default=dict)  # delimiter, zone, units, what was confirmed
    __table_args__ = (Index(None, "kitchen_id", "first_utc"), CheckConstraint("rows >= 0", name="rows"))


class LogWithdrawn(Written, Base):
    """A log that was taken in wrongly: who says so, when and why. Its row and its readings stay; nothing is worked out from them any more."""

    __tablename__ = "log_withdrawn"
    log_id: Mapped[int] = mapped_column(ForeignKey("log_file.id"), unique=True)
    why: Mapped[str]


class LogProbe(Written, Base):
    """One column of a log: what it measured, and which batch it belongs to."""

    __tablename__ = "log_probe"
    log_id: Mapped[int] = mapped_column(ForeignKey("log_file.id"), index=True)
    batch_id: Mapped[int | None] = mapped_column(ForeignKey("batch.id"), index=True)
    column: Mapped[str]
    kind: Mapped[str]  # air | core | surface | chamber | humidity
    unit: Mapped[str]
    place: Mapped[str] = mapped_column(default="")


class Deviation(Corrected, Base):
    """A line that was crossed: by how much, for how long, what to do, by when."""

    __tablename__ = "deviation"
    kitchen_id: Mapped[int] = mapped_column(ForeignKey("kitchen.id"))
    batch_id: Mapped[int | None] = mapped_column(ForeignKey("batch.id"), index=True)
    step_id: Mapped[int | None] = mapped_column(ForeignKey("step.id"))
    reading_id: Mapped[int | None] = mapped_column(ForeignKey("reading.id"))
    log_id: Mapped[int | None] = mapped_column(ForeignKey("log_file.id"), index=True)
    limit_id: Mapped[int | None] = mapped_column(ForeignKey("limit_in_force.id"))
    level: Mapped[str] = mapped_column(String(5))  # stop | today | note
    what: Mapped[str]
    cause: Mapped[str] = mapped_column(default="")
    place: Mapped[str] = mapped_column(default="")
    value: Mapped[float | None]  # the worst of it, in ``unit``
    unit: Mapped[str] = mapped_column(default="")
    began_utc: Mapped[datetime | None]
    ended_utc: Mapped[datetime | None]
    count: Mapped[int] = mapped_column(default=1)  # how many times within ten minutes
    act: Mapped[str]
    deadline_utc: Mapped[datetime | None]
    __table_args__ = (
        Index(None, "kitchen_id", "at_utc"),
        CheckConstraint("level IN ('stop', 'today', 'note')", name="level"),
    )


class CorrectiveAction(Corrected, Base):
    """What was done about a deviation: cause, control, prevention, and what became of the food."""

    __tablename__ = "corrective_action"
    deviation_id: Mapped[int] = mapped_column(ForeignKey("deviation.id"), index=True)
    act: Mapped[str]
    cause: Mapped[str] = mapped_column(default="")  # found, and taken away
    control: Mapped[str] = mapped_column(default="")  # how the step is under control again
    prevention: Mapped[str] = mapped_column(default="")  # so that it does not come back
    product: Mapped[str] = mapped_column(default="")  # kept | held | reworked | discarded
    closes: Mapped[bool] = mapped_column(default=False)
