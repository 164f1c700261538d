"""A copy while the kitchen writes, a copy brought back, and whether a notebook is whole."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import func, select
from sqlalchemy.engine import Connection

from ingle.ground.errors import NotebookError
from ingle.notebook import migrate
from ingle.notebook.export import beside, copy_logs, export_json, import_into, sha256, tables, whole
from ingle.notebook.models import LogFile
from ingle.notebook.store import Notebook, open_notebook
from ingle.notebook.trouble import AlreadyThere, NewerNotebook, NotANotebook, NotFound, in_words


@dataclass(frozen=True)
class Checked:
    """What a look through the whole notebook found. ``wrong`` empty = nothing."""

    name: str
    rows: dict[str, int]
    wrong: tuple[str, ...] = ()
    checked: tuple[str, ...] = field(default_factory=tuple)


def default_copy(notebook: Notebook, folder: Path | None = None) -> Path:
    """Name of a copy made now."""
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    base = notebook.path or Path("ingle.notebook")
    name = f"{base.name}.copy-{stamp}" + ("" if notebook.path else ".json")
    return (folder or base.parent) / name


def backup(notebook: Notebook, to: Path | None = None) -> Path:
    """Copy the notebook as it is at one moment, writers going on; of a server, an export to JSON. The copy is looked through."""
    target = default_copy(notebook, to if to is None or to.is_dir() else None) if to is None or to.is_dir() else to
    if target.exists():
        raise AlreadyThere(f"{target} exists. Nothing was written.", field="to", value=target, remedy="Name a new file.")
    if notebook.path is None:
        return export_json(notebook, target)
    path = notebook.path
    whole(target, lambda part: _copy(path, part), notebook.name)
    copy_logs(notebook.logs, beside(target))
    return target


def _copy(source: Path, into: Path) -> None:
    with in_words(str(source)):
        old = sqlite3.connect(f"file:{_quoted(source)}?mode=ro", uri=True, timeout=10)
        try:
            new = sqlite3.connect(into)
            try:
                old.backup(new)
                new.execute("PRAGMA journal_mode = DELETE")  # one file, with nothing beside it
                found = new.execute("PRAGMA integrity_check").fetchone()[0]
            finally:
                new.close()
        finally:
            old.close()
    if found != "ok":
        raise NotANotebook(f"{source} is damaged: {found}. The copy was not kept.", field="notebook", value=source)


def _copy_known(source: Path, into: Path) -> None:
    """Copy what is a notebook that this ingle can read; the copy itself is not touched."""
    _copy(source, into)
    with sqlite3.connect(into) as made:
        names = {r[0] for r in made.execute("SELECT name FROM sqlite_master")}
        known = {"about", "reading", "alembic_version"} <= names
        have = str(made.execute("SELECT version_num FROM alembic_version").fetchone()[0]) if known else ""
    made.close()
    if not known:
        raise NotANotebook(f"{source} is not a notebook.", field="restore", value=source, limit="a copy that ingle made")
    if have > migrate.HEAD:
        raise NewerNotebook(
            f"{source} was written by a newer ingle (tables {have}, this one knows {migrate.HEAD}).", field="restore", value=have,
            limit=migrate.HEAD, remedy="Use the newer ingle.",
        )  # fmt: skip


def _quoted(path: Path) -> str:
    return str(path.absolute()).replace("%", "%25").replace("?", "%3f").replace("#", "%23")


def restore(copy: Path, to: str | Path) -> Notebook:
    """Bring a copy (or an export) back, into a new file or an empty database; what is there is never written over."""
    if not copy.exists():
        raise NotFound(f"There is no copy at {copy}.", field="restore", value=copy, remedy="Check the path.")
    if "://" not in str(to) and Path(to).exists():
        raise AlreadyThere(f"{to} exists. Nothing was written.", field="to", value=to, remedy="Name a new file.")
    if "://" not in str(to) and not Path(to).absolute().parent.is_dir():
        raise NotFound(f"There is no folder {Path(to).parent}. Nothing was written.", field="to", value=to, remedy="Make the folder first, or name another.")
    if copy.is_dir() or copy.open("rb").read(16) != b"SQLite format 3\x00":
        return _from_export(copy, to)
    if "://" in str(to):
        raise NotebookError(
            "A copy of a file goes into a file; a server takes an export.", field="to", value=to,
            remedy="Restore it into a file, then: ingle backup --export FILE.json, and restore that into the server.",
        )  # fmt: skip
    whole(Path(to), lambda part: _copy_known(copy, part), str(copy))
    copy_logs(beside(copy), beside(Path(to)))
    return open_notebook(to, create=False)


def _from_export(copy: Path, to: str | Path) -> Notebook:
    if "://" in str(to):
        notebook = open_notebook(to)
        import_into(notebook, copy)
        return notebook
    target = Path(to)
    part = target.with_name(f".{target.name}.part")
    try:
        with open_notebook(part) as notebook:
            import_into(notebook, copy)
            whole(target, lambda p: _copy(part, p), str(copy))
    finally:
        for end in ("", "-wal", "-shm"):
            part.with_name(part.name + end).unlink(missing_ok=True)
    copy_logs(beside(copy), beside(target))
    return open_notebook(target, create=False)


def check(notebook: Notebook) -> Checked:
    """Look through the whole notebook: pages and indices, links between rows, logs and their hashes."""
    wrong: list[str] = []
    said = ["links between rows", "corrections", "files of loggers"]
    with notebook.look() as session:
        if notebook.path is not None:
            said.insert(0, "every page and index")
            wrong += _sqlite_faults(session.connection())
        counts = {t.name: int(session.scalar(select(func.count()).select_from(t)) or 0) for t in tables()}
        for table in tables():
            if "corrects_id" in table.c and session.scalar(select(table.c.id).where(table.c.corrects_id >= table.c.id).limit(1)):
                wrong.append(f"{table.name}: a row corrects itself or a later one")
        for log in session.scalars(select(LogFile).order_by(LogFile.id)):
            path = notebook.logs / log.parquet
            if not path.is_file():
                wrong.append(f"log {log.name}: {path} is missing")
            elif sha256(path) != log.parquet_sha256:
                wrong.append(f"log {log.name}: {path} is not the file that was written")
    return Checked(notebook.name, counts, tuple(wrong), tuple(said))


def _sqlite_faults(connection: Connection) -> list[str]:
    found = [str(r[0]) for r in connection.exec_driver_sql("PRAGMA integrity_check") if r[0] != "ok"]
    return found + [f"{r[0]} {r[1]} points at a {r[2]} that is not there" for r in connection.exec_driver_sql("PRAGMA foreign_key_check")]
