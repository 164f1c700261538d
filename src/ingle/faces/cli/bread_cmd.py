"""``ingle bread``."""

from __future__ import annotations

from typing import Any

import click

from ingle.faces.bench_given import bread_of
from ingle.faces.cli.bench_words import answered
from ingle.faces.cli.options import colour_option, json_option, plain_option


@click.command("bread")
@click.option("--loaf", metavar="MASS", help="Wished weight of a loaf, cooled.")
@click.option("--pieces", metavar="COUNT", help="How many of them. Left out: 1.")
@click.option("--dough", metavar="MASS", help="In place of --loaf: all the dough.")
@click.option("--flour", metavar="MASS", help="In place of --loaf: all flour, that in the preferment too.")
@click.option("--hydration", metavar="SHARE", help="All water per all flour. Left out: 65 %.")
@click.option("--salt", metavar="SHARE", help="Per all flour. Left out: 2 %.")
@click.option("--also", multiple=True, metavar="NAME=SHARE", help="What else, per all flour, like yeast=1%. Repeat.")
@click.option("--preferment", metavar="SHARE", help="Starter, levain, sponge or poolish, like 20%.")
@click.option("--preferment-of", type=click.Choice(["flour", "weight"]), default="flour", show_default=True,
              help="That share is of the flour, or the preferment's weight per all flour.")  # fmt: skip
@click.option("--preferment-hydration", metavar="SHARE", help="Its water per its flour. Left out: 100 %.")
@click.option("--buttermilk", is_flag=True, help="Buttermilk in place of the water of the final mix.")
@click.option("--baked", metavar="MASS,MASS", help="Dough and cooled loaf of one bake of yours.")
@click.option("--water", metavar="MASS", help="Take a mixed dough apart: its water; --flour is what was added beside the starter.")
@click.option("--salt-weight", metavar="MASS", help="Taken apart: its salt.")
@click.option("--starter", multiple=True, metavar="MASS,SHARE", help="Taken apart: a preferment and its hydration, like 200g,100%.")
@click.option("--buttermilk-weight", metavar="MASS", help="Taken apart: its buttermilk.")
@json_option
@plain_option
@colour_option
def command(**given: Any) -> int:
    """Weights from baker's percentages, or the percentages of a dough that was mixed.

    \b
    Example:  ingle bread --loaf 800g --pieces 2 --hydration 68% --preferment 20%
    Example:  ingle bread --flour 800g --water 500g --salt-weight 18g \\
                --starter 200g,100%
    """
    return answered(given, bread_of)
