"""``ingle butter``."""

from __future__ import annotations

from typing import Any

import click

from ingle.faces.bench_given import butter_of
from ingle.faces.cli.bench_words import answered
from ingle.faces.cli.options import colour_option, json_option, plain_option


@click.command("butter")
@click.option("--cream", metavar="MASS", help="Cream there is.")
@click.option("--butter", metavar="MASS", help="In place of --cream: finished butter that is wished.")
@click.option("--fat", metavar="SHARE", help="Fat of the cream, as the carton says, like 36%.")
@click.option("--salt", metavar="SHARE", help="Salt per finished butter, like 1.5%. Left out: none.")
@click.option("--standardise", metavar="SHARE", help="Bring the cream to this fat before it is churned.")
@click.option("--with-fat", metavar="SHARE", help="Fat of the milk or cream it is brought there with.")
@click.option("--cream-temperature", metavar="TEMP", help="Of the cream in the churn.")
@click.option("--churned", metavar="TIME", help="So long it was churned and has not broken, like 25min.")
@click.option("--heat-treatment", type=click.Choice(["pasteurised", "uht"]), default="pasteurised", show_default=True, help="Of the cream.")
@click.option("--ripen", metavar="TEMP", help="A culture ripens the cream at this temperature.")
@click.option("--weighed", metavar="MASS", help="Butter that came, before salt: its overrun.")
@click.option("--butter-fat", metavar="SHARE", help="Fat of the unsalted butter. Left out: 80 to 84 %.")
@click.option("--buttermilk-fat", metavar="SHARE", help="Fat of the buttermilk. Left out: 0.3 to 2 %.")
@click.option("--use", type=click.Choice(["table", "sale"]), default="table", show_default=True, help="Sold, it is judged by the standard for butter.")
@json_option
@plain_option
@colour_option
def command(**given: Any) -> int:
    """What cream gives in butter and buttermilk, its salt, and whether it churns.

    \b
    Example:  ingle butter --cream 1kg --fat 36% --salt 1.5% \\
                --cream-temperature 12C
    """
    return answered(given, butter_of)
