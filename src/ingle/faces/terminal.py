"""The plan in 80 columns: what to buy and weigh, the days, the verdicts, and last the next thing to do.

What matters most comes last, because the last lines are the ones that stand on the screen.
"""

from __future__ import annotations

from datetime import datetime

from ingle.faces.events import next_event
from ingle.faces.grains import count_words, grains_text
from ingle.faces.strip import strip
from ingle.faces.terminal_days import put_days
from ingle.faces.terminal_page import Page
from ingle.faces.terminal_plain import plan_plain
from ingle.faces.terminal_verdicts import put_verdicts, verdict_lines
from ingle.faces.words import (
    amount,
    ascii_only,
    clean,
    clock,
    day_month,
    minutes_between,
    moment,
    ready_words,
    sentence,
    slug,
    span,
    with_unit,
)  # fmt: skip
from ingle.planning.plan import Plan, PlanStep

__all__ = ["grains_text", "plan_file", "plan_plain", "plan_text", "strip", "verdict_lines"]


def plan_text(
    plan: Plan, *, width: int = 80, unicode: bool = False, colour: bool = False, now: datetime | None = None, folder: str = ""
) -> str:
    """The whole plan as text.

    No line is longer than ``width`` columns. Only ASCII is printed unless ``unicode``. ``colour`` repeats the words
    NEAR and OVER in colour and adds nothing else. ``now`` moves the last line to what comes next from then on; left
    out, it is the plan's own clock. ``folder`` is where the plan lies, as a command wants it; left out, its bare name.
    """
    page = Page(width, unicode)
    _head(page, plan)
    _buy(page, plan)
    _weigh(page, plan)
    page.title("The days")
    page.lines += strip(plan, width=width, unicode=unicode, now=now).split("\n")
    put_days(page, plan)
    _leftovers(page, plan)
    _wishes(page, plan)
    _cautions(page, plan)
    _forecasts(page, plan)
    put_verdicts(page, plan, colour)
    _next(page, plan, now, folder or plan_file(plan))
    return "\n".join(page.lines) + "\n"


def _head(page: Page, plan: Plan) -> None:
    page.both(
        f"{plan.name}, {plan.plates} plates, {day_month(plan.at)} {clock(plan.at)}",
        f"plan {plan.number}, {plan.status}",
    )
    named = f"by the rules of {', '.join(r.upper() for r in plan.rules)}" if plan.rules else "no country named: the strictest rule"
    page.put(f"for {'the table' if plan.use == 'table' else plan.use}, {named}; times are those of {plan.zone}")
    for part in plan.parts:
        allergens = f"; {', '.join(part.allergens)}" if part.allergens else ""
        page.put(f"{part.name}: {part.at_table or amount(part.amount_g, 'g')}{allergens}", "  ", "    ")


def _buy(page: Page, plan: Plan) -> None:
    if not plan.shopping:
        return
    page.title("Buy")
    for line in sorted(
        plan.shopping, key=lambda s: (s.buy_by is None, s.buy_by.timestamp() if s.buy_by else 0, s.item)
    ):
        packs = f" ({', '.join(line.packs)})" if line.packs else ""
        when = f"by {day_month(line.buy_by)} {clock(line.buy_by)}" if line.buy_by else ""
        when += f", not before {day_month(line.buy_from)}" if line.buy_from and line.buy_from > plan.plan_from else ""
        page.put(f"{amount(line.amount, line.unit)} {line.name}{packs}", "  ", "      ")
        more = [when.strip(", "), f"needs {amount(line.need, line.unit)}"]
        more += (
            [f"about {amount(line.left, line.unit)} left"] if round(line.left, 0 if line.unit != "g" else 1) > 0 else []
        )
        more += [f"contains {', '.join(line.allergens)}"] if line.allergens else []
        more += [line.note] if line.note else []
        page.put("; ".join(m for m in more if m), "      ")


def _weigh(page: Page, plan: Plan) -> None:
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


def _leftovers(page: Page, plan: Plan) -> None:
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


def _wishes(page: Page, plan: Plan) -> None:
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


def _cautions(page: Page, plan: Plan) -> None:
    if plan.allergens:
        names = {p.key: p.name for p in plan.parts}
        page.title("Allergens")
        for allergen, parts in plan.allergens.items():
            page.put(f"{allergen}: {', '.join(names.get(p, p) for p in parts)}", "  ", "      ")
    if plan.cautions:
        page.title("Take care")
        for caution in plan.cautions:
            page.put(sentence(caution), "  ", "    ")


def _forecasts(page: Page, plan: Plan) -> None:
    steps = [s for s in plan.steps if s.forecast and s.ready]
    if not steps:
        return
    page.title("Forecasts")
    told = [s.forecast.what for s in steps if s.forecast]
    for step in steps:
        lead = f"{clean(step.name)}: " if step.forecast and told.count(step.forecast.what) > 1 else ""  # which of the boxes
        page.put(lead + _forecast_words(step), "  ", "      ")


def _forecast_words(step: PlanStep) -> str:
    if step.forecast is None or step.ready is None:
        return ""
    missing = f" Not in these numbers: {'; '.join(step.forecast.not_in_it)}." if step.forecast.not_in_it else ""
    count = count_words(step.forecast, minutes_between(step.start, step.end) / 60, f"it ends, {moment(step.end)}")
    return f"{sentence(step.forecast.what)}{missing} {ready_words(step.ready)} {count + '.' if count else ''}".strip()


def plan_file(plan: Plan) -> str:
    """Name of the plan's folder, as a command wants it: ``fernhollow.plan``."""
    stem = plan.brief_file.replace("\\", "/").rpartition("/")[2].removesuffix(".toml")
    return f"{clean(ascii_only(stem)).replace(' ', '-') or slug(plan.name)}.plan"


def _next(page: Page, plan: Plan, now: datetime | None, folder: str) -> None:
    page.lines.append("")
    event = next_event(plan, now)
    if event is None:
        page.put(f"Next: {day_month(plan.at)} {clock(plan.at)}  serve {plan.name}")
        page.put(f"ingle sheet {folder} --day {plan.at.date().isoformat()}", "      ")
        return
    page.put(f"Next: {day_month(event.start)} {clock(event.start)}  {event.verb}  {span(event.minutes)}", "", "      ")
    page.put(f"ingle sheet {folder} --day {event.start.date().isoformat()}", "      ")
