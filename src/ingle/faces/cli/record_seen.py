"""``ingle record dose | step | reading | correct``."""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import click

from ingle.faces.cli.book import answer, kitchen_option, opened, said_options, shown, time_of
from ingle.faces.when import between
from ingle.ground import tables, units
from ingle.ground.errors import BadBrief
from ingle.jobs import kitchen as kitchens
from ingle.jobs import record
from ingle.jobs.box_pieces import pieces_in
from ingle.jobs.judge_dose import judged_of
from ingle.jobs.judge_reading import reading_judged
from ingle.jobs.lying import Lying, lying_of
from ingle.jobs.visits import visit
from ingle.notebook.models import LimitInForce
from ingle.notebook.readings import PHOTO_MOST, AlreadyDosed
from ingle.notebook.store import Notebook
from ingle.safety.verdict import WORDS

_MEASURED = (
    ("weight", "weight_g", "MASS", "Weight, like 1.33kg."),
    ("temperature", "temperature_c", "TEMP", "Temperature, like 4.2C."),
    ("ph", "ph", "PH", "pH, like 5.6."),
    ("water-activity", "water_activity", "AW", "Water activity, like 0.93."),
    ("humidity", "humidity_pct", "SHARE", "Humidity of the air, like 78%."),
    ("salt", "salt_g_per_100g", "SHARE", "Salt by a strip or an analysis, like 2.6%."),
)


def _measures(command: Any) -> Any:
    for name, _, metavar, words in reversed(_MEASURED):
        command = click.option(f"--{name}", metavar=metavar, help=words)(command)
    return command


def _read(given: dict[str, Any]) -> dict[str, Any]:
    """The measured values of a command, each in its column's unit."""
    told: dict[str, Any] = {}
    for name, column, _, _ in _MEASURED:
        written = given.get(name.replace("-", "_"))
        if written is not None:
            told[column] = _value(name, written)
    return told


def _value(name: str, written: str) -> float:
    if name == "weight":
        return units.mass_g(written, name)
    if name == "temperature":
        return units.temperature_c(written, name)
    if name in ("humidity", "salt"):
        return units.per_hundred(units.fraction(written, name))
    try:
        return float(written.strip().replace(",", "."))
    except ValueError:
        raise BadBrief(f"{name} {written!r} is not a number.", field=name, value=written, remedy="Write it like 5.6.") from None


@click.command("reading")
@click.argument("about", required=False)
@_measures
@click.option("--taste", help="What it tastes like.")
@click.option("--note", help="Anything seen.")
@click.option("--photo", type=click.Path(exists=True, dir_okay=False, path_type=Path), help="A JPEG or PNG.")
@click.option("--depth", metavar="LENGTH", help="How deep the probe was, like 25mm.")
@click.option("--place", default="", help="Where, for a reading of no batch: fridge, smoker.")
@click.option("--step", metavar="STEP", help="The step it belongs to.")
@click.option("--instrument", metavar="NAME", help="Read with which instrument.")
@kitchen_option
@said_options
def reading(**given: Any) -> int:
    """A reading of a batch, piece or lot; or of a place, with --place.

    \b
    Example:  ingle record reading FH-261204-A --weight 1.33kg \\
                --temperature 3.8C --depth 25mm
    """
    photo = None
    if given["photo"] is not None:
        if given["photo"].stat().st_size > PHOTO_MOST:
            raise BadBrief(f"{given['photo']} is too large.", field="photo", value=str(given["photo"]), limit=f"{PHOTO_MOST / 1e6:.0f} MB")
        photo = given["photo"].read_bytes()
    with opened(given) as book:
        zone = kitchens.kitchen(book, given["kitchen"]).zone
        row = record.reading(
            book, given["about"], kitchen=given["kitchen"], step=given["step"], instrument=given["instrument"], photo=photo, uid=given["uid"],
            at=time_of(given["at"], zone), who=given["who"], taste=given["taste"], note=given["note"], place=given["place"],
            probe_depth_mm=None if given["depth"] is None else units.length_mm(given["depth"], "depth"), **_read(given),
        )  # fmt: skip
        told = reading_judged(book, row)
    said = " ".join(x for x in (given["about"], given["place"]) if x) or "kitchen"
    words = f"reading {row.id} of {said}, {shown(row.at_utc, row.zone)}: {_words(row)}"
    if told is None:
        return answer(given, row, words)
    judged, limit = told
    words += f"\n{WORDS[judged.level]}: {limit.title}, {judged.value:.1f}, at most {limit.value:g} {limit.unit}, {_clause(limit)}"
    if judged.level == "over":
        about = f" --about {given['about']}" if given["about"] else f' --place "{given["place"]}"'
        words += f'\n{judged.act}\n  ingle record deviation "{judged.value:.1f} C"{about} --value {judged.value:.1f} --unit C --act "WHAT IS TO BE DONE"'
    answer(given, row, words)
    return 3 if judged.level == "over" else 0


