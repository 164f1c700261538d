"""What every table of the notebook shares: names of constraints, times in UTC, rows that are only added.

Times are stored in UTC, the kitchen's zone beside them. A row that was written by a client carries the client's own
UUID, so that a retry finds the row instead of doubling it.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import DateTime, ForeignKey, MetaData, String, Text, TypeDecorator
from sqlalchemy.engine import Dialect
from sqlalchemy.orm import DeclarativeBase, Mapped, declared_attr, mapped_column

NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}


class UtcTime(TypeDecorator[datetime]):
    """An aware time, kept in UTC to the microsecond. SQLite holds it without its zone, PostgreSQL with it."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """A naive time is a mistake of the program."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value!r} has no zone")
        utc = value.astimezone(UTC)
        return utc.replace(tzinfo=None) if dialect.name == "sqlite" else utc

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Always aware, always UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Base(DeclarativeBase):
    """All tables of the notebook."""

    metadata = MetaData(naming_convention=NAMES)
    type_annotation_map = {datetime: UtcTime(), str: Text()}  # noqa: RUF012 - the way SQLAlchemy is told


class Written:
    """A row with its identity, who wrote it and when."""

    id: Mapped[int] = mapped_column(primary_key=True, sort_order=-10)
    uid: Mapped[str] = mapped_column(String(36), unique=True, sort_order=-9)  # made by the client: a retry finds it
    at_utc: Mapped[datetime] = mapped_column(sort_order=90)  # when it was so
    zone: Mapped[str] = mapped_column(sort_order=91)  # the kitchen's zone at that time
    who: Mapped[str] = mapped_column(default="", sort_order=92)  # initials; "" = not said
    written_utc: Mapped[datetime] = mapped_column(sort_order=93)  # when the notebook took it


class Corrected(Written):
    """A row that is never edited: a correction is a new row that points at it. No row is corrected twice.

    ``void`` says that nothing stands in its place: the old row was a mistake altogether.
    """

    void: Mapped[bool] = mapped_column(default=False, sort_order=94)

    @declared_attr
    def corrects_id(cls) -> Mapped[int | None]:  # noqa: N805 - a class attribute in SQLAlchemy's way
        """The row this one stands in the place of."""
        table: Any = cls.__tablename__  # type: ignore[attr-defined]
        return mapped_column(ForeignKey(f"{table}.id"), unique=True, sort_order=95)
