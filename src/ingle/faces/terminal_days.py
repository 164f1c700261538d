"""The days of a plan as text: who does what, when, how long, and what to take care of."""

from __future__ import annotations

from datetime import date, datetime

from ingle.faces.events import Event, days, events
from ingle.faces.terminal_page import Page
from ingle.faces.words import cells, clock, day_month, fit, pad, span
from ingle.planning.plan import Plan


def put_days(page: Page, plan: Plan) -> None:
    """Add every day of the plan, stretches without hands as one line."""
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


def _event(page: Page, event: Event, column: int, cared: dict[str, datetime]) -> None:
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