def _words(row: Any) -> str:
    told = [
        None if row.weight_g is None else units.show_mass(row.weight_g),
        None if row.temperature_c is None else f"{row.temperature_c:.1f} C",
        None if row.ph is None else f"pH {row.ph:g}",
        None if row.water_activity is None else f"water activity {row.water_activity:g}",
        None if row.humidity_pct is None else f"humidity {row.humidity_pct:g} %",
        None if row.salt_g_per_100g is None else f"salt {row.salt_g_per_100g:g} g per 100 g",
        row.text or None,
        None if row.photo_id is None else "a picture",
        "withdrawn" if row.void else None,
    ]
    return ", ".join(t for t in told if t)


@click.command("dose")
@click.argument("about")
@click.option("--add", multiple=True, required=True, metavar="NAME=MASS", help="salt=34g, curing-salt@6.25%=2.6g. Repeat.")
@click.option("--from", "lots", multiple=True, metavar="NAME=CODE", help="Lot of what was weighed in, like salt=FH-IN-261101-A.")
@click.option("--instrument", metavar="NAME", help="Weighed with which scale.")
@click.option("--again", is_flag=True, help="Yes, a second time.")
@said_options
def dose(**given: Any) -> int:
    """What was weighed in for a piece or a batch. A second dosing asks.

    \b
    Example:  ingle record dose FH-IN-261204-A-1 --add salt=34g \\
                --add curing-salt@6.25%=2.6g --who A
    """
    amounts = {k: units.mass_g(v, k, zero=True) for k, v in _pairs(given["add"], "add")}
    lots = dict(_pairs(given["lots"], "from"))
    with opened(given) as book:
        zone = kitchens.kitchen(book).zone
        say = {
            "lots": lots, "instrument": given["instrument"], "uid": given["uid"], "at": time_of(given["at"], zone), "who": given["who"],
        }  # fmt: skip
        try:
            rows = record.dose(book, given["about"], amounts, again=given["again"], **say)
        except AlreadyDosed as why:
            if not sys.stdin.isatty() or given["as_json"]:
                raise
            click.echo(why.message, err=True)
            if not click.confirm("Weigh it in a second time?", default=False, err=True):
                raise click.Abort from None
            rows = record.dose(book, given["about"], amounts, again=True, **say)
        told = judged_of(book, rows[-1])
        when = lying_of(book, rows[-1].batch_id)
    words = ", ".join(f"{r.item} {units.show_mass(r.weighed_g, 0.1)}" for r in rows)
    for verdict, limit in told[:1]:
        words += f"\n{WORDS[verdict.level]}: {limit.title}, {verdict.value:.0f}, at most {limit.value:.0f} {limit.unit}, {_clause(limit)}"
        words += f"\n{verdict.act}" if verdict.act else ""
    words += "" if when is None else "".join(f"\n{line}" for line in _when(*when))
    answer(given, list(rows), f"{given['about']} got {words}")
    return 3 if any(verdict.level == "over" for verdict, _ in told) else 0


