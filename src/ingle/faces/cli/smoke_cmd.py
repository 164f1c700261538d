"""``ingle smoke``."""

from __future__ import annotations

from typing import Any

import click

from ingle.faces.bench_given import smoke_of
from ingle.faces.cli.bench_words import answered
from ingle.faces.cli.options import colour_option, json_option, plain_option


@click.command("smoke")
@click.option("--kind", type=click.Choice(["meat", "fish", "butter"]), default="meat", show_default=True, help="What hangs in it; cheese and salt as butter.")
@click.option("--run", multiple=True, required=True, metavar="TIME,TEMP", help="A run: how long, and the warmest the chamber comes to, like 8h,18C. Repeat.")
@click.option("--barred", is_flag=True, help="Every place of the piece holds 10 % salt in its water, aw 0.935 or less, or pH 4.6 or less.")
@click.option("--fuel", type=click.Choice(["tray", "tube"]), default="tray", show_default=True, help="A tray of dust, or a tube of pellets.")
@json_option
@plain_option
@colour_option
def command(**given: Any) -> int:
    """Whether a cold smoke is cool and short enough, what it takes, how long to rest.

    A smoker's log is judged by ingle read.

    \b
    Example:  ingle smoke --run 8h,18C --run 6h,12C
    """
    return answered(given, smoke_of)
