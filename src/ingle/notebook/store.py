"""The notebook: one SQLite file, or a PostgreSQL database by URL, the same code.

``open_notebook`` makes it or brings it up to date. Reading and writing go through `Notebook.look` and `Notebook.write`:
what `write` returned is on the disk. SQLite runs in WAL mode with full synchronisation, so that an answered write
outlives the process and the power; writers wait for each other.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path
from typing import Any, TypeVar
from uuid import uuid4

from sqlalchemy import create_engine, event, select
from sqlalchemy.engine import URL, Engine, make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError
from sqlalchemy.orm import Session

from ingle.ground.errors import NotebookError
from ingle.notebook import migrate
from ingle.notebook.models import About
from ingle.notebook.trouble import ConnectionLost, NotANotebook, NotFound, Raced, in_words

DEFAULT = "ingle.notebook"
ENV = "INGLE_NOTEBOOK"
BUSY_S = 10.0  # how long a writer waits for another
TRIES = 5  # after a lost connection; each write carries its UUID, so a retry cannot double it

T = TypeVar("T")


def where(given: str | Path | None = None) -> str:
    """Which notebook is meant: the one named, else ``INGLE_NOTEBOOK``, else ``ingle.notebook`` in the working folder."""
    return str(given or os.environ.get(ENV) or DEFAULT)


class Notebook:
    """An open notebook. Close it, or use it in a ``with``."""

    def __init__(self, engine: Engine, name: str):
        self.engine = engine
        self.name = name  # as it is told to people: no password in it
        self.held: dict[str, Any] = {}  # what lookers share while it is open, as `links` does

    def __enter__(self) -> Notebook:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file or server."""
        self.engine.dispose()

    @property
    def path(self) -> Path | None:
        """The SQLite file; None on a server."""
        return Path(str(self.engine.url.database)) if self.engine.dialect.name == "sqlite" else None

    @property
    def logs(self) -> Path:
        """Folder of the Parquet files of loggers, beside the file (on a server: ``INGLE_LOGS``, else in the working folder)."""
        if self.path is not None:
            return self.path.with_name(f"{self.path.name}.logs")
        return Path(os.environ.get("INGLE_LOGS") or f"{DEFAULT}.logs")

    @contextmanager
    def look(self) -> Iterator[Session]:
        """A session that only reads; it sees one moment of the notebook."""
        with in_words(self.name), Session(self.engine, expire_on_commit=False, autoflush=False, info={"held": self.held}) as session:
            yield session
            session.expunge_all()  # what was read stays readable; nothing of it is written

    def write(self, work: Callable[[Session], T]) -> T:
        """Do ``work`` in one transaction and answer when it is on the disk; all of it or nothing.

        ``work`` may run more than once, when the connection is lost or two clients write the same: its rows carry UUIDs
        made before the call.
        """
        for left in reversed(range(TRIES)):
            try:
                with in_words(self.name), Session(self.engine.execution_options(write=True), expire_on_commit=False) as session:
                    answer = work(session)
                    session.commit()
                    return answer
            except (ConnectionLost, Raced):
                if not left:
                    raise
                time.sleep(0.05 * 2 ** (TRIES - left))
        raise AssertionError("not reached")


def _url(given: str) -> URL:
    if "://" not in given:
        return URL.create("sqlite", database=str(Path(given).expanduser().absolute()))
    try:
        url = make_url(given)
    except (ArgumentError, ValueError):
        raise NotANotebook(f"{given.rpartition('@')[2]} is not a path or a database's address.", field="notebook", value="") from None
    if url.get_backend_name() == "postgresql":
        return url.set(drivername="postgresql+psycopg")
    if url.get_backend_name() == "sqlite" and url.database:
        return URL.create("sqlite", database=str(Path(url.database).absolute()))
    raise NotANotebook(
        f"{url.get_backend_name()} is no home for a notebook.",
        field="notebook",
        value=url.get_backend_name(),
        limit="a file, or postgresql://",
        remedy="Name a file, or an address like postgresql://user@host/database.",
    )


def engine_at(place: str, busy_s: float = BUSY_S) -> Engine:
    """What speaks to a file or a server, whatever tables are there."""
    return _engine(_url(place), busy_s)


