"""The plan as a picture: parts in serving order down, days across, followable from three metres.

A plan of up to eight days has days of one width. A longer one is drawn on two scales with one break between them: the
last three days, in which most hands fall, three times as wide as all days before, which are equal among each other. One
break is read at a glance where a width for every day would have to be read day by day, and no day is left out, because
a day of waiting is what the cook wants to see.
"""

from __future__ import annotations

from datetime import date, datetime

from ingle.faces.curves import chart_html, cure_chart_svg
from ingle.faces.drawing import Drawing, path_data, png
from ingle.faces.events import Event, days, events, events_of, kept, lane_names, lanes
from ingle.faces.words import DAYS, MONTHS, clock, day_month, span
from ingle.planning.plan import Plan, PlanStep

__all__ = ["chart_html", "cure_chart_svg", "timeline_png", "timeline_svg"]

EQUAL_UP_TO = 8  # days
WIDE_DAYS, WIDE = 3, 3.0
PANEL_DAYS = 6
MIN_HANDS_PX = 3.0
GAP_PX = 1.6


class _Scale:
    """Days to pixels, by the wall clock."""

    def __init__(self, shown: list[date], left: float, right: float, end: datetime):
        self.days = shown
        weights = [1.0] * len(shown)
        self.broken = len(shown) > EQUAL_UP_TO
        last_part = _share_drawn(end) if end.date() == shown[-1] else 1.0
        if self.broken:
            weights[-WIDE_DAYS:] = [WIDE] * WIDE_DAYS
        self.full = list(weights)
        weights[-1] *= last_part
        unit = (right - left) / sum(weights)
        self.widths = [w * unit for w in self.full]
        self.starts = [left + sum(weights[:i]) * unit for i in range(len(shown))]
        self.right = right

    def x(self, at: datetime) -> float:
        """Pixel of a moment, held inside the days that are shown."""
        return min(self.right, max(self.starts[0], self.beyond(at)))

    def beyond(self, at: datetime) -> float:
        """Pixel of a moment; outside the days shown it runs on at the width of the nearest day."""
        i = (at.date() - self.days[0]).days
        near = min(max(i, 0), len(self.days) - 1)
        return self.starts[near] + (i - near + (at.hour * 60 + at.minute) / 1440) * self.widths[near]


def _share_drawn(table: datetime) -> float:
    """Share of the table's day that is drawn: the evening after it is left out."""
    return min(1.0, (table.hour * 60 + table.minute + 100) / 1440)


class _Sizes:
    """Sizes for a wall or laptop picture, and for one as narrow as a phone."""

    def __init__(self, width: float):
        self.big = big = width >= 900
        self.label, self.sub, self.head, self.title, self.key = (38, 18, 28, 50, 20) if big else (17, 0, 16, 26, 16)
        self.left, self.right, self.row, self.lane, self.bar, self.thin = (
            (206, 40, 84, 56, 40, 13) if big else (88, 14, 36, 28, 20, 7)
        )
        self.top = 110 if big else 78  # of the first panel
        self.heads = 84 if big else 64


def timeline_svg(plan: Plan, *, dark: bool = False, width: int = 1600, now: datetime | None = None) -> str:
    """The whole plan as one SVG; ``now`` adds the line of the present.

    Every attended stretch is a bar of its own, at least 3 px wide; where two would touch, one is moved aside by a pixel or
    two. Under 900 px (a phone) a long plan is drawn as panels of a few days under each other instead of one with two
    scales: bars of 3 px would fill days of 10 px. The list of all stretches is the picture's description.
    """
    size = _Sizes(width)
    shown = days(plan)
    a_panel = len(shown) if size.big or len(shown) <= EQUAL_UP_TO else PANEL_DAYS
    head = len(shown) % a_panel
    spans = ([shown[:head]] if head else []) + [shown[i : i + a_panel] for i in range(head, len(shown), a_panel)]
    draw = Drawing(width, 1, dark=dark, key="week")
    draw.rect(0, 0, 1, 1, "plate")  # the ground is laid last, when the height is known
    _title(draw, plan, size)
    y = float(size.top)
    for span_days in spans:
        right = float(width - size.right)
        if len(spans) > 1:  # all panels on one scale
            count = len(span_days) - (1 - _share_drawn(plan.at) if plan.at.date() == span_days[-1] else 0)
            right = size.left + (right - size.left) * count / a_panel
        scale = _Scale(span_days, size.left, right, plan.at)
        y = _panel(draw, plan, scale, size, y, now)
    draw.height = _keys(draw, scale, size, y)
    draw.parts[0] = f'<rect x="0" y="0" width="{width}" height="{draw.height:g}" fill="{draw.ink["plate"]}"/>'
    told = f"{plan.name}: {plan.plates} plates, {day_month(plan.at)} {clock(plan.at)}, from {day_month(shown[0])} on, one row a part"
    return draw.render(told, _listed(plan))


