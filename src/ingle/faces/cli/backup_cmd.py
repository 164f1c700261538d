"""``ingle backup``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ingle.faces.cli.book import notebook_option, opened, place
from ingle.faces.cli.lines import bullet, put, put_json
from ingle.faces.cli.options import json_option, plain_option
from ingle.ground.errors import BadBrief
from ingle.jobs import backup as jobs
from ingle.notebook.backup import Checked


@click.command("backup")
@click.option("--to", metavar="PATH", help="The copy's file or folder; with --restore the new notebook. Left out: beside the notebook.")
@click.option("--check", "only_check", is_flag=True, help="Copy nothing; look through the notebook.")
@click.option("--restore", "source", metavar="COPY", type=click.Path(path_type=Path), help="Bring a copy or an export back, into --to.")
@click.option("--export", "out", metavar="PATH", type=click.Path(path_type=Path), help="Everything as NAME.json, or as a folder of CSV.")
@notebook_option
@json_option
@plain_option
def command(**given: Any) -> int:
    """Copy the notebook while it is in use; look through it; bring a copy back.

    A copy is made whole or not at all, and nothing is ever written over.

    \b
    Example:  ingle backup --to /media/stick
    """
    if sum(bool(given[k]) for k in ("only_check", "source", "out")) > 1:
        raise BadBrief("Only one of --check, --restore and --export at a time.", field="backup", remedy="Give one of them.")
    if given["source"] is not None:
        if not given["to"]:
            raise BadBrief("Where to?", field="to", value=None, remedy="Name a new file: --to kitchen.notebook.")
        return _checked(given, jobs.restore(given["source"], given["to"]), "brought back")
    with opened(given) as book:
        if given["only_check"]:
            return _checked(given, jobs.check(book), "looked through")
        made = jobs.write_out(book, given["out"]) if given["out"] else jobs.copy(book, Path(given["to"]) if given["to"] else None)
    if given["as_json"]:
        put_json({"written": str(made)})
    elif given["plain"]:
        click.echo(f"written\t{made}")
    else:
        click.echo(f"written: {made}")
        click.echo("Keep it on another disk." if given["out"] is None else "It comes back with: ingle backup --restore PATH --to NEW")
    return 0


def _checked(given: dict[str, Any], told: Checked, word: str) -> int:
    total = sum(told.rows.values())
    if given["as_json"]:
        put_json({"notebook": told.name, "rows": told.rows, "wrong": list(told.wrong), "checked": list(told.checked)})
    elif given["plain"]:
        for table, rows in told.rows.items():
            click.echo(f"rows\t{table}\t{rows}")
        for fault in told.wrong:
            click.echo(f"wrong\t{fault}")
    else:
        put(f"{place(told.name)} {word}: {total:,} rows; {', '.join(told.checked)}.")
        for fault in told.wrong:
            bullet(fault, "!")
        put("Nothing is wrong." if not told.wrong else "Bring the last good copy back: ingle backup --restore COPY --to NEW.")
    return 1 if told.wrong else 0
