"""A history of stages as one picture: salt, weight and nitrite on one axis of days, the stages named along the top.

What is forecast is a band (5 to 95 %) along a dotted middle. A stage is a bar: pale where it waits, ember where hands work,
beet in the smoke. One too short for its name is named above, on a leader; where even that has no room, by a number.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Any, Protocol

import numpy as np

from ingle.faces.curves import chart_html
from ingle.faces.drawing import Drawing, ticks
from ingle.faces.history_panels import DOTS, PHONE, Floats, Place, draw_panel, edge, panels, place, spread, told_band
from ingle.faces.setting import width as set_width
from ingle.faces.words import clean, figure
from ingle.ground.errors import OutOfRange
from ingle.ground.things import Forecast
from ingle.ground.units import show_hours

Named = tuple[str, float, float]  # a stage: name, start and end in hours

LEAST_WIDTH = 280
MIN_BAR_PX = 3.0
_HANDS = ("rinse", "turn", "top-up", "pump", "drain")
_TIE = "\u00a0"


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
    at = place(width, float(max(hours[-1], *(end for _, _, end in stages), 0.0)))
    draw = Drawing(width, 1, dark=dark, key="history")
    draw.rect(0, 0, 1, 1, "plate")  # the ground is laid last, when the height is known
    y = 16.0
    size = 26 if at.phone else 30
    for line in _broken(title, at.width - 2 * edge(at), size, "figure"):
        y += size
        draw.text(edge(at), y, line, size, figure=True, bold=True)
        y += 4
    y = _stage_bars(draw, at, stages, y + 14)
    bounds = sorted({h for _, start, end in stages for h in (start, end) if 0 < h < at.end_h})
    for panel in panels(rows, dark):
        y = foot = draw_panel(draw, at, hours, panel, bounds, y)
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
        (name, show_hours(end), *(told_band(_at(hours, rows[k], end), signed=k == "change_pct", ranged=True)
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


# -- stages ------------------------------------------------------------------------------------------------------------


def _stage_bars(draw: Drawing, at: Place, stages: Sequence[Named], y: float) -> float:
    """Bars of all stages and their names; returns the foot of the bars."""
    spans = [(clean(n), at.x(s), max(at.x(e), at.x(s) + MIN_BAR_PX), _lasting(e - s)) for n, s, e in stages]
    inside, above, listed = _names(at, spans)
    for line in _broken(", ".join(listed), at.width - 2 * edge(at), at.words, "text") if listed else []:
        draw.text(edge(at), y + at.words, line, at.words, fill="ash")
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
    at: Place, spans: Sequence[tuple[str, float, float, str]]
) -> tuple[list[str], list[tuple[str, float, float, float]], list[str]]:
    """Names in bars, names above (text, middle of the bar, left, width), and a list of what is only numbered."""
    inside = []
    for name, x0, x1, lasts in spans:
        fits = [t for t in (f"{name} {lasts}".strip(), name) if set_width(t, at.words) + 14 <= x1 - x0]
        inside.append(fits[0] if fits else "")
    short = [(s, (s[1] + s[2]) / 2) for s, text in zip(spans, inside, strict=True) if not text]
    low, high = edge(at), at.width - edge(at)
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


# -- under the panels ----------------------------------------------------------------------------------------------------


def _haze(draw: Drawing, at: Place, forecast: Forecast, foot: float) -> float:
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
    fits = right + 12 + set_width(word, at.words) <= at.width - edge(at)
    draw.text(right + 12 if fits else early - 8, foot - 2, word, at.words, anchor="start" if fits else "end")
    return foot


def _day_names(draw: Drawing, at: Place, foot: float) -> float:
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


def _foot(draw: Drawing, at: Place, ready: str, nitrite: bool, y: float) -> float:
    """The sentence of the window, then what the band is."""
    x = edge(at)
    y += 12
    none = "" if nitrite else "No nitrite in these stages."
    for text, fill in ((ready, "smoke"), (none, "ash")):
        for line in _broken(text, at.width - 2 * x, at.words, "text") if text else []:
            y += at.words + 7
            draw.text(x, y, line, at.words, fill=fill)
    y += at.words + 10
    draw.path(f"M{x:.2f} {y - 13:.2f}h30v16h-30Z", "smoke", 0, fill="smoke", opacity=0.16)
    draw.line(x, y - 5, x + 30, y - 5, "smoke", 3.2, dash=DOTS)
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
            told_band(_at(hours, rows[k], end), signed=k == "change_pct", ranged=k == "core")
            for k in ("core", "mean", "surface", "change_pct", "nitrite_core")
        )
        told.append(
            f"after {clean(name)}, {show_hours(end)}: core {core}, whole {whole}, surface {surface} g per 100 g, "
            f"weight {change} %, nitrite {nitrite} mg/kg"
        )
    return f"{'; '.join(told)}. {ready}".strip()


__all__ = ["HistoryLike", "history_html", "history_svg"]
