"""``ingle read``."""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ingle.faces.cli.lines import EXIT, coloured, put_json
from ingle.faces.cli.options import colour_option, json_option, plain_option
from ingle.faces.heat_given import facts_of, kelvins, named
from ingle.ground import units
from ingle.ground.errors import BadBrief, IngleError
from ingle.ground.memory import keep_freed
from ingle.ground.tables import toml_table

if TYPE_CHECKING:
    from ingle.jobs.read import Answers, ReadAnswer

_ROUNDS = 8  # questions asked one after the other before the file is given up


@click.command("read")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--zone", metavar="ZONE", help="In which the logger's clock runs: Europe/London, UTC, +01:00.")
@click.option("--unit", type=click.Choice(["C", "F", "K"], case_sensitive=False), help="Of the temperatures, where the file is silent or wrong.")
@click.option("--dates", type=click.Choice(["day-first", "month-first", "year-first"]), help="Where 01/02 could be both.")
@click.option("--start", metavar="TIME", help="When a file of elapsed seconds began, like 2026-12-01T18:30.")
@click.option("--doubles", type=click.Choice(["warmer", "colder"]), help="Of two readings of one time.")
@click.option("--order", type=click.Choice(["sort"]), help="Put rows whose time runs back in order.")
@click.option("--lost", type=float, multiple=True, help="A number that stands for a lost probe. Repeat.")
@click.option("--encoding", metavar="NAME", help="Where it was found out wrongly: utf-8, utf-16, latin-1, cp1252.")
@click.option("--probe", multiple=True, metavar="NAME=KIND", help="air, core, surface, chamber or humidity. Repeat.")
@click.option("--instrument", metavar="NAME", help="Which logger. Left out: the number in the file's head.")
@click.option("--limits", type=click.Choice(["fridge", "smoker", "cooling"]), help="Where it stood: judge it by the lines of that place.")
@click.option("--rules", default="", metavar="COUNTRIES", help="us, gb ... Left out: the strictest.")
@click.option("--hanging", type=click.Choice(list(toml_table("tables", "hanging.toml"))), default="meat", show_default=True, help="In the smoker.")
@click.option("--lag", metavar="TIME", help="Time constant of the product behind the air, like 1h.")
@click.option("--thickness", metavar="LENGTH", help="Of the piece: its lag behind the air; in a cooling, what only a moved probe shows. Left out: a batch's.")
@click.option("--probe-still", is_flag=True, help="For a cooling: nobody moved the probe, believe every reading.")
@click.option("--probe-error", metavar="TEMP", help="How far the thermometer may be off, like 0.5C.")
@click.option("--nitrite", metavar="MG/KG", help="For a cooling: ingoing, in mg NaNO2 per kg.")
@click.option("--brine", metavar="SHARE", help="For a cooling: salt in the water phase, like 3.5%.")
@click.option("--aw", metavar="NUMBER", help="For a cooling: water activity.")
@click.option("--ascorbate/--no-ascorbate", default=None, help="For a cooling: ascorbate in the cure?")
@click.option("--intact/--not-intact", default=None, help="For a cooling: whole muscle?")
@click.option("--chart", type=click.Path(dir_okay=False), help="Write a picture: .svg, .png or .html.")
@click.option("--out", type=click.Path(dir_okay=False), help="Write the readings: .parquet or .csv.")
@click.option("--yes", is_flag=True, help="It was understood rightly: take what is proposed, keep it in the notebook.")
@click.option("--batch", multiple=True, metavar="[PROBE=]CODE", help="Batch the log, or one probe, belongs to; its forecasts are corrected.")
@click.option("--notebook", "book", metavar="PATH|URL", help="Which notebook. Left out: INGLE_NOTEBOOK, else ingle.notebook here.")
@click.option("--kitchen", metavar="NAME", help="Which kitchen, where the notebook has several.")
@click.option("--who", envvar="INGLE_WHO", default="", metavar="INITIALS", help="Who says so. Left out: INGLE_WHO.")
@json_option
@plain_option
@colour_option
def command(**given: Any) -> int:
    """Look at a logger's file, judge it, and keep it in the notebook.

    Shown is what was understood and the first rows; what only you know is asked. Nothing is kept without --yes.

    \b
    Example:  ingle read --zone Europe/London --limits fridge \\
                src/ingle/data/examples/disaster/night.csv
    """
    from ingle.jobs.read import read  # the parser is loaded only for a file

    keep_freed()

    if given["batch"] and not given["yes"]:
        raise BadBrief("A batch is named and nothing is confirmed.", field="batch", value=", ".join(given["batch"]), limit="with --yes",
                       remedy="Look at what was understood, then say --yes.")  # fmt: skip
    said = answers_of(given)
    zone, rules = _kitchen(given)
    more: dict[str, Any] = {"place": given["limits"] or "", "kitchen_zone": zone, "countries": _countries(given) or rules, "hanging": given["hanging"]}
    more |= {
        "lag": None if given["lag"] is None else units.seconds(units.duration_h(given["lag"], "lag")),
        "thickness_mm": _thickness(given), "moved": False if given["probe_still"] else None,
        "probe_error_c": _kelvins(given["probe_error"]), "facts": facts_of(given),
    }  # fmt: skip
    answer = read(given["file"], said, **more)
    for _ in range(_ROUNDS):
        if not answer.sighting.questions:
            break
        asked = _answered(answer, said, given)
        if asked is None:
            return _unanswered(answer, given)
        said = asked
        answer = read(given["file"], said, **more)
    else:
        return _unanswered(answer, given)
    return _done(answer, given, zone)


