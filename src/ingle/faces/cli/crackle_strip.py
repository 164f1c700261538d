"""Water and temperature of a rind along the oven, in 80 columns of plain signs."""

from __future__ import annotations

from ingle.crafts.skin.laws import window
from ingle.jobs.crackle import CrackleAnswer

_WIDE = 60
_LEFT = 13
_WATER = (40.0, 30.0, 20.0, 10.0, 0.0)  # lower edges of the rows [g/100 g]
_HEAT = (200.0, 180.0, 150.0, 100.0, 0.0)  # lower edges of the rows [degC]


def strip(answer: CrackleAnswer) -> list[str]:
    """Two small pictures on one axis of minutes: water of the skin, its temperature, and the stages of the oven."""
    c = answer.answer.told.curve
    end = c.minutes[-1]
    at = [_nearest(c.minutes, end * k / (_WIDE - 1)) for k in range(_WIDE)]
    low, high = (100.0 * share for share in window())
    lines = [f"Water of the skin, g per 100 g (# likely, : 5 to 95 %, window {low:.0f} to {high:.0f})"]
    lines += _rows([c.water_pct[i] for i in at], _WATER)
    lines.append("Temperature of the skin, C (# likely, : 5 to 95 %)")
    lines += _rows([c.celsius[i] for i in at], _HEAT)
    axis, stages = [" "] * _WIDE, ["-"] * _WIDE
    passed = 0.0
    for stage in answer.programme.oven:
        x = round(passed / end * (_WIDE - 1))
        text = f"|{stage.oven_c:.0f}C"
        stages[x : x + len(text)] = text[: _WIDE - x]
        passed += stage.minutes
    for minute in (0.0, end / 4, end / 2, 3 * end / 4, end):
        text = f"{minute:.0f}"
        x = min(round(minute / end * (_WIDE - 1)), _WIDE - len(text))
        axis[x : x + len(text)] = text
    return [*lines, f"{'oven':>{_LEFT - 1}} {''.join(stages)}", f"{'min':>{_LEFT - 1}} {''.join(axis)}"]


def _nearest(minutes: tuple[float, ...], minute: float) -> int:
    return min(range(len(minutes)), key=lambda i: abs(minutes[i] - minute))


def _rows(bands: list[tuple[float, float, float]], edges: tuple[float, ...]) -> list[str]:
    """One row for each edge and what lies above it, up to the next."""

    def row(value: float) -> int:
        return next((i for i, edge in enumerate(edges) if value >= edge), len(edges) - 1)

    cells = [[" "] * len(bands) for _ in edges]
    for x, (low, likely, high) in enumerate(bands):
        for i in range(row(high), row(low) + 1):
            cells[i][x] = ":"
        cells[row(likely)][x] = "#"
    names = [f"{edge:.0f} up" for edge in edges]
    names[-1] = f"under {edges[-2]:.0f}"
    return [f"{name:>{_LEFT - 1}} {''.join(line)}".rstrip() for name, line in zip(names, cells, strict=True)]
