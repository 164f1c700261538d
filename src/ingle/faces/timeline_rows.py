"""What lies in the rows of the plan's picture: hands, waits, smoke, what keeps, haze, and the twine between parts."""

from __future__ import annotations

from ingle.faces.drawing import Drawing
from ingle.faces.events import Event, events_of, kept
from ingle.faces.setting import width
from ingle.faces.timeline_scale import Scale, Sizes
from ingle.planning.plan import Plan, PlanStep

MIN_HANDS_PX = 3.0
GAP_PX = 1.6


def lane_bars(draw: Drawing, plan: Plan, scale: Scale, size: Sizes, lane: list[PlanStep], middle: float) -> None:
    """One row: what keeps, waits, smokes, and the hands on top."""
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


def _dots(draw: Drawing, a: float, b: float, middle: float, size: Sizes) -> None:
    """What keeps between two steps."""
    count = max(1, int((b - a) // (9 if size.big else 6)))
    for i in range(count):
        draw.circle(a + (b - a) * (i + 0.5) / count, middle, 2.3 if size.big else 1.4, "wire", what="keeps")


def _bars(plan: Plan, scale: Scale, found: list[Event]) -> list[tuple[float, float]]:
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


def twine(draw: Drawing, plan: Plan, scale: Scale, size: Sizes, places: dict[str, tuple[float, float]]) -> None:
    """By-products from the part that gives to the part that takes, each named once."""
    named: set[str] = set()
    knots: dict[str, list[tuple[float, str]]] = {}
    taken = [(0.0, m - size.bar / 2, draw.width, m + size.bar / 2) for m in _middles(places, size)]  # no name lies on a bar
    over = min(first for first, _ in places.values()) - size.row / 2 if places else 0.0
    taken.append((0.0, over - size.heads, draw.width, over + 2.0))  # nor on the days and their line
    for flow in plan.flows:
        if not flow.to_part or not flow.made or not flow.used:
            continue
        ends = [(flow.made, flow.from_part), (flow.used, flow.to_part)]
        here = [(at, part) for at, part in ends if at.date() in scale.days and part in places]
        if len(here) == 1:  # the other end lies in another panel: a knot, and its name with those beside it
            at, part = here[0]
            draw.circle(scale.x(at), places[part][0] - size.bar / 2 - 3, 3, "twine")
            knots.setdefault(part, []).append((scale.x(at), flow.name))
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
            x, anchor = (x1 + x2) / 2 + (-10 if near_edge else 10), "end" if near_edge else "start"
            y = _free(flow.name, x, bend + size.key * 0.36, anchor, size.key, taken)
            draw.text(x, y, flow.name, size.key, fill="twine", anchor=anchor, bold=True, halo=6)
    for part, ends_here in knots.items():
        _knot_names(draw, size, places[part][0] - size.bar / 2 - 2, sorted(ends_here), taken)


def _knot_names(draw: Drawing, size: Sizes, y: float, ends: list[tuple[float, str]], taken: list[Box]) -> None:
    """The names of twines that leave the panel at one lane; two knots that lie side by side share one line."""
    letters = size.key * 0.9
    groups: list[tuple[float, list[str]]] = []
    for x, name in ends:
        if groups and x - groups[-1][0] < len(groups[-1][1][-1]) * letters * 0.55:
            groups[-1][1].append(name)
        else:
            groups.append((x, [name]))
    for x, names in groups:
        told = ", ".join(dict.fromkeys(names))
        over = x + 6 + width(told, letters, "bold") > draw.width
        side, anchor = (-6, "end") if over else (6, "start")
        draw.text(x + side, _free(told, x + side, y, anchor, letters, taken), told, letters, fill="twine", anchor=anchor, bold=True, halo=3)


Box = tuple[float, float, float, float]  # left, top, right, bottom


def _middles(places: dict[str, tuple[float, float]], size: Sizes) -> list[float]:
    """The middle of every lane."""
    found = []
    for first, last in places.values():
        found += [first + n * size.lane for n in range(round((last - first) / size.lane) + 1)] if size.lane else [first]
    return found


def _free(name: str, x: float, y: float, anchor: str, letters: float, taken: list[Box]) -> float:
    """The nearest line to ``y`` on which a name lies on no bar and on no other name; its own place is taken then."""
    wide = width(name, letters, "bold")
    left = x - wide if anchor == "end" else x
    tries = [y + sign * n * letters / 9 for n in range(37) for sign in ((1, -1) if n else (1,))]
    boxes = [(left, at - letters * 0.8, left + wide, at + letters * 0.2) for at in tries]
    i = next((i for i, box in enumerate(boxes) if not any(_over(box, other) for other in taken)), 0)
    taken.append(boxes[i])
    return tries[i]


def _over(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
