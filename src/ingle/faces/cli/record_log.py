"""``ingle record withdraw``: a logger's file that was taken in wrongly."""

from __future__ import annotations

from typing import Any

import click

from ingle.faces.cli.book import answer, kitchen_option, opened, said_options, time_of
from ingle.jobs import kitchen as kitchens
from ingle.jobs.withdraw_log import withdraw_log


@click.command("withdraw")
@click.argument("log")
@click.option("--why", required=True, metavar="WORDS", help="What was wrong with it, like 'wrong zone'.")
@kitchen_option
@said_options
def withdraw(**given: Any) -> int:
    """A log counts no more: it was read with a wrong zone, for a wrong batch.

    LOG is its name, or the begin of its UUID. Its readings stay in the book;
    forecasts and deviations no longer come from it, and the file can be read
    in again as it should be.

    \b
    Example:  ingle record withdraw night.csv --why "clock was in UTC" --who A
    """
    with opened(given) as book:
        zone = kitchens.kitchen(book, given["kitchen"]).zone
        told = withdraw_log(
            book, given["log"], why=given["why"], kitchen=given["kitchen"], uid=given["uid"], at=time_of(given["at"], zone), who=given["who"]
        )
    return answer(given, told.row, "\n".join((*told.says, "Next: ingle read FILE --yes")))
