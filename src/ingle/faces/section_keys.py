"""What stands under the picture of a cut: a scale in mm, the steps of colour, and what patterns and lines mean."""

from __future__ import annotations

from collections.abc import Sequence

from ingle.faces.contours import cividis
from ingle.faces.drawing import Drawing
from ingle.faces.section_cut import WORDS_PX, Cut
from ingle.faces.section_field import colour_of
from ingle.faces.words import figure
from ingle.ground.units import metres, millimetres

EDGE_PX = 24.0  # free at the sides
TICK_PX = 14.0  # numbers on lines and scales


def ruler(draw: Drawing, cut: Cut, x: float, y: float, width: float) -> float:
    """A scale bar in mm, and the size in words; returns where the next may begin."""
    room = millimetres(cut.wide / cut.scale)
    long = max(v for v in (1, 2, 5, 10, 20, 50, 100, 200, 500) if v <= max(1.0, 0.4 * room))
    pixels = metres(long) * cut.scale
    draw.path(f"M{x:.2f} {y:.2f}v10M{x:.2f} {y + 5:.2f}h{pixels:.2f}M{x + pixels:.2f} {y:.2f}v10", "smoke", 2, what="ruler")
    draw.text(x + pixels + 8, y + 11, f"{long:g} mm", WORDS_PX)
    wide, high = room, millimetres(cut.high / cut.scale)
    words = f"{figure(wide)} mm wide, {figure(high)} mm high"
    if width - 2 * EDGE_PX - pixels - 80 > 8.6 * len(words):
        draw.text(width - EDGE_PX, y + 11, words, WORDS_PX, fill="ash", anchor="end")
        return y + 34
    draw.text(x, y + 36, words, WORDS_PX, fill="ash")
    return y + 58


def scale_of_colours(draw: Drawing, steps: Sequence[float], unit: str, y: float, width: float) -> float:
    """The steps of colour with the value of each line between them."""
    if unit:
        draw.text(EDGE_PX, y + 16, unit, WORDS_PX)
        y += 26
    box = min(72.0, (width - 2 * EDGE_PX) / (len(steps) + 1))
    for band in range(len(steps) + 1):
        draw.rect(EDGE_PX + band * box, y, box, 16, colour_of(band, steps), what="step")
    draw.rect(EDGE_PX, y, box * (len(steps) + 1), 16, "none", edge="wire", edge_width=1)
    for at, level in enumerate(steps, start=1):
        draw.line(EDGE_PX + at * box, y, EDGE_PX + at * box, y + 22, "smoke", 1.1)
        draw.text(EDGE_PX + at * box, y + 37, figure(round(level, 12)), TICK_PX, anchor="middle", fill="ash")
    return y + 54


def edges_told(cut: Cut) -> list[tuple[str, str, str]]:
    """What the lines around the cut mean, as far as they occur."""
    told = [("brine", "line", "brine touches")] if not cut.sealed.all() else []
    return told + ([("smoke", "line", "nothing passes")] if cut.sealed.any() else [])


def legend(draw: Drawing, cut: Cut, told: list[tuple[str, str, str]], y: float, width: float) -> float:
    """Swatches and lines with their words; where one row is too short, lines begin a new one."""
    long = [36 + 8.1 * len(words) for _, _, words in told]
    one_row = sum(long) + 20 * (len(told) - 1) <= width - 2 * EDGE_PX
    x, before = EDGE_PX, told[0][1]
    for (key, kind, words), room in zip(told, long, strict=True):
        if x > EDGE_PX and (x + room > width - EDGE_PX or (kind != before and not one_row)):
            x, y = EDGE_PX, y + 28
        if kind == "line":
            draw.line(x, y + 9, x + 28, y + 9, key, 4.5 if key == "brine" else 1.4)
        else:
            draw.rect(x, y, 28, 18, cut.grounds.get(key, cividis(0.5)))
            draw.parts.append(
                f'<rect class="swatch" x="{x:.1f}" y="{y:.1f}" width="28" height="18" fill="url(#{cut.name(key)})"'
                f' stroke="{draw.ink["wire"]}"/>'
            )
        draw.text(x + 36, y + 15, words, WORDS_PX)
        x, before = x + room + 20, kind
    return y + 28
