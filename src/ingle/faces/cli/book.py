"""What the commands of the notebook share: which notebook, who, when, and rows as text."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import click

from ingle.faces.asked import asked
from ingle.faces.cli.lines import put, put_json
from ingle.faces.cli.options import json_option, plain_option, several
from ingle.ground.errors import BadBrief
from ingle.notebook.store import Notebook, open_notebook, where

notebook_option = click.option(
    "--notebook", "book", metavar="PATH|URL", help="Which notebook. Left out: INGLE_NOTEBOOK, else ingle.notebook here."
)
kitchen_option = click.option("--kitchen", metavar="NAME", help="Which kitchen, where the notebook has several.")
said_options = several(
    notebook_option,
    click.option("--who", envvar="INGLE_WHO", default="", metavar="INITIALS", help="Who says so. Left out: INGLE_WHO."),
    click.option("--at", "at", metavar="TIME", help="When it was so: 18:05, or 2026-12-04 18:05. Left out: now."),
    click.option("--uid", metavar="UUID", help="Identity of this entry; said again it adds nothing."),
    json_option,
    plain_option,
)
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})")


@contextmanager
def opened(given: dict[str, Any], *, create: bool = False) -> Iterator[Notebook]:
    """The notebook that is meant; it is named on stderr. Asked by another face it is the one that is open."""
    asking = asked()
    if asking is not None and asking.book is not None:
        yield asking.book
        return
    with open_notebook(given["book"], create=create) as notebook:
        if not given.get("as_json"):
            click.echo(f"notebook: {notebook.name}", err=True)
        yield notebook


def meant(given: dict[str, Any]) -> str:
    """Which notebook is meant, before it is opened."""
    return where(given["book"])


def place(name: str) -> str:
    """A notebook's path as it is seen from the working folder."""
    here = Path(name)
    return str(here.relative_to(Path.cwd())) if "://" not in name and here.is_relative_to(Path.cwd()) else name


def time_of(written: str | None, zone: str, field: str = "at") -> datetime | None:
    """A clock time of today (yesterday, where it lies ahead), or a date with a time, in the kitchen's zone."""
    if written is None:
        return None
    home, text = ZoneInfo(zone), written.strip()
    clock = _CLOCK.fullmatch(text)
    try:
        if clock:
            now = datetime.now(UTC).astimezone(home)
            told = now.replace(hour=int(clock[1]), minute=int(clock[2]), second=0, microsecond=0)
            return told if told <= now else told - timedelta(days=1)
        when = datetime.fromisoformat(text)
    except ValueError:
        raise BadBrief(
            f"{field} {written!r} is not a time.", field=field, value=written, limit="18:05, or 2026-12-04 18:05",
            remedy="Write it like 18:05, or like 2026-12-04 18:05.",
        ) from None  # fmt: skip
    return when if when.tzinfo else when.replace(tzinfo=home)


def date_of(written: str | None, field: str) -> date | None:
    """A date like 2026-12-19."""
    if written is None:
        return None
    try:
        return date.fromisoformat(written.strip())
    except ValueError:
        raise BadBrief(
            f"{field} {written!r} is not a date.", field=field, value=written, limit="like 2026-12-19", remedy="Write it like 2026-12-19."
        ) from None


def shown(when: datetime, zone: str) -> str:
    """``Fri 4 Dec, 18:05``."""
    local = when.astimezone(ZoneInfo(zone))
    return f"{local:%a} {local.day} {local:%b, %H:%M}"


def row_dict(row: Any) -> dict[str, Any]:
    """A row of the notebook as plain keys and values; pictures by their size."""
    told: dict[str, Any] = {}
    for mapper in row.__mapper__.iterate_to_root():
        for column in mapper.local_table.columns:
            value = getattr(row, column.key)
            told.setdefault(
                column.key, value.isoformat() if isinstance(value, date) else len(value) if isinstance(value, bytes) else value
            )
    return told


def answer(given: dict[str, Any], rows: Any, words: str) -> int:
    """What was written, in words, as JSON, or one record a line."""
    many = list(rows) if isinstance(rows, list | tuple) else [rows]
    if given["as_json"]:
        put_json({"written": [{"table": r.__tablename__, **row_dict(r)} for r in many]})
    elif given["plain"]:
        for r in many:
            click.echo("\t".join(plain(x) for x in (r.__tablename__, r.id, r.uid, getattr(r, "code", ""), getattr(r, "name", ""))))
    else:
        for line in words.split("\n"):
            put(line, 0, 3)
    return 0


def plain(value: Any) -> str:
    """One field of a record on a line: no tab, no new line in it."""
    return "" if value is None else re.sub(r"[\t\r\n]+", " ", str(value))
