"""``ingle chill``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ingle.crafts.heat.joint import Joint
from ingle.crafts.heat.stage import Stage
from ingle.faces.cli import heat_options as opts
from ingle.faces.cli.chill_words import show_chill
from ingle.faces.cli.lines import put_json
from ingle.faces.cli.options import colour_option, json_option, plain_option
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.jobs.chill import ChillAnswer, Facts, chill, chill_log, joint_of_pot, to_the_end

EXIT = {"within": 0, "near": 0, "over": 3, "cannot_say": 4}
PLACES = ("fridge", "freezer", "blast", "ice-bath", "cold-water", "rest")


@click.command("chill")
@opts.piece_options
@click.option("--start", metavar="TEMP", help="Of the hot piece, all through.")
@click.option("--air", metavar="TEMP", help="Around it, like 4C. Left out: a fridge at 4C.")
@click.option("--in", "place", type=click.Choice(PLACES), default="fridge", show_default=True, help="Where it cools.")
@click.option("--fan/--still", default=None, help="Moving air? Left out: not known.")
@click.option("--wrapped", is_flag=True, help="Covered or bagged: nothing evaporates.")
@click.option("--for", "lasts", metavar="TIME", help="So long. Left out: until it has come to its air.")
@click.option("--first", multiple=True, metavar="PLACE=TEMP,TIME", help="A stage before: ice-bath=0C,1h or rest=21C,30min. Repeat.")
@click.option("--liquid", type=click.Choice(["well-mixed", "still"]), help="A pot: stirred, or thick and left alone.")
@click.option("--depth", metavar="LENGTH", help="How deep the liquid stands; --diameter is that of the pot.")
@click.option("--stages", type=click.Path(path_type=Path), help="A file with the piece and a programme of stages (docs/files.md).")
@click.option("--log", type=click.Path(path_type=Path), help="Judge a measured log instead: time,temperature_c.")
@click.option("--nitrite", metavar="MG/KG", help="Ingoing, in mg NaNO2 per kg: opens the rules for cured meat.")
@click.option("--brine", metavar="SHARE", help="Salt in the water phase, like 3.5%.")
@click.option("--aw", metavar="NUMBER", help="Water activity.")
@click.option("--ascorbate/--no-ascorbate", default=None, help="Ascorbate or erythorbate in the cure?")
@click.option("--intact/--not-intact", default=None, help="Whole muscle, not needled, rolled or minced?")
@opts.judge_options
@json_option
@plain_option
@colour_option
def command(**given: Any) -> int:
    """How fast it cools, by every named rule, and what makes it faster.

    \b
    Example:  ingle chill --part ham --weight 2kg --thickness 90mm \\
                          --start 72C --air 4C --fan
    """
    countries, _ = opts.named(given["rules"])
    facts = facts_of(given)
    error = abs(opts.kelvins(given["probe_error"], "probe-error"))
    if given["log"] is not None:
        from ingle.jobs.thermal_log import read_log  # only for a log

        answer = chill_log(read_log(given["log"]), facts=facts, countries=countries, probe_error_c=error)
    elif given["stages"] is not None:
        from ingle.crafts.heat.stage_file import read_programme  # files are read only when there is one

        joint, stages, start = read_programme(given["stages"])
        answer = chill(joint, stages, start_c=72.0 if start is None else start, facts=facts, countries=countries, probe_error_c=error)
    else:
        joint, liquid = piece_of(given)
        answer = chill(
            joint, stages_of(given, liquid), start_c=start_of(given), facts=facts, countries=countries, probe_error_c=error, liquid=liquid,
        )  # fmt: skip
    if given["chart"]:
        from ingle.faces.heat_chart import draw_chill  # fonts are loaded only for a picture

        draw_chill(answer, Path(given["chart"]))
    if given["as_json"]:
        put_json(answer.as_dict())
    elif given["plain"]:
        plain(answer)
    else:
        show_chill(answer, given["no_color"])
        if given["chart"]:
            click.echo(f"drawn: {given['chart']}")
    return EXIT[answer.level]


def piece_of(given: dict[str, Any]) -> tuple[Joint, str]:
    """The piece, or the pot."""
    liquid = given["liquid"] or ""
    if not liquid:
        if given["depth"] is not None:
            raise BadBrief("A depth is given, but no liquid.", field="depth", value=given["depth"], limit="with --liquid", remedy="Add --liquid still.")
        return opts.joint_of(given), ""
    if given["diameter"] is None or given["depth"] is None:
        raise BadBrief(
            "A pot needs its diameter and how deep the liquid stands.", field="depth", value="missing", limit="like 120mm",
            remedy="Measure both: --diameter 240mm --depth 120mm.",
        )  # fmt: skip
    return joint_of_pot(units.length_mm(given["diameter"], "diameter"), units.length_mm(given["depth"], "depth"), liquid), liquid


def stages_of(given: dict[str, Any], liquid: str) -> tuple[Stage, ...]:
    """Stages before, and the last one."""
    place = given["place"]
    usual = {"fridge": 4.0, "freezer": -18.0, "blast": -1.0, "ice-bath": 0.0, "cold-water": 12.0, "rest": 21.0}[place]
    air = usual if given["air"] is None else units.temperature_c(given["air"], "air")
    more: dict[str, Any] = {"fan": given["fan"], "film": opts.film_of(given), "wrapped": given["wrapped"] or bool(liquid)}
    lasts = opts.seconds(given["lasts"], "for")
    last = Stage(place, air, lasts_s=lasts, **more) if lasts is not None else to_the_end(place, air, **more)
    return (*(_first(text) for text in given["first"]), last)


def _first(text: str) -> Stage:
    """``ice-bath=0C,1h``."""
    place, eq, rest = text.partition("=")
    air, comma, lasts = rest.partition(",")
    if not eq or not comma:
        raise BadBrief(f"first {text!r} is not PLACE=TEMP,TIME.", field="first", value=text, limit="ice-bath=0C,1h", remedy="Write it like ice-bath=0C,1h.")
    return Stage(place.strip(), units.temperature_c(air, "first"), lasts_s=opts.seconds(lasts, "first"), wrapped=True)


def start_of(given: dict[str, Any]) -> float:
    """Core at the beginning."""
    if given["start"] is None:
        raise BadBrief("No start is given.", field="start", value="missing", limit="like 72C", remedy="Say how hot the middle is: --start 72C.")
    return units.temperature_c(given["start"], "start")


def facts_of(given: dict[str, Any]) -> Facts:
    """What opens slower rules."""
    return Facts(
        None if given["nitrite"] is None else units.mg_per_kg(given["nitrite"], "nitrite"),
        None if given["brine"] is None else units.per_hundred(units.fraction(given["brine"], "brine")),
        opts.plain(given["aw"], "aw", 0.3, 1.0, ""), given["ascorbate"], given["intact"],
    )  # fmt: skip


def plain(answer: ChillAnswer) -> None:
    """One stage a line."""
    for s in answer.stages:
        click.echo(f"{s.rule}\t{s.segment}\t{s.level}\t{'' if s.taken_s is None else f'{s.taken_s:.0f}'}\t{'' if s.allowed_s is None else f'{s.allowed_s:.0f}'}")