def _done(answer: ReadAnswer, given: dict[str, Any], zone: str | None) -> int:
    from ingle.faces.cli.read_words import plain, show

    written = []
    if given["chart"]:
        from ingle.faces.log_chart import write  # fonts are loaded only for a picture

        write(Path(given["chart"]), answer, zone=zone or "")
        written.append(given["chart"])
    if given["out"]:
        from ingle.notebook.logs_out import write_out  # only for an export

        write_out(Path(given["out"]), answer.sighting.tracks)
        written.append(given["out"])
    fed: list[Any] = []
    if given["yes"]:
        answer, fed = _kept(answer, given)
    if given["as_json"]:
        put_json(answer.as_dict() | {"fed": [f.as_dict() for f in fed], "written": written})
    elif given["plain"]:
        plain(answer)
    else:
        show(answer, fed, written, coloured(given["no_color"]), zone)
    return 0 if answer.level is None else EXIT[answer.level]


def answers_of(given: dict[str, Any]) -> Answers:
    """What the options answer."""
    from ingle.jobs.read import Answers

    kinds = {}
    for pair in given["probe"]:
        name, eq, kind = pair.rpartition("=")
        if not eq or not name.strip():
            raise BadBrief(f"probe {pair!r} is not NAME=KIND.", field="probe", value=pair, limit="NAME=KIND", remedy="Write it like --probe 'Channel 1=core'.")
        kinds[name.strip()] = kind.strip().lower()
    return Answers(
        zone=given["zone"], unit=given["unit"], dates=given["dates"], start=_moment(given["start"]), doubles=given["doubles"],
        order=given["order"], lost=tuple(given["lost"]), kinds=kinds, encoding=given["encoding"], instrument=given["instrument"],
    )  # fmt: skip


def _moment(written: str | None) -> datetime | None:
    if written is None:
        return None
    try:
        return datetime.fromisoformat(written.strip())
    except ValueError:
        raise BadBrief(f"start {written!r} is not a time.", field="start", value=written, limit="like 2026-12-01T18:30", remedy="Write it like 2026-12-01T18:30.") from None


def _countries(given: dict[str, Any]) -> tuple[str, ...]:
    return named(given["rules"])[0] + named(given["rules"])[1]


def _kelvins(written: str | None) -> float:
    return abs(kelvins(written, "probe-error"))


