"""An export that an earlier ingle wrote: laid into tables as they were then, brought up to date there, and read from them.

So that the migrations that bring a notebook up to date bring its exports up to date as well, and nothing is told twice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from sqlalchemy import Column, DateTime, MetaData, Table, insert, inspect
from sqlalchemy.engine import Connection
from sqlalchemy.orm import Session

from ingle.notebook import migrate
from ingle.notebook.models import Base
from ingle.notebook.store import engine_at
from ingle.notebook.tables_base import UtcTime
from ingle.notebook.trouble import in_words

Rows = Callable[[Table], Iterable[dict[str, Any]]]
_MANY = 500  # rows written at once


@contextmanager
def brought_up(schema: str, given: Callable[[list[Table]], Rows], name: str) -> Iterator[Session]:
    """A session that reads an export of an earlier schema as if it were of this one.

    Parameters
    ----------
    schema : str
        The migration whose tables the export has.
    given : callable
        Told the tables of that time, gives what reads the rows of each.
    name : str
        The export, as it is told to people.

    Raises
    ------
    BadBrief
        The export does not have the tables or columns of its schema.
    NotebookError
        A row stands against a rule of its time, or of this one.
    """
    with TemporaryDirectory(prefix="ingle-") as folder, in_words(name):
        engine = engine_at(str(Path(folder) / "earlier.notebook"))
        try:
            migrate.upgrade(engine, head=schema)
            with engine.execution_options(write=True).begin() as connection:
                tables = _tables(connection)
                rows = given(tables)
                for table in tables:
                    _fill(connection, table, list(rows(table)))
            migrate.upgrade(engine)
            with Session(engine) as session:
                yield session
        finally:
            engine.dispose()


def _tables(connection: Connection) -> list[Table]:
    """The tables as they are in this database, with the types this ingle gives their columns; those that are pointed at first."""
    have, then = inspect(connection), MetaData()
    names = set(have.get_table_names()) - {"alembic_version"}
    order = [t.name for t in Base.metadata.sorted_tables]
    return [
        Table(name, then, *(Column(c["name"], _type(name, c), nullable=c["nullable"]) for c in have.get_columns(name)))
        for name in sorted(names, key=lambda n: order.index(n) if n in order else len(order))
    ]


def _type(table: str, column: Any) -> Any:
    now = Base.metadata.tables.get(table)
    if now is not None and column["name"] in now.c:
        return now.c[column["name"]].type
    return UtcTime() if isinstance(column["type"], DateTime) else column["type"]


def _fill(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> None:
    for start in range(0, len(rows), _MANY):
        connection.execute(insert(table), rows[start : start + _MANY])
