"""The plan in 80 columns: what to buy and weigh, the days, the verdicts, and last the next thing to do.

What matters most comes last, because the last lines are the ones that stand on the screen.
"""

from __future__ import annotations

from datetime import date, datetime

from ingle.faces.events import Event, days, events, next_event
from ingle.faces.grains import count_words, grains_text
from ingle.faces.strip import strip
from ingle.faces.tokens import ANSI
from ingle.faces.words import (
    LEVEL_ORDER,
    MARK,
    amount,
    ascii_only,
    cells,
    clean,
    clock,
    day_month,
    fit,
    limit_words,
    minutes_between,
    moment,
    pad,
    ready_words,
    sentence,
    slug,
    span,
    value_words,
    with_unit,
    wrap,
)  # fmt: skip
from ingle.planning.plan import Plan, PlanStep
from ingle.safety.verdict import Verdict

__all__ = ["grains_text", "plan_file", "plan_plain", "plan_text", "strip", "verdict_lines"]


def plan_text(
    plan: Plan, *, width: int = 80, unicode: bool = False, colour: bool = False, now: datetime | None = None
) -> str:
    """The whole plan as text.

    No line is longer than ``width`` columns. Only ASCII is printed unless ``unicode``. ``colour`` repeats the words
    NEAR and OVER in colour and adds nothing else. ``now`` moves the last line to what comes next from then on; left
    out, it is the plan's own clock.
    """
    page = _Page(width, unicode)
    _head(page, plan)
    _buy(page, plan)
    _weigh(page, plan)
    page.title("The days")
    page.lines += strip(plan, width=width, unicode=unicode, now=now).split("\n")
    _days(page, plan)
    _leftovers(page, plan)
    _wishes(page, plan)
    _cautions(page, plan)
    _forecasts(page, plan)
    _verdicts(page, plan, colour)
    _next(page, plan, now)
    return "\n".join(page.lines) + "\n"


class _Page:
    """Lines that fit."""

    def __init__(self, width: int, unicode: bool):
        self.width, self.unicode = width, unicode
        self.lines: list[str] = []

    def put(self, text: str, first: str = "", rest: str | None = None) -> None:
        self.lines += wrap(fit(text, self.unicode), self.width, first, rest)

    def title(self, text: str) -> None:
        self.lines += ["", fit(text, self.unicode)]

    def both(self, left: str, right: str) -> None:
        """Left and right on one line, or on two when they do not fit."""
        left, right = fit(left, self.unicode), fit(right, self.unicode)
        if cells(left) + cells(right) + 2 <= self.width:
            self.lines.append(left + " " * (self.width - cells(left) - cells(right)) + right)
        else:
            self.put(left)
            self.put(right, "  ")


def _head(page: _Page, plan: Plan) -> None:
    page.both(
        f"{plan.name}, {plan.plates} plates, {day_month(plan.at)} {clock(plan.at)}",
        f"plan {plan.number}, {plan.status}",
    )
    named = f"by the rules of {', '.join(r.upper() for r in plan.rules)}" if plan.rules else "no country named: the strictest rule"
    page.put(f"for the {plan.use}, {named}; times are those of {plan.zone}")
    for part in plan.parts:
        allergens = f"; {', '.join(part.allergens)}" if part.allergens else ""
        page.put(f"{part.name}: {part.at_table or amount(part.amount_g, 'g')}{allergens}", "  ", "    ")


def _buy(page: _Page, plan: Plan) -> None:
    if not plan.shopping:
        return
    page.title("Buy")
    for line in sorted(
        plan.shopping, key=lambda s: (s.buy_by is None, s.buy_by.timestamp() if s.buy_by else 0, s.item)
    ):
        packs = f" ({', '.join(line.packs)})" if line.packs else ""
        when = f"by {day_month(line.buy_by)} {clock(line.buy_by)}" if line.buy_by else ""
        when += f", not before {day_month(line.buy_from)}" if line.buy_from else ""
        page.put(f"{amount(line.amount, line.unit)} {line.name}{packs}", "  ", "      ")
        more = [when.strip(", "), f"needs {amount(line.need, line.unit)}"]
        more += (
            [f"about {amount(line.left, line.unit)} left"] if round(line.left, 0 if line.unit != "g" else 1) > 0 else []
        )
        more += [f"contains {', '.join(line.allergens)}"] if line.allergens else []
        more += [line.note] if line.note else []
        page.put("; ".join(m for m in more if m), "      ")


