"""The plan for other programs: one record a line."""

from __future__ import annotations

from datetime import datetime

from ingle.faces.events import events
from ingle.faces.words import clean
from ingle.planning.plan import Plan


def plan_plain(plan: Plan) -> str:
    """One record a line, tab between; the first field says what kind of record it is. Times are ISO 8601 with offset."""
    rows: list[list[object]] = [
        [
            "plan",
            plan.name,
            plan.number,
            plan.status,
            plan.at,
            plan.plates,
            plan.zone,
            plan.use,
            " ".join(plan.rules),
            plan.objective,
            plan.bound,
        ],
    ]
    rows += [["part", p.key, p.name, p.amount_g, "g", p.at_table, " ".join(p.allergens)] for p in plan.parts]
    for s in plan.shopping:
        rows.append(
            [
                "buy",
                s.item,
                s.name,
                s.amount,
                s.need,
                s.left,
                s.unit,
                "; ".join(s.packs),
                s.buy_from,
                s.buy_by,
                " ".join(s.allergens),
            ]
        )
    rows += [
        ["weigh", w.part, w.piece, key, grams, "g", w.step_g] for w in plan.weighings for key, grams in w.grams.items()
    ]
    rows += [
        ["step", s.id, s.part, s.kind, s.start, s.end, s.name, "; ".join(s.kit), "; ".join(s.amounts), s.look_for]
        for s in plan.steps
    ]
    rows += [["hands", e.id, e.step.id, e.start, e.end, e.minutes, "min", e.cook, e.verb] for e in events(plan)]
    rows += [["ready", s.id, *s.ready, s.forecast.what if s.forecast else ""] for s in plan.steps if s.ready]
    rows += [
        ["flow", f.item, f.from_part, f.to_part, f.amount_g, f.need_g, "g", f.made, f.used, f.way] for f in plan.flows
    ]
    rows += [
        ["verdict", v.level, v.rule, v.title, v.value, v.limit, v.unit, v.clause, v.kind, v.act] for v in plan.verdicts
    ]
    rows += [["wish", w.wish, w.value, w.bound, w.unit, "proven" if w.proven else "not proven"] for w in plan.wishes]
    rows += [["not_checked", text] for text in plan.not_checked]
    rows += [["caution", text] for text in plan.cautions]
    return "".join("\t".join(_field(f) for f in row) + "\n" for row in rows)


def _field(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, datetime):
        return value.isoformat(timespec="minutes")
    if isinstance(value, float):
        return f"{value:g}" if abs(value) < 1e6 else repr(value)
    return clean(str(value))
