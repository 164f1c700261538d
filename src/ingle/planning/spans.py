"""Minutes of a plan as a cook reads them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from ingle.ground.units import show_minutes as span
from ingle.planning.problem import Problem

__all__ = ["DAY", "clock", "moment", "span"]

DAY = 24 * 60
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def moment(start: datetime, minute: int) -> datetime:
    """The minute on the kitchen's clock; minutes are real ones, also across a change of the clocks."""
    return (start.astimezone(UTC) + timedelta(minutes=minute)).astimezone(start.tzinfo)


def clock(problem: Problem, minute: int) -> str:
    """A minute of the plan in words: "Sat 19 Dec 18:30"."""
    then = moment(problem.start, minute)
    return f"{_DAYS[then.weekday()]} {then.day} {_MONTHS[then.month - 1]} {then:%H:%M}"
