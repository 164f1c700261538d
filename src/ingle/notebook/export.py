"""The whole notebook as one JSON file or a folder of CSV files, and back into an empty one: the same to the last byte.

The files of loggers are copied beside (`NAME.logs`), with their hashes looked at.
"""

from __future__ import annotations

import csv
import hashlib
import json
import os
import shutil
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Table, func, insert, select, text, update
from sqlalchemy.orm import Session

from ingle.ground.errors import BadBrief, NotebookError
from ingle.notebook import cells, migrate
from ingle.notebook.models import About, Base
from ingle.notebook.store import Notebook
from ingle.notebook.trouble import AlreadyThere, NewerNotebook, in_words

FORMAT = 1
Rows = Callable[[Table], Iterable[dict[str, Any]]]
SHEET = "notebook.json"  # names the format of a folder of CSV files
_MANY = 500  # rows written at once


def tables() -> list[Table]:
    """Every table, those that are pointed at first."""
    return list(Base.metadata.sorted_tables)


def rows(session: Session, table: Table) -> Iterator[Any]:
    """All rows of a table by their number."""
    found = session.execute(select(table).order_by(table.c.id).execution_options(yield_per=1000))
    yield from (row._mapping for row in found)


def export_json(notebook: Notebook, to: Path) -> Path:
    """Write one JSON file: a row a line, so that two exports can be compared by eye."""

    def body(path: Path) -> None:
        with notebook.look() as session, path.open("w", encoding="utf-8", newline="\n") as out:
            out.write(f'{{"ingle": "notebook", "format": {FORMAT}, "schema": "{migrate.HEAD}", "tables": {{')
            for n, table in enumerate(tables()):
                out.write(f'{"," if n else ""}\n"{table.name}": [')
                for i, row in enumerate(rows(session, table)):
                    told = {c.name: cells.to_json(c, row[c.name]) for c in table.columns}
                    out.write(f"{',' if i else ''}\n{json.dumps(told, ensure_ascii=False, sort_keys=True, allow_nan=False)}")
                out.write("]")
            out.write("}}\n")

    whole(to, body, notebook.name)
    copy_logs(notebook.logs, beside(to))
    return to


def export_csv(notebook: Notebook, to: Path) -> Path:
    """Write a folder with one CSV file a table, UTF-8, comma, a header with the columns' names and so their units."""
    if to.exists() and any(to.iterdir()):
        raise AlreadyThere(f"{to} is not empty.", field="to", value=to, remedy="Name a new folder.")

    def body(folder: Path) -> None:
        folder.mkdir()
        with notebook.look() as session:
            for table in tables():
                with (folder / f"{table.name}.csv").open("w", encoding="utf-8", newline="") as out:
                    sheet = csv.writer(out, lineterminator="\r\n")  # RFC 4180; a lone return in a note is then quoted
                    sheet.writerow([c.name for c in table.columns])
                    sheet.writerows([cells.to_cell(c, row[c.name]) for c in table.columns] for row in rows(session, table))
        (folder / SHEET).write_text(
            json.dumps({"ingle": "notebook", "format": FORMAT, "schema": migrate.HEAD}) + "\n", encoding="utf-8"
        )

    if to.exists():
        to.rmdir()
    whole(to, body, notebook.name)
    copy_logs(notebook.logs, beside(to))
    return to


def whole(to: Path, body: Callable[[Path], None], where: str) -> None:
    """Make a file or folder under another name and give it its own when it is complete."""
    part = to.with_name(f".{to.name}.part-{os.getpid()}")
    with in_words(f"{to} (from {where})"):
        try:
            body(part)
            for path in [part] if part.is_file() else [*sorted(part.iterdir()), part]:
                _sync(path)
            part.replace(to)
            _sync(to.parent)
        except BaseException:
            shutil.rmtree(part, ignore_errors=True) if part.is_dir() else part.unlink(missing_ok=True)
            raise


