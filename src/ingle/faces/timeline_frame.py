"""What stands around the rows of the plan's picture: title, days, the line of the table, and the key."""

from __future__ import annotations

from ingle.faces import setting
from ingle.faces.drawing import Drawing, path_data
from ingle.faces.timeline_scale import WIDE, WIDE_DAYS, Scale, Sizes
from ingle.faces.words import DAYS, MONTHS, clock, day_month
from ingle.planning.plan import Plan


def title(draw: Drawing, plan: Plan, size: Sizes) -> None:
    """Name, plates and hour of the meal."""
    draw.text(size.left if size.big else 12, size.title + 12, plan.name, size.title, figure=True, bold=True)
    told = f"{plan.plates} plates, {day_month(plan.at)}, {clock(plan.at)}"
    if size.big:
        draw.text(draw.width - size.right, size.title + 12, told, 38, fill="rim", anchor="end", figure=True, bold=True)
    else:
        draw.text(12, size.title + 38, told, 19, fill="rim", figure=True, bold=True)


def heads(draw: Drawing, scale: Scale, size: Sizes, top: float, foot: float) -> None:
    """Days over the rows, nights behind them, and the break where the scale changes."""
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


def table_line(draw: Drawing, plan: Plan, scale: Scale, size: Sizes, top: float, foot: float) -> None:
    """The hour of the meal through all rows."""
    x = scale.x(plan.at)
    draw.line(x, top - 6, x, foot + 8, "rim", 5 if size.big else 3, what="table")
    draw.text(min(x, draw.width - size.right) + (26 if size.big else 6), foot + size.head + 12, f"table {clock(plan.at)}", size.head, fill="rim",
              anchor="end", figure=True, bold=True)  # fmt: skip


def keys(draw: Drawing, scale: Scale, size: Sizes, top: float) -> float:
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
        wide = sample + 10 + setting.width(text, size.key) + size.key * 1.2
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