def _panel(draw: Drawing, plan: Plan, scale: _Scale, size: _Sizes, y: float, now: datetime | None) -> float:
    """One run of days with its heads and rows, from ``y`` down; returns where the next may begin."""
    rows = []
    for part in plan.parts:
        whole = lanes([s for s in plan.steps if s.part == part.key])
        lines = [
            [s for s in lane if _last(s).date() >= scale.days[0] and s.start.date() <= scale.days[-1]] for lane in whole
        ]
        lines = [lane for lane in lines if lane]
        if lines or size.big:
            rows.append((part, lines or [[]]))
    tall = [size.row + size.lane * (len(lines) - 1) for _, lines in rows]
    top = y + size.heads
    foot = top + sum(tall)
    _heads(draw, scale, size, top, foot)
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
            _lane(draw, plan, scale, size, lane, middle)
        places[part.key] = (y + size.row / 2, y + size.row / 2 + size.lane * (len(lines) - 1))
        y += high
    _twine(draw, plan, scale, size, places)
    if plan.at.date() in scale.days:
        _table(draw, plan, scale, size, top, foot)
    if now is not None and now.date() in scale.days:
        x = scale.x(now)
        draw.line(x, top - 6, x, foot, "twine", 3, what="now")
        draw.circle(x, foot, 6, "twine")
        draw.text(x, foot + size.key + 14, "now", size.key, fill="twine", anchor="middle", bold=True, halo=4)
    return foot + (70 if size.big else 40 if plan.at.date() in scale.days else 14)


def _last(step: PlanStep) -> datetime:
    """The last moment a step is drawn at: its end, or where its forecast may still fall."""
    return max(step.end, step.ready[2]) if step.ready else step.end


def _title(draw: Drawing, plan: Plan, size: _Sizes) -> None:
    draw.text(size.left if size.big else 12, size.title + 12, plan.name, size.title, figure=True, bold=True)
    told = f"{plan.plates} plates, {day_month(plan.at)}, {clock(plan.at)}"
    if size.big:
        draw.text(draw.width - size.right, size.title + 12, told, 38, fill="rim", anchor="end", figure=True, bold=True)
    else:
        draw.text(12, size.title + 38, told, 19, fill="rim", figure=True, bold=True)


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


def _heads(draw: Drawing, scale: _Scale, size: _Sizes, top: float, foot: float) -> None:
    for i, (day, x, wide) in enumerate(zip(scale.days, scale.starts, scale.widths, strict=True)):
        stop = min(scale.right, x + wide)
        for begin, end in ((0, 6), (22, 24)):
            a, b = x + wide * begin / 24, min(scale.right, x + wide * end / 24)
            if b > a:
                draw.rect(a, top, b - a, foot - top, "night", what="night")
        draw.line(x, top - 8, x, top, "wire", 1)
        middle = (x + stop) / 2
        weekend = day.weekday() >= 5
        if wide >= 26:
            name = DAYS[day.weekday()] if wide >= size.head * 1.25 else DAYS[day.weekday()][0]
            ink = "smoke" if weekend else "ash"
            draw.text(
                middle,
                top - size.head - 20,
                name,
                size.head * 0.86,
                anchor="middle",
                figure=True,
                bold=weekend,
                fill=ink,
            )
        if wide >= 20 or day.weekday() == 0 or i == len(scale.days) - 1:
            draw.text(middle, top - 14, str(day.day), size.head, anchor="middle", figure=True, bold=True)
        if i == 0 or day.day == 1:
            draw.text(x + 2, top - 2 * size.head - 20, MONTHS[day.month - 1], size.head * 0.86, fill="ash", figure=True)
    draw.line(size.left, top, scale.right, top, "wire", 2)
    if scale.broken:
        x = scale.starts[-WIDE_DAYS]
        for y in (top, foot):
            gap = path_data([(x - 11, y + 12), (x - 3, y - 12), (x + 7, y - 12), (x - 1, y + 12)], close=True)
            draw.path(gap, "plate", 0, fill="plate", what="break")
            for shift in (-11, -1):
                draw.line(x + shift, y + 12, x + shift + 8, y - 12, "smoke", 2)


