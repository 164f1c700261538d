"""A history of stages as one picture: salt, weight and nitrite on one axis of days, the stages named along the top.

What is forecast is a band (5 to 95 %) along a dotted middle. A stage is a bar: pale where it waits, ember where hands work,
beet in the smoke. One too short for its name is named above, on a leader; where even that has no room, by a number.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from ingle.faces.curves import chart_html
from ingle.faces.drawing import Drawing, path_data, ticks
from ingle.faces.setting import width as set_width
from ingle.faces.tokens import SERIES
from ingle.faces.words import clean, figure
from ingle.ground.errors import OutOfRange
from ingle.ground.things import Forecast
from ingle.ground.units import show_hours

Floats = NDArray[np.float64]
Points = list[tuple[float, float]]
Named = tuple[str, float, float]  # a stage: name, start and end in hours

LEAST_WIDTH = 280
PHONE = 700  # under it: keys over the panels instead of names at the ends of the lines
MIN_BAR_PX = 3.0
_OVERHEAD = 1.7  # salt at the surface may leave the chart: the core is what is looked at
_HANDS = ("rinse", "turn", "top-up", "pump", "drain")
_DOTS = "3.5 3.5"
_MINUS, _TIE = "\u2212", "\u00a0"


class HistoryLike(Protocol):
    """What is drawn: rows along ``hours`` [h]; bands are (5 %, likely, 95 %)."""

    @property
    def hours(self) -> Any: ...
    @property
    def core(self) -> Any: ...  # g salt per 100 g
    @property
    def mean(self) -> Any: ...
    @property
    def surface(self) -> Any: ...
    @property
    def change_pct(self) -> Any: ...  # against green weight
    @property
    def nitrite_core(self) -> Any: ...  # mg/kg


@dataclass(frozen=True)
class _Place:
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
        return self.left + (self.right - self.left) * min(max(hour, 0.0), self.end_h) / self.end_h


def history_svg(
    told_like: HistoryLike, *, title: str, stages: Sequence[Named], forecast: Forecast | None = None,
    dark: bool = False, width: int = 1000,
) -> str:  # fmt: skip
    """Salt, weight and nitrite of a history against days.

    Parameters
    ----------
    told_like : HistoryLike
        ``hours``, shape (n,) [h], rising, and bands of three such rows: ``core``, ``mean``, ``surface`` [g/100 g],
        ``change_pct`` [% of green weight], ``nitrite_core`` [mg/kg]. Where no nitrite is held, its panel is left out and
        that is said.
    stages : sequence of (name, start, end)
        In their order. [h] A stage of no length is a tick.
    forecast : Forecast, optional
        When the core is ready, from the same start: haze and brackets on the axis of the salt. Infinite hours are those
        after the end.
    width : int
        At least 280 px. [px]

    Raises
    ------
    OutOfRange
        Rows do not fit each other or hold no number, a stage ends before it starts, or the picture is too narrow.
    """
    hours, rows = _checked(told_like, stages, width)
    at = _place(width, float(max(hours[-1], *(end for _, _, end in stages), 0.0)))
    draw = Drawing(width, 1, dark=dark, key="history")
    draw.rect(0, 0, 1, 1, "plate")  # the ground is laid last, when the height is known
    y = 16.0
    size = 26 if at.phone else 30
    for line in _broken(title, at.width - 2 * _edge(at), size, "figure"):
        y += size
        draw.text(_edge(at), y, line, size, figure=True, bold=True)
        y += 4
    y = _stage_bars(draw, at, stages, y + 14)
    bounds = sorted({h for _, start, end in stages for h in (start, end) if 0 < h < at.end_h})
    for panel in _panels(rows, dark):
        y = foot = _draw_panel(draw, at, hours, panel, bounds, y)
        if panel.key == "salt" and forecast and forecast.earliest_h <= at.end_h:
            y = _haze(draw, at, forecast, y)
    y = _day_names(draw, at, foot)
    ready = _ready_words(forecast, at.end_h) if forecast else ""
    y = _foot(draw, at, ready, rows["nitrite_core"].max() > 0, y)
    draw.height = math.ceil(y + 14)
    draw.parts[0] = f'<rect x="0" y="0" width="{width}" height="{draw.height}" fill="{draw.ink["plate"]}"/>'
    return draw.render(f"{title}: salt, weight and nitrite against days", _said(hours, rows, stages, ready))


def history_html(
    told_like: HistoryLike, *, title: str, stages: Sequence[Named], forecast: Forecast | None = None, dark: bool = False
) -> str:
    """One page with the picture for a wide screen, another for a phone, and the table of stages behind them."""
    wide, narrow = (
        history_svg(told_like, title=title, stages=stages, forecast=forecast, dark=dark, width=w) for w in (1000, 390)
    )
    hours, rows = _checked(told_like, stages, 1000)
    both = (
        f"<style>.on-phone{{display:none}}@media(max-width:{PHONE}px){{.on-desk{{display:none}}.on-phone{{display:block}}}}</style>"
        f'<div class="on-desk">{wide}</div><div class="on-phone">{narrow}</div>'
    )
    head = ("after stage", "at", "core, g/100 g", "whole, g/100 g", "weight, %", "nitrite in the core, mg/kg")
    table = [
        (name, show_hours(end), *(_told(_at(hours, rows[k], end), signed=k == "change_pct", ranged=True)
                                  for k in ("core", "mean", "change_pct", "nitrite_core")))
        for name, _, end in stages
    ]  # fmt: skip
    return chart_html(both, title="Cure forecast", head=head, rows=table, dark=dark)


# -- what is given -----------------------------------------------------------------------------------------------------


def _checked(told: HistoryLike, stages: Sequence[Named], width: float) -> tuple[Floats, dict[str, Floats]]:
    """Times and bands as arrays, shape (n,) and (3, n), or OutOfRange with what does not fit."""
    if width < LEAST_WIDTH:
        raise OutOfRange(f"A picture {width} px wide has no room.", field="width", value=f"{width} px",
                         limit=f"{LEAST_WIDTH} px and more", remedy=f"Take {LEAST_WIDTH} px or more.")  # fmt: skip
    hours = np.asarray(told.hours, float)
    if (
        hours.ndim != 1
        or len(hours) < 2
        or not np.isfinite(hours).all()
        or (np.diff(hours) < 0).any()
        or hours[-1] <= 0
    ):
        raise OutOfRange("The hours are no line of time.", field="hours", value=hours.shape,
                         limit="two and more, rising", remedy="Give a history that lasts some time.")  # fmt: skip
    rows = {}
    for name in ("core", "mean", "surface", "change_pct", "nitrite_core"):
        band = np.asarray(getattr(told, name), float)
        if band.shape != (3, len(hours)) or not np.isfinite(band).all():
            raise OutOfRange(
                f"{name} of shape {band.shape} does not fit {len(hours)} times, or holds what is no number.", field=name,
                value=band.shape, limit=(3, len(hours)), remedy="Give rows at 5, 50 and 95 %, one number a time.",
            )  # fmt: skip
        rows[name] = band
    for i, (name, start, end) in enumerate(stages):
        if not 0 <= start <= end < math.inf:
            raise OutOfRange(f"stage[{i}] ({name}) is from {start:g} to {end:g} h.", field=f"stage[{i}]", value=f"{end:g} h",
                             limit=f"{start:g} h and later", remedy="Let it end after it starts.")  # fmt: skip
    return hours, rows


def _place(width: float, end_h: float) -> _Place:
    if width < PHONE:
        return _Place(width, 50, width - 16, 16, 14, 20, (190, 140, 140), True, end_h)
    return _Place(width, 84, width - 170, 18, 16, 22, (220, 160, 160), False, end_h)


def _edge(at: _Place) -> float:
    return 16.0 if at.phone else 24.0


# -- stages ------------------------------------------------------------------------------------------------------------


def _stage_bars(draw: Drawing, at: _Place, stages: Sequence[Named], y: float) -> float:
    """Bars of all stages and their names; returns the foot of the bars."""
    spans = [(clean(n), at.x(s), max(at.x(e), at.x(s) + MIN_BAR_PX), _lasting(e - s)) for n, s, e in stages]
    inside, above, listed = _names(at, spans)
    for line in _broken(", ".join(listed), at.width - 2 * _edge(at), at.words, "text") if listed else []:
        draw.text(_edge(at), y + at.words, line, at.words, fill="ash")
        y += at.words + 6
    y += 4 if listed else 0
    top = y + (at.words + 22 if above else 4)
    high = 30.0
    for text, middle, left, wide in above:
        draw.text(left, y + at.words, text, at.words)
        knee = min(max(middle, left + 4), left + wide - 4)
        draw.path(
            f"M{knee:.2f} {y + at.words + 6:.2f}L{middle:.2f} {top - 4:.2f}V{top:.2f}", "wire", 1.4, what="leader"
        )
    for i in sorted(
        range(len(spans)), key=lambda i: spans[i][1] - spans[i][2]
    ):  # short ones on top, or a rinse is lost
        name, x0, x1, _ = spans[i]
        kind = "ember" if name in _HANDS else "beet" if name == "smoke" else "brine_pale"
        draw.rect(x0, top, max(x1 - x0 - (1.6 if x1 - x0 > 8 else 0), MIN_BAR_PX), high, kind, what="stage")
        if inside[i]:
            draw.text(x0 + 7, top + 21, inside[i], at.words, fill="smoke" if kind == "brine_pale" else "plate")
    return top + high


def _names(
    at: _Place, spans: Sequence[tuple[str, float, float, str]]
) -> tuple[list[str], list[tuple[str, float, float, float]], list[str]]:
    """Names in bars, names above (text, middle of the bar, left, width), and a list of what is only numbered."""
    inside = []
    for name, x0, x1, lasts in spans:
        fits = [t for t in (f"{name} {lasts}".strip(), name) if set_width(t, at.words) + 14 <= x1 - x0]
        inside.append(fits[0] if fits else "")
    short = [(s, (s[1] + s[2]) / 2) for s, text in zip(spans, inside, strict=True) if not text]
    low, high = _edge(at), at.width - _edge(at)
    for texts in ([f"{s[0]} {s[3]}".strip() for s, _ in short], [s[0] for s, _ in short]):
        wide = [set_width(t, at.words) for t in texts]
        left = spread([m - w / 2 for (_, m), w in zip(short, wide, strict=True)], wide, low, high, gap=10)
        if left is not None:
            return inside, [(t, m, x, w) for t, (_, m), x, w in zip(texts, short, left, wide, strict=True)], []
    groups = [[n] for n in range(len(short))]
    while True:  # numbers, those that have no room shared by neighbours
        texts = [f"{g[0] + 1}" if len(g) == 1 else f"{g[0] + 1} to {g[-1] + 1}" for g in groups]
        wide = [set_width(t, at.words) for t in texts]
        middle = [sum(short[n][1] for n in g) / len(g) for g in groups]
        left = spread([m - w / 2 for m, w in zip(middle, wide, strict=True)], wide, low, high, gap=8)
        if left is not None:
            listed = [f"{n + 1} {s[0]} {s[3]}".strip().replace(" ", _TIE) for n, (s, _) in enumerate(short)]
            return inside, list(zip(texts, middle, left, wide, strict=True)), listed
        near = min(
            range(len(groups) - 1), key=lambda i: (len(groups[i]) + len(groups[i + 1]), middle[i + 1] - middle[i])
        )
        groups[near : near + 2] = [groups[near] + groups[near + 1]]


def _lasting(hours: float) -> str:
    """How long a stage lasts; empty for one of no length."""
    return show_hours(hours) if hours >= 1 / 60 else ""


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


# -- panels ------------------------------------------------------------------------------------------------------------


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
class _Panel:
    """One panel: what is drawn, between which values."""

    key: str
    heading: str
    unit: str
    lines: tuple[_Line, ...]
    low: float
    high: float
    signed: bool = False


def _panels(rows: dict[str, Floats], dark: bool) -> list[_Panel]:
    """Salt, weight, and nitrite where there is some."""
    series = [night if dark else light for _, light, night, _ in SERIES]
    core, whole, surface, change, nitrite = (rows[k] for k in ("core", "mean", "surface", "change_pct", "nitrite_core"))
    inside = max(float(core.max()), float(whole[1].max()))
    salt = (
        _Line("core", core, series[0], _DOTS, 4, True, series[0]),
        _Line("whole", whole, series[2], SERIES[2][3], 3, False, series[2]),
        _Line("surface", surface, series[1], "", 2.4, False, "ember"),
    )
    low, high = min(0.0, float(change.min())), max(0.0, float(change.max()))
    room = 0.07 * (high - low) or 1.0
    found = [
        _Panel("salt", "Salt", "g per 100 g", salt, 0.0, min(1.06 * max(inside, float(surface[1].max())), _OVERHEAD * inside) or 1.0),
        _Panel("weight", "Weight against green weight", "%", (_Line("weight", change, "smoke", _DOTS, 3.2, True, "smoke"),),
               low - room * (low < 0), high + room, signed=True),
    ]  # fmt: skip
    if nitrite.max() > 0:
        lines = (_Line("nitrite", nitrite, "smoke", _DOTS, 3.2, True, "smoke"),)
        found.append(_Panel("nitrite", "Nitrite in the core", "mg/kg", lines, 0.0, 1.08 * float(nitrite.max())))
    return found


def _draw_panel(draw: Drawing, at: _Place, hours: Floats, panel: _Panel, bounds: Sequence[float], y: float) -> float:
    """Heading, grid, band and lines from ``y`` down; returns the foot of the panel."""
    y += 26 + at.head
    draw.text(_edge(at), y, panel.heading, at.head, figure=True, bold=True)
    draw.text(_edge(at) + set_width(panel.heading, at.head, "figure") + 10, y, panel.unit, at.words, fill="ash")
    if at.phone:
        y = _keys(draw, at, panel, y)
    top = y + (14 if at.phone else 18)
    foot = top + at.tall[("salt", "weight", "nitrite").index(panel.key)]

    def down(value: float) -> float:
        return foot - (foot - top) * (value - panel.low) / (panel.high - panel.low)

    for value in ticks(panel.low, panel.high, max(2, round((foot - top) / 42))):
        draw.line(at.left, down(value), at.right, down(value), "hair", 1, what="grid")
        draw.text(
            at.left - 9, down(value) + 0.35 * at.tick, _number(value, panel.signed), at.tick, anchor="end", fill="ash"
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


def _says_top(draw: Drawing, at: _Place, line: _Line, runs: list[Points], top: float, others: list[Points]) -> None:
    """How far a line goes that leaves the panel, beside a place where it does and no line is under the words."""
    words = f"{line.name} up to {_number(float(line.rows[1].max()))}"
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


def _keys(draw: Drawing, at: _Place, panel: _Panel, y: float) -> float:
    """On a phone: what each line is and where it ends, in rows over the panel; returns the last baseline."""
    x, y = _edge(at), y + 24
    for n, line in enumerate(panel.lines):
        text = f"{line.name if len(panel.lines) > 1 else 'at the end'} {_told(line.rows[:, -1], signed=panel.signed, ranged=line.banded)}"
        if float(line.rows[1].max()) > panel.high:
            text += f", up to {_number(float(line.rows[1].max()))}"
        wide = 34 + set_width(text, at.words)
        if n and x + wide > at.width - _edge(at):
            x, y = _edge(at), y + 23
        draw.line(x, y - 5, x + 26, y - 5, line.colour, line.thick, dash=line.dash)
        draw.text(x + 34, y, text, at.words, halo=4)
        x += wide + 16
    return y


def _end_names(
    draw: Drawing, at: _Place, panel: _Panel, down: Callable[[float], float], top: float, foot: float
) -> None:
    """Names and values at the ends of the lines, moved apart where they would touch; a range under its value."""
    lines = sorted(panel.lines, key=lambda line: down(line.rows[1, -1]))
    sizes = [at.words * (2.3 if line.banded else 1.2) for line in lines]
    wanted = [min(max(down(line.rows[1, -1]), top), foot) - 0.6 * at.words for line in lines]
    for line, y in zip(lines, spread(wanted, sizes, top - 12, foot + 12) or wanted, strict=True):
        told = _told(line.rows[:, -1], signed=panel.signed)
        words = f"{line.name} {told}" if len(lines) > 1 else f"{told} {panel.unit}"
        draw.text(at.right + 12, y + at.words, words, at.words, fill=line.ink, bold=True, halo=4)
        if line.banded:
            spanned = _told(line.rows[:, -1], signed=panel.signed, ranged=True).partition("(")[2].rstrip(")")
            if spanned:
                draw.text(at.right + 12, y + 2.1 * at.words, spanned, at.tick, fill="ash", halo=4)


def _haze(draw: Drawing, at: _Place, forecast: Forecast, foot: float) -> float:
    """When the core is ready, under the axis of the salt; what falls after the end is not drawn. Returns its foot."""
    early, likely, late = at.x(forecast.earliest_h), forecast.likely_h, forecast.latest_h
    top, foot = foot + 8, foot + 24
    word, right = "ready", early
    if late <= at.end_h:
        right = at.x(late)
        wide = max(1.0, right - early)
        draw.haze(early, top, wide, foot - top, (at.x(likely) - early) / wide)
        draw.path(f"M{right - 6:.2f} {top:.2f}H{right:.2f}V{foot:.2f}H{right - 6:.2f}", "smoke", 2, what="bracket")
    else:
        word = "ready at the earliest"
    draw.path(f"M{early + 6:.2f} {top:.2f}H{early:.2f}V{foot:.2f}H{early + 6:.2f}", "smoke", 2, what="bracket")
    if likely <= at.end_h:
        draw.line(at.x(likely), top - 4, at.x(likely), foot + 4, "smoke", 3, what="likely")
        right = max(right, at.x(likely))
    fits = right + 12 + set_width(word, at.words) <= at.width - _edge(at)
    draw.text(right + 12 if fits else early - 8, foot - 2, word, at.words, anchor="start" if fits else "end")
    return foot


def _day_names(draw: Drawing, at: _Place, foot: float) -> float:
    """The axis under the last panel: days, or hours where all is over in two; returns its foot."""
    per, word = (24.0, "days") if at.end_h > 48 else (1.0, "hours")
    about = max(3, round((at.right - at.left) / 84))
    draw.line(at.left, foot, at.right, foot, "wire", 1.6)
    y = foot + 12 + at.tick
    for mark in (t for t in ticks(0, at.end_h / per, about) if per == 1 or t == int(t)):
        draw.line(at.x(mark * per), foot, at.x(mark * per), foot + 7, "wire", 1.6)
        told = f"{word[:-1]} 0" if at.phone and mark == 0 else figure(mark)
        draw.text(at.x(mark * per), y, told, at.tick, anchor="middle", fill="ash")
    if not at.phone:
        draw.text(at.right + 12, y, word, at.tick, fill="ash")
    return y


def _foot(draw: Drawing, at: _Place, ready: str, nitrite: bool, y: float) -> float:
    """The sentence of the window, then what the band is."""
    x = _edge(at)
    y += 12
    none = "" if nitrite else "No nitrite in these stages."
    for text, fill in ((ready, "smoke"), (none, "ash")):
        for line in _broken(text, at.width - 2 * x, at.words, "text") if text else []:
            y += at.words + 7
            draw.text(x, y, line, at.words, fill=fill)
    y += at.words + 10
    draw.path(f"M{x:.2f} {y - 13:.2f}h30v16h-30Z", "smoke", 0, fill="smoke", opacity=0.16)
    draw.line(x, y - 5, x + 30, y - 5, "smoke", 3.2, dash=_DOTS)
    words = _broken(f"5 to 95{_TIE}% of pieces, and the middle", at.width - 2 * x - 38, at.words, "text")
    for n, line in enumerate(words):
        y += (at.words + 5) * (n > 0)
        draw.text(x + 38, y, line, at.words, fill="ash")
    return y


# -- words -------------------------------------------------------------------------------------------------------------


def _ready_words(forecast: Forecast, end_h: float) -> str:
    """What is not in the numbers, then the window."""
    early, likely, late = (_tied(h) for h in (forecast.earliest_h, forecast.likely_h, forecast.latest_h))
    outside = f"Not in these numbers: {'; '.join(forecast.not_in_it)}. " if forecast.not_in_it else ""
    what = re.sub(r"(\d) ?%", f"\\1{_TIE}%", clean(forecast.what))
    what = what[:1].upper() + what[1:]
    if forecast.latest_h <= end_h:
        return f"{outside}{what} between {early} and {late}, most likely after {likely}."
    if forecast.earliest_h > end_h:
        return f"{outside}{what}: not within these stages."
    grains = forecast.quantiles_h
    by_end = f" By the end of these stages {sum(q <= end_h for q in grains)} of {len(grains)} do." if grains else ""
    return f"{outside}{what}: after {early} at the earliest (5{_TIE}%).{by_end}"


def _tied(hours: float) -> str:
    """A time that is not broken over two lines; empty where it is never."""
    return show_hours(hours).replace(" ", _TIE) if math.isfinite(hours) else ""


def _number(value: float, signed: bool = False, digits: int | None = None) -> str:
    """A number with a true minus, and a plus where signs are told; zero has none."""
    text = figure(abs(value)) if digits is None else f"{abs(value):,.{digits}f}"
    if not text.strip("0.,"):
        return "0"
    return (_MINUS if value < 0 else "+" if signed else "") + text


def _told(band: Floats, *, signed: bool = False, ranged: bool = False) -> str:
    """The likely value, no finer than its spread bears; with its range where asked."""
    low, likely, high = (float(v) for v in band)
    wide = high - low
    digits = min(3, max(0, -math.floor(math.log10(wide / 5)))) if wide > 0 else None
    told = [_number(v, signed, digits) for v in (low, likely, high)]
    return f"{told[1]} ({told[0]} to {told[2]})" if ranged and told[0] != told[2] else told[1]


def _at(hours: Floats, rows: Floats, hour: float) -> Floats:
    """A band at one hour, on straight lines. Shape (3,)."""
    return np.array([np.interp(hour, hours, row) for row in rows])


def _broken(text: str, room: float, size: float, face: str) -> list[str]:
    """Lines that fit, broken at spaces."""
    found: list[str] = []
    for word in clean(text).split(" "):
        if found and set_width(f"{found[-1]} {word}", size, face) <= room:
            found[-1] += f" {word}"
        else:
            found.append(word)
    return found


def _said(hours: Floats, rows: dict[str, Floats], stages: Sequence[Named], ready: str) -> str:
    """The picture in words: what each stage leaves."""
    told = []
    for name, _, end in stages:
        core, whole, surface, change, nitrite = (
            _told(_at(hours, rows[k], end), signed=k == "change_pct", ranged=k == "core")
            for k in ("core", "mean", "surface", "change_pct", "nitrite_core")
        )
        told.append(
            f"after {clean(name)}, {show_hours(end)}: core {core}, whole {whole}, surface {surface} g per 100 g, "
            f"weight {change} %, nitrite {nitrite} mg/kg"
        )
    return f"{'; '.join(told)}. {ready}".strip()


__all__ = ["HistoryLike", "history_html", "history_svg"]
