"""``ingle sheet``."""

from __future__ import annotations

import sys
from datetime import date, datetime
from pathlib import Path
from typing import Any

import click

from ingle.faces.cli.plan_book import standing, standing_options
from ingle.faces.events import days
from ingle.faces.sheet import day_html, day_text
from ingle.ground.errors import BadBrief
from ingle.planning.plan import Plan

_WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@click.command("sheet")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option(
    "--day",
    required=True,
    metavar="DATE|mon",
    help="A date like 2026-12-18, or the first such weekday of the plan.",
)
@standing_options
@click.option("--html", "as_html", is_flag=True, help="Print the sheet as one HTML file, for paper (A4) and phone.")
def command(**given: Any) -> int:
    """One day's work from a plan.

    What was weighed since stands in it, where the notebook holds the plan.

    \b
    Example:  ingle sheet fernhollow.plan --day 2026-12-13
    """
    made = standing(given)
    day = day_of(made, given["day"])
    if given["as_html"]:
        click.echo(day_html(made, day))
    else:
        click.echo(
            day_text(made, day, unicode=sys.stdout.isatty() and "utf" in (sys.stdout.encoding or "").lower()),
            nl=False,
        )
    return 0


def day_of(plan: Plan, written: str) -> date:
    """The day that was meant, or what there is to choose from."""
    have = days(plan)
    word = written.strip().lower()[:3]
    if word in _WEEK:
        now = datetime.now(plan.plan_from.tzinfo).date()
        fits = [d for d in have if d.weekday() == _WEEK.index(word)]
        ahead = [d for d in fits if d >= now] or fits
        if ahead:
            return ahead[0]
    else:
        try:
            day = date.fromisoformat(written.strip())
        except ValueError:
            raise BadBrief(
                f"day {written!r} is neither a date nor a weekday.",
                field="day",
                value=written,
                limit="2026-12-18 or fri",
                remedy="Write it like 2026-12-18, or like fri.",
            ) from None
        if have[0] <= day <= have[-1]:
            return day
    raise BadBrief(
        f"day {written!r} is not in this plan.",
        field="day",
        value=written,
        limit=f"{have[0]} to {have[-1]}",
        remedy=f"Days with work: {', '.join(d.isoformat() for d in have)}.",
    )
