"""A plan read from its folder, with what its notebook knows of weights by now; no database is loaded where there is no notebook."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from ingle.faces.cli.options import several
from ingle.ground.errors import IngleError
from ingle.planning import planfile
from ingle.planning.plan import Plan

standing_options = several(
    click.option("--notebook", "book", metavar="PATH|URL", help="Which notebook knows the weights. Left out: INGLE_NOTEBOOK, else ingle.notebook here, if it is there."),
    click.option("--kitchen", metavar="NAME", help="Which kitchen, where the notebook has several."),
)


def standing(given: dict[str, Any]) -> Plan:
    """The plan as it stands: grams for what was weighed, where a notebook holds this number of it; else as it was planned."""
    plan = planfile.read(given["plan"])
    named = given.get("book") or os.environ.get("INGLE_NOTEBOOK")
    path = named or "ingle.notebook"
    if "://" not in path and not Path(path).is_file() and not given.get("book"):
        return plan
    from ingle.jobs.plan_now import as_it_stands  # the database is loaded only where there is one
    from ingle.notebook.store import open_notebook

    try:
        with open_notebook(given.get("book"), create=False) as book:
            found = as_it_stands(book, plan, datetime.now(UTC), kitchen=given.get("kitchen"))
            if found is not plan:
                click.echo(f"amounts as they stand in {book.name}", err=True)
            return found
    except IngleError as why:
        if given.get("book") or given.get("kitchen"):
            raise
        click.echo(f"amounts as planned: {why.message}", err=True)
        return plan
