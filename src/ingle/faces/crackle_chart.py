"""Picture of a rind in the oven: water and temperature against minutes."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from ingle.crafts.skin.laws import window
from ingle.faces.drawing import Drawing, path_data, ticks
from ingle.faces.picture_file import write_picture
from ingle.faces.words import figure
from ingle.jobs.crackle import CrackleAnswer


@dataclass(frozen=True)
class _Room:
    """Sizes of a picture for a table, and of one as narrow as a phone."""

    width: int
    height: int
    left: int
    right: int
    head: int  # letters
    text: int
    edge: int
    water: tuple[int, int] = (76, 286)  # top and foot of the upper panel
    heat: tuple[int, int] = (346, 556)


_ASSUMED = "Both thresholds are assumed."
_WIDE = _Room(1000, 620, 96, 876, 24, 18, 24)
_NARROW = _Room(380, 646, 46, 338, 18, 15, 10)


def draw(answer: CrackleAnswer, path: Path) -> None:
    """Write the picture in the kind its ending names."""
    write_picture(path, lambda: svg(answer), title="Rind to crackling")


def svg(answer: CrackleAnswer, *, dark: bool = False, narrow: bool = False) -> str:
    """Two panels on one axis: water of the skin with the window of puffing, and temperature with its threshold; ``narrow`` for a phone."""
    c, room = answer.answer.told.curve, _NARROW if narrow else _WIDE
    sheet = Drawing(room.width, room.height, dark=dark, key="crackle-narrow" if narrow else "crackle")
    sheet.rect(0, 0, room.width, room.height, "plate")
    end = c.minutes[-1]
    x = [room.left + (room.right - room.left) * m / end for m in c.minutes]
    most = max(20.0, 5.0 * -(-max(w[2] for w in c.water_pct) // 5.0))
    low, high = (round(100.0 * share) for share in window())
    hot = max(200.0, 50.0 * -(-max(t[2] for t in c.celsius) // 50.0))
    _panel(sheet, room, x, c.water_pct, most, room.water, "Water of the skin, g per 100 g", (low, high), "brine")
    _panel(sheet, room, x, c.celsius, hot, room.heat, "Temperature of the skin, °C", (180.0, 180.0), "ember")
    foot = room.heat[1]
    for minute in ticks(0, end, 4 if narrow else 8):
        at = room.left + (room.right - room.left) * minute / end
        sheet.line(at, foot, at, foot + 8, "wire", 2)
        sheet.text(at, foot + 28, figure(minute), room.text, anchor="middle", fill="ash")
    puffed = f"{round(20 * answer.answer.told.chance)} of 20 such rinds puff."
    if narrow:
        sheet.text(room.right, foot + 50, "minutes in the oven", room.text, anchor="end", fill="ash")
        sheet.text(room.edge, room.height - 12, puffed, room.text, bold=True)
    else:
        sheet.text(room.right, room.height - 12, "minutes in the oven", room.text, anchor="end", fill="ash")
        sheet.text(room.left, room.height - 12, f"{puffed} {_ASSUMED}", room.text, bold=True)
    return sheet.render("Rind in the oven", f"{puffed} {_ASSUMED}")


def _panel(
    sheet: Drawing, room: _Room, x: list[float], bands: tuple[tuple[float, float, float], ...], most: float, span: tuple[int, int], title: str,
    marks: tuple[float, float], colour: str,
) -> None:  # fmt: skip
    top, foot = span

    def y(value: float) -> float:
        return foot - (foot - top) * min(value, most) / most

    sheet.text(room.edge, top - 20, title, room.head, figure=True, bold=True)
    for value in ticks(0, most):
        sheet.line(room.left, y(value), room.right, y(value), "hair", 1)
        sheet.text(room.left - 8, y(value) + 6, figure(value), room.text, anchor="end", fill="ash")
    for mark in sorted(set(marks)):
        sheet.line(room.left, y(mark), room.right, y(mark), "rim", 2, dash="2 5", what="threshold")
        sheet.text(room.right + 6, y(mark) + 6, figure(mark), room.text - 1, fill="rim", bold=True)
    up = [(a, y(b[2])) for a, b in zip(x, bands, strict=True)]
    down = [(a, y(b[0])) for a, b in zip(x, bands, strict=True)][::-1]
    sheet.path(path_data([*up, *down], close=True), "smoke", 0, fill="smoke", opacity=0.16, what="band")
    sheet.path(path_data([(a, y(b[1])) for a, b in zip(x, bands, strict=True)]), colour, 4, what="likely")
    sheet.line(room.left, foot, room.right, foot, "wire", 2)
