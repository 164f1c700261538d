"""``ingle trace``."""

from __future__ import annotations

from typing import Any

import click

from ingle.faces.cli.book import notebook_option, opened, plain
from ingle.faces.cli.lines import put, put_json
from ingle.faces.cli.options import json_option, plain_option
from ingle.faces.words import state_words
from ingle.jobs.trace import Glance, Traced, follow, glance
from ingle.notebook.trace import Node

_MOST = 40  # lines shown of each kind; --plain and --json show all


@click.command("trace")
@click.argument("code")
@notebook_option
@json_option
@plain_option
def command(**given: Any) -> int:
    """Where a lot, piece, batch or pack came from, what came of it, who got it.

    \b
    Example:  ingle trace FH-IN-261204-A
    """
    with opened(given) as book:
        if given["as_json"]:
            put_json(follow(book, given["code"]).as_dict())
        elif given["plain"]:
            _plain(follow(book, given["code"]))
        else:
            _text(glance(book, given["code"], most=_MOST))
    return 0


def _plain(told: Traced) -> None:
    for word, nodes in (("from", told.back.nodes), ("into", told.forward.nodes)):
        for n in nodes:
            click.echo("\t".join(plain(x) for x in (word, n.kind, n.code, n.name, n.at_utc.isoformat(), n.steps, n.supplier, n.supplier_code)))
    for g in told.packs:
        for to, contact, count, at in g.handed:
            click.echo("\t".join(plain(x) for x in ("handed", g.code, g.name, to, contact, count, at.isoformat())))
        click.echo("\t".join(plain(x) for x in ("left", g.code, g.name, g.left, g.made)))


def _text(told: Glance) -> None:
    s = told.start
    put(f"{s.code}  {s.name} ({s.kind}), {s.at_utc:%a} {s.at_utc.day} {s.at_utc:%b %Y}")
    _nodes("Came from", told.back, told.backs)
    _nodes("Went into", told.forward, told.forwards)
    click.echo("\nRecall sheet")
    if not told.packs:
        put("no packs were made of it", 1)
    for g in told.packs:
        put(f"{g.code}  {g.name}: {g.made} made, {g.left} left" + (f", use-by {g.use_by}" if g.use_by else ""), 1, 3)
        for to, contact, count, at in g.handed:
            put(f"{count} to {to}" + (f" ({contact})" if contact else "") + f", {at:%a} {at.day} {at:%b %Y}", 5, 7)
    if told.kinds_of_packs > len(told.packs):
        put(f"and {_count(told.kinds_of_packs - len(told.packs), 'kind of pack', 'kinds of packs')} more: --plain shows all", 1)
    if told.unpacked:
        more = f", and {told.loose - len(told.unpacked):,} more" if told.loose > len(told.unpacked) else ""
        put(f"not packed: {', '.join(n.code for n in told.unpacked)}{more}", 1, 3)
    click.echo()
    put(_where_it_is(told))
    if told.left or told.loose:
        put("Hold what is left until it is clear.")


def _where_it_is(told: Glance) -> str:
    """Who has it, what is left, what is loose, in one sentence.

    >>> _count(0, "batch", "batches"), _count(1, "pack", "packs"), _count(1200, "pack", "packs")
    ('no batch', '1 pack', '1,200 packs')
    """
    took = f"{_count(told.people, 'person or business', 'people or businesses')} {'has' if told.people == 1 else 'have'} some of it" if told.people else "Nobody was handed any of it"
    said = [took, f"{_count(told.left, 'pack', 'packs')} {'are' if told.left > 1 else 'is'} left here"]
    if told.loose:
        said.append(f"{_count(told.loose, 'batch', 'batches')} {'are' if told.loose > 1 else 'is'} not packed")
    return "; ".join(said) + "."


def _count(n: int, one: str, many: str) -> str:
    return f"{n:,} {many}" if n > 1 else f"{n or 'no'} {one}"


def _nodes(title: str, nodes: tuple[Node, ...], of: int) -> None:
    click.echo(f"\n{title}")
    if not nodes:
        put("nothing that was written down", 1)
    for n in nodes:
        more = [x for x in (state_words(n.state), n.supplier, n.supplier_code and f"their lot {n.supplier_code}", n.use_by and f"use-by {n.use_by}") if x]
        put(f"{n.kind:<6} {n.code:<20} {n.name}" + (f"  ({', '.join(more)})" if more else ""), 1 + 2 * min(n.steps - 1, 4), 12)
    if of > len(nodes):
        put(f"and {of - len(nodes):,} more: --plain shows all", 1)
