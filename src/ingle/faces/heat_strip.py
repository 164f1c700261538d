"""Core and surface against time as a small picture in text."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ingle.crafts.heat.heated import Curves
from ingle.ground import units

WIDTH, ROWS = 64, 12


def curve_strip(curves: Curves, ends: Sequence[float], *, goal: float | None = None) -> str:
    """Rows of 80 columns: ``C`` core, ``s`` surface, ``:`` the core's band, ``-`` the goal, ``|`` ends of stages."""
    t = np.linspace(curves.seconds[0], curves.seconds[-1], WIDTH)
    lines = {k: np.interp(t, curves.seconds, getattr(curves, k)) for k in ("core", "surface", "core_low", "core_high")}
    low = min(float(v.min()) for v in (lines["core"], lines["surface"]))
    high = max(float(v.max()) for v in (lines["core"], lines["surface"]))
    if goal is not None:
        high = max(high, goal)
    span = max(high - low, 1.0)

    def row(c: float) -> int:
        return int(np.clip(round((ROWS - 1) * (high - c) / span), 0, ROWS - 1))

    page = [[" "] * WIDTH for _ in range(ROWS)]
    for end in ends[:-1]:
        x = int(np.clip(np.searchsorted(t, end), 0, WIDTH - 1))
        for r in range(ROWS):
            page[r][x] = "|"
    if goal is not None:
        for x in range(0, WIDTH, 2):
            page[row(goal)][x] = "-"
    for x in range(WIDTH):
        for r in range(row(float(lines["core_high"][x])), row(float(lines["core_low"][x])) + 1):
            if page[r][x] == " ":
                page[r][x] = ":"
        page[row(float(lines["surface"][x]))][x] = "s"
        page[row(float(lines["core"][x]))][x] = "C"
    told = []
    for r, cells in enumerate(page):
        at = high - span * r / (ROWS - 1)
        label = f"{at:5.0f} C " if r in (0, ROWS // 2, ROWS - 1) else " " * 8
        told.append((label + "".join(cells)).rstrip())
    last = units.show_hours(units.hours(float(curves.seconds[-1])))
    told.append(" " * 8 + "0" + last.rjust(WIDTH - 1))
    told.append(" " * 8 + "C core   s surface   : core of 9 in 10" + ("   - wished" if goal is not None else ""))
    return "\n".join(told)
