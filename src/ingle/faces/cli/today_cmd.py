"""``ingle today``."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import click

from ingle.faces.cli.book import kitchen_option, meant, notebook_option, place, plain, time_of
from ingle.faces.cli.lines import coloured, put, put_json
from ingle.faces.cli.options import colour_option, json_option, plain_option
from ingle.faces.today_dict import today_dict
from ingle.faces.when import between
from ingle.ground.errors import BadBrief
from ingle.jobs.today import today as look
from ingle.jobs.today_things import Today
from ingle.notebook.store import open_notebook
from ingle.notebook.trouble import NotFound

_WORD = {"stop": "STOP", "today": "today", "note": "note"}
_MOST = 12  # tasks shown; the rest is counted


@click.command("today")
@click.argument("plans", nargs=-1, type=click.Path(path_type=Path))
@click.option("--now", metavar="TIME", help="As if it were then, like 2026-12-04 18:05.")
@kitchen_option
@notebook_option
@json_option
@plain_option
@colour_option
def command(**given: Any) -> int:
    """What to do now: what needs attention, what is waiting, the next step.

    From the notebook, and from folders NAME.plan: those named, else those in
    the working folder.

    \b
    Example:  ingle today fernhollow.plan
    """
    plans = list(given["plans"]) or sorted(Path().glob("*.plan"))
    told = _look(given, plans)
    if given["as_json"]:
        put_json(today_dict(told))
    elif given["plain"]:
        _plain(told)
    else:
        _text(told, coloured(given["no_color"]))
    return 3 if any(n.level == "stop" or n.kind == "deviation" for n in told.needs) else 0


def _look(given: dict[str, Any], plans: list[Path]) -> Today:
    zone = "UTC"
    try:
        with open_notebook(given["book"], create=False) as book:
            from ingle.jobs.kitchen import kitchen

            now = None if given["now"] is None else time_of(given["now"], kitchen(book, given["kitchen"]).zone, "now")
            return look(book, plans, now=now, kitchen=given["kitchen"])
    except NotFound:
        if given["book"] is not None or given["kitchen"] is not None:
            raise
    if not plans:
        raise BadBrief(
            f"There is no notebook at {meant(given)} and no plan here.", field="notebook", value=meant(given), limit="a notebook, or NAME.plan",
            remedy='Begin: ingle plan BRIEF.toml; or ingle record kitchen "NAME" --zone Europe/London.',
        )  # fmt: skip
    from ingle.planning import planfile

    zone = planfile.read(plans[0]).zone
    return look(None, plans, now=None if given["now"] is None else time_of(given["now"], zone, "now"))


def _plain(told: Today) -> None:
    for n in told.needs:
        click.echo("\t".join(plain(x) for x in ("needs", n.level, n.what, n.act, n.by.isoformat() if n.by else "", n.kind, n.ref)))
    for w in told.waiting:
        for p in w.pieces:
            click.echo("\t".join(plain(x) for x in ("piece", w.batch, w.key, p.name, p.weight_g, p.thickness_mm, *(t.isoformat() for t in p.ready))))
        click.echo("\t".join(plain(x) for x in ("waits", w.batch, w.key, w.name, w.since.isoformat(), w.until.isoformat())))
    for t in told.tasks:
        click.echo("\t".join(plain(x) for x in ("do", t.at.isoformat(), t.until.isoformat(), t.cook, t.batch, t.key, t.verb)))


def _text(told: Today, colour: bool) -> None:
    put(f"{told.kitchen or 'No notebook yet'}, {told.now:%a} {told.now.day} {told.now:%b %H:%M} ({told.zone})")
    if told.notebook:
        put(f"notebook: {place(told.notebook)}", 1, 3)
    if told.plans:
        put(f"not in the notebook: {', '.join(told.plans)}", 1, 3)
    if told.tasks:
        click.echo("\nToday and tomorrow")
        for t in told.tasks[:_MOST]:
            put(f"{_when(t.at, told.now)}  {t.verb}" + (f"  [{t.batch}]" if t.batch else "") + (f", {t.cook}" if t.cook else ""), 1, 12)
        if len(told.tasks) > _MOST:
            put(f"and {len(told.tasks) - _MOST} more", 1)
    if told.waiting:
        click.echo("\nWaiting")
        for w in told.waiting:
            ready = f"; ready {between(w.ready)}" if len(w.ready) == 3 else ""
            put(f"{w.name}" + (f"  [{w.batch}]" if w.batch else "") + f": until {w.until:%a} {w.until.day} {w.until:%b %H:%M}{ready}", 1, 3)
            for p in w.pieces:
                own = f"; ready {between(p.ready)}" if p.ready else "; never ready at this dose"
                put(p.words + own, 3, 5)
    if told.needs:
        click.echo("\nNeeds attention")
        for n in reversed(told.needs):  # the gravest last: it is what stands on the screen
            word = click.style(_WORD[n.level], fg="red") if colour and n.level == "stop" else _WORD[n.level]
            put(f"{n.what}." if not n.what.endswith(".") else n.what, 7, 7, lead=f" {word}" + " " * (6 - len(_WORD[n.level])))
            put(n.act + (f" By {n.by.astimezone(told.now.tzinfo):%a %H:%M}." if n.by and n.kind == "deviation" else ""), 7, 7)
    click.echo()
    _next(told)


def _when(at: datetime, now: datetime) -> str:
    """``Mon 07:00``; with its date where it is none of the days around."""
    return f"{at:%a %H:%M}" if abs((at.date() - now.date()).days) < 4 else f"{at:%a} {at.day} {at:%b %H:%M}"


def _next(told: Today) -> None:
    t = told.next
    if t is None:
        begin = "Plan a meal: ingle plan BRIEF.toml; or lay a batch in: ingle record batch NAME."
        put(f"Nothing to do by hand now. {begin}" if told.waiting or told.going else f"Nothing is planned. {begin}")
        return
    day = "" if t.at.date() == told.now.date() else f"{t.at:%a} {t.at.day} {t.at:%b}, "
    put(f"Next: {day}{t.at:%H:%M}  {t.verb}" + (f"  [{t.batch}]" if t.batch else ""))
    for line in t.amounts:
        put(line, 6, 8)
    if t.look_for:
        put(f"look for {t.look_for}", 6, 8)
    if t.step_id is not None:
        put(f"ingle record step {t.key}" + (" --visit" if t.visit else "" if t.state == "going" else " [--began]"), 6, 8)
    elif told.plans:
        put("ingle record plan NAME.plan", 6, 8)
