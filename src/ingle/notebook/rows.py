"""Writing a row once: its identity, its words and times checked, a retry answered with the row that is there."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any, TypeVar
from uuid import UUID, uuid4, uuid5

from sqlalchemy import ARRAY, ColumnElement, Integer, Select, any_, exists, literal, select
from sqlalchemy.orm import Session, aliased

from ingle.ground.errors import BadBrief, OutOfRange
from ingle.notebook.models import Base, Kitchen
from ingle.notebook.tables_record import TEXT_MOST
from ingle.notebook.trouble import AlreadyThere, NotFound

NAMESPACE = UUID("6b0c3a52-5a1e-5d53-9d0f-1d6f0a4f7e11")  # of identities that are made from content
AHEAD = timedelta(days=1)  # a phone's clock may be wrong, but not by more
OLDEST = datetime(2000, 1, 1, tzinfo=UTC)
IN_MOST, ARRAY_MOST = 500, 10_000  # numbers named in one question, of a file and of a server

R = TypeVar("R", bound=Base)


def new_uid(*of: object) -> str:
    """A fresh UUID, or the one that belongs to this content."""
    return str(uuid5(NAMESPACE, "\x1f".join(str(x) for x in of)) if of else uuid4())


def uid_of(given: str | None) -> str:
    """A client's UUID in its usual form; a fresh one when none came."""
    if given is None:
        return new_uid()
    try:
        return str(UUID(given))
    except (ValueError, AttributeError, TypeError):
        raise BadBrief(
            f"uid {given!r} is not a UUID.", field="uid", value=given, limit="a UUID", remedy="Make one for each new row."
        ) from None


def text(given: str | None, field: str, *, most: int = TEXT_MOST, needed: bool = False) -> str:
    """Words that can be stored by any database and shown again."""
    said = (given or "").strip()
    if needed and not said:
        raise BadBrief(f"{field} is empty.", field=field, value=given, remedy="Write a word or two.")
    if len(said) > most:
        raise OutOfRange(
            f"{field} has {len(said):,} letters; at most {most:,} are kept.", field=field, value=f"{len(said)} letters", limit=most,
            remedy="Write it shorter, or add a second note.",
        )  # fmt: skip
    try:
        said.encode()
    except UnicodeEncodeError:
        raise BadBrief(f"{field} holds half a letter.", field=field, value="", remedy="Type it again.") from None
    bad = next((c for c in said if ord(c) < 32 and c not in "\n\t\r"), None)
    if bad is not None:
        raise BadBrief(f"{field} holds a control sign ({bad!r}).", field=field, value=bad, remedy="Take it out.")
    return said


def number(given: float | None, field: str, low: float, high: float, unit: str) -> float | None:
    """A finite number between two bounds of sense."""
    if given is None:
        return None
    if not isinstance(given, int | float) or isinstance(given, bool):
        raise BadBrief(f"{field} {given!r} is not a number.", field=field, value=given)
    value = float(given)
    if not math.isfinite(value) or not low <= value <= high:
        raise OutOfRange(
            f"{field} is {value:g} {unit}; it lies between {low:g} and {high:g} {unit}.".replace(" ;", ";"),
            field=field, value=f"{value:g} {unit}", limit=f"{low:g} to {high:g} {unit}", remedy="Check the number and its unit.",
        )  # fmt: skip
    return value


def moment(given: datetime | None, field: str = "at", *, ahead: bool = False) -> datetime:
    """An aware time, now when none came; what happened cannot lie ahead (``ahead`` allows it, for plans)."""
    now = datetime.now(UTC)
    if given is None:
        return now
    if given.tzinfo is None:
        raise BadBrief(f"{field} {given} has no zone.", field=field, value=given, remedy="Give it with its offset.")
    if given < OLDEST or (not ahead and given > now + AHEAD):
        raise OutOfRange(
            f"{field} {given:%Y-%m-%d %H:%M} cannot be: it lies {'before 2000' if given < OLDEST else 'in the time to come'}.",
            field=field, value=given.isoformat(), limit="2000 until now", remedy="Check the date.",
        )  # fmt: skip
    return given.astimezone(UTC)


def add_once(session: Session, model: type[R], uid: str, loose: tuple[str, ...] = (), **fields: Any) -> tuple[R, bool]:
    """The row of this UUID, and whether it is new.

    A retry finds the row. The same UUID with other content is refused: one UUID, one row. ``loose`` fields may differ.
    """
    m: Any = model
    found = session.scalar(select(m).where(m.uid == uid))
    if found is not None:
        free = {*loose, "at_utc", "written_utc"} if "at_utc" in loose else {*loose, "written_utc"}
        other = [k for k, v in fields.items() if k not in free and getattr(found, k) != v]
        if other:
            raise AlreadyThere(
                f"The UUID {uid} stands for another {model.__tablename__} ({', '.join(other)} differ). Nothing was stored.",
                field="uid", value=uid, remedy="Make a new UUID for each row.",
            )  # fmt: skip
        return found, False
    if hasattr(model, "written_utc"):
        fields["written_utc"] = datetime.now(UTC)
    row = model(uid=uid, **fields)
    session.add(row)
    session.flush()
    return row, True


@cache  # an alias of a wide table costs more to build than most questions to answer
def stands(model: Any) -> ColumnElement[bool]:
    """Condition: this row counts, it is neither withdrawn nor replaced by a correction."""
    newer = aliased(model)
    return ~model.void & ~exists().where(newer.corrects_id == model.id)


def some(session: Session, asked: Select[*tuple[Any, ...]], column: Any, numbers: Iterable[int]) -> list[Any]:
    """The rows of ``asked`` whose ``column`` is among ``numbers``: one question for some hundreds of them, none for none."""
    known = sorted(set(numbers))
    server = session.get_bind().dialect.name == "postgresql"  # takes them as one array: the question stays the same for any number
    most = ARRAY_MOST if server else IN_MOST
    parts = (known[i : i + most] for i in range(0, len(known), most))
    among = (column == any_(literal(part, ARRAY(Integer))) if server else column.in_(part) for part in parts)
    return [row for condition in among for row in session.execute(asked.where(condition))]


def standing(model: type[R]) -> Select[R]:
    """The rows that count now, by time."""
    m: Any = model
    return select(model).where(stands(m)).order_by(m.at_utc, m.id)


def by_uid(session: Session, model: type[R], uid: str, what: str) -> R:
    """One row by its UUID (or its number, as people are shown it)."""
    m: Any = model
    where = m.id == int(uid) if str(uid).isdigit() else m.uid == str(uid).lower()
    found = session.scalar(select(model).where(where))
    if found is None:
        raise NotFound(f"There is no {what} {uid}.", field=what, value=uid, remedy="Look it up: ingle trace CODE, or ingle today.")
    return found


def only_kitchen(session: Session, name: str | None = None) -> Kitchen:
    """The kitchen of that name, or the only one."""
    found = list(session.scalars(select(Kitchen).order_by(Kitchen.id)))
    if name is not None:
        found = [k for k in found if name in (k.name, k.prefix, k.uid)]
    if len(found) == 1:
        return found[0]
    if not found:
        raise NotFound(
            f"There is no kitchen {name!r} in this notebook." if name else "There is no kitchen in this notebook yet.",
            field="kitchen", value=name, remedy='Begin one: ingle record kitchen "NAME" --zone Europe/London.',
        )  # fmt: skip
    raise BadBrief(
        "There are several kitchens in this notebook.", field="kitchen", value=name, limit=", ".join(k.name for k in found),
        remedy="Say which: --kitchen NAME.",
    )  # fmt: skip
