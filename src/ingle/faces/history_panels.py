"""The panels of a history's picture: where they lie, their grids, bands, lines and the words at the ends of the lines."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ingle.faces.drawing import Drawing, path_data, ticks
from ingle.faces.setting import width as set_width
from ingle.faces.tokens import SERIES
from ingle.faces.words import figure

Floats = NDArray[np.float64]
Points = list[tuple[float, float]]

PHONE = 700  # under it: keys over the panels instead of names at the ends of the lines
_OVERHEAD = 1.7  # salt at the surface may leave the chart: the core is what is looked at
DOTS = "3.5 3.5"
_MINUS = "\u2212"


@dataclass(frozen=True)
class Place:
    """Where the panels lie, and how large things are set."""

    width: float
    left: float
    right: float
    words: float
    tick: float
    head: float
    tall: tuple[float, float, float]
    phone: bool
    end_h: float

    def x(self, hour: float) -> float:
        """Column of an hour. [px]"""
        return self.left + (self.right - self.left) * min(max(hour, 0.0), self.end_h) / self.end_h


def place(width: float, end_h: float) -> Place:
    """Where panels lie on a picture of this width [px], to its last hour."""
    if width < PHONE:
        return Place(width, 50, width - 16, 16, 14, 20, (190, 140, 140), True, end_h)
    return Place(width, 84, width - 170, 18, 16, 22, (220, 160, 160), False, end_h)


def edge(at: Place) -> float:
    """Left edge of titles. [px]"""
    return 16.0 if at.phone else 24.0


def spread(
    wanted: Sequence[float], sizes: Sequence[float], low: float, high: float, *, gap: float = 0.0
) -> list[float] | None:
    """Starts of things in a row that do not touch and keep their order, moved as little as can be (least squares).

    None where they do not fit between ``low`` and ``high``.
    """
    total = sum(sizes) + gap * max(0, len(sizes) - 1)
    if total > high - low:
        return None
    before = [sum(sizes[:i]) + gap * i for i in range(len(sizes))]
    pools: list[list[float]] = []  # mean, count: neighbours that would touch are moved as one
    for want, off in zip(wanted, before, strict=True):
        pools.append([want - off, 1])
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            mean, count = pools.pop()
            pools[-1] = [(pools[-1][0] * pools[-1][1] + mean * count) / (pools[-1][1] + count), pools[-1][1] + count]
    flat = [mean for mean, count in pools for _ in range(int(count))]
    return [min(max(m, low), high - total) + off for m, off in zip(flat, before, strict=True)]


@dataclass(frozen=True)
class _Line:
    """One line of a panel; ``rows`` at 5, 50 and 95 %, shape (3, n)."""

    name: str
    rows: Floats
    colour: str
    dash: str
    thick: float
    banded: bool
    ink: str  # of its words: the ember of lines is too dim for words at night


@dataclass(frozen=True)
class Panel:
    """One panel: what is drawn, between which values."""

    key: str
    heading: str
    unit: str
    lines: tuple[_Line, ...]
    low: float
    high: float
    signed: bool = False


def panels(rows: dict[str, Floats], dark: bool) -> list[Panel]:
    """Salt, weight, and nitrite where there is some."""
    series = [night if dark else light for _, light, night, _ in SERIES]
    core, whole, surface, change, nitrite = (rows[k] for k in ("core", "mean", "surface", "change_pct", "nitrite_core"))
    inside = max(float(core.max()), float(whole[1].max()))
    salt = (
        _Line("core", core, series[0], DOTS, 4, True, series[0]),
        _Line("whole", whole, series[2], SERIES[2][3], 3, False, series[2]),
        _Line("surface", surface, series[1], "", 2.4, False, "ember"),
    )
    low, high = min(0.0, float(change.min())), max(0.0, float(change.max()))
    room = 0.07 * (high - low) or 1.0
    found = [
        Panel("salt", "Salt", "g per 100 g", salt, 0.0, min(1.06 * max(inside, float(surface[1].max())), _OVERHEAD * inside) or 1.0),
        Panel("weight", "Weight against green weight", "%", (_Line("weight", change, "smoke", DOTS, 3.2, True, "smoke"),),
               low - room * (low < 0), high + room, signed=True),
    ]  # fmt: skip
    if nitrite.max() > 0:
        lines = (_Line("nitrite", nitrite, "smoke", DOTS, 3.2, True, "smoke"),)
        found.append(Panel("nitrite", "Nitrite in the core", "mg/kg", lines, 0.0, 1.08 * float(nitrite.max())))
    return found


def draw_panel(draw: Drawing, at: Place, hours: Floats, panel: Panel, bounds: Sequence[float], y: float) -> float:
    """Heading, grid, band and lines from ``y`` down; returns the foot of the panel."""
    y += 26 + at.head
    draw.text(edge(at), y, panel.heading, at.head, figure=True, bold=True)
    draw.text(edge(at) + set_width(panel.heading, at.head, "figure") + 10, y, panel.unit, at.words, fill="ash")
    if at.phone:
        y = _keys(draw, at, panel, y)
    top = y + (14 if at.phone else 18)
    foot = top + at.tall[("salt", "weight", "nitrite").index(panel.key)]

    def down(value: float) -> float:
        return foot - (foot - top) * (value - panel.low) / (panel.high - panel.low)

    for value in ticks(panel.low, panel.high, max(2, round((foot - top) / 42))):
        draw.line(at.left, down(value), at.right, down(value), "hair", 1, what="grid")
        draw.text(
            at.left - 9, down(value) + 0.35 * at.tick, number(value, panel.signed), at.tick, anchor="end", fill="ash"
        )
    draw.line(at.left, down(0), at.right, down(0), "wire", 1.6, what="zero")
    for hour in bounds:
        draw.line(at.x(hour), top, at.x(hour), foot, "wire", 1, dash="1 3", what="bound")
    drawn = [
        (line, [[(at.x(h), down(v)) for h, v in zip(hours, row, strict=True)] for row in line.rows])
        for line in panel.lines
    ]
    for line, (low, _, high) in drawn:
        if line.banded:
            draw.path(
                path_data(high + low[::-1], close=True),
                "smoke",
                0,
                fill="smoke",
                opacity=0.16,
                what=f"{line.name}-band",
            )
    for line, (_, likely, _) in reversed(drawn):
        runs = _below(likely, top)
        draw.path("".join(path_data(run) for run in runs), line.colour, line.thick, dash=line.dash, what=line.name)
        if not at.phone and float(line.rows[1].max()) > panel.high:
            _says_top(draw, at, line, runs, top, [likely for other, (_, likely, _) in drawn])
    if not at.phone:
        _end_names(draw, at, panel, down, top, foot)
    return foot


def _below(points: Points, top: float) -> list[Points]:
    """The parts of a line at or below the top of a panel, cut where it crosses."""
    runs: list[Points] = [[points[0]]] if points[0][1] >= top else []
    for (x0, y0), (x1, y1) in pairwise(points):
        if (y0 >= top) != (y1 >= top):
            cut = (x0 + (x1 - x0) * (top - y0) / (y1 - y0), top)
            if y1 >= top:
                runs.append([cut])
            else:
                runs[-1].append(cut)
        if y1 >= top:
            runs[-1].append((x1, y1))
    return runs


def _says_top(draw: Drawing, at: Place, line: _Line, runs: list[Points], top: float, others: list[Points]) -> None:
    """How far a line goes that leaves the panel, beside a place where it does and no line is under the words."""
    words = f"{line.name} up to {number(float(line.rows[1].max()))}"
    long, shelf = set_width(words, at.words), top + at.words + 8
    cuts = [x for run in runs for x, y in (run[0], run[-1]) if y == top] or [at.left]
    places = [left for x in cuts for left in (x + 10, x - 10 - long) if at.left < left < at.right - long]

    def crossed(left: float) -> float:
        """Length of line under the words, across. [px]"""
        return sum(
            max(0.0, min(x1, left + long + 6) - max(x0, left - 6)) + 1e-3 * (left - 6 < x1 < left + long + 6)
            for points in others for (x0, y0), (x1, y1) in pairwise(points) if top <= max(y0, y1) and min(y0, y1) < shelf
        )  # fmt: skip

    draw.text(min(places or [at.left + 10], key=crossed), top + 16, words, at.words, fill=line.ink, halo=5)


def _keys(draw: Drawing, at: Place, panel: Panel, y: float) -> float:
    """On a phone: what each line is and where it ends, in rows over the panel; returns the last baseline."""
    x, y = edge(at), y + 24
    for n, line in enumerate(panel.lines):
        text = f"{line.name if len(panel.lines) > 1 else 'at the end'} {told_band(line.rows[:, -1], signed=panel.signed, ranged=line.banded)}"
        if float(line.rows[1].max()) > panel.high:
            text += f", up to {number(float(line.rows[1].max()))}"
        wide = 34 + set_width(text, at.words)
        if n and x + wide > at.width - edge(at):
            x, y = edge(at), y + 23
        draw.line(x, y - 5, x + 26, y - 5, line.colour, line.thick, dash=line.dash)
        draw.text(x + 34, y, text, at.words, halo=4)
        x += wide + 16
    return y


def _end_names(draw: Drawing, at: Place, panel: Panel, down: Callable[[float], float], top: float, foot: float) -> None:
    """Names and values at the ends of the lines, moved apart where they would touch; a range under its value."""
    lines = sorted(panel.lines, key=lambda line: down(line.rows[1, -1]))
    sizes = [at.words * (2.3 if line.banded else 1.2) for line in lines]
    wanted = [min(max(down(line.rows[1, -1]), top), foot) - 0.6 * at.words for line in lines]
    for line, y in zip(lines, spread(wanted, sizes, top - 12, foot + 12) or wanted, strict=True):
        told = told_band(line.rows[:, -1], signed=panel.signed)
        words = f"{line.name} {told}" if len(lines) > 1 else f"{told} {panel.unit}"
        draw.text(at.right + 12, y + at.words, words, at.words, fill=line.ink, bold=True, halo=4)
        if line.banded:
            spanned = told_band(line.rows[:, -1], signed=panel.signed, ranged=True).partition("(")[2].rstrip(")")
            if spanned:
                draw.text(at.right + 12, y + 2.1 * at.words, spanned, at.tick, fill="ash", halo=4)


def number(value: float, signed: bool = False, digits: int | None = None) -> str:
    """A number with a true minus, and a plus where signs are told; zero has none."""
    text = figure(abs(value)) if digits is None else f"{abs(value):,.{digits}f}"
    if not text.strip("0.,"):
        return "0"
    return (_MINUS if value < 0 else "+" if signed else "") + text


def told_band(band: Floats, *, signed: bool = False, ranged: bool = False) -> str:
    """The likely value, no finer than its spread bears; with its range where asked."""
    low, likely, high = (float(v) for v in band)
    wide = high - low
    digits = min(3, max(0, -math.floor(math.log10(wide / 5)))) if wide > 0 else None
    told = [number(v, signed, digits) for v in (low, likely, high)]
    return f"{told[1]} ({told[0]} to {told[2]})" if ranged and told[0] != told[2] else told[1]
