"""A mishap as one picture: temperature with its lines, salt at the core, growth, each before and after."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from ingle.faces.curves import chart_html
from ingle.faces.drawing import Drawing, path_data, ticks
from ingle.faces.tokens import SERIES
from ingle.faces.words import figure
from ingle.ground.units import show_hours
from ingle.jobs.mishap_told import MishapAnswer
from ingle.safety.verdict import WORDS

Floats = NDArray[np.float64]
WIDTH = 1000
_LEFT, _RIGHT = 84.0, 200.0
_COLD_C = (5.0, "5 C, cold holding")
_BARS = 26.0


def mishap_svg(answer: MishapAnswer, *, dark: bool = False) -> str:
    """The picture as SVG."""
    salt = answer.salt
    growth = [line for line in answer.lines if line.key.startswith("growth.") and line.said.value is not None]
    height = 96 + 290 + (230 if salt is not None else 0) + 84 + _BARS * 2 * len(growth)
    draw = Drawing(WIDTH, math.ceil(height), dark=dark, key="mishap")
    draw.rect(0, 0, WIDTH, math.ceil(height), "plate")
    draw.text(24, 44, f"{answer.what[0].upper()}{answer.what[1:]} for {show_hours(answer.accident.hours)}", 30, figure=True, bold=True)
    from_h, to_h = _window(answer)
    y = _temperatures(draw, answer, from_h, to_h, 70, dark)
    if salt is not None:
        y = _salt(draw, answer, y, dark)
    _growth(draw, answer, growth, y)
    return draw.render(f"{answer.what}: temperature, salt and growth before and after", _said(answer))


def mishap_html(answer: MishapAnswer) -> str:
    """A page with the picture and the table behind it."""
    rows = [
        (line.said.title, _cell(line.before), _cell(line.cold), _cell(line.warm), "" if line.said.limit is None else figure(line.said.limit), line.said.unit, line.level)
        for line in answer.lines
    ]  # fmt: skip
    head = ("limit", "before", "after, colder end", "after, warmer end", "at most", "unit", "level")
    return chart_html(mishap_svg(answer), title=answer.way.act, head=head, rows=rows)


def _cell(found: object) -> str:
    value = getattr(found, "value", None)
    return "" if value is None else figure(value)


def _window(answer: MishapAnswer) -> tuple[float, float]:
    """Hours shown of the temperature: the accident with a day before and after it."""
    a = answer.accident
    last = float(answer.courses[2].hours[-1])
    return max(0.0, a.after_h - 12.0), min(last, a.end_h + 24.0)


def _temperatures(draw: Drawing, answer: MishapAnswer, from_h: float, to_h: float, y: float, dark: bool) -> float:
    plan, cold, warm = answer.courses
    shown = (warm.hours >= from_h) & (warm.hours <= to_h)
    before = (plan.hours >= from_h) & (plan.hours <= to_h)
    high = max(float(warm.air[shown].max()), float(warm.places[:, shown].max()), _COLD_C[0]) * 1.08
    low = min(0.0, float(cold.places[:, shown].min()))
    top, foot = y + 50, y + 240
    draw.text(24, y + 22, "Temperature, C", 22, figure=True, bold=True)
    x, down = _frame(draw, top, foot, from_h, to_h, low, high)
    a = answer.accident
    draw.rect(x(a.after_h), top, max(x(min(a.end_h, to_h)) - x(a.after_h), 3.0), foot - top, "night", what="accident")
    draw.line(_LEFT, down(_COLD_C[0]), WIDTH - _RIGHT, down(_COLD_C[0]), "rim", 2, dash="2 5", what="limit")
    band = [(x(h), down(v)) for h, v in zip(warm.hours[shown], warm.places[0, shown], strict=True)]
    under = [(x(h), down(v)) for h, v in zip(cold.hours[shown], cold.places[0, shown], strict=True)]
    draw.path(path_data(band + under[::-1], close=True), "smoke", 0, fill="smoke", opacity=0.16, what="core-band")
    names: list[tuple[float, str, str]] = [(down(_COLD_C[0]), _COLD_C[1], draw.ink["rim"])]
    for i, (name, hours, row, keep) in enumerate((
        ("core, warmer end", warm.hours, warm.places[0], shown), ("air, warmer end", warm.hours, warm.air, shown), ("as planned", plan.hours, plan.air, before),
    )):  # fmt: skip
        if not keep.any():
            continue
        colour, dash = SERIES[i][2 if dark else 1], SERIES[i][3]
        draw.path(path_data(zip(map(x, hours[keep]), map(down, row[keep]), strict=True)), colour, 4 if i == 0 else 2.6, dash=dash, what=name.split(",")[0].replace(" ", "-"))
        names.append((down(float(row[keep][-1])), name, colour))
    _names(draw, names)
    return foot + 44


def _salt(draw: Drawing, answer: MishapAnswer, y: float, dark: bool) -> float:
    s = answer.salt
    assert s is not None
    top, foot = y + 40, y + 180
    draw.text(24, y + 22, "Salt at the core, g per 100 g", 22, figure=True, bold=True)
    high = max(float(s.core_before.max()), float(s.core_after.max()), 0.1) * 1.1
    x, down = _frame(draw, top, foot, 0.0, float(s.hours[-1]), 0.0, high)
    names = []
    for i, (name, row) in enumerate((("after", s.core_after), ("before", s.core_before))):
        colour = SERIES[2 * i][2 if dark else 1]
        draw.path(path_data(zip(map(x, s.hours), map(down, row), strict=True)), colour, 4 - i, dash=SERIES[2 * i][3], what=f"salt-{name}")
        names.append((down(float(row[-1])), f"{name} {figure(float(row[-1]))}", colour))
    _names(draw, names)
    return foot + 44


def _growth(draw: Drawing, answer: MishapAnswer, lines: Sequence[object], y: float) -> None:
    draw.text(24, y + 22, "Growth, tenfold steps: before (thin) and after at the warmer end (thick); the tick is the line", 20, figure=True, bold=True)
    found = [line for line in answer.lines if line in lines]
    most = max([1.0, *(float(v.value or 0.0) for line in found for v in (line.before, line.warm, line.said) if v is not None)]) * 1.1
    most = max(most, *(float(line.said.limit or 0.0) * 1.1 for line in found)) if found else most
    left = _LEFT + 220
    y += 44
    for line in found:
        scale = (WIDTH - _RIGHT - left) / most
        draw.text(24, y + 16, line.said.title.removesuffix(": growth"), 18)
        for value, thick, off in ((line.before, 5.0, 2.0), (line.warm, 12.0, 9.0)):
            size = 0.0 if value is None or value.value is None else float(value.value)
            draw.rect(left, y + off, max(size * scale, 1.0), thick, "ember" if thick > 6 and line.level in ("over", "cannot_say") else "brine", what="growth")
        if line.said.limit is not None:
            draw.line(left + line.said.limit * scale, y - 2, left + line.said.limit * scale, y + 26, "smoke", 3, what="line")
        told = "0" if line.warm is None or line.warm.value is None else f"{line.warm.value:.1f}"
        word = "over before too" if line.over_before and not line.now else WORDS[line.level].split(" the")[0]
        draw.text(WIDTH - _RIGHT + 14, y + 18, f"{told} log, {word}", 18)
        y += 2 * _BARS


def _frame(draw: Drawing, top: float, foot: float, from_h: float, to_h: float, low: float, high: float) -> tuple[Callable[[float], float], Callable[[float], float]]:
    right = WIDTH - _RIGHT

    def x(hour: float) -> float:
        return _LEFT + (right - _LEFT) * (min(max(hour, from_h), to_h) - from_h) / max(to_h - from_h, 1e-9)

    def down(value: float) -> float:
        return foot - (foot - top) * (value - low) / (high - low)

    for value in ticks(low, high, 4):
        draw.line(_LEFT, down(value), right, down(value), "hair", 1)
        draw.text(_LEFT - 9, down(value) + 5, figure(value), 16, anchor="end", fill="ash")
    for hour in ticks(from_h, to_h, 7):
        draw.line(x(hour), foot, x(hour), foot + 6, "wire", 2)
        draw.text(x(hour), foot + 24, figure(hour), 16, anchor="middle", fill="ash")
    draw.text(right + 14, foot + 24, "hours", 16, fill="ash")
    draw.line(_LEFT, foot, right, foot, "wire", 2)
    return x, down


def _names(draw: Drawing, names: list[tuple[float, str, str]]) -> None:
    """Names at the right, moved apart where they would touch."""
    ordered = sorted(names)
    up = 0.0
    last = -1e9
    for y, _, _ in ordered:
        last = max(y, last + 22)
        up = max(up, last - max(y for y, _, _ in ordered) )
    last = -1e9
    for y, text, colour in ordered:
        last = max(y - up, last + 22)
        draw.text(WIDTH - _RIGHT + 10, last + 6, text, 17, fill=colour, bold=True, halo=4)


def _said(answer: MishapAnswer) -> str:
    cold, warm = answer.peak_c
    return f"{answer.way.act} {answer.way.why}. The piece came to {cold:.1f} to {warm:.1f} C."