def _when(lies: Lying, zone: ZoneInfo) -> list[str]:
    """When the batch is ready that was dosed, and each of several pieces in it."""
    local = tuple(t.astimezone(zone) for t in lies.ready)
    pull = "" if lies.pull is None else f"; pull no sooner than {shown(lies.pull, zone.key)}"
    pieces = [f"{p.words}; {f'ready {between(p.ready)}' if p.ready else 'never ready at this dose'}" for p in pieces_in({"pieces": lies.pieces}, lies.since, zone)]
    return [f"Ready {between(local)}{pull}.", *pieces]


def _clause(limit: LimitInForce) -> str:
    """``Reg 1333/2008 (GB) Annex II Part E, 08.3.1``: the law, then its place in it."""
    law = tables.sources().get(limit.source)
    return limit.clause if law is None or limit.clause.startswith(law.name) else f"{law.name} {limit.clause}"


def _pairs(written: tuple[str, ...], field: str) -> list[tuple[str, str]]:
    found = []
    for pair in written:
        name, eq, value = pair.partition("=")
        if not eq or not name.strip() or not value.strip():
            raise BadBrief(f"{field} {pair!r} is not NAME=VALUE.", field=field, value=pair, remedy="Write it like salt=34g.")
        found.append((name.strip(), value.strip()))
    return found


@click.command("step")
@click.argument("step")
@click.option("--batch", metavar="CODE", help="Of which batch, where a step's name fits several.")
@click.option("--began", is_flag=True, help="It is begun and goes on.")
@click.option("--visit", is_flag=True, help="Hands were at it (turned, looked at), and it goes on.")
@click.option("--note", default="")
@kitchen_option
@said_options
def step(**given: Any) -> int:
    """A step is done; with --began it is begun, with --visit it was turned or looked at, and goes on.

    \b
    Example:  ingle record step collar.cure --began --who A
    """
    with opened(given) as book:
        zone = kitchens.kitchen(book, given["kitchen"]).zone
        at = time_of(given["at"], zone)
        if given["visit"]:
            return _visit(book, given, at)
        when = at or record.readings.moment(None)
        row = record.step(
            book, given["step"], batch=given["batch"], kitchen=given["kitchen"], uid=given["uid"], who=given["who"], note=given["note"],
            began=when if given["began"] else None, ended=None if given["began"] else when,
        )  # fmt: skip
    return answer(given, row, f"{given['step']} {'begun' if given['began'] else 'done'}, {shown(row.at_utc, row.zone)}\nNext: ingle today")


def _visit(book: Notebook, given: dict[str, Any], at: datetime | None) -> int:
    if given["began"]:
        raise BadBrief("--began and --visit are two entries.", field="visit", value="--began --visit", limit="one of them", remedy="Say one at a time.")
    told = {k: given[k] for k in ("batch", "kitchen", "uid", "who", "note")}
    row = visit(book, given["step"], at=at, **told)
    return answer(given, row, f"{row.text.partition(chr(10))[0]}, {shown(row.at_utc, row.zone)}: it goes on\nNext: ingle today")


@click.command("correct")
@click.argument("kind", type=click.Choice(list(record.CORRECTABLE)))
@click.argument("row")
@_measures
@click.option("--weighed", metavar="MASS", help="Of a dose: what was really weighed.")
@click.option("--text", help="Of a taste or note: what it should say.")
@click.option("--count", type=int, help="Of packs handed out.")
@click.option("--void", is_flag=True, help="It was a mistake altogether; nothing stands in its place.")
@said_options
def correct(**given: Any) -> int:
    """Put an entry right. The old one stays, and the new one points at it.

    ROW is the number that was shown when it was written, or its UUID.

    \b
    Example:  ingle record correct reading 12 --weight 1.38kg --who A
    """
    changed = _read(given)
    if given["weighed"] is not None:
        changed["weighed_g"] = units.mass_g(given["weighed"], "weighed", zero=True)
    changed |= {k: given[k] for k in ("text", "count") if given[k] is not None}
    with opened(given) as book:
        zone = kitchens.kitchen(book).zone
        row = record.correct(
            book, given["kind"], given["row"], void=given["void"], uid=given["uid"], at=time_of(given["at"], zone), who=given["who"], **changed
        )
    return answer(given, row, f"{given['kind']} {row.id} stands in the place of {row.corrects_id}" + (": withdrawn" if row.void else ""))
