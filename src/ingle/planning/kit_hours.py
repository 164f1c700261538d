"""The hours of a cook as a kit's file tells them: ``{ days = "mon-fri", from = "18:00", to = "22:00" }``."""

from __future__ import annotations

from datetime import date, datetime

from ingle.ground.errors import OutOfRange
from ingle.planning import values
from ingle.planning.fields import Fields
from ingle.planning.kit_things import CookHours, Shift

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_LONGEST_SHIFT_H = 16


def cook_of(f: Fields) -> CookHours:
    """One ``[[cook]]``: key, name, hours, days away."""
    key = f.text("key", example='"A"', longest=20)
    shifts = tuple(
        _shift(s)
        for s in f.tables(
            "hours",
            ("days", "from", "to"),
            least=1,
            example='{ days = "mon-fri", from = "18:00", to = "22:00" }',
        )
    )
    away = []
    for path, day in f.listed("away", "[2026-12-24]"):
        if isinstance(day, datetime) or not isinstance(day, date):
            values.refuse(
                path,
                f"{day!r} is not a date.",
                value=day,
                limit="2026-12-24",
                remedy="Write dates without quotes: 2026-12-24.",
            )
        away.append(day)
    return CookHours(key, f.text("name", f"cook {key}", longest=60), shifts, tuple(away))


def _shift(f: Fields) -> Shift:
    begin, end = f.clock("from"), f.clock("to")
    if end <= begin:
        end += 24 * 60  # past midnight
    if begin >= 24 * 60 or not 0 < end - begin <= _LONGEST_SHIFT_H * 60:
        values.refuse(
            f.path,
            f"from {f.given['from']} to {f.given['to']} is a stretch of {(end - begin) / 60:g} h.",
            value=f"{f.given['from']} to {f.given['to']}",
            limit=f"up to {_LONGEST_SHIFT_H} h",
            remedy="Give the hour work begins, then the hour it ends.",
            kind=OutOfRange,
        )
    return Shift(_weekdays(f), begin, end)


def _weekdays(f: Fields) -> tuple[int, ...]:
    """``mon-fri``, ``sat``, ``mon,wed,fri``, ``every day``."""
    said = f.text("days", example='"mon-fri"').lower()
    if said in ("daily", "every day"):
        return tuple(range(7))
    days: set[int] = set()
    for part in said.replace(" ", "").split(","):
        ends = part.split("-")
        for end in ends:
            if end not in DAYS:
                values.unknown(f.at("days"), end, DAYS, "a day of the week")
        if len(ends) > 2:
            values.refuse(
                f.at("days"),
                f"{part!r} has more than two ends.",
                value=part,
                limit="mon-fri",
                remedy='Write "mon-fri".',
            )
        first, last = DAYS.index(ends[0]), DAYS.index(ends[-1])
        days |= {(first + i) % 7 for i in range((last - first) % 7 + 1)}
    return tuple(sorted(days))
