"""The day sheet on paper: the rows of the sheet as they are, with the dose ladder where curing salt is weighed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from itertools import groupby, pairwise
from typing import Any

from ingle.faces import sheet
from ingle.faces.benchrow import Block, Row, block_of, blocks, rows
from ingle.faces.boxes import stops
from ingle.faces.paper.press import Job, ask, runs
from ingle.faces.paper.stock import paper
from ingle.faces.words import amount, clean, clock, day_month, long_day, meal_at, tie, to_go
from ingle.jobs.dose_ladder import Ladder, ladder
from ingle.planning.plan import Plan


def day_sheet(plan: Plan, day: date, *, on: str = "a4", printed: datetime | None = None, lots: tuple[str, ...] = ()) -> Job:
    """One day on one side where it fits, else on as few as hold it, evenly; ``lots`` are named in the foot."""
    size = paper(on)
    found = blocks(rows(plan, day))
    by_itself = [tie(t) for t in sheet.by_itself(plan, day)]
    has_limits = any(b.limit for k in found for r in k.rows for b in r.boxes)
    data: dict[str, Any] = {
        "paper": size.as_list(), "day": long_day(day), "plan_name": clean(plan.name), "meal": meal_at(day, plan.at),
        "meal_words": f"{plan.plates} plates, {to_go(day, plan.at.date())}", "stops": [vars(s) for s in stops(plan, day)], "pages": _sides([found]),
        "has_limits": has_limits, "by_itself": by_itself, "next_day": tie(sheet.next_day(plan, day)), "number": plan.number,
        "printed": stamp(printed), "lots": [clean(t) for t in lots], "ladders": [_ladder(one) for one in ladders(plan, day)],
    }  # fmt: skip
    foot = 1 + has_limits + (len("; ".join(by_itself)) // 70 + 1 if by_itself else 0)
    data["foot_lines"] = max(foot, 1 + bool(printed) + bool(lots))
    title = f"{long_day(day)}: {plan.name}"
    (high,) = ask(Job("day", title, data, printed), "heights")
    return Job("day", title, {**data, "pages": _sides(fill(found, high["rows"], high["head"], high["first"], high["later"], high["ladders"]))}, printed)


def fill(found: list[Block], high: list[float], head: float, first: float, later: float, tail: float = 0.0) -> list[list[Block]]:
    """Rows on as few sides as hold them, at most nine a side; then as few blocks cut as can be, then evenly.

    What follows the last row stands below it where that costs no side, else on a side of its own: an empty one at the end.

    Parameters
    ----------
    found : list of Block
    high : list of float
        Height of every row, in order [mm].
    head, first, later : float
        Height of a block's head; room on the first side and on the others [mm].
    tail : float
        Height of what follows the last row: the ladders [mm].
    """
    flat = [(row, n) for n, block in enumerate(found) for row in block.rows]

    def need(a: int, b: int) -> float:
        return sum(high[a:b]) + head * len({n for _, n in flat[a:b]})

    # best[i]: (sides, tail apart, blocks cut, unevenness) and the cuts, for the first i rows; a row too high for a side stands alone
    best: list[tuple[tuple[int, bool, int, float], tuple[int, ...]]] = [((0, False, 0, 0.0), ())]
    for end in range(1, len(flat) + 1):
        ways = []
        for start in range(max(0, end - sheet.ROWS_A_PAGE), end):
            (sides, _, cut, uneven), before = best[start]
            room, taken = first if start == 0 else later, need(start, end)
            if taken > room and end - start > 1:
                continue
            cuts = start > 0 and flat[start - 1][1] == flat[start][1]
            below = tail if end == len(flat) else 0.0
            apart = below > 0 and taken + below > room
            full = (taken / room) ** 2 + (below / later) ** 2 if apart else ((taken + below) / room) ** 2
            ways.append(((sides + 1 + apart, apart, cut + cuts, uneven + full), (*before, start)))
        best.append(min(ways))
    starts = [*best[-1][1], len(flat)]
    laid = [[block_of([r for r, _ in group]) for _, group in groupby(flat[a:b], key=lambda pair: pair[1])] for a, b in pairwise(starts)] or [[]]
    return [*laid, []] if best[-1][0][1] else laid


def _sides(sides: Sequence[Sequence[Block]]) -> list[dict[str, Any]]:
    return [{"blocks": [{"head": b.head, "rows": [_row(r) for r in b.rows]} for b in side]} for side in sides]


def stamp(printed: datetime | None) -> str:
    """``Thu 17 Dec 2026, 21:05``; empty where no time was given."""
    return "" if printed is None else f"{day_month(printed)} {printed.year}, {clock(printed)}"


def _row(row: Row) -> dict[str, Any]:
    return {
        "time": row.time, "who": row.who, "verb": row.verb, "amounts": [runs(a) for a in row.amounts],
        "listed": len(row.amounts) > 1 and any("," in a for a in row.amounts), "look": runs(row.look), "signs": [list(s) for s in row.signs],
        "say": [runs(s) for s in row.say], "cautions": list(row.cautions), "boxes": [vars(b) for b in row.boxes],
    }  # fmt: skip


def ladders(plan: Plan, day: date) -> list[Ladder]:
    """The ladders of the mixes that are weighed on a day: those of the parts whose step of the day takes curing salt."""
    parts = {s.part for s in plan.steps if s.start.date() == day and any("curing salt" in a or "premix" in a for a in s.amounts)}
    return [ladder(w) for w in plan.weighings if w.part in parts and w.basis != "dosed"]


def _ladder(one: Ladder) -> dict[str, Any]:
    heads = ["green weight", *(_head(k) for k in one.items)]
    rungs = [
        {"cells": [tie(amount(r.green_weight_g, "g")), *(f"{r.grams[k]:.{one.digits}f}\u00a0g" for k in one.items)], "planned": r.planned, "word": "as weighed" if one.basis == "weighed" else "planned"}
        for r in one.rungs
    ]
    return {
        "head": f"{clean(one.piece)}: if it weighs otherwise", "heads": heads, "rungs": rungs,
        "how": "Read across from the green weight; between two lines take the lighter.",
        "note": tie(f"{one.curing_salt[:1].upper()}{one.curing_salt[1:]}. Salt {one.salt * 100:.2f} % of green weight without skin, at most {one.nitrite:.0f} mg/kg nitrite; scale step {one.step_g:g} g."),
    }  # fmt: skip


def _head(item: str) -> str:
    return {"curing_salt": "curing salt", "salt": "plain salt", "premix": "premix"}.get(item, item.replace("_", " "))
