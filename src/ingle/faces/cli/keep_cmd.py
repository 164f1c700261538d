"""``ingle keep``."""

from __future__ import annotations

import re
from datetime import datetime, time
from pathlib import Path
from typing import Any

import click

from ingle.faces.cli.lines import bullet, put, tell
from ingle.faces.cli.options import colour_option, json_option, plain_option
from ingle.faces.words import MARK
from ingle.ground import tables, units
from ingle.ground.errors import BadBrief
from ingle.jobs.keep import QUALITY_WORDS, KeepAnswer, keep
from ingle.jobs.keep_given import Kept
from ingle.jobs.thermal_log import read_log
from ingle.safety import keeping
from ingle.safety.verdict import Verdict

_COLOUR = {"near": "yellow", "over": "red"}
_ORDER = {"within": 0, "near": 1, "cannot_say": 2, "over": 3}


@click.command("keep")
@click.option("--part", required=True, metavar="PART", help="A part, a part file, or a food: bacon, ham-raw, leftovers ...")
@click.option("--record", type=click.Path(path_type=Path), help="The fridge's log: a CSV file with time,temperature_c.")
@click.option("--unit", type=click.Choice(["C", "F"]), help="Scale of the log, when its header does not tell or tells wrong.")
@click.option("--fridge", metavar="TEMP", help="No log: lowest and highest reading, like 3C..7C.")
@click.option("--since", metavar="DATE", help="When the keeping began. Left out: the log's start.")
@click.option("--on", "day", metavar="DATE", help="The day it is judged on. Left out: the log's end.")
@click.option("--vacuum", is_flag=True, help="In a pack without air since then.")
@click.option("--opened", is_flag=True, help="The pack or jar was opened then.")
@click.option("--frozen", is_flag=True, help="In the freezer.")
@click.option("--cooked", is_flag=True, help="It is cooked already.")
@click.option("--uncooked", is_flag=True, help="It is eaten without cooking.")
@click.option("--aw", metavar="NUMBER", help="Measured water activity, like 0.97.")
@click.option("--ph", metavar="NUMBER", help="pH by a calibrated meter, like 5.8.")
@click.option("--salt-in-water", metavar="SHARE", help="Salt in the water phase of the place that holds least, like 3.5%.")
@click.option("--nitrite-left", metavar="MG/KG", help="Nitrite left there by analysis, in mg/kg.")
@click.option("--dark", is_flag=True, help="The meat is dark, firm and sticky.")
@click.option("--room", metavar="TEMP", help="The room, for pauses in the log, like 21C.")
@click.option("--parts", "folders", multiple=True, type=click.Path(path_type=Path, file_okay=False), help="A folder of your own parts.")
@json_option
@plain_option
@colour_option
def command(**given: Any) -> int:
    """How long a food keeps, by published days and by the fridge's own log.

    \b
    Example:  ingle keep --part bacon --fridge 3C..7C --since 2026-12-19
    """
    if given["record"] is not None and given["fridge"] is not None:
        raise BadBrief("A log and a band are both given.", field="fridge", value=given["fridge"], limit="one of them", remedy="Leave one out.")
    answer = keep(_kept(given))
    return tell(given, answer, plain, show)


def _kept(given: dict[str, Any]) -> Kept:
    return Kept(
        part=given["part"],
        log=None if given["record"] is None else read_log(given["record"]),
        fridge_c=None if given["fridge"] is None else _band(given["fridge"]),
        scale=None if given["unit"] is None else given["unit"].lower(),
        since=_date(given["since"], "since"), now=_date(given["day"], "on"),
        packed="vacuum" if given["vacuum"] else "air", opened=given["opened"], frozen=given["frozen"], cooked_already=given["cooked"],
        eaten_uncooked=given["uncooked"], aw=_bare(given["aw"], "aw"), ph=_bare(given["ph"], "ph"),
        wps=None if given["salt_in_water"] is None else 100.0 * units.fraction(given["salt_in_water"], "salt-in-water", high=0.26),
        nitrite=None if given["nitrite_left"] is None else units.mg_per_kg(given["nitrite_left"], "nitrite-left"),
        dark=given["dark"], room_c=None if given["room"] is None else units.temperature_c(given["room"], "room"),
        parts=tuple(given["folders"]),
    )  # fmt: skip


