"""A history of stages as one picture: salt, weight and nitrite on one axis of days, the stages named along the top.

What is forecast is a band (5 to 95 %) along a dotted middle. Stages, panels and foot are drawn by modules of their own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from ingle.faces.curves import chart_html
from ingle.faces.drawing import Drawing
from ingle.faces.history_foot import day_names, foot_words, haze
from ingle.faces.history_given import HistoryLike, Named, checked
from ingle.faces.history_panels import PHONE, draw_panel, edge, panels, place, told_band
from ingle.faces.history_stages import stage_bars
from ingle.faces.history_words import at_hour, broken, ready_words, said
from ingle.ground.things import Forecast
from ingle.ground.units import show_hours

__all__ = ["HistoryLike", "history_html", "history_svg"]


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
    hours, rows = checked(told_like, stages, width)
    at = place(width, float(max(hours[-1], *(end for _, _, end in stages), 0.0)))
    draw = Drawing(width, 1, dark=dark, key="history")
    draw.rect(0, 0, 1, 1, "plate")  # the ground is laid last, when the height is known
    y = 16.0
    size = 26 if at.phone else 30
    for line in broken(title, at.width - 2 * edge(at), size, "figure"):
        y += size
        draw.text(edge(at), y, line, size, figure=True, bold=True)
        y += 4
    y = stage_bars(draw, at, stages, y + 14)
    bounds = sorted({h for _, start, end in stages for h in (start, end) if 0 < h < at.end_h})
    for panel in panels(rows, dark):
        y = foot = draw_panel(draw, at, hours, panel, bounds, y)
        if panel.key == "salt" and forecast and forecast.earliest_h <= at.end_h:
            y = haze(draw, at, forecast, y)
    y = day_names(draw, at, foot)
    ready = ready_words(forecast, at.end_h) if forecast else ""
    y = foot_words(draw, at, ready, rows["nitrite_core"].max() > 0, y)
    draw.height = math.ceil(y + 14)
    draw.parts[0] = f'<rect x="0" y="0" width="{width}" height="{draw.height}" fill="{draw.ink["plate"]}"/>'
    return draw.render(f"{title}: salt, weight and nitrite against days", said(hours, rows, stages, ready))


def history_html(
    told_like: HistoryLike, *, title: str, stages: Sequence[Named], forecast: Forecast | None = None, dark: bool = False
) -> str:
    """One page with the picture for a wide screen, another for a phone, and the table of stages behind them."""
    wide, narrow = (
        history_svg(told_like, title=title, stages=stages, forecast=forecast, dark=dark, width=w) for w in (1000, 390)
    )
    hours, rows = checked(told_like, stages, 1000)
    both = (
        f"<style>.on-phone{{display:none}}@media(max-width:{PHONE}px){{.on-desk{{display:none}}.on-phone{{display:block}}}}</style>"
        f'<div class="on-desk">{wide}</div><div class="on-phone">{narrow}</div>'
    )
    head = ("after stage", "at", "core, g/100 g", "whole, g/100 g", "weight, %", "nitrite in the core, mg/kg")
    table = [
        (name, show_hours(end), *(told_band(at_hour(hours, rows[k], end), signed=k == "change_pct", ranged=True)
                                  for k in ("core", "mean", "change_pct", "nitrite_core")))
        for name, _, end in stages
    ]  # fmt: skip
    return chart_html(both, title="Cure forecast", head=head, rows=table, dark=dark)
