"""``ingle weigh``."""

from __future__ import annotations

from typing import Any

import click

from ingle.crafts.cure.formula import SALT_BASES, Targets
from ingle.crafts.cure.mix import curing_salt
from ingle.faces.cli.lines import bullet, compared, put, tell
from ingle.faces.cli.options import (
    colour_option,
    day_of,
    json_option,
    law_options,
    piece_options,
    pieces_of,
    plain_option,
    product_of,
)
from ingle.ground import units
from ingle.jobs.weigh import WeighAnswer, weigh


@click.command("weigh")
@piece_options
@click.option(
    "--salt",
    default="2.5%",
    show_default=True,
    metavar="SHARE",
    help="All salt wished, that in the curing salt counted.",
)
@click.option(
    "--salt-basis",
    type=click.Choice(SALT_BASES),
    default="green",
    show_default=True,
    help="What that is a share of.",
)
@click.option(
    "--yield",
    "finished_yield",
    metavar="SHARE",
    help="Finished weight per green weight, for --salt-basis finished.",
)
@click.option(
    "--nitrite",
    default="118",
    show_default=True,
    metavar="MG/KG",
    help="Ingoing sodium nitrite, mg per kg of green weight.",
)
@click.option("--curing-salt", "packet", metavar="SHARE", help="What the packet says: 6.25%, or 6.25%+4%NaNO3.")
@click.option("--sugar", default="0%", show_default=True, metavar="SHARE", help="Sugar per green weight.")
@click.option("--scale", metavar="MASS", help="Smallest step of the scale: 0.1g or 1g. Left out: both are answered.")
@click.option(
    "--method",
    type=click.Choice(["dry", "immersion", "pump"]),
    default="dry",
    show_default=True,
    help="How it is cured.",
)
@click.option("--water", metavar="MASS", help="Water of the pickle.")
@click.option("--pump", metavar="SHARE", help="Pickle injected per green weight, like 10%.")
@click.option("--pick-up", metavar="SHARE", help="Measured weight gain of an immersion.")
@click.option("--one-box", is_flag=True, help="All pieces share one box, not a bag each.")
@law_options
@json_option
@plain_option
@colour_option
def command(**given: Any) -> int:
    """What to put on the scale for a piece, and what the laws say of it.

    \b
    Example:  ingle weigh --weight 1.38kg --salt 2.5% --curing-salt 6.25% \\
                          --sugar 1% --rules gb
    """
    share = given["pump"] or given["pick_up"]
    answer = weigh(
        pieces_of(given),
        targets=Targets(
            salt=units.fraction(given["salt"], "salt"),
            nitrite_mg_per_kg=units.mg_per_kg(given["nitrite"], "nitrite"),
            sugar=units.fraction(given["sugar"], "sugar"),
            salt_basis=given["salt_basis"],
            finished_yield=None
            if given["finished_yield"] is None
            else units.fraction(given["finished_yield"], "yield"),
        ),
        packet=None if given["packet"] is None else curing_salt(given["packet"]),
        product=product_of(given),
        rules=given["rules"],
        day=day_of(given["day"]),
        step_g=None if given["scale"] is None else units.mass_g(given["scale"], "scale", high=1000),
        method=given["method"],
        one_box=given["one_box"],
        water_g=None if given["water"] is None else units.mass_g(given["water"], "water"),
        share=None if share is None else units.fraction(share, "pump" if given["pump"] else "pick-up"),
    )
    return tell(given, answer, plain, show)


def plain(answer: WeighAnswer) -> None:
    """One record a line, tab between."""
    for key, grams in answer.formula.grams.items():
        click.echo(f"grams\t{key}\t{grams:g}\tg")
    click.echo(f"ingoing\tsodium_nitrite\t{answer.formula.ingoing.content.nitrite_as_sodium:.2f}\tmg/kg")
    click.echo(f"salt_per_green_weight\t\t{answer.formula.ingoing.salt:.5f}\t1")
    for v in answer.verdicts:
        click.echo(
            f"verdict\t{v.rule}\t{v.level}\t{'' if v.value is None else f'{v.value:.2f}'}\t{v.limit}\t{v.unit}\t{v.clause}"
        )


def show(answer: WeighAnswer, colour: bool) -> None:
    """The answer in words, what matters most last."""
    f = answer.formula
    whole = units.show_mass(answer.base.whole_g)
    click.echo(f"Weigh for {whole} green weight, {'dry cure' if f.method == 'dry' else f.method}")
    click.echo()
    if f.coarse and f.premix is not None:
        put(
            f"A step of {units.show_mass(f.step_g, f.step_g)} is more than 5 % of the curing salt ({f.exact['curing_salt']:.2f} g): thin it first."
        )
        _premix(f.premix)
        if f.grams["sugar"]:
            _row("sugar", f.grams["sugar"], f.step_g)
    elif f.coarse:
        put(
            f"A step of {units.show_mass(f.step_g, f.step_g)} is more than 5 % of the curing salt ({f.exact['curing_salt']:.2f} g), and a "
            "premix would bring too much salt. Use a scale that shows 0.01 g, or cure more pieces together."
        )
    else:
        if "water" in f.grams:
            _row("water", f.grams["water"], 1.0)
        _row("plain salt", f.grams["salt"], f.step_g)
        if answer.packet:
            _row(answer.packet.name, f.grams["curing_salt"], f.step_g)
        if f.grams["sugar"]:
            _row("sugar", f.grams["sugar"], f.step_g)
    for piece in answer.pieces:
        click.echo(
            f"  {piece.name:<14} " + ", ".join(f"{k.replace('_', ' ')} {v:.1f} g" for k, v in piece.grams.items() if v)
        )
    click.echo()
    put(
        f"That is {f.ingoing.salt * 100:.2f} % salt and {f.ingoing.content.nitrite_as_sodium:.0f} mg/kg sodium nitrite, of {answer.base.words}."
    )
    for way in (f.ingoing, *f.also) if f.method != "dry" else ():
        bullet(f"{way.content.nitrite_as_sodium:.0f} mg/kg, {way.salt * 100:.2f} % salt by {way.clause}")
    for note in answer.notes:
        bullet(note)
    if answer.coarse_way is not None and answer.coarse_way.premix is not None:
        click.echo()
        click.echo("With a scale that shows 1 g, one of these:")
        if answer.weak_way is not None:
            g = answer.weak_way.grams
            bullet(f"a weaker curing salt, 0.6 %: {g['curing_salt']:.0f} g of it and {g['salt']:.0f} g plain salt")
        _premix(answer.coarse_way.premix)
    click.echo()
    compared(answer, colour)
    click.echo()
    if f.method == "dry":
        put(
            f"Next: ingle cure --weight {answer.base.whole_g / 1000:g}kg --add salt={f.mix.salt:.1f}g --thickness 50mm",
            0,
            6,
        )


def _row(name: str, grams: float, step: float) -> None:
    click.echo(f"  {name:<48} {units.show_mass(grams, min(step, 1.0)):>12}")


def _premix(p: Any) -> None:
    bullet(f"a premix: {p.mixing}")
    put(
        f"Of it take {units.show_mass(p.dose_g, p.step_g)}, with {units.show_mass(p.plain_salt_g, p.step_g)} plain salt.",
        3,
    )
    put(f"Label: {p.label}", 3)
