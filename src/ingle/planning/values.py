"""One written value at a time: read it, or refuse it with field, value, limit and remedy."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, time
from pathlib import Path
from typing import Any, NoReturn
from zoneinfo import ZoneInfo, available_timezones

from ingle.ground.errors import BadBrief, IngleError, OutOfRange
from ingle.ground.tables import read_toml_file

_CONTROL = re.compile(r"[\x00-\x1f\x7f]")
KEY = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


def nearest(word: str, known: tuple[str, ...] | list[str]) -> str | None:
    """The known word that looks most like this one, or None."""
    found = difflib.get_close_matches(word.lower(), list(known), n=1, cutoff=0.6)
    return found[0] if found else None


def refuse(
    field: str, said: str, *, value: Any, limit: Any, remedy: str, kind: type[IngleError] = BadBrief
) -> NoReturn:
    """Raise with everything a page needs."""
    raise kind(f"{field}: {said}", field=field, value=value, limit=limit, remedy=remedy)


def unknown(field: str, word: Any, known: tuple[str, ...] | list[str], what: str) -> NoReturn:
    """Refuse a word that is not one of the known ones, with the nearest."""
    close = nearest(str(word), known)
    refuse(
        field,
        f"{word!r} is not {what}.",
        value=word,
        limit=tuple(known),
        remedy=f"Did you mean {close}?"
        if close
        else f"Write one of: {', '.join(known) or 'none are known'}.",
    )


def quantity(read: Callable[..., float], value: Any, field: str, example: str, **limits: Any) -> float:
    """One quantity by a reader of `ingle.ground.units`; its error always carries value, limit and remedy."""
    try:
        return read(value, field, **limits)
    except (ValueError, OverflowError):
        refuse(
            field,
            "is too large to mean anything.",
            value="a number without end",
            limit=example,
            remedy=f'Write it like "{example}".',
            kind=OutOfRange,
        )
    except IngleError as why:
        why.value = value if why.value is None else why.value
        why.limit = why.limit or example
        why.remedy = why.remedy or f'Write it like "{example}".'
        why.args = (why.text,)
        raise


def number(value: Any, field: str, low: float, high: float, unit: str = "") -> float:
    """A plain finite number within both ends."""
    plain = isinstance(value, int | float) and not isinstance(value, bool)
    if not plain or (isinstance(value, float) and not math.isfinite(value)):
        refuse(
            field,
            f"{value!r} is not a number.",
            value=value,
            limit=f"{low:g} to {high:g} {unit}".strip(),
            remedy="Write a number without quotes.",
        )
    return between(value, field, low, high, unit)


def clock(value: Any, field: str) -> int:
    """``"18:00"`` or a TOML time as minutes from midnight."""
    if isinstance(value, time) and value.tzinfo is None:
        return value.hour * 60 + value.minute
    match = re.fullmatch(r"(\d{1,2}):(\d{2})", value.strip()) if isinstance(value, str) else None
    hour, minute = (int(g) for g in match.groups()) if match else (99, 99)
    if minute > 59 or hour * 60 + minute > 24 * 60:
        refuse(
            field,
            f"{value!r} is not a time of day.",
            value=value,
            limit="00:00 to 24:00",
            remedy='Write it like "18:00".',
        )
    return hour * 60 + minute


def zone(value: Any, field: str) -> ZoneInfo:
    """A time zone by its name."""
    name = text(value, field, '"Europe/London"', 80)
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        close = difflib.get_close_matches(name, available_timezones(), n=1, cutoff=0.5)
        refuse(
            field,
            f"{name!r} is not a time zone known here.",
            value=name,
            limit="names like Europe/London",
            remedy=f"Did you mean {close[0]}?" if close else 'Write region and city, like "Europe/London".',
        )


def local(value: Any, zone_: ZoneInfo, field: str) -> datetime:
    """A local time made aware; hours that the clocks skip or show twice are refused with words."""
    if not isinstance(value, datetime):
        refuse(
            field,
            f"{value!r} is not a date with a time.",
            value=value,
            limit="2026-12-19T18:30:00",
            remedy="Write date and local time without quotes, like 2026-12-19T18:30:00.",
        )
    if value.tzinfo is not None:
        refuse(
            field,
            f"{value.isoformat()} carries an offset of its own.",
            value=value.isoformat(),
            limit="local time",
            remedy="Leave the offset out: it is the clock on the kitchen's wall, and zone says where.",
        )
    if not 1990 <= value.year <= 2200:
        refuse(
            field,
            f"the year {value.year} is not one to cook in.",
            value=value.isoformat(),
            limit="1990 to 2200",
            remedy="Check the year.",
            kind=OutOfRange,
        )
    first, second = (value.replace(tzinfo=zone_, fold=f) for f in (0, 1))
    if first.astimezone(UTC).astimezone(zone_).replace(tzinfo=None) != value:
        refuse(
            field,
            f"{value:%d %b %Y %H:%M} does not exist in {zone_.key}: the clocks go forward over it.",
            value=value.isoformat(),
            limit="an hour the clocks show",
            remedy="Write an hour before or after the change.",
        )
    if first.utcoffset() != second.utcoffset():
        refuse(
            field,
            f"{value:%d %b %Y %H:%M} comes twice in {zone_.key}: the clocks go back over it.",
            value=value.isoformat(),
            limit="an hour the clocks show once",
            remedy="Write an hour before or after the change.",
        )
    return first


def difference_c(value: Any, field: str, *, low: float, high: float) -> float:
    """A difference of temperatures like ``1C`` or ``2F``, in ``low`` to ``high``. [C]"""
    match = re.fullmatch(r"\s*([-+]?[\d.,]+)\s*°?\s*([CFKcfk])\s*", value) if isinstance(value, str) else None
    if not match:
        refuse(
            field,
            f"{value!r} is not a difference of temperatures.",
            value=value,
            limit="1C",
            remedy='Write it like "1C" or "2F".',
        )
    try:
        size = float(match[1].replace(",", "."))
    except ValueError:
        refuse(
            field,
            f"{value!r} is not a number.",
            value=value,
            limit="1C",
            remedy='Write it like "1C" or "2F".',
        )
    return between(size * 5 / 9 if match[2].lower() == "f" else size, field, low, high, "C")


def text(value: Any, field: str, example: str, longest: int) -> str:
    """One line of words."""
    if not isinstance(value, str) or not value.strip():
        refuse(
            field,
            f"must be words, not {value!r}.",
            value=value,
            limit=example,
            remedy=f"Write it in quotes, like {example}.",
        )
    if len(value) > longest or _CONTROL.search(value):
        refuse(
            field,
            f"is longer than {longest} letters or holds control characters.",
            value=value[:40],
            limit=longest,
            remedy=f"Write one line of at most {longest} letters.",
        )
    return value.strip()


def listed(value: Any, field: str, what: str, example: str, least: int) -> None:
    """Refuse what is no list, or holds fewer than ``least`` entries."""
    if not isinstance(value, list):
        refuse(
            field,
            f"must be a list of {what}, not {value!r}.",
            value=value,
            limit=example,
            remedy=f"Write it like {example}.",
        )
    if len(value) < least:
        refuse(
            field,
            f"holds {len(value)} entries; at least {least} is needed.",
            value=len(value),
            limit=least,
            remedy=f"Add one like {example}.",
        )


def between(value: Any, field: str, low: float, high: float, unit: str) -> Any:
    """The number, refused (OutOfRange) outside ``low`` to ``high`` [``unit``]."""
    if not low <= value <= high:
        shown = f"{value:g} {unit}".strip() if abs(value) < 1e300 else "a number without end"
        refuse(
            field,
            f"{shown} is outside {low:g} to {high:g} {unit}".rstrip() + ".",
            value=shown,
            limit=f"{low:g} to {high:g}",
            remedy=f"Write a number from {low:g} to {high:g}.",
            kind=OutOfRange,
        )
    return value


def read_file(path: Path, what: str) -> dict[str, Any]:
    """A TOML file as a dict; whatever is wrong with it is said in words."""
    try:
        return read_toml_file(path, what)
    except IngleError as why:
        why.limit = why.limit or "a TOML file in UTF-8"
        why.remedy = why.remedy or "Check the path and that the file can be read."
        why.args = (why.text,)
        raise
    except (ValueError, RecursionError, OSError) as why:
        refuse(
            what,
            f"{path.name[:80]!r} cannot be read: {str(why)[:120]}.",
            value=path.name[:80],
            limit="a TOML file in UTF-8",
            remedy="Check the path, and look for a number or a nesting without end.",
        )


@contextmanager
def in_file(name: str) -> Iterator[None]:
    """Say in which file an error of a table stands."""
    try:
        yield
    except IngleError as why:
        if name and not why.message.startswith(name):
            why.message = f"{name}: {why.message}"
            why.args = (why.text,)
        raise
