"""A cook or a chill as one picture: core with its band, surface and mean against hours, the stages along the top."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from ingle.crafts.heat.heated import Curves, Heated
from ingle.faces import setting
from ingle.faces.curves import chart_html
from ingle.faces.drawing import Drawing, path_data, ticks
from ingle.faces.picture_file import write_picture
from ingle.faces.tokens import SERIES
from ingle.faces.words import figure
from ingle.ground.errors import BadBrief
from ingle.ground.units import hours, show_hours

if TYPE_CHECKING:
    from ingle.jobs.chill import ChillAnswer
    from ingle.jobs.cook import CookAnswer

WIDTH, HEIGHT = 1000, 600
_LEFT, _RIGHT, _TOP, _FOOT = 84, 168, 104, 108
_NARROW, _NARROW_LEFT, _NARROW_TOP, _NARROW_HEIGHT, _NARROW_FOOT = 440, 50, 126, 560, 62  # on a phone the same letters stand in less room
_APART = 24
_MOST_POINTS = 240
_STEPS_MIN = (5, 10, 15, 20, 30, 60, 120, 180, 240, 360, 720, 1440)


def heat_svg(told: Heated, *, title: str, goal: float | None = None, foot: str = "", dark: bool = False, narrow: bool = False) -> str:
    """Chart of one piece through its stages.

    Parameters
    ----------
    told : Heated
        With curves of at least two times.
    goal : float, optional
        Core that is wished: a line. [degC]
    foot : str
        One sentence under the axis.
    narrow : bool
        For a phone: as wide as it, letters as large.
    """
    width, left, top, height = (_NARROW, _NARROW_LEFT, _NARROW_TOP, _NARROW_HEIGHT) if narrow else (WIDTH, _LEFT, _TOP, HEIGHT)
    c, draw = told.curves, Drawing(width, height, dark=dark, key="heat-narrow" if narrow else "heat")
    pick = np.unique(np.round(np.linspace(0, c.seconds.size - 1, _MOST_POINTS)).astype(int))
    rows = {n: getattr(c, n)[pick] for n in ("core", "mean", "surface", "core_low", "core_high")}
    if c.probe is not None:
        rows["probe"] = c.probe[pick]
    seconds = c.seconds[pick]
    low, high = min(0.0, *(float(v.min()) for v in rows.values())), max(goal or 0.0, *(float(v.max()) for v in rows.values())) * 1.04
    names = [n for n in ("core", "surface", "mean", "probe") if n in rows]
    said = {n: f"{n} {figure(round(float(rows[n][-1]), 1))} °C" for n in names}
    room = max(setting.width(words, 17, "bold") for words in said.values()) + 18 if narrow else _RIGHT  # as wide as what stands at the ends
    right, base, end = width - room, height - (_NARROW_FOOT if narrow else _FOOT), float(seconds[-1])

    def x(s: float) -> float:
        return left + (right - left) * s / end

    def y(t: float) -> float:
        return base - (base - top) * (t - low) / (high - low)

    draw.rect(0, 0, width, height, "plate")
    draw.text(8 if narrow else left - 60, 42, title, 30, figure=True, bold=True)
    draw.text(8 if narrow else right + 140, 70 if narrow else 42, "grey: core of 9 in 10", 17, fill="ash", anchor="start" if narrow else "end")
    _axes(draw, x, y, (low, high), (left, right), (top, base), end)
    _stages(draw, told, x, (top, base))
    band = [(x(s), y(v)) for s, v in zip(seconds, rows["core_high"], strict=True)]
    band += [(x(s), y(v)) for s, v in zip(seconds, rows["core_low"], strict=True)][::-1]
    draw.path(path_data(band, close=True), "smoke", 0, fill="smoke", opacity=0.16, what="band")
    if goal is not None:
        draw.line(left, y(goal), right, y(goal), "rim", 2, dash="2 5", what="goal")
        draw.text(left + 8, y(goal) - 8, f"wished {figure(goal)} °C", 17, fill="rim", bold=True, halo=5)
    ends = []
    for (_, light, night, dash), name in zip(SERIES, names, strict=False):
        colour = night if dark else light
        draw.path(path_data([(x(s), y(v)) for s, v in zip(seconds, rows[name], strict=True)]), colour, 4 if name == "core" else 3, dash=dash, what=name)
        ends.append((y(float(rows[name][-1])), said[name], colour))
    last = -1e9
    for at, text, colour in sorted(ends):
        last = max(at, last + _APART)
        draw.text(right + 10, last + 6, text, 17, fill=colour, bold=True, halo=4)
    if foot and not narrow:
        draw.text(left, HEIGHT - 22, foot, 18, bold=True)
    return draw.render(f"{title}: temperatures against time", _said(c, foot))


def _axes(
    draw: Drawing, x: Callable[[float], float], y: Callable[[float], float], span: tuple[float, float], sides: tuple[float, float],
    heights: tuple[float, float], end: float,
) -> None:  # fmt: skip
    (left, right), (top, base) = sides, heights
    for value in ticks(*span, 6):
        draw.line(left, y(value), right, y(value), "hair", 1, what="grid")
        draw.text(left - 10, y(value) + 6, figure(value), 17, anchor="end", fill="ash")
    draw.text(left - 10, top - 12, "°C", 17, anchor="end", fill="ash")
    step = next((m for m in _STEPS_MIN if end / 60.0 / m <= (right - left) / 78.0), 2880)
    for minute in range(0, int(end / 60.0) + 1, step):
        draw.line(x(minute * 60.0), base, x(minute * 60.0), base + 8, "wire", 2)
        text = f"{minute / 60:g}" if step >= 60 else f"{minute}"
        draw.text(x(minute * 60.0), base + 28, text, 17, anchor="middle", fill="ash")
    unit = "hours" if step >= 60 else "minutes"
    draw.text(right, base + 52, unit, 17, anchor="end", fill="ash")  # beside the axis the ends of the curves are named
    draw.line(left, base, right, base, "wire", 2)


def _stages(draw: Drawing, told: Heated, x: Callable[[float], float], heights: tuple[float, float]) -> None:
    (top, base), begun = heights, 0.0
    for i, (s, end) in enumerate(zip(told.stages, told.ends, strict=True)):
        if i:
            draw.line(x(begun), top - 6, x(begun), base, "wire", 1, dash="1 3", what="bound")
        words = f"{s.kind} {s.air_c:g} °C"
        if x(end) - x(begun) > 8.5 * len(words):
            draw.text(x(begun) + 6, top - 12, words, 17, fill="ash", bold=True)
        begun = end


def _said(c: Curves, foot: str) -> str:
    picks = sorted({round(i * (c.seconds.size - 1) / 6) for i in range(7)})
    rows = "; ".join(
        f"{show_hours(hours(float(c.seconds[i])))}: core {c.core[i]:.0f}, surface {c.surface[i]:.0f}, mean {c.mean[i]:.0f} °C" for i in picks
    )
    return f"{rows}. {foot}".strip()


def write(path: Path, svg: str, told: Heated, title: str) -> None:
    """Write it in the kind its ending names."""
    write_picture(path, lambda: svg, lambda: _page(svg, told.curves, title))


def _page(svg: str, c: Curves, title: str) -> str:
    picks = sorted({round(i * (c.seconds.size - 1) / 24) for i in range(25)})
    rows = [(show_hours(hours(float(c.seconds[i]))), *(f"{v[i]:.1f}" for v in (c.core, c.core_low, c.core_high, c.mean, c.surface))) for i in picks]
    return chart_html(svg, title=title, head=("at", "core, °C", "5 %", "95 %", "mean, °C", "surface, °C"), rows=rows)


def draw_cook(answer: CookAnswer, path: Path) -> None:
    """Write the picture of a cook."""
    h, times = answer.heated, answer.time_to_core
    foot = ""
    if times is not None and np.isfinite(times[1]):
        low, likely, high = (show_hours(hours(t)) if np.isfinite(t) else "later" for t in times)
        foot = f"Core {figure(answer.core_c or 0.0)} °C after {likely} ({low} to {high})."
    elif times is not None:
        foot = f"The core stands at {figure(round(answer.plateau_c or 0.0, 1))} °C in the end."
    title = f"{h.joint.part}: cook"
    write(path, heat_svg(h, title=title, goal=answer.core_c, foot=foot), h, title)


def draw_chill(answer: ChillAnswer, path: Path) -> None:
    """Write the picture of a chill; a log has its own points and no forecast to draw."""
    if answer.heated is None:
        raise BadBrief("A log is judged, not drawn.", field="chart", value=path.name, limit="a forecast", remedy="Leave --chart out.")
    title = f"{answer.heated.joint.part}: chill"
    write(path, heat_svg(answer.heated, title=title, foot=f"All told: {answer.level.replace('_', ' ')}{f', by {answer.deciding}' if answer.deciding else ''}."), answer.heated, title)