def _engine(url: URL, busy_s: float) -> Engine:
    try:
        if url.get_backend_name() == "sqlite":
            engine = create_engine(url, connect_args={"timeout": busy_s})
            event.listen(engine, "connect", _sqlite_connect)
            event.listen(engine, "begin", _sqlite_begin)
        else:
            wait_ms = int(busy_s * 1000)
            options = f"-c timezone=UTC -c synchronous_commit=on -c lock_timeout={wait_ms}"
            engine = create_engine(
                url, pool_pre_ping=True, pool_size=5, max_overflow=20, connect_args={"options": options, "connect_timeout": 10}
            )
    except (ModuleNotFoundError, NoSuchModuleError) as why:
        raise NotebookError(
            f"The driver for {url.get_backend_name()} is not installed: {why}.",
            field="notebook",
            value=url.get_backend_name(),
            remedy="pip install 'ingle[postgres]'",
        ) from None
    return engine


def _sqlite_connect(connection: Any, _record: Any) -> None:
    connection.isolation_level = None  # BEGIN is said below, not guessed by the driver
    # recursive triggers: so that REPLACE meets the triggers that refuse a DELETE
    for said in ("synchronous = FULL", "foreign_keys = ON", "recursive_triggers = ON"):
        connection.execute(f"PRAGMA {said}").close()


def _write_ahead(engine: Engine) -> None:
    """Readers and a writer side by side; the file remembers it."""
    raw = engine.raw_connection()
    try:
        cursor = raw.cursor()
        if cursor.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
            cursor.execute("PRAGMA journal_mode = WAL")
        cursor.close()
    finally:
        raw.close()


def _sqlite_begin(connection: Any) -> None:
    writes = connection.get_execution_options().get("write")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def open_notebook(given: str | Path | None = None, *, create: bool = True, busy_s: float = BUSY_S) -> Notebook:
    """Open a notebook, make it when there is none, and bring its tables up to date (a copy is kept first).

    Raises
    ------
    NotebookError
        No notebook there (``create=False``), not a notebook, written by a newer ingle, locked, disk full, no access.
    """
    url = _url(where(given))
    name = url.render_as_string(hide_password=True).removeprefix("sqlite:///")
    if url.get_backend_name() == "sqlite":
        _look_at_file(Path(str(url.database)), create)
    engine = _engine(url, busy_s)
    try:
        with in_words(name):
            with engine.connect() as connection:
                have = migrate.revision(connection)
            if have is None and not create:
                raise _missing(name)
            if have != migrate.HEAD:
                migrate.upgrade(engine)
            if engine.dialect.name == "sqlite":
                _write_ahead(engine)  # only now: a file that is no notebook is not touched
            notebook = Notebook(engine, name)
            _introduce(notebook)
    except BaseException:
        engine.dispose()
        raise
    return notebook


def _look_at_file(path: Path, create: bool) -> None:
    if path.is_dir():
        raise NotANotebook(f"{path} is a folder.", field="notebook", value=path, remedy="Name a file in it.")
    if not path.exists():
        if not create:
            raise _missing(str(path))
        if not path.parent.is_dir():
            raise NotFound(f"The folder {path.parent} does not exist.", field="notebook", value=path, remedy="Make it first.")
    elif path.stat().st_size and path.open("rb").read(16) != b"SQLite format 3\x00":
        raise NotANotebook(
            f"{path} is not a notebook.", field="notebook", value=path, limit="a file made by ingle", remedy="Name another file."
        )


def _missing(name: str) -> NotFound:
    return NotFound(
        f"There is no notebook at {name}.",
        field="notebook",
        value=name,
        remedy='Begin one: ingle record kitchen "NAME" --zone Europe/London; or name another: --notebook PATH.',
    )


def _introduce(notebook: Notebook) -> None:
    with notebook.look() as session:
        if session.scalar(select(About.id)) is not None:
            return

    def work(session: Session) -> None:
        if session.get(About, 1) is None:
            session.add(About(id=1, uid=str(uuid4()), made_utc=datetime.now(UTC), made_by=version("ingle")))

    try:
        notebook.write(work)
    except NotebookError:  # another start was quicker
        with notebook.look() as session:
            if session.get(About, 1) is None:
                raise
