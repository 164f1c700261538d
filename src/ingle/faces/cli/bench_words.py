"""The answers of the bench's small jobs in 80 columns: each figure with where it comes from, what to mind, verdicts last."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import click

from ingle.faces.bench_told import told
from ingle.faces.cli.heat_words import COLOUR
from ingle.faces.cli.lines import bullet, put, tell
from ingle.faces.words import LEVEL_ORDER, MARK, limit_words, value_words
from ingle.ground import tables
from ingle.jobs.figures import Act, BenchAnswer, Figure
from ingle.safety.verdict import Verdict

_NAME, _VALUE, _BAND = 28, 12, 16


def answered(given: Mapping[str, Any], asked: Callable[[Mapping[str, Any]], BenchAnswer]) -> int:
    """Ask, and tell as was wished: JSON, one figure a line, or words; the exit code by its level."""
    return tell(given, asked(given), plain, show)


def plain(answer: BenchAnswer) -> None:
    """One record a line, tab between."""
    for group in answer.groups:
        for key, f in group.figures.items():
            ends = "\t".join("" if end is None else f"{end:.6g}" for end in (f.low, f.high))
            click.echo(f"figure\t{key}\t{f.value:.6g}\t{ends}\t{f.unit}\t{f.ground}")
    for v in answer.verdicts:
        click.echo(f"verdict\t{v.rule}\t{v.level}\t{'' if v.value is None else f'{v.value:.4g}'}\t{v.limit}\t{v.unit}\t{v.clause}")
    for a in answer.acts:
        click.echo(f"act\t{a.ground}\t{a.level}\t{a.act}")


def show(answer: BenchAnswer, colour: bool) -> None:
    """Figures first, what matters most last."""
    put(answer.asked[0].upper() + answer.asked[1:])
    for group in answer.groups:
        click.echo()
        click.echo(group.title)
        for f in group.figures.values():
            _row(f)
        if group.note:
            put(group.note, 2, 2)
    click.echo()
    for head, lines in (("taken, because it was not said", answer.assumed), ("not modelled", answer.not_modelled), ("not checked", answer.not_checked)):
        if lines:
            put(f"{head}: " + "; ".join(lines), 0, 2)
    for care in answer.cautions:
        bullet(care.text, "!")
    if answer.verdicts:
        click.echo()
    for v in sorted(answer.verdicts, key=lambda v: LEVEL_ORDER.index(v.level)):
        _verdict(v, colour)
    for act in answer.acts:
        _act(act)


def _row(f: Figure) -> None:
    said = f.said
    source = tables.source(said["source"]).name
    sure = "" if said["sure"] in ("quoted", source) or said["source"] == "arithmetic" else f" [{said['sure']}]"
    name = f.name if len(f.name) <= _NAME else ""
    if not name:
        put(f.name, 2, 2)
    value, band = told(f)
    lead = f"  {name:<{_NAME}}{value:>{_VALUE}} {band:<{_BAND}}  "
    put(f"{source}{sure}", len(lead), len(lead), lead=lead)


def _verdict(v: Verdict, colour: bool) -> None:
    word = f"{MARK[v.level]:<10}"
    value = "" if v.value is None else f"{value_words(v)}, "
    put(f"{v.title}: {value}{limit_words(v)}", 12, 12, lead=f" {click.style(word, fg=COLOUR.get(v.level)) if colour else word} ")
    put(f"{tables.source(v.source).name}, {v.clause}{'' if v.sure == 'quoted' else f' [{v.sure}]'}", 12, 12)
    if v.act:
        put(v.act, 12, 12)


def _act(act: Act) -> None:
    click.echo()
    put(act.act if act.level == "within" else f"{MARK[act.level]}: {act.act}")
    said = act.said
    put(f"{act.why} [{tables.source(said['source']).name}]", 2, 2)
