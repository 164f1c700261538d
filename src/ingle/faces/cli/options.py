"""Options that several commands share, read with their units and their own names in errors."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import click

from ingle.crafts.cure.mix import Mix, mix
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.ground.things import FATS, SHAPES, SKINS, Piece
from ingle.jobs.cure_told import require_weight
from ingle.safety.limits import HEATS, PRODUCTS, TRADITIONS, Product


def several(*decorators: Callable[..., Any]) -> Callable[..., Any]:
    """Stack options in the order they are written."""

    def stacked(command: Callable[..., Any]) -> Callable[..., Any]:
        for decorator in reversed(decorators):
            command = decorator(command)
        return command

    return stacked


json_option = click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
plain_option = click.option("--plain", is_flag=True, help="Print one record a line, tab between.")
colour_option = click.option("--no-color", is_flag=True, help="No colour, whatever the terminal can.")

piece_options = several(
    click.option(
        "--weight",
        multiple=True,
        metavar="MASS",
        help="Green weight, like 1.38kg. Repeat for more pieces.",
    ),
    click.option(
        "--thickness", multiple=True, metavar="LENGTH", help="Thickest place, like 52mm. One for each weight."
    ),
    click.option("--shape", type=click.Choice(SHAPES), default="slab", show_default=True, help="Closest shape."),
    click.option("--width", metavar="LENGTH", help="Width, for a box."),
    click.option("--length", metavar="LENGTH", help="Length, for a box."),
    click.option("--skin", type=click.Choice(SKINS), default="none", show_default=True, help="Rind on one face?"),
    click.option("--skin-weight", metavar="MASS", help="Weight of the rind, when it was weighed."),
    click.option(
        "--fat",
        type=click.Choice(FATS),
        default="none",
        show_default=True,
        help="Fat on top: none, thin, thick as a pencil.",
    ),
)

law_options = several(
    click.option(
        "--rules",
        default="",
        metavar="COUNTRIES",
        help="us, eu, gb, ca, anz, codex. Left out: the strictest.",
    ),
    click.option(
        "--product",
        type=click.Choice(list(PRODUCTS)),
        default="whole_muscle_dry",
        show_default=True,
        metavar="NAME",
        help=f"What is made: {', '.join(PRODUCTS)}.",
    ),
    click.option(
        "--heat",
        type=click.Choice(list(HEATS)),
        default="none",
        show_default=True,
        help="How the maker heats it.",
    ),
    click.option("--tradition", type=click.Choice(TRADITIONS), metavar="NAME", help=f"The law's named process, when followed whole: {', '.join(TRADITIONS)}."),
    click.option(
        "--use",
        type=click.Choice(["table", "sale"]),
        default="table",
        show_default=True,
        help="For the own table, or sold.",
    ),
    click.option(
        "--on",
        "day",
        metavar="DATE",
        help="Date on which the limits are read, like 2026-12-19. Left out: today.",
    ),
)


def pieces_of(given: dict[str, Any]) -> tuple[Piece, ...]:
    """Pieces from the options of a command."""
    weights, thick = given["weight"], given["thickness"]
    require_weight(weights)
    if thick and len(thick) != len(weights):
        raise BadBrief(
            f"{len(weights)} weights and {len(thick)} thicknesses.",
            field="thickness",
            value=", ".join(thick),
            limit=f"{len(weights)}",
            remedy="Give one thickness for each weight, in the same order.",
        )
    length = lambda key: None if given[key] is None else units.length_mm(given[key], key)  # noqa: E731
    skin_weight = None if given["skin_weight"] is None else units.mass_g(given["skin_weight"], "skin-weight")
    return tuple(
        Piece(
            weight_g=units.mass_g(w, "weight"),
            thickness_mm=units.length_mm(thick[i], "thickness") if thick else None,
            width_mm=length("width"),
            length_mm=length("length"),
            shape=given["shape"],
            skin=given["skin"],
            skin_weight_g=skin_weight,
            fat=given["fat"],
            name="" if len(weights) == 1 else f"piece {i + 1}",
        )
        for i, w in enumerate(weights)
    )


def product_of(given: dict[str, Any]) -> Product:
    """The product from the options of a command."""
    return Product(given["product"], given["heat"], tradition=given["tradition"] or "", use=given["use"])


def day_of(given: str | None) -> str:
    """ISO date of the limits."""
    if given is None:
        return date.today().isoformat()
    try:
        return date.fromisoformat(given.strip()).isoformat()
    except ValueError:
        raise BadBrief(
            f"on {given!r} is not a date.",
            field="on",
            value=given,
            limit="like 2026-12-19",
            remedy="Write it like 2026-12-19.",
        ) from None


def days_of(given: str | None) -> float | None:
    """Days from ``6`` or ``6d`` or ``36h``; a bare number means days, as the help says."""
    if given is None:
        return None
    text = given.strip()
    written = text + "d" if text.replace(".", "", 1).replace(",", "", 1).lstrip("+-").isdigit() else text
    return units.days(units.duration_h(written, "days", high=24 * 400))


def mix_of(pairs: tuple[str, ...], field: str = "add") -> Mix:
    """A mix from ``--add salt=50g --add curing-salt@6.25%=2.5g``."""
    split = []
    for pair in pairs:
        name, eq, amount = pair.partition("=")
        if not eq or not name.strip():
            raise BadBrief(
                f"{field} {pair!r} is not NAME=AMOUNT.",
                field=field,
                value=pair,
                limit="NAME=AMOUNT",
                remedy="Write it like salt=50g or curing-salt@6.25%=2.5g.",
            )
        split.append((name, amount))
    return mix(split)
