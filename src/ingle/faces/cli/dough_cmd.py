"""``ingle dough``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ingle.faces.bench_given import dough_of
from ingle.faces.cli.bench_words import answered
from ingle.faces.cli.options import colour_option, json_option, plain_option


@click.command("dough")
@click.option("--flour", metavar="MASS", help="Flour beside the preferment.")
@click.option("--flour-temperature", metavar="TEMP", help="Of the flour.")
@click.option("--water", metavar="MASS", help="All the water to pour.")
@click.option("--tap", metavar="TEMP", help="Of the tap's water.")
@click.option("--to", metavar="TEMP", help="Wished of the dough after mixing. Left out: 24.5C.")
@click.option("--room", metavar="TEMP", help="Of the room, for the factor rule. Left out: as the flour.")
@click.option("--preferment", metavar="MASS,TEMP,SHARE", help="Weight, temperature, hydration, like 300g,22C,100%.")
@click.option("--friction", metavar="TEMP", help="Of the mixer by the factor rule, like 6K.")
@click.option("--rise", metavar="TEMP", help="By how much mixing truly warms the dough, like 2K.")
@click.option("--last", metavar="TEMP,TEMP", help="Dough and water of the last batch: your mixer's friction.")
@click.option("--piece", metavar="MASS", help="One piece proved in the cold.")
@click.option("--fridge", metavar="TEMP", help="Measured in a glass of water overnight. Left out: 4C.")
@click.option("--in", "in", metavar="TEMP", help="The dough when it goes in. Left out: 24.5C.")
@click.option("--head-start", metavar="TIME", help="Hours at 24 C beyond the usual before; -1h for less.")
@click.option("--log", type=click.Path(exists=True, dir_okay=False, path_type=Path), help="A CSV of the dough's own temperature: how far it has come.")
@json_option
@plain_option
@colour_option
def command(**given: Any) -> int:
    """How warm the water has to be, and when a dough in the fridge is ready.

    \b
    Example:  ingle dough --flour 1kg --flour-temperature 22C --water 650g \\
                --tap 15C --to 24C
    Example:  ingle dough --piece 900g --fridge 6C
    """
    return answered(given, dough_of)
