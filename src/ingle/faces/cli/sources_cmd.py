"""``ingle sources``."""

from __future__ import annotations

from collections import Counter
from dataclasses import asdict
from typing import Any

import click

from ingle.faces.cli.lines import put, put_json
from ingle.faces.cli.options import json_option, plain_option
from ingle.ground.errors import BadBrief
from ingle.jobs.sources import records


@click.command("sources")
@click.argument("words", nargs=-1)
@json_option
@plain_option
def command(words: tuple[str, ...], **given: Any) -> int:
    """Where every limit and coefficient comes from, and how sure it is.

    WORDS narrow the list: a country, a substance, a clause.

    \b
    Example:  ingle sources eu nitrite
    """
    found = records(" ".join(words))
    if not found:
        raise BadBrief(
            f"No record holds {' '.join(words)!r}.",
            field="words",
            value=" ".join(words),
            limit="words of a record",
            remedy="Try fewer words, like: ingle sources nitrite.",
        )
    if given["as_json"]:
        put_json({"records": [asdict(r) for r in found]})
        return 0
    if given["plain"]:
        for r in found:
            click.echo("\t".join((r.key, r.value, r.unit, r.source.key, r.clause, r.sure)))
        return 0
    for r in found:
        put(r.about, 0, 2)
        put(r.words, 4, 6)
        put(f"{r.source.name}, {r.clause} [{r.sure}]" if r.clause else f"{r.source.name} [{r.sure}]", 4, 6)
        if r.doubt:
            put(f"doubt: {r.doubt}", 4, 6)
        put(f"({r.key})", 4, 6)
    click.echo()
    click.echo(
        f"{len(found)} {'record' if len(found) == 1 else 'records'}: " + ", ".join(f"{n} {sure}" for sure, n in Counter(r.sure for r in found).most_common())
    )
    return 0