def _sync(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def beside(path: Path) -> Path:
    """The folder of logs that belongs to a file."""
    return path.with_name(f"{path.name}.logs")


def copy_logs(source: Path, into: Path) -> int:
    """Copy the files of loggers that are not there yet; returns how many."""
    copied = 0
    for path in sorted(p for p in source.rglob("*") if p.is_file() and not p.name.startswith(".")) if source.is_dir() else ():
        target = into / path.relative_to(source)
        if target.is_file() and target.stat().st_size == path.stat().st_size:
            continue
        with in_words(str(into)):
            target.parent.mkdir(parents=True, exist_ok=True)
            part = target.with_name(f".{target.name}.part-{os.getpid()}")
            shutil.copyfile(path, part)
            part.replace(target)
        copied += 1
    return copied


def import_into(notebook: Notebook, source: Path) -> int:
    """Take an export into an empty notebook, whole or not at all; returns the number of rows."""

    def work(session: Session) -> int:
        for table in tables():
            if table.name != "about" and session.scalar(select(func.count()).select_from(table)):
                raise AlreadyThere(
                    f"{notebook.name} is not empty: it holds {table.name}s. Nothing was stored.", field="to", value=notebook.name,
                    remedy="Name a new file.",
                )  # fmt: skip
        return sum(_fill(session, table, given(table)) for table in tables())

    try:
        with _given(source) as given:
            taken = notebook.write(work)
    except BadBrief as why:
        raise NotebookError(
            f"{source}: {why.message} Nothing was stored.", field=why.field, value=why.value, limit=why.limit,
            remedy="Take an export that ingle wrote, unchanged.",
        ) from None  # fmt: skip
    copy_logs(beside(source), notebook.logs)
    return taken


def _fill(session: Session, table: Table, given: Iterable[dict[str, Any]]) -> int:
    told = list(given)
    if table.name == "about":
        for row in told:
            session.execute(update(About).where(About.id == 1).values({k: v for k, v in row.items() if k != "id"}))
        return len(told)
    for start in range(0, len(told), _MANY):
        session.execute(insert(table), told[start : start + _MANY])
    numbers_itself = not table.c.id.foreign_keys  # else it is numbered by ``traced``
    if session.get_bind().dialect.name == "postgresql" and told and numbers_itself:
        last = max(row["id"] for row in told)
        session.execute(text("SELECT setval(pg_get_serial_sequence(:t, 'id'), :n)"), {"t": table.name, "n": last})
    return len(told)


@contextmanager
def _given(source: Path) -> Iterator[Rows]:
    """What gives the rows of a table of an export; one of an earlier ingle is brought up to date first, in a place of its own."""
    told = _head(source)
    schema = told.get("schema")
    if schema == migrate.HEAD:
        yield _reader(source, told, tables())
    elif schema in migrate.known():
        from ingle.notebook.earlier import brought_up

        with brought_up(schema, lambda then: _reader(source, told, then), str(source)) as session:
            yield lambda table: (dict(row) for row in rows(session, table))
    else:
        raise NewerNotebook(
            f"{source} was written by another ingle: its tables are {schema!r}, this one's are {migrate.HEAD!r}. Nothing was stored.",
            field="schema", value=schema, limit=migrate.HEAD, remedy="Use the ingle that wrote it.",
        )  # fmt: skip


def _head(source: Path) -> dict[str, Any]:
    if not source.exists():
        raise BadBrief(f"{source} does not exist.", field="import", value=source, remedy="Check the path.")
    head = source / SHEET if source.is_dir() else source
    try:
        told = json.loads(head.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError) as why:
        raise BadBrief(f"{head} is not an export of ingle: {why}.", field="import", value=source, remedy="Name the export.") from None
    if not isinstance(told, dict) or told.get("ingle") != "notebook" or told.get("format") != FORMAT:
        raise BadBrief(f"{head} is not an export of a notebook.", field="import", value=source, limit=f"format {FORMAT}")
    return told


def _reader(source: Path, told: dict[str, Any], of: list[Table]) -> Rows:
    if source.is_dir():
        return lambda table: _csv_rows(source / f"{table.name}.csv", table)
    content = told.get("tables")
    names = {t.name for t in of}
    if not isinstance(content, dict) or set(content) != names:
        raise BadBrief(f"{source} lacks tables, or has others.", field="tables", limit=", ".join(sorted(names)))
    return lambda table: (_json_row(table, row) for row in content[table.name])


def _json_row(table: Table, row: Any) -> dict[str, Any]:
    if not isinstance(row, dict) or set(row) != {c.name for c in table.columns}:
        raise BadBrief(f"A row of {table.name} does not have its columns.", field=table.name, value=str(row)[:60])
    return {c.name: cells.from_json(c, row[c.name]) for c in table.columns}


def _csv_rows(path: Path, table: Table) -> Iterator[dict[str, Any]]:
    try:
        with path.open(encoding="utf-8", newline="") as lines:
            csv.field_size_limit(2**31 - 1)
            sheet = csv.reader(lines, strict=True)
            head = next(sheet, [])
            if sorted(head) != sorted(table.columns.keys()):
                raise BadBrief(f"{path.name} does not have the columns of {table.name}.", field=table.name, value=path.name)
            columns = [table.columns[name] for name in head]
            for cells_ in sheet:
                if len(cells_) != len(columns):
                    raise BadBrief(f"{path.name}, line {sheet.line_num}: {len(cells_)} cells.", field=table.name, limit=len(columns))
                yield {c.name: cells.from_cell(c, cell) for c, cell in zip(columns, cells_, strict=True)}
    except (OSError, UnicodeDecodeError, csv.Error) as why:
        raise BadBrief(f"{path} cannot be read: {why}.", field=table.name, value=path.name) from None


def sha256(path: Path) -> str:
    """Hash of a file, read in parts."""
    with path.open("rb") as content:
        return hashlib.file_digest(content, "sha256").hexdigest()
