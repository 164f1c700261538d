"""The plan as a picture: parts in serving order down, days across, followable from three metres.

A plan of up to eight days has days of one width. A longer one is drawn on two scales with one break between them: the
last three days, in which most hands fall, three times as wide as all days before, which are equal among each other. One
break is read at a glance where a width for every day would have to be read day by day, and no day is left out, because
a day of waiting is what the cook wants to see.
"""

from __future__ import annotations

from datetime import datetime

from ingle.faces.curves import chart_html, cure_chart_svg
from ingle.faces.drawing import Drawing, png
from ingle.faces.events import days, events, lane_names, lanes
from ingle.faces.timeline_frame import heads, keys, table_line, title
from ingle.faces.timeline_rows import lane_bars, twine
from ingle.faces.timeline_scale import EQUAL_UP_TO, Scale, Sizes, share_drawn
from ingle.faces.words import clock, day_month, span
from ingle.planning.plan import Plan, PlanStep

__all__ = ["chart_html", "cure_chart_svg", "timeline_png", "timeline_svg"]

PANEL_DAYS = 6


def timeline_svg(plan: Plan, *, dark: bool = False, width: int = 1600, now: datetime | None = None) -> str:
    """The whole plan as one SVG; ``now`` adds the line of the present.

    Every attended stretch is a bar of its own, at least 3 px wide; where two would touch, one is moved aside by a pixel or
    two. Under 900 px (a phone) a long plan is drawn as panels of a few days under each other instead of one with two
    scales: bars of 3 px would fill days of 10 px. The list of all stretches is the picture's description.
    """
    size = Sizes(width)
    shown = days(plan)
    a_panel = len(shown) if size.big or len(shown) <= EQUAL_UP_TO else PANEL_DAYS
    head = len(shown) % a_panel
    spans = ([shown[:head]] if head else []) + [shown[i : i + a_panel] for i in range(head, len(shown), a_panel)]
    draw = Drawing(width, 1, dark=dark, key="week")
    draw.rect(0, 0, 1, 1, "plate")  # the ground is laid last, when the height is known
    title(draw, plan, size)
    y = float(size.top)
    for span_days in spans:
        right = float(width - size.right)
        if len(spans) > 1:  # all panels on one scale
            count = len(span_days) - (1 - share_drawn(plan.at) if plan.at.date() == span_days[-1] else 0)
            right = size.left + (right - size.left) * count / a_panel
        scale = Scale(span_days, size.left, right, plan.at)
        y = panel(draw, plan, scale, size, y, now, empty=size.big)
    draw.height = keys(draw, scale, size, y)
    draw.parts[0] = f'<rect x="0" y="0" width="{width}" height="{draw.height:g}" fill="{draw.ink["plate"]}"/>'
    told = f"{plan.name}: {plan.plates} plates, {day_month(plan.at)} {clock(plan.at)}, from {day_month(shown[0])} on, one row a part"
    return draw.render(told, _listed(plan))


def panel(draw: Drawing, plan: Plan, scale: Scale, size: Sizes, y: float, now: datetime | None, *, empty: bool) -> float:
    """One run of days with its heads and rows, from ``y`` down; returns where the next may begin.

    ``empty``: parts of which nothing lies in these days keep their row.
    """
    rows = []
    for part in plan.parts:
        whole = lanes([s for s in plan.steps if s.part == part.key])
        lines = [
            [s for s in lane if _last(s).date() >= scale.days[0] and s.start.date() <= scale.days[-1]] for lane in whole
        ]
        lines = [lane for lane in lines if lane]
        if lines or empty:
            rows.append((part, lines or [[]]))
    tall = [size.row + size.lane * (len(lines) - 1) for _, lines in rows]
    top = y + size.heads
    foot = top + sum(tall)
    heads(draw, scale, size, top, foot)
    places: dict[str, tuple[float, float]] = {}
    y = top
    for (part, lines), high in zip(rows, tall, strict=True):
        draw.line(12, y + high, scale.right, y + high, "hair", 1)
        base = y + high / 2 + (size.label * 0.35 if not size.sub or not part.at_table else 4)
        names = lane_names(lines)
        label_at = size.left - (18 if size.big else 8) - (26 if any(names) and size.big else 13 if any(names) else 0)
        draw.text(label_at, base, part.short, size.label, anchor="end", figure=True, bold=True)
        if size.sub and part.at_table:
            draw.text(label_at, base + size.sub + 7, part.at_table, size.sub, fill="ash", anchor="end")
        for i, lane in enumerate(lines):
            middle = y + size.row / 2 + i * size.lane
            if names[i]:
                at = size.left - (10 if size.big else 5)
                draw.text(
                    at, middle + size.head * 0.36, names[i], size.head, anchor="end", figure=True, bold=True, fill="ash"
                )
            lane_bars(draw, plan, scale, size, lane, middle)
        places[part.key] = (y + size.row / 2, y + size.row / 2 + size.lane * (len(lines) - 1))
        y += high
    twine(draw, plan, scale, size, places)
    if plan.at.date() in scale.days:
        table_line(draw, plan, scale, size, top, foot)
    if now is not None and now.date() in scale.days:
        x = scale.x(now)
        draw.line(x, top - 6, x, foot, "twine", 3, what="now")
        draw.circle(x, foot, 6, "twine")
        draw.text(x, foot + size.key + 14, "now", size.key, fill="twine", anchor="middle", bold=True, halo=4)
    named = plan.at.date() in scale.days or (now is not None and now.date() in scale.days)  # the table, or now, stands under the rows
    return foot + (70 if size.big else 40 if named else 14)


def _last(step: PlanStep) -> datetime:
    """The last moment a step is drawn at: its end, or where its forecast may still fall."""
    return max(step.end, step.ready[2]) if step.ready else step.end


def timeline_png(svg: str) -> bytes:
    """The same picture as PNG, two pixels to each of the SVG's."""
    return png(svg)


def _listed(plan: Plan) -> str:
    """The list of all attended stretches: the alternative to the picture."""
    told = (
        f"{day_month(e.start)} {clock(e.start)} {e.verb}, {span(e.minutes)}{', ' + e.cook if e.cook else ''}"
        for e in events(plan)
    )
    return "; ".join(told) + "."
