"""A mishap in words at 80 columns: the act first, then before and after, then what else there is."""

from __future__ import annotations

import math

import click

from ingle.faces.cli.lines import beside, bullet, number, put, quantity
from ingle.faces.words import HOURS, MARK
from ingle.ground import tables, units
from ingle.ground.things import Band
from ingle.jobs.mishap import MishapAnswer
from ingle.jobs.mishap_judge import Found
from ingle.jobs.mishap_lines import Line

_COLOUR = {"near": "yellow", "over": "red"}
_FEW = 8


def plain(answer: MishapAnswer) -> None:
    """One record a line, tab between."""
    click.echo(f"act\t{answer.way.urgency}\t{answer.way.act}")
    click.echo(f"level\t{answer.level}")
    for line in answer.lines:
        f = line.said
        value, before = (None if x is None else x.value for x in (line.warm, line.before))
        click.echo(f"line\t{line.key}\t{line.level}\t{_cell(before)}\t{_cell(value)}\t{_cell(f.limit)}\t{f.unit}\t{f.clause}")


def _cell(value: float | None) -> str:
    return "" if value is None else f"{value:.3f}"


def show(answer: MishapAnswer, colour: bool) -> None:
    """The answer, the act first."""
    put(answer.way.act)
    put(f"{answer.way.why}." if not answer.way.why.endswith(".") else answer.way.why, 2, 2)
    click.echo()
    put(_head(answer))
    click.echo(f"{'':<32}{'before':<22}after")
    for name, before, after in _rows(answer):
        click.echo(f"  {name:<30}{before:<22}{after}")
    now = answer.failing
    counted = [line for line in now if line.counts]
    if counted:
        click.echo()
        click.echo("Worse by it:")
        for line in counted:
            _line(line, colour)
    advice = [line for line in now if not line.counts]
    if advice:
        click.echo()
        put("Told as advice, since it is cooked before it is eaten or asked of food businesses: " + "; ".join(_short(line) for line in advice[:_FEW])
            + (f"; and {len(advice) - _FEW} more (--json)" if len(advice) > _FEW else "") + ".", 0, 2)  # fmt: skip
    inside = [line for line in answer.lines if line.inside_before and not line.now and line.counts]
    if inside:
        click.echo()
        put("Inside, only if it was ever pierced, boned, rolled, seamed or pumped, and by the plan itself: " + "; ".join(_both(line) for line in inside)
            + ". In whole muscle it is the face that counts.", 0, 2)  # fmt: skip
    if answer.over_before:
        click.echo()
        put("Over without it too, and what it adds is not: " + "; ".join(_both(line) for line in answer.over_before) + ".", 0, 2)
    click.echo()
    if answer.way.choices:
        click.echo("Other choices:")
        for choice in answer.way.choices:
            bullet(f"{choice.act} Price: {choice.price}.")
    for assumed in answer.assumed:
        put(f"assumed: {assumed}", 0, 2)
    put("not in it: " + "; ".join(answer.not_in_it), 0, 2)
    left = dict.fromkeys(x for line in answer.lines for x in (line.said.not_checked if line.counts else ()))
    put("not checked: " + "; ".join(list(left)[:_FEW]), 0, 2)
    for caution in answer.cautions:
        bullet(caution, "!")
    if answer.settle:
        click.echo()
        put(f"Next: find out {answer.settle}, and ask again.")


def _head(answer: MishapAnswer) -> str:
    a = answer.accident
    where = f", {units.show_hours(a.after_h)} after the first stage began" if answer.salt is not None and a.kind != "started-late" else ""
    room = {"fridge-off": f"; room {a.room_c:g} C", "left-out": f"; room {a.room_c:g} C"}.get(a.kind, "")
    found = "" if a.found_c is None else f", found at {a.found_c:g} C"
    return f"{units.show_mass(answer.piece.weight_g)}, {answer.piece.thickness_mm:g} mm thick: {answer.what} for {units.show_hours(a.hours)}{where}{room}{found}."


