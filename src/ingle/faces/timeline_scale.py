"""Days to pixels, and the sizes of a wall picture and of one as narrow as a phone."""

from __future__ import annotations

from datetime import date, datetime

EQUAL_UP_TO = 8  # days
WIDE_DAYS, WIDE = 3, 3.0


class Scale:
    """Days to pixels, by the wall clock."""

    def __init__(self, shown: list[date], left: float, right: float, end: datetime):
        self.days = shown
        weights = [1.0] * len(shown)
        self.broken = len(shown) > EQUAL_UP_TO
        last_part = share_drawn(end) if end.date() == shown[-1] else 1.0
        if self.broken:
            weights[-WIDE_DAYS:] = [WIDE] * WIDE_DAYS
        self.full = list(weights)
        weights[-1] *= last_part
        unit = (right - left) / sum(weights)
        self.widths = [w * unit for w in self.full]
        self.starts = [left + sum(weights[:i]) * unit for i in range(len(shown))]
        self.right = right

    def x(self, at: datetime) -> float:
        """Pixel of a moment, held inside the days that are shown."""
        return min(self.right, max(self.starts[0], self.beyond(at)))

    def beyond(self, at: datetime) -> float:
        """Pixel of a moment; outside the days shown it runs on at the width of the nearest day."""
        i = (at.date() - self.days[0]).days
        near = min(max(i, 0), len(self.days) - 1)
        return self.starts[near] + (i - near + (at.hour * 60 + at.minute) / 1440) * self.widths[near]


def share_drawn(table: datetime) -> float:
    """Share of the table's day that is drawn: the evening after it is left out."""
    return min(1.0, (table.hour * 60 + table.minute + 100) / 1440)


class Sizes:
    """Sizes for a wall or laptop picture, and for one as narrow as a phone."""

    def __init__(self, width: float):
        self.big = big = width >= 900
        self.label, self.sub, self.head, self.title, self.key = (38, 18, 28, 50, 20) if big else (17, 0, 16, 26, 16)
        self.left, self.right, self.row, self.lane, self.bar, self.thin = (
            (206, 40, 84, 56, 40, 13) if big else (88, 14, 36, 28, 20, 7)
        )
        self.top = 110 if big else 78  # of the first panel
        self.heads = 84 if big else 64
