"""The day sheet: one day on paper, read from three metres, written on with wet hands.

A4 portrait, black only, as one HTML file that needs nothing else; the same file reflows on a phone. The text form
holds the same rows for a terminal or a line printer.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from markupsafe import Markup

from ingle.faces import setting
from ingle.faces.benchrow import Block, Row, block_of, blocks, rows
from ingle.faces.boxes import Stop, stops
from ingle.faces.events import events
from ingle.faces.pages import template
from ingle.faces.tokens import FIGURE_STACK, TEXT_STACK, font_css
from ingle.faces.words import clean, clock, day_month, fit, long_day, meal_at, moment, tie, to_go, wrap
from ingle.planning.plan import Plan

ROWS_A_PAGE = 9
_PAGE_MM = 279.0  # A4 less the edges at top and foot, and a little for rounding
_HEAD_MM, _NEXT_HEAD_MM, _FOOT_MM, _BLOCK_MM = 25.5, 12.5, 20.5, 9.7
_TEXT_MM, _WIDE_MM = 80.0, 137.0  # the column beside the boxes, and the text under them
_SIZE_MM, _LINE_MM = 4.2, 5.21


@dataclass(frozen=True)
class Page:
    """One side of paper."""

    number: int
    stops: tuple[Stop, ...]
    blocks: tuple[Block, ...]


def _row_mm(row: Row) -> float:
    """Height a row takes on paper [mm], by the sizes of the template."""
    listed = any("," in a for a in row.amounts)
    beside = [
        *(row.amounts if listed else (", ".join(row.amounts),)),
        row.look,
        *(f"If {s}: {a}." for s, a in row.signs),
    ]
    what = 8.4 * setting.lines(row.verb, _TEXT_MM, 8.4, "figure") + 0.9
    what += sum(_LINE_MM * setting.lines(t, _TEXT_MM, _SIZE_MM, "bold") + 0.5 for t in beside if t)
    under = sum(_LINE_MM * setting.lines(t, _WIDE_MM, _SIZE_MM) + 0.5 for t in row.say)
    under += sum(_LINE_MM * setting.lines(t, _WIDE_MM - 3, _SIZE_MM, "bold") + 0.5 for t in row.cautions)
    labels = sum(13.2 + 4 * setting.lines(b.label, 36, 3.5) for b in row.boxes)
    return max(19.2, what, labels) + under + (0.8 if under else 0) + 3.3


def _stops_mm(top: tuple[Stop, ...]) -> float:
    """Height of the limits above the rows [mm]."""
    if not top:
        return 0.0
    room = (_TEXT_MM + 41 + 36 + 13 + 12 - 6 * (len(top) - 1)) / len(top)
    tall = [
        7 * setting.lines(s.head, room - 6, 7, "figure")
        + 5 * setting.lines(s.act, room, 4)
        + 3.8 * setting.lines(s.clause, room, 3.1)
        for s in top
    ]
    return 14.0 + max(tall)


def pages(plan: Plan, day: date) -> list[Page]:
    """The rows of one day on as few sides as hold them: at most nine rows a side, blocks kept whole where they fit.

    Where more than one side is needed the rows are spread evenly over them, unless that cuts one more block in two.
    """
    top, parts = stops(plan, day), blocks(rows(plan, day))
    first = _PAGE_MM - _HEAD_MM - _FOOT_MM - _stops_mm(tuple(top))
    later = _PAGE_MM - _NEXT_HEAD_MM - _FOOT_MM
    filled = _fill(parts, first, later)
    for share in (0.95, 0.9, 0.85, 0.8, 0.75, 0.7, 0.65, 0.6, 0.55):
        even = _fill(parts, first * share, later * share)
        if len(even) == len(filled) and sum(map(len, even)) <= sum(map(len, filled)):
            filled = even  # as many sides, and no more blocks cut in two
    return [Page(i + 1, tuple(top) if i == 0 else (), tuple(side)) for i, side in enumerate(filled)]


def _fill(parts: list[Block], first: float, later: float) -> list[list[Block]]:
    """Blocks poured into sides of the given heights [mm]."""
    sides: list[list[Block]] = [[]]
    room, count = first, 0
    for block in parts:
        if (
            sides[-1]
            and (_block_mm(block) > room or count + len(block.rows) > ROWS_A_PAGE)
            and _block_mm(block) <= later
        ):
            sides.append([])
            room, count = later, 0
        held: list[Row] = []
        room -= _BLOCK_MM
        for row in block.rows:
            if (_row_mm(row) > room or count >= ROWS_A_PAGE) and (held or sides[-1]):
                if held:
                    sides[-1].append(block_of(held))
                sides.append([])
                room, count, held = later - _BLOCK_MM, 0, []
            held.append(row)
            room, count = room - _row_mm(row), count + 1
        sides[-1].append(block_of(held))
    return sides


def _block_mm(block: Block) -> float:
    return _BLOCK_MM + sum(map(_row_mm, block.rows))


def by_itself(plan: Plan, day: date) -> list[str]:
    """What goes on without hands at the end of the day, where, and until when: each said once."""
    parts = {p.key: p.short for p in plan.parts}
    going = [
        f"{clean(parts.get(s.part, s.part))}{', ' + clean(s.kit_kind) if s.kit_kind else ''} until {moment(s.end)}"
        for s in plan.steps if s.kind in ("waits", "smoke") and s.start.date() <= day < s.end.date()
    ]  # fmt: skip
    return list(dict.fromkeys(going))


def next_day(plan: Plan, day: date) -> str:
    """The first thing hands do after this day, or the table."""
    after = next((e for e in events(plan) if e.start.date() > day), None)
    return (
        f"{day_month(after.start)} {clock(after.start)}: {after.verb}"
        if after
        else f"{day_month(plan.at)} {clock(plan.at)}: the table"
    )


def day_html(plan: Plan, day: date) -> str:
    """The sheet of one day as one HTML file with its fonts inside; prints on A4 portrait, reflows on a phone."""
    sides = pages(plan, day)
    return template("day.html").render(
        title=f"{long_day(day)}: {clean(plan.name)}", day=long_day(day), plan_name=clean(plan.name),
        meal=meal_at(day, plan.at), plates=plan.plates, to_go=to_go(day, plan.at.date()),
        pages=sides, of=len(sides), has_limits=any(b.limit for p in sides for k in p.blocks for r in k.rows for b in r.boxes),
        by_itself=[tie(t) for t in by_itself(plan, day)], next_day=tie(next_day(plan, day)), number=plan.number,
        cooks=[clean(c) for c in plan.cooks], fonts=Markup(font_css()), text_face=Markup(TEXT_STACK), figure_face=Markup(FIGURE_STACK),
    )  # fmt: skip


def day_text(plan: Plan, day: date, width: int = 80, *, unicode: bool = False) -> str:
    """The sheet of one day as text, no line over ``width`` columns; ``[[   C]]`` is a limit, ``[   C]`` another value."""
    out: list[str] = []

    def put(text: str, first: str = "", rest: str | None = None) -> None:
        out.extend(wrap(fit(text, unicode), width, first, rest))

    put(long_day(day))
    put(f"{plan.name}, {plan.plates} plates, {moment(plan.at)}, {to_go(day, plan.at.date())}")
    out.append("=" * width)
    if top := stops(plan, day):
        put("Stop and say so if")
        for stop in top:
            put(f"{stop.head}: {stop.act} {stop.clause}", "  ", "      ")
    todays = blocks(rows(plan, day))
    if not todays:
        put("Nothing to do by hand this day.")
    for block in todays:
        out.append("")
        put(block.head)
        for row in block.rows:
            put(f"{row.verb}  ({row.who})", f" {row.time}  ", " " * 8)
            for line in (
                *row.amounts,
                *row.say,
                row.look,
                *(f"if {s}: {a}" for s, a in row.signs),
                *(f"care: {c}" for c in row.cautions),
            ):
                if line:
                    put(line, " " * 8, " " * 10)
            for box in row.boxes:
                unit = fit(box.unit, unicode)
                blank = f"[[{' ' * 9}{unit} ]]" if box.limit else f"[{' ' * 9}{unit} ]"
                drawn = "  ".join([blank] * box.count) + "  who [    ]"
                put(box.label, " " * 8)
                out.append((" " * 8 + drawn)[:width])
    out.append("-" * width)
    if going := by_itself(plan, day):
        put("By itself: " + "; ".join(going) + ".", "", "  ")
    put(f"Next: {next_day(plan, day)}")
    put(f"Plan {plan.number}")
    return "\n".join(line.rstrip() for line in out) + "\n"