def _weigh(page: _Page, plan: Plan) -> None:
    if not plan.weighings:
        return
    page.title("Weigh")
    for piece in plan.weighings:
        page.put(f"{piece.piece}, {amount(piece.green_weight_g, 'g')} green weight:", "  ")
        for line in piece.lines or [f"{key.replace('_', ' ')} {grams:g} g" for key, grams in piece.grams.items()]:
            page.put(line, "      ", "        ")
        page.put(
            f"{piece.curing_salt}; {piece.nitrite_mg_per_kg:.0f} mg/kg nitrite of green weight; scale step {piece.step_g:g} g",
            "      ",
        )


def _days(page: _Page, plan: Plan) -> None:
    cared: dict[str, datetime] = {}
    column = min(8, max((cells(fit(c, page.unicode)) for c in {e.cook for e in events(plan)}), default=0))
    empty: list[date] = []
    for day in [*days(plan), None]:
        todays = events(plan, day) if day is not None else []
        if day is not None and not todays:
            empty.append(day)
            continue
        if empty:
            names = day_month(empty[0]) if len(empty) == 1 else f"{day_month(empty[0])} to {day_month(empty[-1])}"
            page.lines.append("")
            page.put(f"{names}: nothing to do by hand")
            empty = []
        if day is None:
            break
        page.lines.append("")
        cooks = " and ".join(sorted({e.cook for e in todays if e.cook}))
        page.both(day_month(day), f"hands {span(sum(e.minutes for e in todays))}{', ' + cooks if cooks else ''}")
        for event in todays:
            _event(page, event, column, cared)


def _event(page: _Page, event: Event, column: int, cared: dict[str, datetime]) -> None:
    """One stretch: time, length, cook, verb, then amounts, what to look for, and cautions that were not said before."""
    cook = pad(fit(event.cook, page.unicode), column)
    head = f"  {clock(event.start)} {pad(span(event.minutes), 10, right=True)}  {cook} "
    page.put(event.verb, head)
    indent = " " * min(cells(head), 22) + "  "
    for what in event.step.amounts if event.first else ():
        page.put(what, indent)
    if event.last and event.look:
        page.put(event.look, indent)
    if not event.first:
        return
    for caution in event.step.caution:
        if caution not in cared:
            page.put(f"care: {caution}", indent)
    before = sorted({cared[c] for c in event.step.caution if c in cared})
    if before:
        page.put(f"care as on {', '.join(f'{day_month(at)} {clock(at)}' for at in before)}", indent)
    for caution in event.step.caution:
        cared.setdefault(caution, event.start)


def _leftovers(page: _Page, plan: Plan) -> None:
    if not plan.flows:
        return
    page.title("By-products")
    names = {p.key: p.name for p in plan.parts}
    for flow in plan.flows:
        goes = f"to {names.get(flow.to_part, flow.to_part)}" if flow.to_part else "left over"
        made = f", made {moment(flow.made)}" if flow.made else ""
        used = f", used {moment(flow.used)}" if flow.used else ""
        need = f" ({amount(flow.need_g, 'g')} needed)" if flow.to_part and flow.need_g else ""
        way = ", frozen" if flow.way == "frozen" else ""
        keeps = f", keeps {flow.keeps}" if flow.keeps else ""
        source = (
            f"{flow.name} from {names.get(flow.from_part, flow.from_part)}, about {amount(flow.amount_g, 'g')}{need}"
        )
        page.put(f"{source}: {goes}{way}{made}{used}{keeps}", "  ", "      ")


def _wishes(page: _Page, plan: Plan) -> None:
    page.title("Wishes")
    proven = plan.status == "proven best"
    if proven:
        page.put("No plan can meet them better: proven.", "  ")
    else:
        page.put(
            f"Not proven best: weighed together {with_unit(plan.objective, '')}, and no plan can be below {with_unit(plan.bound, '')}.",
            "  ",
        )
    for wish in plan.wishes:
        told = wish.words or with_unit(wish.value, wish.unit)
        gap = "proven" if wish.proven else f"not proven, no plan can be below {with_unit(wish.bound, wish.unit)}"
        page.put(f"{wish.wish}: {told}; {gap}", "  ", "      ")


