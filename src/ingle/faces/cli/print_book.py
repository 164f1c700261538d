"""``ingle print record|recall``: papers of the notebook."""

from __future__ import annotations

from datetime import date
from typing import Any

import click

from ingle.faces.cli.print_out import out_options, paper_option, printed_at, put_out
from ingle.faces.paper.record import recall_sheet
from ingle.faces.paper.record import record as record_job
from ingle.ground.errors import BadBrief
from ingle.jobs import dossier_read
from ingle.notebook.store import open_notebook

_book = click.option("--notebook", "book", metavar="PATH|URL", help="Which notebook. Left out: INGLE_NOTEBOOK, else ingle.notebook here.")


@click.command()
@click.argument("code", required=False)
@click.option("--month", metavar="YYYY-MM|last", help="A whole month instead of one lot.")
@click.option("--kitchen", metavar="NAME", help="Which kitchen, where the notebook has several.")
@_book
@paper_option
@out_options
def record(**given: Any) -> int:
    """The record of one lot, piece, batch or pack, or of a month, with instruments and corrections.

    \b
    Example:  ingle print record FH-261128-A --out record.pdf
    """
    if (given["code"] is None) == (given["month"] is None):
        raise BadBrief("a record is of one code or of one month.", field="code", value="missing", limit="CODE or --month", remedy="Give one code, like FH-261128-A, or a month: --month last, --month 2026-11.")
    month = None if given["month"] is None else month_of(given["month"], date.today())
    with open_notebook(given["book"]) as notebook:
        told = dossier_read.of_lot(notebook, given["code"]) if month is None else dossier_read.of_month(notebook, month, given["kitchen"])
    return put_out(record_job(told, on=given["paper"], printed=printed_at(given["printed"])), given)


@click.command()
@click.argument("code")
@click.option("--why", default="", metavar="WORDS", help="Why it is called back.")
@_book
@paper_option
@out_options
def recall(**given: Any) -> int:
    """The recall sheet of a lot, piece, batch or pack: who got it, what is left.

    \b
    Example:  ingle print recall FH-IN-261124-A --why "supplier's notice" --out recall.pdf
    """
    with open_notebook(given["book"]) as notebook:
        told = dossier_read.recall(notebook, given["code"], given["why"])
    return put_out(recall_sheet(told, on=given["paper"], printed=printed_at(given["printed"])), given)


def month_of(written: str, today: date) -> date:
    """First day of the month that is meant; ``last`` is the one before this."""
    if written.strip().lower() == "last":
        return (today.replace(day=1) - date.resolution).replace(day=1)
    try:
        return date.fromisoformat(f"{written.strip()}-01")
    except ValueError:
        raise BadBrief(f"month {written!r} is not a month.", field="month", value=written, limit="like 2026-11, or last", remedy="Write it like 2026-11.") from None
