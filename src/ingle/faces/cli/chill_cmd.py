"""``ingle chill``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ingle.faces.cli import heat_options as opts
from ingle.faces.cli.chill_words import show_chill
from ingle.faces.cli.lines import EXIT, put_json
from ingle.faces.cli.options import colour_option, json_option, plain_option
from ingle.faces.heat_given import cold_stages, facts_of, kelvins, named, piece_or_pot, start_of
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.jobs.chill import ChillAnswer, chill, chill_log

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
@click.option("--log", type=click.Path(path_type=Path), help="Judge a measured log instead: time,temperature_c. Give the thickness too.")
@click.option("--nitrite", metavar="MG/KG", help="Ingoing, in mg NaNO2 per kg: opens the rules for cured meat.")
@click.option("--brine", metavar="SHARE", help="Salt in the water phase, like 3.5%.")
@click.option("--aw", metavar="NUMBER", help="Water activity.")
@click.option("--ascorbate/--no-ascorbate", default=None, help="Ascorbate or erythorbate in the cure?")
@click.option("--intact/--not-intact", default=None, help="Whole muscle, not needled, rolled or minced?")
@click.option("--freezer", metavar="TEMP", help="Frozen against trichinae: how cold, like -20C; with --log: room or core.")
@click.option("--days", metavar="DAYS", help="With --freezer: how many days in one stretch, like 20.")
@click.option("--game", is_flag=True, help="With --freezer: wild boar or other game.")
@click.option("--probe-still", is_flag=True, help="With --log: nobody moved the probe, believe every reading.")
@click.option("--cooked/--never-cooked", default=None, help="Was it cooked before? Asked where it starts at 40C or colder.")
@opts.judge_options
@json_option
@plain_option
@colour_option
def command(**given: Any) -> int:
    """How fast it cools, by every named rule, and what makes it faster.

    \b
    Example:  ingle chill --part ham --weight 2kg --thickness 90mm \\
                          --start 72C --air 4C --fan
              ingle chill --freezer -20C --days 20 --thickness 5cm
    """
    if given["freezer"] is not None:
        from ingle.faces.cli import freeze_words  # only for what was frozen

        frozen = freeze_words.answered(given)
        freeze_words.tell(frozen, given)
        return EXIT[frozen.level]
    for key in ("days", "game"):
        if given[key]:
            raise BadBrief(f"{key} belongs to --freezer.", field=key, value=given[key], limit="with --freezer", remedy="Add --freezer -20C.")
    countries, _ = named(given["rules"])
    facts = facts_of(given)
    error = abs(kelvins(given["probe_error"], "probe-error"))
    if given["log"] is not None:
        from ingle.jobs.thermal_log import read_log  # only for a log

        thickness = None if given["thickness"] is None else units.length_mm(given["thickness"], "thickness")
        answer = chill_log(read_log(given["log"]), facts=facts, countries=countries, probe_error_c=error,
                           thickness_mm=thickness, moved=False if given["probe_still"] else None)  # fmt: skip
    elif given["stages"] is not None:
        from ingle.crafts.heat.stage_file import read_programme  # files are read only when there is one

        joint, stages, start = read_programme(given["stages"])
        answer = chill(joint, stages, start_c=72.0 if start is None else start, facts=facts, countries=countries, probe_error_c=error)
    else:
        joint, liquid = piece_or_pot(given)
        answer = chill(
            joint, cold_stages(given, liquid), start_c=start_of(given), facts=facts, countries=countries, probe_error_c=error, liquid=liquid,
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


def plain(answer: ChillAnswer) -> None:
    """One stage a line."""
    for s in answer.stages:
        click.echo(f"{s.rule}\t{s.segment}\t{s.level}\t{'' if s.taken_s is None else f'{s.taken_s:.0f}'}\t{'' if s.allowed_s is None else f'{s.allowed_s:.0f}'}")