def _rows(answer: MishapAnswer) -> list[tuple[str, str, str]]:
    cold, warm = answer.peak_c
    plan = answer.courses[0]
    inside = (plan.hours >= answer.accident.after_h) & (plan.hours <= answer.accident.end_h + 24.0)
    inside = inside if inside.any() else plan.hours >= 0
    rows = [("warmest place of the piece", f"{plan.places[:, inside].max():.1f} C", _span(cold, warm, "C"))]
    if answer.salt is not None:
        s = answer.salt
        rows.append(("core ready, likely", _when(s.ready_before), _when(s.ready_after)))
        rows.append(("core at the end, g per 100 g", f"{s.core_before[-1]:.2f}", f"{s.core_after[-1]:.2f}"))
    for line in answer.lines:
        if line.key.startswith("growth.") and line.said.value is not None:
            name = line.said.title.removesuffix(": growth")
            rows.append((name, _log(line.before, None if line.whole is None else line.whole.before, both=line.whole is not None), f"{_logs(line)}, line {line.said.limit:g}"))
    return [(n if len(n) <= 30 else n[:29] + ".", b, a) for n, b, a in rows]


def _log(found: Found | None, face: Found | None, *, both: bool) -> str:
    """As told; where nobody told whether it is whole muscle its face first, then what a pierced one may hold inside."""
    value = 0.0 if found is None or found.value is None else found.value
    here = 0.0 if face is None or face.value is None else face.value
    return f"{here:.1f} (inside {value:.1f}) log" if both and f"{here:.1f}" != f"{value:.1f}" else f"{value:.1f} log"


def _logs(line: Line) -> str:
    if line.whole is not None:
        return _log(line.warm, line.whole.warm, both=True).replace(") log", ")")
    low, high = (0.0 if f is None or f.value is None else f.value for f in (line.cold, line.warm))
    return f"{low:.1f} to {high:.1f} log" if abs(high - low) >= 0.05 else f"{high:.1f} log"


def _span(low: float, high: float, unit: str) -> str:
    return f"{high:.1f} {unit}" if high - low < 0.1 else f"{low:.1f} to {high:.1f} {unit}"


def _when(band: Band) -> str:
    return units.show_hours(band.likely) if math.isfinite(band.likely) else "not in these stages"


def _line(line: Line, colour: bool) -> None:
    f = line.said
    word = MARK[line.level]
    shown = click.style(f"{word:<10}", fg=_COLOUR.get(line.level)) if colour else f"{word:<10}"
    click.echo(f" {shown} ", nl=False)
    valued = f.value is not None and f.limit is not None
    if f.value is None or f.limit is None:
        head = f.title
    else:
        before = 0.0 if line.before is None or line.before.value is None else line.before.value
        low = 0.0 if line.cold is None or line.cold.value is None else line.cold.value
        after = _told(f.value, f.unit) if abs(f.value - low) < 0.05 else f"{_told(min(low, f.value), f.unit)} to {_told(max(low, f.value), f.unit)}"
        head = f"before {_told(round(before, 1), f.unit)}, after {after}, at most {quantity(f.limit, f.unit)}"
    if line.level == "near" and valued and number(f.value or 0.0) in ("0", "0.00"):
        head = f"only by the thermometer's error; at most {quantity(f.limit or 0.0, f.unit)}"
    click.echo(head[:67])
    place = f" ({f.place})" if valued and f.place and f.place != "everywhere" else ""
    sure = "" if f.sure == "quoted" else f" [{f.sure}]"
    said = f.title if valued else f.text.removeprefix(f"{f.title}: ").rstrip(".")
    put(f"{said}{place}. {tables.source(f.source).name} {f.clause}{sure}", 12, 12)


def _told(value: float, unit: str) -> str:
    """A figure that stands before another of its unit; a time says its own."""
    return quantity(value, unit) if unit in HOURS else number(value)


def _both(line: Line) -> str:
    before = line.before
    assert before is not None
    if before.value is None or line.said.value is None:
        return line.said.title
    return f"{line.said.title} {_told(before.value, before.unit)}, now {_told(line.said.value, before.unit)}, at most {quantity(before.limit or 0.0, before.unit)}"


def _short(line: Line) -> str:
    f = line.said
    if f.value is None or f.limit is None:
        return f.title
    return f"{f.title} {beside(f.value, f.limit, f.unit)}"
