"""Papers of the plan: minute card, shopping list, and the plan on the wall."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from itertools import groupby
from typing import Any

from ingle.faces.events import events
from ingle.faces.paper.day import stamp
from ingle.faces.paper.press import Job, runs
from ingle.faces.paper.stock import paper
from ingle.faces.timeline import timeline_svg
from ingle.faces.tokens import LIGHT
from ingle.faces.words import amount, clean, clock, day_month, minutes_between, moment, span, tie
from ingle.planning.plan import Plan, ShoppingLine

CARD_H = 5.0
_BLACK, _WHITE = "#000000", "#FFFFFF"
# the light column set in ink alone: what told apart by colour is told apart by shape, hatch and dash
_INK = dict.fromkeys(LIGHT, _BLACK) | dict.fromkeys(("plate", "brine_pale", "on_rim", "paper", "enamel"), _WHITE) | {"hair": "#9A9A9A", "night": "#ECECEC"}
_HATCH = (
    '<pattern id="hatch" patternUnits="userSpaceOnUse" width="6" height="6" patternTransform="rotate(45)">'
    '<rect width="6" height="6" fill="#FFFFFF"/><rect width="3" height="6" fill="#000000"/></pattern>'
)


def minute_card(plan: Plan, *, on: str = "a4", hours: float = CARD_H, printed: datetime | None = None) -> Job:
    """The last hours before the table, counted down, on half a sheet."""
    size = paper(on)
    since = plan.at - timedelta(hours=hours)
    rows: list[dict[str, Any]] = []
    for e in events(plan):
        if not since <= e.start <= plan.at:
            continue
        left = minutes_between(e.start, plan.at)
        more = [*(e.step.amounts if e.first else ()), *((f"Oven and kit: {', '.join(e.step.kit)}",) if e.first and e.step.kit else ()), *((e.look[:1].upper() + e.look[1:],) if e.look else ())]
        rows.append({
            "left": f"\u2212{left // 60}:{left % 60:02d}" if left >= 60 else f"\u2212{left}", "clock": clock(e.start), "minutes": tie(span(e.minutes)),
            "verb": tie(e.verb), "more": [runs(m) for m in more], "who": clean(e.cook),
        })  # fmt: skip
    data = {
        "paper": [size.height / 2, size.width], "head": clean(plan.name),
        "table": f"table {clock(plan.at)}", "rows": rows, "number": plan.number,
        "foot": f"{day_month(plan.at)}, {plan.plates} plates. Left: hours and minutes to the table." + (f" Printed {stamp(printed)}." if printed else ""),
    }  # fmt: skip
    return Job("card", f"Minute card: {plan.name}", data, printed)


def shopping_list(plan: Plan, *, on: str = "a4", printed: datetime | None = None) -> Job:
    """What to buy, grouped by the day it is needed, with what stays over."""
    order = sorted(plan.shopping, key=lambda s: (s.buy_by or plan.at, s.name))
    groups = []
    for by, lines in groupby(order, key=lambda s: (s.buy_by or plan.at).date()):
        held = list(lines)
        first = min(s.buy_by or plan.at for s in held)
        groups.append({"head": f"Have it by {day_month(by)}, {clock(first)}", "lines": [_line(plan, s) for s in held]})
    over = [
        f"{clean(f.name)}: {amount(f.amount_g, 'g')}, from {_part(plan, f.from_part)}" + (f", to {_part(plan, f.to_part)}" if f.to_part else ", left over")
        + (f", keeps {clean(f.keeps)}" if f.keeps else "")
        for f in plan.flows
    ]  # fmt: skip
    data = {
        "paper": paper(on).as_list(), "groups": groups, "plan_name": clean(plan.name), "table": moment(plan.at), "number": plan.number,
        "printed": stamp(printed), "over": [runs(o) for o in over], "allergens": ", ".join(clean(a) for a in plan.allergens),
    }  # fmt: skip
    return Job("shopping", f"To buy: {plan.name}", data, printed)


def _line(plan: Plan, line: ShoppingLine) -> dict[str, Any]:
    packs = ", ".join(_nice(p) for p in line.packs) or amount(line.amount, line.unit)
    left = line.left if line.unit == "pieces" or line.left >= 1 else 0
    return {
        "name": tie(line.name), "packs": tie(packs), "need": tie(amount(line.need, line.unit) if line.unit != "pieces" else _pieces(line.need)),
        "left": tie(amount(left, line.unit) if line.unit != "pieces" else _pieces(left)) if left >= 0.05 else "",
        "parts": ", ".join(_part(plan, p) for p in line.parts), "allergens": ", ".join(map(clean, line.allergens)), "note": tie(line.note),
        "from": day_month(line.buy_from) if line.buy_from and line.buy_from > plan.plan_from else "",
    }  # fmt: skip


def _pieces(count: float) -> str:
    return "1 piece" if abs(count - 1) < 0.05 else f"{count:.1f} pieces"


def _nice(pack: str) -> str:
    """``2 x 600ml`` with its sign and spaces."""
    return re.sub(r"(\d)(kg|g|ml|l)\b", "\\1\u00a0\\2", clean(pack)).replace(" x ", "\u00a0\u00d7\u00a0")


def _part(plan: Plan, key: str | None) -> str:
    """The part's short name; an abbreviation made for narrow charts is spelled out."""
    return clean(next((p.name if p.short.endswith(".") else p.short for p in plan.parts if p.key == key), key or ""))


def wall_plan(plan: Plan, *, on: str = "a4", printed: datetime | None = None, now: datetime | None = None) -> Job:
    """The plan's picture across a sheet in black, and the list of the same steps."""
    size = paper(on)
    told = [{"day": day_month(d), "rows": [{"clock": clock(e.start), "verb": tie(e.verb), "who": ", ".join(x for x in (tie(span(e.minutes)), clean(e.cook)) if x)} for e in held]}
            for d, held in groupby(events(plan), key=lambda e: e.start.date())]  # fmt: skip
    alt = f"{clean(plan.name)}: one row a part, from {told[0]['day'] if told else day_month(plan.at)} to the table, {moment(plan.at)}. The list on the next page says the same."
    data = {
        "paper": size.as_list(wide=True), "svg": in_ink(timeline_svg(plan, now=now)), "alt": alt, "days": told, "plan_name": clean(plan.name),
        "number": plan.number, "printed": stamp(printed), "columns": 3 if size.height < 300 else 4,
    }  # fmt: skip
    return Job("wall", f"The plan: {plan.name}", data, printed)


def in_ink(svg: str) -> str:
    """The light drawing in black alone: smoke hatched, all else by shape, dash and thickness."""
    colours = {LIGHT[k].lower(): v for k, v in _INK.items() if k in LIGHT}
    svg = svg.replace(f'fill="{LIGHT["beet"]}"', 'fill="url(#hatch)" stroke="#000000" stroke-width="1.6"').replace('stop-opacity="0.62"', 'stop-opacity="0.38"')
    svg = re.sub(r"#[0-9A-Fa-f]{6}", lambda m: colours.get(m[0].lower(), m[0]), svg)
    return svg.replace("</defs>", f"{_HATCH}</defs>", 1)
