"""Words for a logger's file: what was understood, verdicts, deviations, what became of it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, tzinfo
from typing import TYPE_CHECKING, Any

import click

from ingle.faces.cli.lines import beside, bullet, put, quantity
from ingle.faces.words import MARK, clean, fit, pattern_words
from ingle.ground import tables
from ingle.ground.units import HOUR_S, show_two
from ingle.jobs.read import ReadAnswer
from ingle.notebook.logs import Sighting
from ingle.notebook.logs_clock import zone_named
from ingle.notebook.logs_limits import Deviation
from ingle.safety.verdict import Verdict

if TYPE_CHECKING:
    from ingle.jobs.read_feed import Fed

_MOST = 12
_ORDER = {"cannot_say": 0, "within": 1, "near": 2, "over": 3}
_WORD = {"stop": "STOP", "today": "TODAY", "note": "note"}


def show(answer: ReadAnswer, fed: Sequence[Fed], written: Sequence[str], colour: bool, zone: str | None) -> None:
    """The whole answer; what matters most comes last."""
    home = zone_named(zone or answer.sighting.zone or "UTC")
    sighting_lines(answer.sighting, home)
    for note in answer.notes:
        bullet(note.replace("say so,", "say so (--probe-still),"))
    if answer.verdicts:
        click.echo("\nAgainst the lines in force:")
        for v in sorted(answer.verdicts, key=lambda v: (v.kind != "advice", _ORDER[v.level])):
            _verdict(v, colour)
    for s in answer.stages:
        if s.kind != "advice" and (s.level != "within" or s.strictest):
            taken = "" if s.taken_s is None else "{}, at most {}. ".format(*show_two(s.taken_s / HOUR_S, (s.allowed_s or 0) / HOUR_S))
            put(f"{MARK[s.level]:<10} {s.country:<5} {taken}{s.from_words}; {s.title}. {tables.source(s.source).name} {s.clause}{'' if s.sure == 'quoted' else f' [{s.sure}]'}", 1, 18)
    if answer.not_checked:
        put("not checked: " + "; ".join(answer.not_checked[:_MOST]), 0, 2)
    _deviations(answer, colour, home)
    for f in fed:
        _fed(f)
    for path in written:
        click.echo(f"written: {path}")
    _last(answer)


def sighting_lines(seen: Sighting, home: tzinfo | None = None) -> None:
    """What was understood, and the first rows as they stand in the file."""
    u = seen.understood
    put(f"{seen.name}: {u['encoding']}, {u['separator']} between, decimal {'comma' if u['decimal'] == ',' else 'point'}, readings from line {u['lines_above'] + 1}")
    for row in seen.first_rows[:4]:
        click.echo(f"   {fit(' | '.join(c.strip() for c in row), False)[:76]}")
    dates = f", {u['dates']}" if u["dates"] and u["times"] != "elapsed" else ""
    because = f" ({u['dates_because']})" if u["dates_because"] else ""
    put(f"times {pattern_words(u['pattern'])}{dates}{because}; zone {seen.zone or 'not known'} ({u['zone_from']})", 1, 3)
    for left in u["left_out"]:
        put(f"column {left['column']} {fit(left['head'], False)!r} is left out: {left['why']}", 1, 3)
    for t in seen.tracks:
        unit = "%" if t.wet else "C"
        put(f"{fit(t.name, False)}: {t.kind}, {t.ms.size:,} readings, {t.values.min():.1f} to {t.values.max():.1f} {unit}" + (f" (file in {t.unit})" if t.unit not in ("C", "%") else ""), 1, 3)
    if seen.first is not None and seen.last is not None:
        put(f"from {_when(seen.first, home)} to {_when(seen.last, home)}" + (f", logger {fit(seen.instrument, False)}" if seen.instrument else ""), 1, 3)
    for note in seen.notes:
        bullet(fit(note, False))


def _verdict(v: Verdict, colour: bool) -> None:
    """Word, value, limit and clause on a line; what was judged under it."""
    word = MARK[v.level] if v.kind != "advice" or v.level == "within" else "advised"
    shown = click.style(f"{word:<10}", fg={"near": "yellow", "over": "red"}.get(v.level)) if colour and v.kind != "advice" else f"{word:<10}"
    told = "no figure" if v.limit is None else f"at most {quantity(v.limit, v.unit)}" if v.value is None else beside(v.value, v.limit, v.unit)
    sure = "" if v.sure == "quoted" else f" [{v.sure}]"
    click.echo(f" {shown} {v.country:<5} {told}")
    put(f"{fit(v.title, False)}. {tables.source(v.source).name} {v.clause}{sure}", 18, 18)
    if v.basis:
        put(v.basis, 18, 18)


def _when(moment: datetime, home: tzinfo | None) -> str:
    local = moment.astimezone(home) if home else moment
    return f"{local:%a} {local.day} {local:%b %Y, %H:%M}"


def _deviations(answer: ReadAnswer, colour: bool, home: tzinfo) -> None:
    if not answer.deviations:
        return
    click.echo("\nAbove a line:")
    notes = [d for d in answer.deviations if d.level == "note"]
    for d in notes[:_MOST]:
        _deviation(d, colour, home)
    if len(notes) > _MOST:
        put(f"and {len(notes) - _MOST} notes more: --plain shows all", 1)
    for d in reversed([d for d in answer.deviations if d.level != "note"]):
        _deviation(d, colour, home)


def _deviation(d: Deviation, colour: bool, home: tzinfo) -> None:
    word = click.style(f"{_WORD[d.level]:<6}", fg="red") if colour and d.level == "stop" else f"{_WORD[d.level]:<6}"
    until = "goes on" if d.ended is None else f"until {_when(d.ended, home)}"
    click.echo(f" {word} {_when(d.began, home)}, {until}" + (f", {d.count} times" if d.count > 1 else ""))
    put(fit(d.what, False), 8, 8)
    if d.level != "note":
        put(d.act + (f" By {_when(d.deadline, home)}." if d.deadline else ""), 8, 8)
        put(f"at most {d.limit:g} C, {tables.source(d.source).name} {d.clause}" + ("" if d.sure == "quoted" else f" [{d.sure}]"), 8, 8)


def _fed(f: Fed) -> None:
    click.echo(f"\nBatch {f.batch}, by its log" + (f" ({clean(f.probe)})" if f.probe else "") + ":")
    if f.sentence:
        put(f.sentence, 1, 3)
    for g in sorted(f.growth, key=lambda g: {"within": 0, "cannot_say": 1, "near": 2, "over": 3}[g.level]):
        if g.level != "within":
            put(g.text + (f" {g.act}" if g.act else ""), 1, 3)
    if f.growth and all(g.level == "within" for g in f.growth):
        put("growth: every germ judged stays below its line or outside its range", 1, 3)
    for note in f.notes:
        bullet(fit(note, False))


def _last(answer: ReadAnswer) -> None:
    kept = answer.kept
    if kept is None:
        click.echo("\nNothing was kept. Understood rightly? Keep it: add --yes")
        return
    for note in kept.notes:
        put(note, 1, 3)
    click.echo(f"\nIn the book: {kept.added:,} readings" + (f"; {kept.known:,} were there before" if kept.known else "") + ".")
    if kept.uid:
        put(f"Taken in wrongly? ingle record withdraw {kept.uid[:8]} --why WORDS", 1, 3)


def plain(answer: ReadAnswer) -> None:
    """One record a line, tab between."""
    for t in answer.sighting.tracks:
        _row("probe", t.name, t.kind, t.ms.size, f"{t.values.min():.2f}", f"{t.values.max():.2f}", t.stored_unit)
    for v in answer.verdicts:
        _row("verdict", v.rule, v.level, "" if v.value is None else f"{v.value:.2f}", v.limit, v.unit, v.clause)
    for s in answer.stages:
        _row("stage", s.rule, s.segment, s.level, s.taken_s, s.allowed_s)
    for d in answer.deviations:
        _row("deviation", d.level, d.probe, d.rule, d.began.isoformat(), d.ended.isoformat() if d.ended else "", f"{d.above_s:.0f}", f"{d.peak:.2f}", d.count, d.act)
    if answer.kept is not None:
        _row("kept", answer.kept.uid, answer.kept.added, answer.kept.known)


def _row(*cells: Any) -> None:
    click.echo("\t".join(clean(str("" if c is None else c)) for c in cells))