def _thickness(given: dict[str, Any]) -> float | None:
    """As told; of a cooling else that of the batch it belongs to. [mm]"""
    if given["thickness"] is not None:
        return units.length_mm(given["thickness"], "thickness")
    if given["limits"] != "cooling" or not given["batch"]:
        return None
    from ingle.jobs.batch_facts import thickness_of  # the database is loaded only where a batch is named
    from ingle.notebook.store import open_notebook

    with open_notebook(given["book"], create=False) as book:
        return thickness_of(book, _batches(given).values())


def _batches(given: dict[str, Any]) -> dict[str, str]:
    """Probe -> code of the batch it belongs to; "" for all probes."""
    pairs = [pair.rpartition("=") for pair in given["batch"]]
    return {probe.strip(): code.strip() for probe, _, code in pairs}


def _kitchen(given: dict[str, Any]) -> tuple[str | None, tuple[str, ...]]:
    """Zone and rules of the kitchen, where there is a notebook: proposed for a file that names no zone. None is made for it."""
    path = given["book"] or os.environ.get("INGLE_NOTEBOOK") or "ingle.notebook"
    if not given["yes"] and "://" not in path and not Path(path).is_file():
        return None, ()
    from ingle.notebook.rows import only_kitchen  # the database is loaded only where there is one
    from ingle.notebook.store import open_notebook

    try:
        with open_notebook(given["book"], create=False) as book, book.look() as session:
            home = only_kitchen(session, given["kitchen"])
            return home.zone, tuple(home.rules)
    except IngleError:
        if given["yes"] or given["kitchen"]:
            raise
        return None, ()  # to look at a file no kitchen is needed


def _answered(answer: ReadAnswer, said: Answers, given: dict[str, Any]) -> Answers | None:
    """Answers to what is asked: proposals with --yes, else the person at the terminal; None where nobody can say."""
    found: dict[str, Any] = {}
    for q in answer.sighting.questions:
        if given["yes"] and q.proposal:
            found[q.field] = q.proposal
        elif sys.stdin.isatty() and sys.stdout.isatty() and not given["as_json"] and not given["plain"]:
            click.echo(q.text)
            told = click.prompt(f"  {q.field} ({', '.join(q.choices)})", default=q.proposal or None)
            found[q.field] = told.strip()
        else:
            return None
        if q.field == "start":
            found["start"] = _moment(found["start"])
        if q.field == "lost":
            try:
                found["lost"] = (*said.lost, float(found["lost"]))
            except ValueError:
                raise BadBrief(f"lost {found['lost']!r} is not a number.", field="lost", value=found["lost"], limit=q.choices[0], remedy=f"Write {q.choices[0]}, or correct the file.") from None
    return replace(said, **found)


def _unanswered(answer: ReadAnswer, given: dict[str, Any]) -> int:
    """What is missing, and how to say it: the file was seen, nothing is kept."""
    from ingle.faces.cli.read_words import sighting_lines

    if given["as_json"]:
        put_json(answer.as_dict())
    else:
        sighting_lines(answer.sighting)
        for q in answer.sighting.questions:
            click.echo(f"\nASKED  {q.text}")
            click.echo(f"       Say it with --{q.field} {q.proposal or q.choices[0]}" + (f" (proposed), or {' or '.join(c for c in q.choices if c != q.proposal)}" if q.proposal else ""))
        click.echo("\nNothing was kept.")
    return 4


def _kept(answer: ReadAnswer, given: dict[str, Any]) -> tuple[ReadAnswer, list[Any]]:
    from ingle.jobs.read import keep
    from ingle.jobs.read_feed import feed_stored, move_by_log
    from ingle.notebook.store import open_notebook

    batches = _batches(given)
    with open_notebook(given["book"], create=False) as book:
        answer = keep(book, answer, kitchen=given["kitchen"], batches=batches, who=given["who"])
        fed = [feed_stored(book, code) for code in dict.fromkeys(batches.values())]
        for some in fed:
            if answer.kept is not None and answer.kept.uid:
                move_by_log(book, some, answer.kept.uid)
        return answer, fed
