"""``ingle record again | compare``."""

from __future__ import annotations

from typing import Any

import click

from ingle.faces.cli.book import notebook_option, opened, plain, said_options, time_of
from ingle.faces.cli.lines import EXIT, coloured, put, put_json, verdict_lines
from ingle.faces.cli.options import json_option, plain_option
from ingle.ground import units
from ingle.jobs import kitchen as kitchens
from ingle.jobs.again import again as do_again
from ingle.jobs.compare import Compared, as_dicts
from ingle.jobs.compare import compare as do_compare


@click.command("again")
@click.argument("batch")
@click.option("--weight", multiple=True, metavar="MASS", help="Green weight of the new piece. Repeat for more.")
@click.option("--less-salty", is_flag=True, help="A tenth less salt.")
@click.option("--salt", metavar="SHARE", help="Another share of salt, like 2.2%.")
@click.option("--lay-in", "lay", is_flag=True, help="Write it down as a planned batch.")
@said_options
def again(**given: Any) -> int:
    """A batch done again: its formula for new weights, another day, less salt.

    \b
    Example:  ingle record again FH-261204-A --weight 1.6kg --less-salty
    """
    with opened(given) as book:
        zone = kitchens.kitchen(book).zone
        told = do_again(
            book, given["batch"], [units.mass_g(w, "weight") for w in given["weight"]], less_salty=given["less_salty"],
            salt=None if given["salt"] is None else units.fraction(given["salt"], "salt"), at=time_of(given["at"], zone), lay=given["lay"],
            uid=given["uid"], who=given["who"],
        )  # fmt: skip
    found = told.answer
    if given["as_json"]:
        put_json(
            {"again_of": told.before, "changes": list(told.changes), "code": told.batch.code if told.batch else None, "weigh": found.as_dict()}
        )
    elif given["plain"]:
        for key, grams in found.formula.grams.items():
            click.echo("\t".join(("weigh", key, f"{grams:g}", "g")))
    else:
        put(f"As {told.before}, for {units.show_mass(found.base.whole_g)} {found.base.words}:")
        for key, grams in found.formula.grams.items():
            if grams:
                put(f"{key.replace('_', ' '):<14} {units.show_mass(grams, found.formula.step_g):>10}", 1)
        for line in told.changes:
            put(f"- {line}", 1, 3)
        verdict_lines(found.verdicts, colour=coloured(False), strictest=found.strictest.rule if found.strictest else None)
        put(f"laid in as {told.batch.code}" if told.batch else "To write it down: the same with --lay-in")
    return EXIT[found.level]


_COLUMNS = (
    ("batch", 13, lambda r: r.code),
    ("green g", 8, lambda r: _n(r.green_weight_g, 0)),
    ("salt %", 7, lambda r: _n(None if r.salt_per_green_weight is None else units.per_hundred(r.salt_per_green_weight), 2)),
    ("NaNO2", 6, lambda r: _n(r.nitrite_mg_per_kg, 0)),
    ("days", 6, lambda r: _n(r.days, 1)),
    ("last g", 8, lambda r: _n(r.last_weight_g, 0)),
    ("+/- %", 7, lambda r: _n(r.change_pct, 1)),
    ("pH", 6, lambda r: _n(r.ph, 2)),
    ("dev.", 5, lambda r: str(r.deviations)),
    ("yield %", 8, lambda r: _n(r.yield_pct, 1)),
)  # fmt: skip


def _n(value: float | None, digits: int) -> str:
    return "" if value is None else f"{value:.{digits}f}"


@click.command("compare")
@click.argument("batches", nargs=-1, required=True)
@notebook_option
@json_option
@plain_option
def compare(**given: Any) -> int:
    """Batches side by side, a row each. A blank is "not noted".

    \b
    Example:  ingle record compare FH-261204-A FH-270110-A
    """
    with opened(given) as book:
        rows = do_compare(book, given["batches"])
    if given["as_json"]:
        put_json({"batches": as_dicts(rows)})
    elif given["plain"]:
        for r in rows:
            click.echo("\t".join(plain(v) for v in vars(r).values()))
    else:
        click.echo("".join(f"{head:<{w}}" if not i else f"{head:>{w}}" for i, (head, w, _) in enumerate(_COLUMNS)).rstrip())
        for r in rows:
            click.echo("".join(f"{_cell(of, r):<{w}}" if not i else f"{_cell(of, r):>{w}}" for i, (_, w, of) in enumerate(_COLUMNS)).rstrip())
        for r in rows:
            if r.taste:
                put(f"{r.code}: {r.taste}", 0, 13)
    return 0


def _cell(of: Any, row: Compared) -> str:
    told: str = of(row)
    return told
