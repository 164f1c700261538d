"""Logs of one invented shelf."""

import math
from datetime import datetime, timedelta

from ingle.notebook.logs import Answers

SAID = Answers(zone="UTC", instrument="shelf logger", dates="year-first")
BEGIN = datetime(2021, 2, 1)


def csv(first: int, last: int, *, add: float = 0.0, warm: tuple[int, int] = (0, 0)) -> bytes:
    """Readings every five minutes from the first to the last number, about 4 C; ten where it was warm."""
    rows = []
    for i in range(first, last):
        value = 10.0 if warm[0] <= i < warm[1] else 4.0 + 0.5 * math.sin(i)
        rows.append(f"{BEGIN + timedelta(minutes=5 * i):%Y-%m-%d %H:%M},{value + add:.2f}")
    return ("time,shelf (C)\n" + "\n".join(rows) + "\n").encode()
