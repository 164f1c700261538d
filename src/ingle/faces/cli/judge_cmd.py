"""``ingle judge``."""

from __future__ import annotations

from typing import Any

import click

from ingle.faces.cli.lines import bullet, compared, put, tell, when
from ingle.faces.cli.options import (
    colour_option,
    day_of,
    days_of,
    json_option,
    law_options,
    mix_of,
    piece_options,
    pieces_of,
    plain_option,
    product_of,
)
from ingle.ground import units
from ingle.jobs.judge import JudgeAnswer, judge

_KINDS = {
    "equilibrium": "an equilibrium cure: the dose is the goal, running over does little harm",
    "excess": "an excess cure: more salt than is wished, so time decides",
    "light": "a light cure: less salt than is wished",
    "none": "no salt at all",
}


@click.command("judge")
@piece_options
@click.option(
    "--add",
    "added",
    multiple=True,
    required=True,
    metavar="NAME=MASS",
    help="salt=50g, curing-salt@6.25%=2.5g, sugar=, water= ...",
)
@click.option("--cover", multiple=True, metavar="NAME=MASS", help="A cover pickle or rub over a pumped piece.")
@click.option("--pump", metavar="SHARE", help="The mix was injected: pickle per green weight, like 10%.")
@click.option("--pick-up", metavar="SHARE", help="Measured weight gain of an immersion.")
@click.option("--temperature", metavar="TEMP", help="Of the fridge, like 4C. Left out: 4C.")
@click.option("--days", metavar="TIME", help="How long it has been on or shall be, in days (6) or like 6d.")
@click.option(
    "--wish",
    default="2.5%",
    show_default=True,
    metavar="SHARE",
    help="Salt wished at the table, of green weight.",
)
@click.option(
    "--scale",
    default="0.1g",
    show_default=True,
    metavar="MASS",
    help="Smallest step of the scale it was weighed on.",
)
@law_options
@json_option
@plain_option
@colour_option
def command(**given: Any) -> int:
    """What a mix already made is, and what can still be done.

    \b
    Example:  ingle judge --weight 1kg --add salt=50g \\
                --add curing-salt@6.25%=2.5g --thickness 50mm --days 6
    """
    answer = judge(
        pieces_of(given),
        mix_of(given["added"]),
        product=product_of(given),
        rules=given["rules"],
        day=day_of(given["day"]),
        temperature_c=None
        if given["temperature"] is None
        else units.temperature_c(given["temperature"], "temperature"),
        days=days_of(given["days"]),
        wished_salt=units.fraction(given["wish"], "wish", low=0.005, high=0.12),
        step_g=units.mass_g(given["scale"], "scale", high=1000),
        pick_up=None if given["pick_up"] is None else units.fraction(given["pick_up"], "pick-up"),
        pump_share=None if given["pump"] is None else units.fraction(given["pump"], "pump"),
        cover=mix_of(given["cover"], "cover") if given["cover"] else None,
    )
    return tell(given, answer, plain, show)


def plain(answer: JudgeAnswer) -> None:
    """One record a line, tab between."""
    click.echo(f"kind\t{answer.kind}")
    click.echo(f"ingoing\tsodium_nitrite\t{answer.ruling.content.nitrite_as_sodium:.2f}\tmg/kg")
    click.echo(f"salt_per_green_weight\t\t{answer.ruling.salt:.5f}\t1")
    for s in answer.table:
        click.echo(f"salt_at\t{s.days:g}\td\tcore\t{s.core[1]:.2f}\tmean\t{s.mean[1]:.2f}\tg/100g")
    for v in answer.verdicts:
        click.echo(
            f"verdict\t{v.rule}\t{v.level}\t{'' if v.value is None else f'{v.value:.2f}'}\t{v.limit}\t{v.unit}\t{v.clause}"
        )


def show(answer: JudgeAnswer, colour: bool) -> None:
    """The answer in words, what matters most last."""
    put(f"This is {_KINDS[answer.kind]}.")
    put(
        f"{answer.ruling.salt * 100:.2f} % salt and {answer.ruling.content.nitrite_as_sodium:.0f} mg/kg ingoing sodium nitrite, of "
        f"{answer.base.words} ({units.show_mass(answer.base.skin_free_g)})."
    )
    for way in answer.accountings if len(answer.accountings) > 1 else ():
        bullet(f"{way.content.nitrite_as_sodium:.0f} mg/kg, {way.salt * 100:.2f} % salt by {way.clause}")
    for s in answer.shares:
        bullet(f"{s.name}: {units.show_fraction(s.by_mass, 0)} of the box by mass, {units.show_fraction(s.by_surface, 0)} by surface")
    if answer.table and answer.ready and answer.even and answer.left is not None:
        click.echo()
        click.echo("Salt in the piece, g per 100 g (likely, 5 to 95 %)")
        click.echo("    day      core                   whole piece")
        for row in answer.table:
            mark = ">" if answer.at and row.days == answer.at.days else " "
            click.echo(f"  {mark} {row.days:>3g} d    {_band(row.core)}      {_band(row.mean)}")
        click.echo(f"    left     {answer.left:.1f} everywhere in the end")
        put(f"Core holds the salt of a {units.show_fraction(answer.wished_salt)} cure after {when(answer.ready)}.")
        put(f"Even (core within 10 % of the mean) after {when(answer.even)}.")
    click.echo()
    compared(answer, colour)
    if answer.advice:
        click.echo()
        click.echo("What can be done:")
        for advice in answer.advice:
            put(advice.act, 2, 2)
            put(advice.why, 4, 4)


def _band(band: tuple[float, float, float]) -> str:
    return f"{band[1]:4.1f} ({band[0]:.1f} to {band[2]:.1f})"
