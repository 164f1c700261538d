"""Words for verdicts, advice and cautions at 80 columns."""

from __future__ import annotations

import json
import os
import re
import sys
import textwrap
from collections.abc import Callable, Iterable, Mapping
from typing import Any, Protocol, TypeVar

import click

from ingle.faces.asked import asked
from ingle.faces.words import DEGREE, HOURS, MARK, unit_words
from ingle.ground import tables, units
from ingle.ground.things import Forecast
from ingle.safety.verdict import Verdict

WIDTH = 80
_TIE = re.compile(r"(\d) (?=(?:d|h|min|g|kg|mg/kg|mm|C|F|%|l)\b|%)")
_SPAN = re.compile(r"(\d\u00a0[dh]) (?=\d+\u00a0(?:h|min)\b)")
_COLOUR = {"near": "yellow", "over": "red"}
_ORDER = {"cannot_say": 0, "within": 1, "near": 2, "over": 3}
EXIT = {"within": 0, "near": 0, "over": 3, "cannot_say": 4}


def coloured(no_color: bool) -> bool:
    """Colour only where it is wanted: a terminal, no NO_COLOR, no dumb terminal."""
    return not no_color and sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def put(text: str = "", indent: int = 0, hang: int | None = None, lead: str = "") -> None:
    """Print a line, wrapped at 80 columns. ``lead`` stands in the indent of the first, colour and all."""
    if not text:
        click.echo()
        return
    after = " " * (indent if hang is None else hang)
    tied = _SPAN.sub("\\1\u00a0", _TIE.sub("\\1\u00a0", text))  # a number never parts from its unit, nor days from their hours
    for i, line in enumerate(
        textwrap.wrap(
            tied,
            WIDTH,
            initial_indent=" " * indent,
            subsequent_indent=after,
            break_long_words=False,
            break_on_hyphens=False,
        )
    ):
        shown = line.replace("\u00a0", " ")
        click.echo(lead + shown[indent:] if lead and i == 0 else shown)


def put_json(answer: dict[str, Any]) -> None:
    """Print an answer as JSON, or hand it to the face that asked."""
    asking = asked()
    if asking is not None:
        asking.answers.append(answer)
        return
    click.echo(json.dumps(answer, indent=2, ensure_ascii=False, allow_nan=False))


class Answer(Protocol):
    """What a command answers."""

    @property
    def level(self) -> str: ...
    def as_dict(self) -> dict[str, Any]: ...


A = TypeVar("A", bound=Answer)


def tell(given: Mapping[str, Any], answer: A, plain: Callable[[A], None], show: Callable[[A, bool], None]) -> int:
    """An answer as JSON, one record a line, or in words, as was asked; the exit code by its level."""
    if given["as_json"]:
        put_json(answer.as_dict())
    elif given["plain"]:
        plain(answer)
    else:
        show(answer, coloured(given["no_color"]))
    return EXIT[answer.level]


def number(value: float) -> str:
    """A figure with no more digits than it bears."""
    if value == 0:
        return "0"
    if abs(value) >= 1000:
        return f"{value:,.0f}"
    return (
        f"{value:.0f}"
        if abs(value) >= 100 and abs(value - round(value)) < 0.05
        else f"{value:.1f}"
        if abs(value) >= 10
        else f"{value:.2f}"
    )


def quantity(value: float, unit: str) -> str:
    """A figure with its unit as a plain terminal says it: ``79.6 C``, ``49 min``, ``6.50 log``."""
    if unit in HOURS and value >= 0:
        return units.show_hours(value * HOURS[unit])
    return f"{number(value)} {unit_words(unit).removeprefix(DEGREE)}".rstrip()


def beside(value: float, limit: float, unit: str, *, least: bool = False) -> str:
    """A value beside its limit: ``49 min, at most 6 h``, ``12.7, at most 5.00 C``; two times never read the same where they are not."""
    end = f"at {'least' if least else 'most'}"
    if unit in HOURS and value >= 0:
        taken, allowed = units.show_two(value * HOURS[unit], limit * HOURS[unit])
        return f"{taken}, {end} {allowed}"
    return f"{number(value)}, {end} {quantity(limit, unit)}"


def rests_on(assumed: Iterable[str], not_in_it: Iterable[str], cautions: Iterable[str]) -> None:
    """What a forecast took for granted and leaves out, then what to beware of."""
    for line in assumed:
        put(f"assumed: {line}", 0, 2)
    put("not in it: " + "; ".join(not_in_it), 0, 2)
    for caution in cautions:
        bullet(caution, "!")
    click.echo()


def compared(answer: Any, colour: bool) -> None:
    """What to beware of, what was not checked, and every limit, gravest last."""
    for caution in answer.cautions:
        bullet(caution, "!")
    put("not checked: " + "; ".join(answer.not_checked), 0, 2)
    click.echo()
    if not answer.rules_named:
        put("No country named: all are listed, and the strictest rules.")
    verdict_lines(answer.verdicts, colour=colour, strictest=None if answer.strictest is None else answer.strictest.rule)


def verdict_lines(verdicts: tuple[Verdict, ...], *, colour: bool, strictest: str | None = None) -> None:
    """Verdicts, gravest last; each with value, limit, clause, how sure, and its act."""
    advice = [v for v in verdicts if v.kind == "advice"]
    left = [v for v in verdicts if v.kind != "advice" and v.level == "cannot_say"]
    judged = [v for v in verdicts if v.kind != "advice" and v.level != "cannot_say"]
    if advice:
        click.echo("Asked of inspected plants, no duty at home:")
        for v in advice:
            _verdict(v, "under" if v.level == "over" else v.level, False, None)
    if left:
        click.echo("What is left in the product cannot be shown by calculation, only by analysis:")
        for v in left:
            _verdict(v, "cannot say", False, None)
    if judged:
        click.echo("What is added:")
    for v in sorted(judged, key=lambda v: _ORDER[v.level]):
        _verdict(v, MARK[v.level], colour, strictest)


def _verdict(v: Verdict, word: str, colour: bool, strictest: str | None) -> None:
    shown = click.style(f"{word:<10}", fg=_COLOUR.get(v.level)) if colour else f"{word:<10}"
    least = v.rule.endswith((".min", ".required"))
    end = f"at {'least' if least else 'most'}"
    told = "no figure is set" if v.limit is None else f"{end} {quantity(v.limit, v.unit)}" if v.value is None else beside(v.value, v.limit, v.unit, least=least)
    source = tables.source(v.source)
    sure = "" if v.sure == "quoted" else f" [{v.sure}]"
    click.echo(f" {shown} {v.country:<5} {told}{'  * strictest' if v.rule == strictest else ''}")
    put(f"{source.name} {v.clause}{sure}", 18, 18)
    if v.act and v.kind != "advice" and v.level == "over":
        put(v.act, 18, 18)


def when(f: Forecast) -> str:
    """``3 d to 9 d, most likely 5 d``."""
    if f.likely_h > 1e9:
        return "never at this dose"
    late = units.show_hours(f.latest_h) if f.latest_h < 1e9 else "never in one piece of twenty"
    return f"{units.show_hours(f.earliest_h)} to {late}, most likely {units.show_hours(f.likely_h)}"


def bullet(text: str, mark: str = "-") -> None:
    """One item of a list."""
    put(f"{mark} {text}", 1, 3)
