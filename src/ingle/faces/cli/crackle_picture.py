"""Picture of a rind in the oven: water and temperature against minutes."""

from __future__ import annotations

from pathlib import Path

from ingle.crafts.skin.laws import window
from ingle.faces.drawing import Drawing, path_data, ticks
from ingle.faces.picture_file import write_picture
from ingle.faces.words import figure
from ingle.jobs.crackle import CrackleAnswer

_WIDTH, _HEIGHT = 1000, 620
_LEFT, _RIGHT = 96, 876
_WATER = (76, 286)  # top and foot of the upper panel
_HEAT = (346, 556)


def draw(answer: CrackleAnswer, path: Path) -> None:
    """Write the picture in the kind its ending names."""
    write_picture(path, lambda: svg(answer), title="Rind to crackling")


def svg(answer: CrackleAnswer, *, dark: bool = False) -> str:
    """Two panels on one axis: water of the skin with the window of puffing, and temperature with its threshold."""
    c = answer.answer.told.curve
    sheet = Drawing(_WIDTH, _HEIGHT, dark=dark, key="crackle")
    sheet.rect(0, 0, _WIDTH, _HEIGHT, "plate")
    end = c.minutes[-1]
    x = [_LEFT + (_RIGHT - _LEFT) * m / end for m in c.minutes]
    most = max(20.0, 5.0 * -(-max(w[2] for w in c.water_pct) // 5.0))
    low, high = (round(100.0 * share) for share in window())
    hot = max(200.0, 50.0 * -(-max(t[2] for t in c.celsius) // 50.0))
    _panel(sheet, x, c.water_pct, most, _WATER, "Water of the skin, g per 100 g", (low, high), "brine")
    _panel(sheet, x, c.celsius, hot, _HEAT, "Temperature of the skin, °C", (180.0, 180.0), "ember")
    for minute in ticks(0, end, 8):
        at = _LEFT + (_RIGHT - _LEFT) * minute / end
        sheet.line(at, _HEAT[1], at, _HEAT[1] + 8, "wire", 2)
        sheet.text(at, _HEAT[1] + 28, figure(minute), 18, anchor="middle", fill="ash")
    sheet.text(_RIGHT, _HEIGHT - 12, "minutes in the oven", 18, anchor="end", fill="ash")
    told = f"{round(20 * answer.answer.told.chance)} of 20 such rinds puff. Both thresholds are assumed."
    sheet.text(_LEFT, _HEIGHT - 12, told, 18, bold=True)
    return sheet.render("Rind in the oven", told)


def _panel(
    sheet: Drawing, x: list[float], bands: tuple[tuple[float, float, float], ...], most: float, room: tuple[int, int], title: str,
    marks: tuple[float, float], colour: str,
) -> None:  # fmt: skip
    top, foot = room

    def y(value: float) -> float:
        return foot - (foot - top) * min(value, most) / most

    sheet.text(_LEFT - 72, top - 20, title, 24, figure=True, bold=True)
    for value in ticks(0, most):
        sheet.line(_LEFT, y(value), _RIGHT, y(value), "hair", 1)
        sheet.text(_LEFT - 12, y(value) + 6, figure(value), 18, anchor="end", fill="ash")
    for mark in sorted(set(marks)):
        sheet.line(_LEFT, y(mark), _RIGHT, y(mark), "rim", 2, dash="2 5", what="threshold")
        sheet.text(_RIGHT + 8, y(mark) + 6, figure(mark), 17, fill="rim", bold=True)
    up = [(a, y(b[2])) for a, b in zip(x, bands, strict=True)]
    down = [(a, y(b[0])) for a, b in zip(x, bands, strict=True)][::-1]
    sheet.path(path_data([*up, *down], close=True), "smoke", 0, fill="smoke", opacity=0.16, what="band")
    sheet.path(path_data([(a, y(b[1])) for a, b in zip(x, bands, strict=True)]), colour, 4, what="likely")
    sheet.line(_LEFT, foot, _RIGHT, foot, "wire", 2)