def _dots(draw: Drawing, a: float, b: float, middle: float, size: _Sizes) -> None:
    """What keeps between two steps."""
    count = max(1, int((b - a) // (9 if size.big else 6)))
    for i in range(count):
        draw.circle(a + (b - a) * (i + 0.5) / count, middle, 2.3 if size.big else 1.4, "wire", what="keeps")


def _lane(draw: Drawing, plan: Plan, scale: _Scale, size: _Sizes, lane: list[PlanStep], middle: float) -> None:
    high, thin = size.bar, size.thin
    for begin, end in kept(lane):
        if end.date() >= scale.days[0]:
            _dots(draw, scale.x(begin), scale.x(end), middle, size)
    for step in lane:
        a, b = scale.x(step.start), scale.x(step.end)
        if step.end.date() < scale.days[0]:
            continue  # only its forecast reaches into these days
        if step.kind == "smoke":
            over = high * 0.2  # stands out above and below the hands, which would cover it
            draw.rect(a, middle - high / 2 - over, max(MIN_HANDS_PX, b - a), high + 2 * over, "beet", what="smoke")
        elif step.kind == "keeps":
            _dots(draw, a, b, middle, size)
        elif b > a:
            draw.rect(
                a,
                middle - thin / 2,
                b - a,
                thin,
                "brine_pale",
                edge="brine",
                edge_width=1.4 if size.big else 1,
                what="waits",
            )
    for step in lane:
        if step.ready:
            early, likely, late = (scale.beyond(t) for t in step.ready)
            wide, tall = max(1.0, late - early), high + 4
            draw.haze(
                early, middle - tall / 2, wide, tall, (likely - early) / wide, between=(scale.starts[0], scale.right)
            )
            hook = 7 if size.big else 4
            for x, turn in ((early, hook), (late, -hook)):
                if scale.starts[0] <= x <= scale.right:
                    draw.path(
                        f"M{x + turn:g} {middle - tall / 2:g}H{x:g}V{middle + tall / 2:g}H{x + turn:g}",
                        "smoke",
                        2,
                        what="bracket",
                    )
            if scale.starts[0] <= likely <= scale.right:
                draw.line(likely, middle - tall / 2 - 4, likely, middle + tall / 2 + 4, "smoke", 3, what="likely")
    shown = [e for s in lane for e in events_of(s) if scale.days[0] <= e.start.date() <= scale.days[-1]]
    for x, wide in _bars(plan, scale, sorted(shown, key=lambda e: (e.start.timestamp(), e.id))):
        draw.rect(x - 1, middle - high / 2, wide + 2, high, "plate")
        draw.rect(x, middle - high / 2, wide, high, "ember", what="hands")


def _bars(plan: Plan, scale: _Scale, found: list[Event]) -> list[tuple[float, float]]:
    """Left edge and width of each bar: at least 3 px, none touching, none over the line of the table it comes before."""
    widths = [max(MIN_HANDS_PX, scale.x(e.end) - scale.x(e.start)) for e in found]
    lefts: list[float] = []
    for event, _ in zip(found, widths, strict=True):
        free = lefts[-1] + widths[len(lefts) - 1] + GAP_PX if lefts else scale.starts[0]
        lefts.append(max(scale.x(event.start), free))
    bound = scale.right
    for i in range(len(found) - 1, -1, -1):
        if found[i].end <= plan.at:
            bound = min(bound, scale.x(plan.at) - 4)
        lefts[i] = min(lefts[i], bound - widths[i])
        bound = lefts[i] - GAP_PX
    return list(zip(lefts, widths, strict=True))


def _twine(draw: Drawing, plan: Plan, scale: _Scale, size: _Sizes, places: dict[str, tuple[float, float]]) -> None:
    named: set[str] = set()
    for flow in plan.flows:
        if not flow.to_part or not flow.made or not flow.used:
            continue
        ends = [(flow.made, flow.from_part), (flow.used, flow.to_part)]
        here = [(at, part) for at, part in ends if at.date() in scale.days and part in places]
        if len(here) == 1:  # the other end lies in another panel: a knot and the name
            at, part = here[0]
            draw.circle(scale.x(at), places[part][0] - size.bar / 2 - 3, 3, "twine")
            over = scale.x(at) + 6 + len(flow.name) * size.key * 0.55 > draw.width
            side, anchor = (-6, "end") if over else (6, "start")
            top = places[part][0] - size.bar / 2 + 2
            draw.text(
                scale.x(at) + side, top, flow.name, size.key * 0.9, fill="twine", anchor=anchor, bold=True, halo=3
            )
        if len(here) < 2:
            continue
        down = places[flow.from_part][0] < places[flow.to_part][0]
        x1, y1 = scale.x(flow.made), places[flow.from_part][1 if down else 0] + (size.bar / 2 + 5) * (1 if down else -1)
        x2, y2 = scale.x(flow.used), places[flow.to_part][0 if down else 1] - (size.bar / 2 + 5) * (1 if down else -1)
        bend = (y1 + y2) / 2
        curve = f"M{x1:.1f} {y1:.1f}C{x1:.1f} {bend:.1f} {x2:.1f} {bend:.1f} {x2:.1f} {y2:.1f}"
        draw.path(curve, "plate", 6 if size.big else 4)
        draw.path(curve, "twine", 2.6 if size.big else 1.6, dash="7 4" if size.big else "5 2", what="twine")
        for x, y in ((x1, y1), (x2, y2)):
            draw.circle(x, y, 5 if size.big else 3, "twine")
        if flow.item not in named:
            named.add(flow.item)
            near_edge = x2 + 10 + len(flow.name) * size.key * 0.55 > scale.right
            draw.text((x1 + x2) / 2 + (-10 if near_edge else 10), bend + size.key * 0.36, flow.name, size.key, fill="twine",
                      anchor="end" if near_edge else "start", bold=True, halo=6)  # fmt: skip


def _table(draw: Drawing, plan: Plan, scale: _Scale, size: _Sizes, top: float, foot: float) -> None:
    x = scale.x(plan.at)
    draw.line(x, top - 6, x, foot + 8, "rim", 5 if size.big else 3, what="table")
    draw.text(min(x, draw.width - size.right) + (26 if size.big else 6), foot + size.head + 12, f"table {clock(plan.at)}", size.head, fill="rim",
              anchor="end", figure=True, bold=True)  # fmt: skip


def _keys(draw: Drawing, scale: _Scale, size: _Sizes, top: float) -> float:
    """The key under the picture; returns the height of the whole."""
    left, x, y, line = (
        (size.left if size.big else 12),
        float(size.left if size.big else 12),
        top + size.key,
        size.key * 1.9,
    )
    texts = [("hands", "hands"), ("waits", "waits"), ("smoke", "smoker"), ("keeps", "keeps"), ("haze", "may be ready, thickest where likely"),
             ("twine", "by-product moves"), ("night", "night, 22 to 06")]  # fmt: skip
    sample = size.key * 1.5
    for kind, text in texts:
        wide = sample + 10 + len(text) * size.key * 0.47 + size.key * 1.2
        if x > left and x + wide > draw.width - 12:
            x, y = float(left), y + line
        middle = y - size.key * 0.36
        if kind in ("hands", "smoke", "night"):
            colour = {"hands": "ember", "smoke": "beet", "night": "night"}[kind]
            draw.rect(
                x, middle - size.key / 2, sample, size.key, colour, edge="wire" if kind == "night" else "", edge_width=1
            )
        elif kind == "waits":
            draw.rect(x, middle - size.thin / 2, sample, size.thin, "brine_pale", edge="brine", edge_width=1.4)
        elif kind == "keeps":
            for i in range(4):
                draw.circle(x + sample * (i + 0.5) / 4, middle, 2.3 if size.big else 1.4, "wire")
        elif kind == "haze":
            draw.haze(x, middle - size.key / 2, sample, size.key, 0.5, what="")
            draw.line(x + sample / 2, middle - size.key * 0.6, x + sample / 2, middle + size.key * 0.6, "smoke", 2)
        else:
            draw.line(x, middle, x + sample, middle, "twine", 2.4, dash="7 4")
        draw.text(x + sample + 10, y, text, size.key, fill="smoke")
        x += wide
    if scale.broken:
        first = scale.days[-WIDE_DAYS]
        y += line
        draw.text(
            left,
            y,
            f"At the double stroke the scale changes: from {day_month(first)} on a day is {WIDE:g} times as wide.",
            size.key,
            fill="ash",
        )
    return y + size.key * 1.2
