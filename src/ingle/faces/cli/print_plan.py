"""``ingle print sheet|card|shopping|timeline|tag``: papers of a plan."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import click

from ingle.faces.cli.plan_book import standing, standing_options
from ingle.faces.cli.print_out import out_options, paper_option, printed_at, put_out
from ingle.faces.cli.sheet_cmd import day_of
from ingle.faces.paper.day import day_sheet
from ingle.faces.paper.kitchen import CARD_H, minute_card, shopping_list, wall_plan
from ingle.faces.paper.tags import JarTag, jar_tags, piece_tags, tags_of
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.planning import planfile

_plan = click.argument("plan", type=click.Path(path_type=Path))


@click.command()
@_plan
@click.option("--day", required=True, metavar="DATE|mon", help="A date like 2026-12-18, or the first such weekday of the plan.")
@click.option("--lot", "lots", multiple=True, metavar="CODE", help="A lot to name in the foot. Repeat for more.")
@standing_options
@paper_option
@out_options
def sheet(**given: Any) -> int:
    """One day of a plan on one side, read from three metres.

    What was weighed since stands in it, where the notebook holds the plan.

    \b
    Example:  ingle print sheet fernhollow.plan --day 2026-12-13 --out sunday.pdf
    """
    made = standing(given)
    return put_out(day_sheet(made, day_of(made, given["day"]), on=given["paper"], printed=printed_at(given["printed"]), lots=given["lots"]), given)


@click.command()
@_plan
@click.option("--hours", default=f"{CARD_H:g}h", show_default=True, metavar="TIME", help="How long before the table it begins.")
@standing_options
@paper_option
@out_options
def card(**given: Any) -> int:
    """The minute card: the last hours before the table, counted down, on half a sheet.

    \b
    Example:  ingle print card fernhollow.plan --out card.pdf
    """
    made = standing(given)
    return put_out(minute_card(made, on=given["paper"], hours=units.duration_h(given["hours"], "hours", high=72), printed=printed_at(given["printed"])), given)


@click.command()
@_plan
@paper_option
@out_options
def shopping(**given: Any) -> int:
    """The shopping list, by the day each thing is needed.

    \b
    Example:  ingle print shopping fernhollow.plan --out to-buy.pdf
    """
    return put_out(shopping_list(planfile.read(given["plan"]), on=given["paper"], printed=printed_at(given["printed"])), given)


@click.command()
@_plan
@paper_option
@out_options
def timeline(**given: Any) -> int:
    """The plan for the wall: the picture across a sheet, and the list of its steps.

    \b
    Example:  ingle print timeline fernhollow.plan --paper a3 --out wall.pdf
    """
    return put_out(wall_plan(planfile.read(given["plan"]), on=given["paper"], printed=printed_at(given["printed"])), given)


@click.command()
@click.argument("plan", type=click.Path(path_type=Path), required=False)
@click.option("--lot", "lots", multiple=True, metavar="CODE", help="Lots of the pieces, in the plan's order. Left out: a line to write on.")
@click.option("--jar", metavar="NAME", help="A jar's tag instead, by its name.")
@click.option("--made", metavar="DATE", help="When the jar was made.")
@click.option("--eat-by", metavar="DATE", help="Last day of the jar.")
@click.option("--weight", metavar="MASS", help="What the jar holds, like 210g.")
@click.option("--keep", default="", metavar="WORDS", help='How it is kept, like "at most 4 C".')
@click.option("--holds", "allergens", multiple=True, metavar="ALLERGEN", help="An allergen in it. Repeat for more.")
@standing_options
@out_options
def tag(**given: Any) -> int:
    """Tags for the pieces of a plan (62 x 90 mm), or for a jar (62 x 40 mm).

    \b
    Example:  ingle print tag fernhollow.plan --lot FH-261128-A --out tags.pdf
    """
    printed = printed_at(given["printed"])
    if given["jar"]:
        weight = units.mass_g(given["weight"], "weight") if given["weight"] else None
        lots = given["lots"] or ("",)
        jars = [JarTag(given["jar"], lot, _date(given["made"], "made"), _date(given["eat_by"], "eat-by"), weight, given["keep"], given["allergens"]) for lot in lots]
        return put_out(jar_tags(jars, printed=printed), given)
    if given["plan"] is None:
        raise BadBrief("a tag is for a plan's pieces or for a jar.", field="plan", value="missing", limit="PLAN or --jar NAME", remedy="Name one of them.")
    return put_out(piece_tags(tags_of(standing(given), given["lots"]), printed=printed), given)


def _date(written: str | None, field: str) -> date | None:
    if written is None:
        return None
    try:
        return date.fromisoformat(written.strip())
    except ValueError:
        raise BadBrief(f"{field} {written!r} is not a date.", field=field, value=written, limit="like 2026-12-19", remedy="Write it like 2026-12-19.") from None