def _cautions(page: _Page, plan: Plan) -> None:
    if plan.allergens:
        names = {p.key: p.name for p in plan.parts}
        page.title("Allergens")
        for allergen, parts in plan.allergens.items():
            page.put(f"{allergen}: {', '.join(names.get(p, p) for p in parts)}", "  ", "      ")
    if plan.cautions:
        page.title("Take care")
        for caution in plan.cautions:
            page.put(sentence(caution), "  ", "    ")


def _forecasts(page: _Page, plan: Plan) -> None:
    steps = [s for s in plan.steps if s.forecast and s.ready]
    if not steps:
        return
    page.title("Forecasts")
    for step in steps:
        page.put(_forecast_words(step), "  ", "      ")


def _forecast_words(step: PlanStep) -> str:
    if step.forecast is None or step.ready is None:
        return ""
    missing = f" Not in these numbers: {'; '.join(step.forecast.not_in_it)}." if step.forecast.not_in_it else ""
    count = count_words(step.forecast, minutes_between(step.start, step.end) / 60, f"it ends, {moment(step.end)}")
    return f"{sentence(step.forecast.what)}{missing} {ready_words(step.ready)} {count + '.' if count else ''}".strip()


def verdict_lines(verdict: Verdict, *, width: int = 80, unicode: bool = False, colour: bool = False) -> list[str]:
    """One verdict: word, title, value, limit, clause; when it is not within, its act on a line below.

    The word is never a bare pass: value and limit always stand beside it.
    """
    word = pad(MARK[verdict.level], 10)
    limit = limit_words(verdict)
    told = f"{verdict.title}: {value_words(verdict)}{', ' + limit if limit else ', no limit known'}, {verdict.clause}"
    lines = wrap(fit(told, unicode), width, f" {word} ", " " * 12)
    act = [verdict.act] if verdict.act and verdict.level != "within" else []
    why = [f"not known: {verdict.doubt}"] if verdict.doubt and verdict.level == "cannot_say" else []
    checks = [f"not checked: {', '.join(verdict.not_checked)}"] if verdict.not_checked else []
    for more in (*act, *why, *checks):
        lines += wrap(fit(sentence(more), unicode), width, " " * 12)
    if colour:
        lines[0] = lines[0].replace(MARK[verdict.level], f"\x1b[{ANSI[verdict.level]}m{MARK[verdict.level]}\x1b[0m", 1)
    return lines


def _verdicts(page: _Page, plan: Plan, colour: bool) -> None:
    done = events(plan)
    hands = span(sum(e.minutes for e in done))
    night = sum(e.start.hour >= 22 or e.start.hour < 6 for e in done)
    between = "none between 22:00 and 06:00" if not night else f"{night} of {len(done)} between 22:00 and 06:00"
    page.title("Against the lines")
    page.put(f"hands {hands} in {len({e.start.date() for e in done})} days, {between}", " ")
    for level in LEVEL_ORDER:
        for verdict in (v for v in plan.verdicts if v.level == level):
            page.lines += verdict_lines(verdict, width=page.width, unicode=page.unicode, colour=colour)
    if plan.not_checked:
        page.put(f"not checked: {'; '.join(plan.not_checked)}", " ", "   ")


def plan_file(plan: Plan) -> str:
    """Name of the plan's folder, as a command wants it: ``fernhollow.plan``."""
    stem = plan.brief_file.replace("\\", "/").rpartition("/")[2].removesuffix(".toml")
    return f"{clean(ascii_only(stem)).replace(' ', '-') or slug(plan.name)}.plan"


def _next(page: _Page, plan: Plan, now: datetime | None) -> None:
    page.lines.append("")
    event = next_event(plan, now)
    if event is None:
        page.put(f"Next: {day_month(plan.at)} {clock(plan.at)}  serve {plan.name}")
        page.put(f"ingle sheet {plan_file(plan)} --day {plan.at.date().isoformat()}", "      ")
        return
    page.put(f"Next: {day_month(event.start)} {clock(event.start)}  {event.verb}  {span(event.minutes)}", "", "      ")
    page.put(f"ingle sheet {plan_file(plan)} --day {event.start.date().isoformat()}", "      ")


# -- one record a line -------------------------------------------------------------------------------------------------


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