def _band(text: str) -> tuple[float, float]:
    """``3C..7C``, ``3..7C``, ``4C`` as lowest and highest. [C]"""
    ends = [e.strip() for e in re.split(r"\.\.|\bto\b", text)]
    if len(ends) == 2 and re.fullmatch(r"[-+]?[\d.,]+", ends[0]):
        ends[0] += re.sub(r"[-+\d.,\s]", "", ends[1])
    if len(ends) > 2:
        raise BadBrief(f"fridge {text!r} holds {len(ends)} readings.", field="fridge", value=text, limit="like 3C..7C", remedy="Give the lowest and the highest.")
    found = [units.temperature_c(e, "fridge", low=-40.0, high=60.0) for e in ends]
    return found[0], found[-1]


def _date(text: str | None, field: str) -> datetime | None:
    if text is None:
        return None
    try:
        found = datetime.fromisoformat(text.strip())
    except ValueError:
        raise BadBrief(f"{field} {text!r} is not a date.", field=field, value=text, limit="like 2026-12-19", remedy="Write it like 2026-12-19 or 2026-12-19T18:30.") from None
    whole_day = len(text.strip()) <= 10
    return datetime.combine(found.date(), time(23, 59)) if whole_day and field == "on" else found


def _bare(text: str | None, field: str) -> float | None:
    """A number without a unit, for what has none."""
    if text is None:
        return None
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        raise BadBrief(f"{field} {text!r} is not a number.", field=field, value=text, limit="like 0.97" if field == "aw" else "like 5.8",
                       remedy="Write the number alone.") from None  # fmt: skip


def plain(answer: KeepAnswer) -> None:
    """One record a line, tab between."""
    by = answer.as_dict()["use_by"]
    for g in answer.growth:
        logs = "\t".join("" if x is None else f"{x:.2f}" for x in (g.log10_low, g.log10, g.log10_high))
        click.echo(f"growth\t{g.organism}\t{logs}\t{g.level}\t{g.answer}\t{g.place}")
    for v in answer.verdicts:
        click.echo(f"verdict\t{v.rule}\t{v.level}\t{v.value:.2f}\t{v.limit}\t{v.unit}\t{v.clause}")
    for e in answer.lines:
        click.echo(f"line\t{e.kind}\t{f'{e.hours / 24:.2f}' if e.hours < 1e9 else 'never'}\td\t{e.why}")
    best = answer.as_dict()["best_by"]
    if best is not None:
        click.echo(f"best_by\t{best['date'] or ''}\t{best['days']:.2f}\td\t{best['because']}")
    if by is None and best is not None and not answer.stop:
        return
    click.echo("use_by\t\t\tstop" if answer.stop else "use_by\t\t\tcannot_say" if by is None else f"use_by\t{by['date'] or ''}\t{by['days']:.2f}\td\t{by['because']}")


