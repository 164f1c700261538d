"""How faces say days, hours and stretches of time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from ingle.ground.units import show_minutes

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
LONG_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
LONG_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December",
)  # fmt: skip

WAKING = (7, 22)  # hours of the day in which somebody is up: common practice, no source


def clock(at: datetime) -> str:
    """``08:00``."""
    return f"{at:%H:%M}"


def day(at: date) -> str:
    """``Thu 17``."""
    return f"{DAYS[at.weekday()]} {at.day}"


def day_month(at: date) -> str:
    """``Thu 17 Dec``."""
    return f"{day(at)} {MONTHS[at.month - 1]}"


def long_day(at: date) -> str:
    """``Thursday 17 December``."""
    return f"{LONG_DAYS[at.weekday()]} {at.day} {LONG_MONTHS[at.month - 1]}"


def moment(at: datetime) -> str:
    """``Thu 17, 08:00``."""
    return f"{day(at)}, {clock(at)}"


def span(minutes: int) -> str:
    """``45 min``, ``2 h``, ``11 h 05 min``: what hands take, so never days."""
    return show_minutes(minutes, days=False)


def minutes_between(start: datetime, end: datetime) -> int:
    """Whole minutes of real time, also over a change of the clocks."""
    return round((end.timestamp() - start.timestamp()) / 60)


def waking(at: datetime) -> datetime:
    """The moment itself, or the next hour of waking where it falls into the night: nobody pulls a piece at 05:49.

    >>> waking(datetime(2026, 12, 9, 5, 49)), waking(datetime(2026, 12, 9, 23, 10)), waking(datetime(2026, 12, 9, 14, 5))
    (datetime.datetime(2026, 12, 9, 7, 0), datetime.datetime(2026, 12, 10, 7, 0), datetime.datetime(2026, 12, 9, 15, 0))
    """
    up = at.replace(minute=0, second=0, microsecond=0) + timedelta(hours=1 if at.minute or at.second or at.microsecond else 0)
    if up.hour < WAKING[0]:
        return up.replace(hour=WAKING[0])
    return up if up.hour < WAKING[1] else (up + timedelta(days=1)).replace(hour=WAKING[0])


def ready_words(ready: tuple[datetime, datetime, datetime]) -> str:
    """``Ready between Tue 15 and Thu 17, most likely Wed 16.``; by the hour when all fall on one day."""
    earliest, likely, latest = ready
    if earliest.date() == latest.date():
        return f"Ready between {clock(earliest)} and {clock(latest)} on {day(likely)}, most likely {clock(likely)}."
    return f"Ready between {day(earliest)} and {day(latest)}, most likely {day(likely)}."


def to_go(today: date, at: date) -> str:
    """``today``, ``tomorrow``, ``in 3 days``."""
    left = (at - today).days
    return {0: "today", 1: "tomorrow"}.get(left, f"in {left} days" if left > 0 else "past")


def meal_at(today: date, at: datetime) -> str:
    """``Sat 18:30``; with its date where another such day lies between: ``Sat 19 Dec, 18:30``."""
    return f"{DAYS[at.weekday()]} {clock(at)}" if (at.date() - today).days < 7 else f"{day_month(at)}, {clock(at)}"


def between(ready: Sequence[datetime]) -> str:
    """``between Mon 9 and Sat 21 Nov, most likely Thu 12``; the month told twice where it turns."""
    first, likely, last = ready
    month = lambda t: "" if t.month == last.month else f" {t:%b}"  # noqa: E731
    return f"between {first:%a} {first.day}{month(first)} and {last:%a} {last.day} {last:%b}, most likely {likely:%a} {likely.day}{month(likely)}"
