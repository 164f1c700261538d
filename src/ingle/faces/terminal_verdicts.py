"""The verdicts of a plan as text: each word with its value, limit and clause, and what was not checked."""

from __future__ import annotations

from ingle.faces.events import events
from ingle.faces.terminal_page import Page
from ingle.faces.tokens import ANSI
from ingle.faces.words import LEVEL_ORDER, MARK, fit, limit_words, pad, sentence, span, value_words, wrap
from ingle.planning.plan import Plan
from ingle.safety.verdict import Verdict


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


def put_verdicts(page: Page, plan: Plan, colour: bool) -> None:
    """Add all verdicts, gravest last, and what was not checked."""
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
