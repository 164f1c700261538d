"""``ingle sauce``."""

from __future__ import annotations

from typing import Any

import click

from ingle.faces.bench_given import sauce_of
from ingle.faces.cli.bench_words import answered
from ingle.faces.cli.options import colour_option, json_option, plain_option


@click.command("sauce")
@click.option("--part", multiple=True, metavar="MASS,SHARE", help="In the pot: weight and its solids, like 2kg,12%. Repeat.")
@click.option("--to", metavar="SHARE", help="Boil it down to these solids, like 30%.")
@click.option("--vinegar", metavar="MASS,SHARE", help="Vinegar in it and its acid, like 150g,5%.")
@click.option("--sauce", metavar="MASS", help="The finished sauce. Left out: what is left in the pot.")
@click.option("--ph", metavar="PH", help="Measured in the blended sauce.")
@click.option("--titration", metavar="MASS,VOLUME,MOL/L", help="Sample, sodium hydroxide used, its normality, like 10g,12ml,0.1.")
@click.option("--acid", type=click.Choice(["acetic", "citric", "malic", "lactic"]), default="acetic", show_default=True, help="A titration is told as this.")
@click.option("--syrup", metavar="MASS,MASS", help="Sugar and water: degrees Brix, and what a float shows.")
@click.option("--gravity", metavar="RATIO", help="What a float shows, like 1.220: degrees Brix.")
@click.option("--temperature", metavar="TEMP", help="Of the syrup. Left out: 20C.")
@json_option
@plain_option
@colour_option
def command(**given: Any) -> int:
    """How far a sauce boils down, how sour it is, and whether it counts as acid.

    \b
    Example:  ingle sauce --part 2kg,6% --part 200g,5% --to 30% \\
                --vinegar 200g,5% --ph 3.9
    """
    return answered(given, sauce_of)
