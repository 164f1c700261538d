"""``ingle brine``."""

from __future__ import annotations

from typing import Any

import click

from ingle.faces.bench_given import brine_of
from ingle.faces.cli.bench_words import answered
from ingle.faces.cli.options import colour_option, json_option, plain_option


@click.command("brine")
@click.option("--salt", metavar="MASS", help="Plain salt that goes in.")
@click.option("--water", metavar="MASS", help="Water that it goes into.")
@click.option("--strength", metavar="SHARE", help="In place of --salt: salt per brine, by weight, like 10%.")
@click.option("--salometer", metavar="DEGREES", help="In place of --salt: what a 60 F salometer shows.")
@click.option("--density", metavar="KG/M3", help="In place of --salt: what a hydrometer shows.")
@click.option("--volume", metavar="VOLUME", help="In place of --water: the brine it shall come to, like 5l.")
@click.option("--temperature", metavar="TEMP", help="Of the brine, 0 to 30 C. Left out: 20C.")
@click.option("--to", metavar="SHARE", help="Bring it to this strength: what to add.")
@json_option
@plain_option
@colour_option
def command(**given: Any) -> int:
    """What a brine holds, what to weigh for it, and what brings it to a strength.

    \b
    Example:  ingle brine --strength 10% --volume 5l
    """
    return answered(given, brine_of)
