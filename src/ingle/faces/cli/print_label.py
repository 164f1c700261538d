"""``ingle print label``: labels for packs."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from ingle.faces.cli.lines import put
from ingle.faces.cli.print_out import out_options, printed_at, put_out
from ingle.faces.paper.labels import fitting, pack_labels, ruled_sheet
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.jobs.label import Label, Pack
from ingle.jobs.label import label as made_label
from ingle.jobs.label_file import read_label_file


@click.command()
@click.argument("source", required=False, metavar="[FILE.toml|CODE]")
@click.option("--rules", default="", metavar="COUNTRY", help="Whose rules a label for sale follows: eu, gb, us, ca, anz, codex. Left out: the kitchen's, where it names one.")
@click.option("--home", is_flag=True, help="A label for the own table: no rule, no claim. A pack of a kitchen for its own table gets it where no rules are named.")
@click.option("--count", type=click.IntRange(1, 2000), help="How many. Left out: 1, or as many as were packed.")
@click.option("--stock", default="a4-24", show_default=True, metavar="NAME", help="a4-24, a4-8, a4-4, letter-30, letter-10, letter-6 or roll-62.")
@click.option("--start", type=int, default=1, show_default=True, help="First free label of the sheet, along the rows.")
@click.option("--offset", default="0,0", show_default=True, metavar="RIGHT,DOWN", help="Move the print, mm.")
@click.option("--ruled", is_flag=True, help="A ruled test sheet of the stock instead.")
@click.option("--address", default="", metavar="URL", help="Where this kitchen's pages are: the QR code opens the batch there. Left out: it holds the lot.")
@click.option("--explain", is_flag=True, help="Print which clause each thing stands on, and no label.")
@click.option("--notebook", "book", metavar="PATH|URL", help="Which notebook a CODE is looked up in.")
@out_options
def label(**given: Any) -> int:
    """Labels for packs, from a label file or from a pack in the notebook.

    \b
    Example:  ingle print label collar.toml --rules gb --count 6 --out labels.pdf
    """
    offset = _offset(given["offset"])
    if given["ruled"]:
        return put_out(ruled_sheet(given["stock"], offset=offset), given)
    if not given["source"]:
        raise BadBrief("nothing was named to label.", field="source", value="missing", limit="FILE.toml or CODE", remedy="Name a label file, or a pack of the notebook.")
    pack, count, country = _facts(given)
    one = made_label(pack, given["rules"] or country, home=given["home"] or (not given["rules"] and _for_table(given)))
    if given["explain"]:
        return _explain(one)
    job = pack_labels([(one, given["count"] or count)], on=given["stock"], start=given["start"], offset=offset, printed=printed_at(given["printed"]))
    try:
        return put_out(job, given)
    except OutOfRange as why:
        if why.field != "paper":
            raise
        remedy = f"With letters of that height it fits on: {', '.join(fitting(one))}. Take one with --stock."
        raise OutOfRange(why.message, field="stock", value=given["stock"], limit=why.limit, remedy=remedy) from None


def _facts(given: dict[str, Any]) -> tuple[Pack, int, str]:
    """The pack, how many were made, and the kitchen's country."""
    source = given["source"]
    if source.endswith(".toml"):
        pack = read_label_file(Path(source))
        return (replace(pack, link=link_to(given["address"], pack.lot)) if given["address"] else pack), 1, ""
    from ingle.jobs.label_book import pack_of
    from ingle.notebook.store import open_notebook

    with open_notebook(given["book"]) as notebook:
        return pack_of(notebook, source, link=link_to(given["address"], source.upper()) if given["address"] else "")


def _for_table(given: dict[str, Any]) -> bool:
    """Whether a pack of the notebook was made by a kitchen for its own table: then its label is a home label."""
    if given["source"].endswith(".toml"):
        return False
    from ingle.jobs.label_book import for_table
    from ingle.notebook.store import open_notebook

    with open_notebook(given["book"]) as notebook:
        return for_table(notebook, given["source"])


def link_to(address: str, code: str) -> str:
    """Where a code opens: the tracing page of the kitchen."""
    if not address.startswith(("http://", "https://")):
        raise BadBrief(f"address {address!r} is no page.", field="address", value=address, limit="http://HOST:PORT", remedy="Write it like http://192.168.1.20:8000.")
    return f"{address.rstrip('/')}/c/{code}"


def _offset(written: str) -> tuple[float, float]:
    try:
        right, down = (float(x) for x in written.split(","))
    except ValueError:
        raise BadBrief(f"offset {written!r} is not two numbers.", field="offset", value=written, limit="like 0.5,-1", remedy="Write it like 0.5,-1, in mm.") from None
    return right, down


def _explain(one: Label) -> int:
    for clause in one.clauses:
        lead = "not settled here: " if clause.key.endswith("not-here") else ""
        put(f"{lead}{clause.about}: {clause.source.name}, {clause.clause} ({clause.sure})", hang=2)
        if clause.doubt:
            put(clause.doubt, indent=4)
    if not one.clauses:
        put(one.home)
    return 0
