"""The days ahead as a picture: a row for each part and batch that is at work in them, drawn as the plan's picture is."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from ingle.faces.drawing import Drawing
from ingle.faces.events import events
from ingle.faces.timeline import panel
from ingle.faces.timeline_frame import keys
from ingle.faces.timeline_scale import Scale, Sizes
from ingle.faces.words import clock, day_month, moment, span
from ingle.planning.plan import Plan, PlanStep

COUNT = 7  # days


def week_svg(plan: Plan, first: date, *, now: datetime | None = None, dark: bool = False, width: int = 1200) -> str:
    """Seven days of a plan from ``first`` on as one SVG; "" where nothing lies in them. ``now`` adds the line of the present."""
    shown = [first + timedelta(days=n) for n in range(COUNT)]
    if not any(_within(s, shown) for s in plan.steps):
        return ""
    size = Sizes(width)
    draw = Drawing(width, 1, dark=dark, key="ahead")
    draw.rect(0, 0, 1, 1, "plate")  # the ground is laid last, when the height is known
    scale = Scale(shown, size.left, float(width - size.right), plan.at)
    y = panel(draw, plan, scale, size, 8.0, now, empty=False)
    draw.height = keys(draw, scale, size, y)
    draw.parts[0] = f'<rect x="0" y="0" width="{width}" height="{draw.height:g}" fill="{draw.ink["plate"]}"/>'
    return draw.render(f"The week from {day_month(first)} to {day_month(shown[-1])}, one row a part", _listed(plan, shown))


def _within(step: PlanStep, shown: list[date]) -> bool:
    last = max(step.end, step.ready[2]) if step.ready else step.end
    return step.start.date() <= shown[-1] and last.date() >= shown[0]


def _listed(plan: Plan, shown: list[date]) -> str:
    """The same in words: what hands do, and what goes on by itself."""
    hands = [f"{day_month(e.start)} {clock(e.start)} {e.verb}, {span(e.minutes)}" for e in events(plan) if shown[0] <= e.start.date() <= shown[-1]]
    goes = [f"{s.name} until {moment(s.end)}" for s in plan.steps if s.kind in ("waits", "smoke") and s.start.date() <= shown[0] <= s.end.date()]
    return "; ".join([*hands, *goes]) + "."
