"""A logger's file on its way in: what was said about it, one look, and the bytes that wait until a person has confirmed them."""

from __future__ import annotations

import hashlib
import re
import time
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path, PurePosixPath

from ingle.ground import units
from ingle.ground.errors import BadBrief, Refused
from ingle.ground.tables import toml_table
from ingle.jobs.batch_facts import thickness_of
from ingle.jobs.house import House
from ingle.jobs.read import Answers, ReadAnswer, read
from ingle.jobs.read import keep as keep_log
from ingle.jobs.read_feed import Fed, feed_stored, move_by_log
from ingle.notebook.store import Notebook
from ingle.notebook.trouble import NotFound
from ingle.planning.planfile import write_file

NAME_MOST = 80
WAITS_S, MOST_WAITING = 24 * 3600.0, 24  # a file nobody confirmed is let go after a day
KINDS = ("air", "core", "surface", "chamber", "humidity")
HANGING = tuple(toml_table("tables", "hanging.toml"))
_KEY = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True)
class Said:
    """What the person said of a file, as written; empty = not said."""

    name: str = "log.csv"
    place: str = ""  # fridge | smoker | cooling
    zone: str = ""
    unit: str = ""
    dates: str = ""
    start: str = ""
    doubles: str = ""
    order: str = ""
    lost: tuple[float, ...] = ()
    encoding: str = ""
    instrument: str = ""
    kinds: tuple[tuple[str, str], ...] = ()
    hanging: str = "meat"
    thickness: str = ""
    still: str = ""  # "yes": nobody moved the probe
    lag: str = ""
    rules: tuple[str, ...] = ()


def bare_name(given: str) -> str:
    """The last part of a path, without signs that mean something to a file system; a name is only ever shown.

    >>> bare_name("../../etc/passwd"), bare_name("C:\\\\logs\\\\fridge.csv"), bare_name("")
    ('passwd', 'fridge.csv', 'log.csv')
    """
    last = PurePosixPath(given.replace("\\", "/").replace("\x00", "")).name
    return "".join(c for c in last if c.isprintable()).strip()[:NAME_MOST] or "log.csv"


def look(content: bytes, said: Said, house: House, book: Notebook | None = None, batches: Iterable[str] = ()) -> ReadAnswer:
    """One look at a file; nothing is kept.

    Of a cooling whose thickness was not said that of ``batches`` in ``book`` counts.

    Raises
    ------
    BadBrief, OutOfRange
        What is no log; an answer that is none.
    """
    if not content:
        raise BadBrief("The file is empty.", field="file", value=said.name, limit="a logger's file", remedy="Export it once more.")
    if said.hanging not in HANGING:
        raise BadBrief(f"hanging {said.hanging!r} is not known.", field="hanging", value=said.hanging, limit=", ".join(HANGING), remedy="Take one of these.")
    answers = Answers(
        zone=said.zone or None, unit=said.unit or None, dates=said.dates or None, start=_moment(said.start), doubles=said.doubles or None,
        order=said.order or None, lost=said.lost, kinds=dict(said.kinds), encoding=said.encoding or None, instrument=said.instrument or None,
    )  # fmt: skip
    return read(
        content, answers, name=bare_name(said.name), place=said.place, kitchen_zone=house.zone, countries=said.rules or house.rules, hanging=said.hanging,
        thickness_mm=_thickness(said, book, batches), moved=False if said.still == "yes" else None,
        lag=units.seconds(units.duration_h(said.lag, "lag")) if said.lag else None,
    )  # fmt: skip


def _thickness(said: Said, book: Notebook | None, batches: Iterable[str]) -> float | None:
    if said.thickness:
        return units.length_mm(said.thickness, "thickness")
    return thickness_of(book, batches) if book is not None and said.place == "cooling" else None


def _moment(written: str) -> datetime | None:
    if not written:
        return None
    try:
        return datetime.fromisoformat(written)
    except ValueError:
        raise BadBrief(f"start {written!r} is not a time.", field="start", value=written, limit="like 2026-12-01T18:30", remedy="Write it like 2026-12-01T18:30.") from None


def confirm(book: Notebook, answer: ReadAnswer, batches: Mapping[str, str], *, who: str, countries: Sequence[str] = ()) -> tuple[ReadAnswer, list[Fed]]:
    """Keep it once, with its deviations, and correct the forecasts of the batches it belongs to."""
    kept = keep_log(book, answer, batches=batches, who=who)
    fed = [feed_stored(book, code, countries=countries) for code in dict.fromkeys(batches.values())]
    for some in fed:
        if kept.kept is not None and kept.kept.uid:
            move_by_log(book, some, kept.kept.uid)
    return kept, fed


def wait(folder: Path, content: bytes, *, oldest_goes: bool = False) -> str:
    """Put the bytes aside until they are confirmed; the key is their hash. ``oldest_goes``: none is to be confirmed, so one makes room.

    Raises
    ------
    Refused
        Too many files wait.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.glob("*.waits"):
        if time.time() - old.stat().st_mtime > WAITS_S:
            old.unlink(missing_ok=True)
    key = hashlib.sha256(content).hexdigest()
    path = folder / f"{key}.waits"
    if not path.is_file():
        held = sorted(folder.glob("*.waits"), key=lambda p: p.stat().st_mtime)
        if oldest_goes:
            for old in held[: max(0, len(held) + 1 - MOST_WAITING)]:
                old.unlink(missing_ok=True)
        elif len(held) >= MOST_WAITING:
            raise Refused(f"{MOST_WAITING} files wait to be confirmed.", field="file", value=MOST_WAITING, limit=MOST_WAITING, remedy="Confirm or put away some of them.")
        write_file(path, content)
    return key


def is_key(text: str) -> bool:
    """Whether it names bytes that were put aside."""
    return _KEY.fullmatch(text) is not None


def waiting(folder: Path, key: str) -> bytes:
    """The bytes that were put aside."""
    path = folder / f"{key}.waits"
    if not _KEY.fullmatch(key) or not path.is_file():
        raise NotFound("This file waits here no longer.", field="file", value=key[:64], remedy="Choose it once more.")
    return path.read_bytes()


def let_go(folder: Path, key: str) -> None:
    """Forget the bytes: they are kept, or put away."""
    if _KEY.fullmatch(key):
        (folder / f"{key}.waits").unlink(missing_ok=True)
