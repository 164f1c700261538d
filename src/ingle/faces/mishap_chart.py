"""A mishap as one picture: temperature with its lines, salt at the core, growth, each before and after."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.faces.curves import chart_html
from ingle.faces.drawing import Drawing, path_data, ticks
from ingle.faces.setting import width
from ingle.faces.tokens import SERIES
from ingle.faces.words import figure
from ingle.ground.units import show_hours
from ingle.jobs.mishap_told import MishapAnswer
from ingle.safety.verdict import WORDS

Floats = NDArray[np.float64]
_COLD_C = (5.0, "5 °C, cold holding")
_BARS = 26.0
_KEY = 24.0  # a line of names under a narrow picture


@dataclass(frozen=True)
class _Room:
    """Sizes of a picture for a table, with names at its right, and of one as narrow as a phone, with names under each part."""

    width: int
    edge: float
    left: float
    right: float
    head: float
    text: float
    narrow: bool

    @property
    def stop(self) -> float:
        """Where the curves end."""
        return self.width - self.right

    def under(self, names: int) -> float:
        """Height that names take under a part."""
        return names * _KEY + 6 if self.narrow else 0.0


_WIDE = _Room(1000, 24.0, 84.0, 200.0, 22.0, 17.0, False)
_NARROW = _Room(380, 10.0, 44.0, 12.0, 18.0, 15.0, True)


def mishap_svg(answer: MishapAnswer, *, dark: bool = False, narrow: bool = False) -> str:
    """The picture as SVG; ``narrow`` for a phone."""
    room = _NARROW if narrow else _WIDE
    salt = answer.salt
    growth = [line for line in answer.lines if line.key.startswith("growth.") and line.said.value is not None]
    draw = Drawing(room.width, 1, dark=dark, key="mishap-narrow" if narrow else "mishap")
    draw.rect(0, 0, 1, 1, "plate")  # the ground is laid last, when the height is known
    told = f"{answer.what[0].upper()}{answer.what[1:]} for {show_hours(answer.accident.hours)}"
    draw.text(room.edge, 44, told, 22 if narrow else 30, figure=True, bold=True)
    from_h, to_h = _window(answer)
    y = _temperatures(draw, answer, room, (from_h, to_h), 70, dark)
    if salt is not None:
        y = _salt(draw, answer, room, y, dark)
    draw.height = math.ceil(_growth(draw, answer, room, growth, y)) + 16
    draw.parts[0] = f'<rect x="0" y="0" width="{room.width}" height="{draw.height:g}" fill="{draw.ink["plate"]}"/>'
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


def _temperatures(draw: Drawing, answer: MishapAnswer, room: _Room, span: tuple[float, float], y: float, dark: bool) -> float:
    plan, cold, warm = answer.courses
    from_h, to_h = span
    shown = (warm.hours >= from_h) & (warm.hours <= to_h)
    before = (plan.hours >= from_h) & (plan.hours <= to_h)
    high = max(float(warm.air[shown].max()), float(warm.places[:, shown].max()), _COLD_C[0]) * 1.08
    low = min(0.0, float(cold.places[:, shown].min()))
    top, foot = y + 50, y + 240
    draw.text(room.edge, y + 22, "Temperature, °C", room.head, figure=True, bold=True)
    x, down = _frame(draw, room, (top, foot), span, (low, high))
    a = answer.accident
    draw.rect(x(a.after_h), top, max(x(min(a.end_h, to_h)) - x(a.after_h), 3.0), foot - top, "night", what="accident")
    draw.line(room.left, down(_COLD_C[0]), room.stop, down(_COLD_C[0]), "rim", 2, dash="2 5", what="limit")
    band = [(x(h), down(v)) for h, v in zip(warm.hours[shown], warm.places[0, shown], strict=True)]
    under = [(x(h), down(v)) for h, v in zip(cold.hours[shown], cold.places[0, shown], strict=True)]
    draw.path(path_data(band + under[::-1], close=True), "smoke", 0, fill="smoke", opacity=0.16, what="core-band")
    names = [_Name(down(_COLD_C[0]), _COLD_C[1], draw.ink["rim"], "2 5")]
    for i, (name, hours, row, keep) in enumerate((
        ("core, warmer end", warm.hours, warm.places[0], shown), ("air, warmer end", warm.hours, warm.air, shown), ("as planned", plan.hours, plan.air, before),
    )):  # fmt: skip
        if not keep.any():
            continue
        colour, dash = SERIES[i][2 if dark else 1], SERIES[i][3]
        draw.path(path_data(zip(map(x, hours[keep]), map(down, row[keep]), strict=True)), colour, 4 if i == 0 else 2.6, dash=dash, what=name.split(",")[0].replace(" ", "-"))
        names.append(_Name(down(float(row[keep][-1])), name, colour, dash))
    return foot + 44 + _names(draw, room, names, foot + 44)


def _salt(draw: Drawing, answer: MishapAnswer, room: _Room, y: float, dark: bool) -> float:
    s = answer.salt
    assert s is not None
    top, foot = y + 40, y + 180
    draw.text(room.edge, y + 22, "Salt at the core, g per 100 g", room.head, figure=True, bold=True)
    high = max(float(s.core_before.max()), float(s.core_after.max()), 0.1) * 1.1
    x, down = _frame(draw, room, (top, foot), (0.0, float(s.hours[-1])), (0.0, high))
    names = []
    for i, (name, row) in enumerate((("after", s.core_after), ("before", s.core_before))):
        colour = SERIES[2 * i][2 if dark else 1]
        draw.path(path_data(zip(map(x, s.hours), map(down, row), strict=True)), colour, 4 - i, dash=SERIES[2 * i][3], what=f"salt-{name}")
        names.append(_Name(down(float(row[-1])), f"{name} {figure(float(row[-1]))}", colour, SERIES[2 * i][3]))
    return foot + 44 + _names(draw, room, names, foot + 44)


def _growth(draw: Drawing, answer: MishapAnswer, room: _Room, lines: Sequence[object], y: float) -> float:
    told = "before (thin) and after at the warmer end (thick); the tick is the line"
    if room.narrow:
        draw.text(room.edge, y + 20, "Growth, tenfold steps", room.head, figure=True, bold=True)
        for i, some in enumerate(("before (thin), after at the warmer", "end (thick); the tick is the line")):
            draw.text(room.edge, y + 40 + 18 * i, some, room.text, fill="ash")
        y += 20
    else:
        draw.text(room.edge, y + 22, f"Growth, tenfold steps: {told}", 20, figure=True, bold=True)
    found = [line for line in answer.lines if line in lines]
    most = max([1.0, *(float(v.value or 0.0) for line in found for v in (line.before, line.warm, line.said) if v is not None)]) * 1.1
    most = max(most, *(float(line.said.limit or 0.0) * 1.1 for line in found)) if found else most
    left = room.edge if room.narrow else room.left + 220
    scale = (room.stop - left) / most
    y += 44
    for line in found:
        told = "0" if line.warm is None or line.warm.value is None else f"{line.warm.value:.1f}"
        word = "over before too" if line.over_before and not line.now else WORDS[line.level].split(" the")[0]
        name, came = line.said.title.removesuffix(": growth"), f"{told} log, {word}"
        if room.narrow:
            draw.text(left, y + 30, name, room.text)
            apart = 20 if len(name) + len(came) > 40 else 0  # both on one line where there is room
            draw.text(room.stop, y + 30 + apart, came, room.text, anchor="end", bold=True)
            y += 38 + apart
        else:
            draw.text(room.edge, y + 16, name, 18)
            draw.text(min(room.stop + 14, draw.width - 8 - width(came, 18)), y + 18, came, 18)
        for value, thick, off in ((line.before, 5.0, 2.0), (line.warm, 12.0, 9.0)):
            size = 0.0 if value is None or value.value is None else float(value.value)
            draw.rect(left, y + off, max(size * scale, 1.0), thick, "ember" if thick > 6 and line.level in ("over", "cannot_say") else "brine", what="growth")
        if line.said.limit is not None:
            draw.line(left + line.said.limit * scale, y - 2, left + line.said.limit * scale, y + 26, "smoke", 3, what="line")
        y += _BARS if room.narrow else 2 * _BARS
    return y


def _frame(
    draw: Drawing, room: _Room, high: tuple[float, float], hours: tuple[float, float], values: tuple[float, float]
) -> tuple[Callable[[float], float], Callable[[float], float]]:
    """Axes between top and foot for hours and values; returns where an hour and where a value lies."""
    (top, foot), (from_h, to_h), (low, most) = high, hours, values

    def x(hour: float) -> float:
        return room.left + (room.stop - room.left) * (min(max(hour, from_h), to_h) - from_h) / max(to_h - from_h, 1e-9)

    def down(value: float) -> float:
        return foot - (foot - top) * (value - low) / (most - low)

    for value in ticks(low, most, 4):
        draw.line(room.left, down(value), room.stop, down(value), "hair", 1)
        draw.text(room.left - 9, down(value) + 5, figure(value), min(16, room.text), anchor="end", fill="ash")
    marks = ticks(from_h, to_h, 4 if room.narrow else 7)
    for hour in marks:
        draw.line(x(hour), foot, x(hour), foot + 6, "wire", 2)
        last = room.narrow and hour == marks[-1]  # the unit stands beside the last figure where nothing stands at the right
        draw.text(x(hour), foot + 24, f"{figure(hour)} h" if last else figure(hour), min(16, room.text), anchor="end" if last else "middle", fill="ash")
    if not room.narrow:
        draw.text(room.stop + 14, foot + 24, "hours", 16, fill="ash")
    draw.line(room.left, foot, room.stop, foot, "wire", 2)
    return x, down


@dataclass(frozen=True)
class _Name:
    """What a curve is called, and where it ends."""

    y: float
    text: str
    colour: str
    dash: str = ""


def _names(draw: Drawing, room: _Room, names: list[_Name], foot: float) -> float:
    """Names at the right, moved apart where they would touch; where nothing has room there, under the part with a piece of each line."""
    if room.narrow:
        for i, name in enumerate(names):
            y = foot + i * _KEY
            draw.line(room.left, y, room.left + 34, y, name.colour, 3, dash=name.dash)
            draw.text(room.left + 42, y + 5, name.text, room.text)
        return room.under(len(names))
    ordered = sorted(names, key=lambda n: (n.y, n.text))
    up = 0.0
    last = -1e9
    for name in ordered:
        last = max(name.y, last + 22)
        up = max(up, last - max(n.y for n in ordered))
    last = -1e9
    for name in ordered:
        last = max(name.y - up, last + 22)
        draw.text(room.stop + 10, last + 6, name.text, 17, fill=name.colour, bold=True, halo=4)
    return 0.0


def _said(answer: MishapAnswer) -> str:
    cold, warm = answer.peak_c
    return f"{answer.way.act} {answer.way.why}. The piece came to {cold:.1f} to {warm:.1f} °C."
