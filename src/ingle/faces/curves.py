"""A cure as curves: salt at the core, on the whole and at the surface, against days, and when it may be ready."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from markupsafe import Markup

from ingle.faces.drawing import Drawing, path_data, ticks
from ingle.faces.grains import KEY, bin_hours, count_words, grains
from ingle.faces.pages import template
from ingle.faces.tokens import FIGURE_STACK, SERIES, TEXT_STACK, font_css, theme
from ingle.faces.words import clean, figure
from ingle.ground.things import Forecast
from ingle.ground.units import days, show_hours

WIDTH, HEIGHT = 1000, 656
_OVERHEAD = 2.4  # the surface starts at saturated brine: it may leave the chart, the core is what is looked at
_LEFT, _RIGHT, _TOP, _FOOT = 96, 150, 74, 226  # 226 leaves room for grains under the axis


def cure_chart_svg(
    hours: Sequence[float], core: Sequence[float], mean: Sequence[float], surface: Sequence[float],
    band_low: Sequence[float], band_high: Sequence[float], *, target: float | None = None, forecast: Forecast | None = None,
    unit: str = "g/100 g", title: str = "Salt in the piece", dark: bool = False, planned_h: float | None = None,
) -> str:  # fmt: skip
    """Chart of one cure.

    Parameters
    ----------
    hours : sequence of float, length n
        Times from the start of the cure. [h]
    core, mean, surface : sequence of float, length n
        The three curves. [``unit``]
    band_low, band_high : sequence of float, length n
        The core's 5 % and 95 % marks. [``unit``]
    target : float, optional
        What the core shall reach. [``unit``]
    forecast : Forecast, optional
        When it may be ready: haze, brackets and twenty grains.
    planned_h : float, optional
        The planned pull, from the start of the cure. [h]

    Raises
    ------
    ValueError
        The lists are not of one length, or hold fewer than two times.
    """
    lists = {"core": core, "mean": mean, "surface": surface, "band_low": band_low, "band_high": band_high}
    wrong = [f"{name} {len(v)}" for name, v in lists.items() if len(v) != len(hours)]
    if wrong or len(hours) < 2:
        raise ValueError(f"{len(hours)} times, but {', '.join(wrong) or 'two are needed for a curve'}")
    more = 25 * max(0, len(_left_out(forecast)) - 1) if forecast else 0
    draw = Drawing(WIDTH, HEIGHT + more if forecast else HEIGHT - 160, dark=dark, key="cure")
    inside = max(*(max(v) for name, v in lists.items() if name != "surface"), (target or 0) * 1.15)
    high = min(max(*surface, inside) * 1.06, inside * _OVERHEAD) or 1.0
    over = max(surface) > high
    right, foot = WIDTH - _RIGHT, draw.height - (_FOOT + more if forecast else _FOOT - 160)
    end = max(*hours, planned_h or 0.0, *((forecast.latest_h, *forecast.quantiles_h) if forecast else ()))

    def x(h: float) -> float:
        return _LEFT + (right - _LEFT) * min(h, end) / end

    def y(value: float) -> float:
        return foot - (foot - _TOP) * value / high

    draw.rect(0, 0, WIDTH, draw.height, "plate")
    draw.text(_LEFT - 72, 40, f"{title}, {unit}", 30, figure=True, bold=True)
    draw.text(right, 40, "grey: core, 5 to 95 %", 18, fill="ash", anchor="end")
    _axes(draw, x, y, end, high, right, foot)
    band = [(x(h), y(v)) for h, v in zip(hours, band_high, strict=True)] + [
        (x(h), y(v)) for h, v in zip(hours, band_low, strict=True)
    ][::-1]
    draw.path(path_data(band, close=True), "smoke", 0, fill="smoke", opacity=0.16, what="band")
    if target is not None:
        draw.line(_LEFT, y(target), x(hours[-1]), y(target), "rim", 2, dash="2 5", what="target")
        draw.text(_LEFT + 8, y(target) - 9, f"target {figure(target)} {unit}", 17, fill="rim", bold=True, halo=5)
    ends = []
    for (_, light, night, dash), (name, values) in zip(
        SERIES, (("core", core), ("surface", surface), ("mean", mean)), strict=False
    ):
        colour = night if dark else light
        draw.path(
            path_data(_under([(x(h), y(v)) for h, v in zip(hours, values, strict=True)], y(high))),
            colour,
            4 if name == "core" else 3,
            dash=dash,
            what=name,
        )
        ends.append((y(values[-1]), f"{name} {figure(values[-1])}", colour))
    _end_labels(draw, ends, x(hours[-1]) + 10)
    if over:
        draw.text(
            x(next(h for h, v in zip(hours, surface, strict=True) if v <= high)) + 12, _TOP + 12, f"surface from {figure(max(surface))} {unit} at the start", 17,
            fill=SERIES[1][2 if dark else 1], bold=True, halo=5,
        )  # fmt: skip
    if planned_h is not None:
        draw.line(x(planned_h), _TOP - 6, x(planned_h), foot + 8, "ember", 4, what="pull")
        draw.text(
            x(planned_h),
            _TOP - 12,
            f"pull, {show_hours(planned_h)}",
            17,
            fill="ember",
            anchor="middle",
            bold=True,
            halo=5,
        )
    told = ""
    if forecast:
        told = _ready(draw, x, foot, forecast, planned_h)
    return draw.render(
        f"{title}, {unit}, against days in the cure", _said(hours, core, mean, surface, unit, target, told)
    )


def _under(points: list[tuple[float, float]], top: float) -> list[tuple[float, float]]:
    """The part of a line below the top of the chart, cut where it crosses."""
    for i, (x, y) in enumerate(points):
        if y >= top:
            if i == 0:
                return points
            x0, y0 = points[i - 1]
            return [(x0 + (x - x0) * (top - y0) / (y - y0), top), *points[i:]]
    return points[-1:]


def _axes(draw: Drawing, x, y, end: float, high: float, right: float, foot: float) -> None:  # type: ignore[no-untyped-def]
    for value in ticks(0, high):
        draw.line(_LEFT, y(value), right, y(value), "hair", 1)
        draw.text(_LEFT - 12, y(value) + 6, figure(value), 18, anchor="end", fill="ash")
    steps = [t for t in ticks(0, days(end), 8) if t == int(t)] or [0, int(days(end))]
    for day in steps:
        draw.line(x(day * 24), foot, x(day * 24), foot + 8, "wire", 2)
        draw.text(x(day * 24), foot + 28, figure(day), 18, anchor="middle", fill="ash")
    draw.text(right + 14, foot + 28, "days", 18, fill="ash")
    draw.line(_LEFT, foot, right, foot, "wire", 2)


def _end_labels(draw: Drawing, ends: list[tuple[float, str, str]], x: float) -> None:
    """Names at the ends of the curves, moved apart where they would touch."""
    ys = [y for y, _, _ in ends]
    up = 24 * (len(ys) - 1) if max(ys) - min(ys) < 24 * (len(ys) - 1) else 0  # crowded ends stack upward, off the axis
    last = -1e9
    for y, text, colour in sorted(ends):
        last = max(y - up, last + 24)
        draw.text(x, last + 6, text, 18, fill=colour, bold=True, halo=4)


def _ready(draw: Drawing, x, foot: float, forecast: Forecast, planned_h: float | None) -> str:  # type: ignore[no-untyped-def]
    """Haze on the axis and grains under it; returns the sentence."""
    early, likely, late = x(forecast.earliest_h), x(forecast.likely_h), x(forecast.latest_h)
    wide = max(1.0, late - early)
    draw.haze(early, foot - 26, wide, 26, (likely - early) / wide)
    for at, turn in ((early, 6), (late, -6)):
        draw.path(f"M{at + turn:g} {foot - 26:g}H{at:g}V{foot:g}H{at + turn:g}", "smoke", 2, what="bracket")
    draw.line(likely, foot - 32, likely, foot + 2, "smoke", 3, what="likely")
    dots = grains(forecast, planned_h)
    if dots:
        if planned_h is not None:
            draw.line(x(planned_h), foot + 8, x(planned_h), foot + 124, "ember", 1.6, dash="4 3")
        bin_h = bin_hours(forecast)
        step = x(bin_h) - x(0)
        radius = max(3.0, min(7.0, step / 2 - 0.8))
        tall = max(d.height for d in dots) + 1
        radius = min(radius, 88 / (2 * tall))
        for d in dots:
            middle = x(bin_h * (d.bin + 0.5))
            at = foot + 122 - radius - d.height * (2 * radius + 1)
            if d.before:
                draw.circle(middle, at, radius, "brine", what="grain")
            else:
                draw.circle(middle, at, radius - 0.9, "none", edge="ember", edge_width=1.8, what="grain")
        draw.line(_LEFT, foot + 124, x(1e9), foot + 124, "wire", 1)
    told = f"Between {show_hours(forecast.earliest_h)} and {show_hours(forecast.latest_h)}, most likely {show_hours(forecast.likely_h)}."
    if dots and planned_h is not None:
        told += f" {count_words(forecast, planned_h)}."
    lines = [(line, False) for line in _left_out(forecast)]
    for i, (line, bold) in enumerate([*lines, (told, True), (KEY if dots else "", False)]):
        draw.text(_LEFT, foot + 154 + 25 * i, line, 18, bold=bold, fill="smoke" if bold else "ash")
    return " ".join([line for line, _ in lines] + [told])


def _left_out(forecast: Forecast) -> list[str]:
    """What the numbers leave out, in lines that fit the chart."""
    told = f"Not in these numbers: {'; '.join(forecast.not_in_it)}."
    return textwrap.wrap(told, 88) if forecast.not_in_it else []


def _said(hours, core, mean, surface, unit: str, target: float | None, told: str) -> str:  # type: ignore[no-untyped-def]
    """The chart in words, every few rows of its table."""
    picks = sorted({round(i * (len(hours) - 1) / 6) for i in range(7)})
    rows = "; ".join(
        f"{show_hours(hours[i])}: core {figure(core[i])}, mean {figure(mean[i])}, surface {figure(surface[i])} {unit}"
        for i in picks
    )
    aim = f" Target {figure(target)} {unit}." if target is not None else ""
    return f"{rows}.{aim} {told}".strip()


def chart_html(
    svg: str, *, title: str, head: Sequence[str] = (), rows: Sequence[Sequence[object]] = (), dark: bool = False
) -> str:
    """One HTML file with a drawing and the table behind it, fonts inside, nothing fetched."""
    return template("figure.html").render(
        title=clean(title), svg=Markup(svg), head=[clean(h) for h in head], rows=[[clean(str(c)) for c in row] for row in rows],
        ink=theme(dark), dark=dark, fonts=Markup(font_css()), text_face=Markup(TEXT_STACK), figure_face=Markup(FIGURE_STACK),
    )  # fmt: skip