def show(answer: KeepAnswer, colour: bool) -> None:
    """What was found, gravest last; the use-by at the end."""
    eaten = "cooked before it is eaten" if answer.food.cooked else "eaten without cooking"
    put(f"{answer.food.name}: {answer.where}, {'in air' if answer.packed == 'air' else 'packed without air'}, {eaten}.")
    for note in answer.notes:
        bullet(note)
    for assumed in answer.assumed:
        bullet(f"assumed: {assumed}")
    click.echo()
    counted = [v for v in answer.verdicts if v.level != "within" and v.kind != "advice"]
    rows = [(v.level, f"{v.title}: {_beside(v)}", _cite(v.source, v.clause, v.sure), v.act) for v in counted]
    rows += [(g.level, g.text, _cite(g.source, "", g.sure), g.act) for g in answer.growth]
    for level, text, cited, act in sorted(rows, key=lambda row: _ORDER[row[0]]):
        _row(level, text, cited, act, colour)
    plants = [v for v in answer.verdicts if v.kind == "advice" and v.level == "over"]
    if plants:
        put("Published hours for food eaten as it is, no line for what is cooked; passed:", 0, 2)
        for v in plants:
            bullet(f"{v.title}: {_beside(v)}")
        put(_cite(plants[0].source, plants[0].clause, plants[0].sure), 3, 3)
    for caution in answer.cautions:
        bullet(caution, "!")
    put("not checked: " + "; ".join(answer.not_checked), 0, 2)
    if answer.changes:
        click.echo()
        click.echo("What changes it:")
        for change in answer.changes:
            bullet(f"{change.act}: {change.said}")
    click.echo()
    _last(answer, colour)


def _beside(v: Verdict) -> str:
    return f"{units.show_hours(v.value or 0.0)}, at most {units.show_hours(v.limit or 0.0)}"


def _row(level: str, text: str, cited: str, act: str, colour: bool) -> None:
    word = f" {MARK[level]:<10} "
    put(text, 12, 12, lead=click.style(word, fg=_COLOUR[level]) if colour and level in _COLOUR else word)
    put(cited, 12, 12)
    if act:
        put(act, 12, 12)


def _cite(source: str, clause: str, sure: str) -> str:
    return f"{tables.source(source).name}{', ' + clause if clause else ''}{'' if sure == 'quoted' else f' [{sure}]'}"


def _best(answer: KeepAnswer) -> None:
    """Quality, told apart from what can harm."""
    q, said = answer.best, keeping.quality_only()
    assert q is not None
    when = f"{answer.best_date:%a %d %b %Y}" if answer.best_date is not None else f"{units.show_hours(q.hours)} from its start"
    put(f"{'Past its best since' if answer.past_best else 'Best before'} {when}: {q.why}.")
    put(_cite(q.source, q.clause, q.sure), 2, 2)
    put(f"These are {QUALITY_WORDS}. {said['clause'][0].upper()}{said['clause'][1:]}.", 2, 2)
    put(_cite(said["source"], "", said["sure"]), 2, 2)
    if not answer.food.cooked and answer.food.hours:
        put("Whether it was frozen long enough against trichinae is another question: ingle chill --freezer -18C --days 20 --thickness 5cm", 2, 2)
    if answer.ends is None:
        put("No line of harm is reached while it stays frozen; the fridge's clock goes on where it stopped when it thaws.", 2, 2)


def _last(answer: KeepAnswer, colour: bool) -> None:
    if answer.stop is not None:
        put(click.style("STOP", fg="red") + f"  {answer.stop.act}" if colour else f"STOP  {answer.stop.act}")
        return
    if answer.best is not None:
        _best(answer)
    if answer.ends is None and answer.best is not None:
        return
    if answer.ends is None:
        put("No use-by can be told: nobody published days for it, and no line is reached.")
        return
    when = f"{answer.date:%a %d %b %Y}" if answer.date is not None else f"{units.show_hours(answer.ends.hours)} from its start"
    later = ""
    if answer.latest_h is not None and answer.latest_h - answer.ends.hours > 6:
        later = f" At the cold end of the band {units.show_hours(answer.latest_h)}."
    head = "Past its use-by" if answer.past else "Use by"
    put(f"{head}: {when} ({units.show_hours(answer.ends.hours)}): {answer.ends.why}.{later}")
    put(_cite(answer.ends.source, answer.ends.clause, answer.ends.sure), 2, 2)
    if any(g.settle for g in answer.growth) or "not measured" in " ".join(answer.notes):
        click.echo(f"Next: ingle keep --part {answer.part} --record fridge.csv")
