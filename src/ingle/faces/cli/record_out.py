"""``ingle record pack | hand | end``."""

from __future__ import annotations

from typing import Any

import click

from ingle.faces.cli.book import answer, date_of, opened, said_options, shown, time_of
from ingle.ground import units
from ingle.jobs import kitchen as jobs


@click.command("pack")
@click.argument("batches", nargs=-1, required=True)
@click.option("--name", default="", help="What stands on it. Left out: the batch's name.")
@click.option("--count", type=int, default=1, show_default=True, help="How many packs of this kind.")
@click.option("--net", required=True, metavar="MASS", help="Net weight of each, like 200g.")
@click.option("--use-by", metavar="DATE")
@click.option("--best-before", metavar="DATE")
@click.option("--storage", default="", metavar="WORDS", help="Like: keep at or below 5 C.")
@said_options
def pack(**given: Any) -> int:
    """Packs are made of a batch, or of several.

    \b
    Example:  ingle record pack FH-261204-A --count 6 --net 200g \\
                --use-by 2026-12-30
    """
    with opened(given) as book:
        zone = jobs.kitchen(book).zone
        row = jobs.pack(
            book, given["batches"], name=given["name"], count=given["count"], net_weight_g=units.mass_g(given["net"], "net"),
            use_by=date_of(given["use_by"], "use-by"), best_before=date_of(given["best_before"], "best-before"), storage=given["storage"],
            uid=given["uid"], at=time_of(given["at"], zone), who=given["who"],
        )  # fmt: skip
    return answer(given, row, f"{row.code}  {row.count} packs of {row.name}, {units.show_mass(row.net_weight_g)} each")


@click.command("hand")
@click.argument("pack")
@click.option("--to", "to_whom", required=True, metavar="NAME", help="Who got it.")
@click.option("--contact", default="", metavar="WORDS", help="How to reach them.")
@click.option("--count", type=int, default=1, show_default=True)
@said_options
def hand(**given: Any) -> int:
    """Packs go out to someone; the recall sheet is made of this.

    \b
    Example:  ingle record hand FH-261204-A-P1 --to "stall, Saturday" \\
                --count 4
    """
    with opened(given) as book:
        zone = jobs.kitchen(book).zone
        row = jobs.hand(
            book, given["pack"], given["to_whom"], count=given["count"], contact=given["contact"], uid=given["uid"],
            at=time_of(given["at"], zone), who=given["who"],
        )  # fmt: skip
    return answer(given, row, f"{row.count} of {given['pack']} to {row.to_whom}, {shown(row.at_utc, row.zone)}")


@click.command("end")
@click.argument("code")
@click.option("--state", type=click.Choice(["going", "done", "discarded"]), default="done", show_default=True)
@click.option("--why", default="", help="Kept beside it.")
@said_options
def end(**given: Any) -> int:
    """A batch is done; or begun, or thrown away. Of a lot: what is left of it.

    \b
    Example:  ingle record end FH-261204-A --state discarded \\
                --why "fridge failed"
    """
    with opened(given) as book:
        zone = jobs.kitchen(book).zone
        row = jobs.end(
            book, given["code"], given["state"], uid=given["uid"], at=time_of(given["at"], zone), who=given["who"], why=given["why"]
        )
    return answer(given, row, f"{row.code}  {row.name}: {given['state']}")
