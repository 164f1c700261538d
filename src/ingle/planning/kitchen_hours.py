"""Hours of the wall clock as minutes of a plan.

Minutes of a plan are real ones. A night or a shift that spans a change of the clocks is an hour longer or
shorter in them, and its ends stay where the wall clock shows them.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from ingle.planning.brief import Brief
from ingle.planning.kit import CookHours
from ingle.planning.problem import Cook

BLOCKS = ((6 * 60, 12 * 60), (12 * 60, 17 * 60), (17 * 60, 22 * 60))  # morning, afternoon, evening
_DAY = 24 * 60

Windows = tuple[tuple[int, int], ...]


def minute_of(start: datetime, then: datetime) -> int:
    """Real minutes from the start of the plan to a moment; below 0 before it."""
    return round((then.astimezone(UTC) - start.astimezone(UTC)).total_seconds() / 60)


def cook_of(hours: CookHours, brief: Brief) -> Cook:
    """A cook with its hours between now and the table."""
    found = hours_between(hours, brief.zone, brief.plan_from, brief.at)
    return Cook(hours.key, hours.name, _minutes(brief, found))


def nights(brief: Brief) -> Windows:
    """When people sleep."""
    begin, end = brief.night
    return _every_day(brief, begin, end if end > begin else end + _DAY)


def visit_blocks(brief: Brief) -> Windows:
    """Mornings, afternoons and evenings."""
    return tuple(sorted(w for begin, end in BLOCKS for w in _every_day(brief, begin, end)))


def _every_day(brief: Brief, begin: int, end: int) -> Windows:
    days = days_between(brief.zone, brief.plan_from, brief.at)
    return _minutes(
        brief, merged([stretch(day, begin, end, brief.zone) for day in days], brief.plan_from, brief.at)
    )


def _minutes(brief: Brief, stretches: tuple[tuple[datetime, datetime], ...]) -> Windows:
    return tuple((minute_of(brief.plan_from, a), minute_of(brief.plan_from, b)) for a, b in stretches)


def hours_between(
    cook: CookHours, zone: ZoneInfo, start: datetime, until: datetime
) -> tuple[tuple[datetime, datetime], ...]:
    """Every stretch the cook is in the kitchen between two moments, merged, in UTC."""
    found = []
    for day in days_between(zone, start, until):
        if day not in cook.away:
            found += [
                stretch(day, s.from_min, s.to_min, zone) for s in cook.shifts if day.weekday() in s.days
            ]
    return merged(found, start, until)


def days_between(zone: ZoneInfo, start: datetime, until: datetime) -> tuple[date, ...]:
    """Local dates from the day before ``start`` to the day of ``until``."""
    first = start.astimezone(zone).date() - timedelta(days=1)
    return tuple(first + timedelta(days=i) for i in range((until.astimezone(zone).date() - first).days + 1))


def stretch(day: date, from_min: int, to_min: int, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """From one wall time to another of a local day, in UTC; the clocks may change in between."""
    return _wall(day, from_min, zone), _wall(day, to_min, zone)


def merged(
    stretches: list[tuple[datetime, datetime]], start: datetime, until: datetime
) -> tuple[tuple[datetime, datetime], ...]:
    """Stretches cut to start and until, in order, touching ones joined."""
    out: list[tuple[datetime, datetime]] = []
    for begin, end in sorted(
        (max(a, start.astimezone(UTC)), min(b, until.astimezone(UTC))) for a, b in stretches
    ):
        if begin >= end:
            continue
        if out and begin <= out[-1][1]:
            out[-1] = (out[-1][0], max(end, out[-1][1]))
        else:
            out.append((begin, end))
    return tuple(out)


def _wall(day: date, minute: int, zone: ZoneInfo) -> datetime:
    days, rest = divmod(minute, 24 * 60)
    return datetime.combine(day + timedelta(days=days), time(rest // 60, rest % 60), tzinfo=zone).astimezone(
        UTC
    )
