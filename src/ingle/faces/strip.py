"""The days of a plan as rows of characters: parts in serving order, one column a few hours.

A plan of six days or fewer is one strip. A longer one is cut into weeks that end with the meal, all on the same scale:
three weeks squeezed into one row would need eight hours a column, and the hours of one evening would lie on each other.
"""

from __future__ import annotations

from datetime import date, datetime

from ingle.faces.events import days, events_of, kept, lane_names, lanes
from ingle.faces.words import MONTHS, cells, cut, day, fit, pad, span, wrap
from ingle.planning.plan import Plan, PlanStep

LABEL = 10
PLAIN = {
    "hands": "#",
    "waits": "=",
    "smoke": "~",
    "keeps": ".",
    "early": "[",
    "likely": "o",
    "late": "]",
    "night": "-",
    "table": "|",
}
BLOCK = {"hands": "\u2588", "waits": "\u2500", "smoke": "\u2592", "keeps": "\u00b7", "early": "[", "likely": "o", "late": "]",
         "night": "\u2581", "table": "\u2503"}  # fmt: skip


def strip(
    plan: Plan, *, width: int = 80, unicode: bool = False, now: datetime | None = None,
    first: date | None = None, last: date | None = None,
) -> str:  # fmt: skip
    """The chart of the days, lines of at most ``width`` columns, and its key.

    ``now`` sets a mark under the last row; ``first`` and ``last`` show a part of the plan. A cell that two or more attended
    stretches of one row touch shows their number, so that none is lost.
    """
    shown = [d for d in days(plan) if (first is None or d >= first) and (last is None or d <= last)]
    a_strip = len(shown) if len(shown) <= 6 else 5
    wide = max(4, min(12, (width - LABEL - 2) // max(1, a_strip)))
    head = len(shown) % a_strip if shown else 0
    spans = ([shown[:head]] if head else []) + [shown[i : i + a_strip] for i in range(head, len(shown), a_strip or 1)]
    signs = BLOCK if unicode else PLAIN
    drawn = [_strip_of(plan, days_, wide, signs, unicode, now) for days_ in spans]
    blocks = ["\n".join(lines) for lines, _ in drawn]
    return "\n\n".join(
        [*blocks[:-1], "\n".join([*blocks[-1:], *_key(plan, signs, wide, any(c for _, c in drawn), width)])]
    )


def _cell(at: datetime, week: list[date], wide: int) -> int:
    """Cell of a moment in a week, by the wall clock; below 0 or beyond the end when it lies outside."""
    return (at.date() - week[0]).days * wide + (at.hour * 60 + at.minute) * wide // 1440


def _last_cell(end: datetime, week: list[date], wide: int) -> int:
    """Last cell a stretch touches when it ends at ``end``."""
    minutes = (end.date() - week[0]).days * 1440 + end.hour * 60 + end.minute
    return (minutes * wide - 1) // 1440


def _strip_of(
    plan: Plan, week: list[date], wide: int, signs: dict[str, str], unicode: bool, now: datetime | None
) -> tuple[list[str], bool]:  # fmt: skip
    """Lines of one strip, and whether a cell in it holds more than one stretch."""
    size, crowded = len(week) * wide, False
    months = [*dict.fromkeys(MONTHS[d.month - 1] for d in week)]
    lines = [
        pad(" to ".join(months[:: max(1, len(months) - 1)]), LABEL, right=True)
        + " "
        + "".join(pad(day(d), wide) for d in week)
    ]
    dark = [(c % wide + 0.5) * 24 / wide for c in range(size)]
    lines.append(
        pad("night", LABEL, right=True) + " " + "".join(signs["night"] if h >= 22 or h < 6 else " " for h in dark)
    )
    meal = _cell(plan.at, week, wide) + 1
    for part in plan.parts:
        lines_of = lanes([s for s in plan.steps if s.part == part.key])
        for i, (lane, piece) in enumerate(zip(lines_of, lane_names(lines_of), strict=True)):
            row, many = _row(lane, week, wide, signs)
            if all(c == " " for c in row):
                continue
            crowded = crowded or many
            if 0 < meal <= size and row[meal] == " ":
                row[meal] = signs["table"]
            short = fit(part.short, unicode)
            label = f"{cut(short, LABEL - cells(piece) - 1)} {piece}" if piece else short if i == 0 else ""
            lines.append(pad(label, LABEL, right=True) + " " + "".join(row))
    foot = [" "] * (LABEL + 2 + size)
    marks = [(meal, "table ^", -6)] if 0 < meal <= size else []
    marks += [(_cell(now, week, wide), "^ now", 0)] if now is not None and week[0] <= now.date() <= week[-1] else []
    for at, text, shift in marks:
        begin = LABEL + 1 + at + shift
        if all(c == " " for c in foot[begin : begin + len(text)]):
            foot[begin : begin + len(text)] = text
    lines.append("".join(foot))
    return [line.rstrip() for line in lines if line.strip()], crowded


def _row(lane: list[PlanStep], week: list[date], wide: int, signs: dict[str, str]) -> tuple[list[str], bool]:
    """Cells of one line, one more than the days hold, and whether one of them holds two stretches."""
    size = len(week) * wide
    row, held = [" "] * (size + 1), [0] * size
    for begin, end in kept(lane):
        for c in range(max(0, _cell(begin, week, wide)), min(size, _last_cell(end, week, wide) + 1)):
            row[c] = signs["keeps"]
    for step in lane:
        sign = signs["waits" if step.kind == "hands" else step.kind]
        for c in range(max(0, _cell(step.start, week, wide)), min(size, _last_cell(step.end, week, wide) + 1)):
            row[c] = sign
        for event in events_of(step):
            start = _cell(event.start, week, wide)
            for c in range(max(0, start), min(size, max(start, _last_cell(event.end, week, wide)) + 1)):
                held[c] += 1
    for c in (c for c in range(size) if held[c]):
        row[c] = signs["hands"] if held[c] < 2 else str(held[c]) if held[c] < 10 else "+"
    taken = [n > 0 for n in held]
    for step in lane:
        for name, at in zip(("early", "likely", "late"), step.ready or (), strict=False):
            c = _cell(at, week, wide)
            if 0 <= c < size:
                # a mark that meets hands or another mark moves to the next free cell
                c = next((k for k in (*range(c, size), *range(c, -1, -1)) if not taken[k]), c)
                row[c], taken[c] = signs[name], True
    return row, any(n > 1 for n in held)


def _key(plan: Plan, signs: dict[str, str], wide: int, crowded: bool, width: int) -> list[str]:
    told = [f"{signs['hands']} hands", f"{signs['waits']} waits", f"{signs['smoke']} smoker", f"{signs['keeps']} keeps"]
    told += ["[ earliest  o likely  ] latest"] if any(s.ready for s in plan.steps) else []
    line = " " + "   ".join(told)
    more = f"one column is {span(round(1440 / wide))}" + ("; 2 3 ...: hands so many times in one column" if crowded else "")
    return [*([line] if len(line) <= width else wrap(line, width, " ")), *wrap(more, width, " ")]
