"""Options that ``cook`` and ``chill`` share; `faces.heat_given` reads them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ingle.crafts.heat.joint import SHAPES
from ingle.faces.cli.options import several
from ingle.faces.heat_given import oven_of
from ingle.ground.errors import BadBrief

if TYPE_CHECKING:
    from ingle.planning.kit import Oven

piece_options = several(
    click.option("--part", metavar="CUT", help="collar, loin, belly, leg, shoulder, beef, poultry ... (see ingle sources composition)."),
    click.option("--weight", metavar="MASS", help="Like 1.3kg."),
    click.option("--thickness", metavar="LENGTH", help="Thickest place through the thinnest way, like 70mm."),
    click.option("--diameter", metavar="LENGTH", help="Of a round piece."),
    click.option("--width", metavar="LENGTH"),
    click.option("--length", metavar="LENGTH"),
    click.option("--shape", type=click.Choice(SHAPES), help="Left out: a box; round when a diameter is given."),
    click.option("--h", "film", metavar="W/M2K", help="Heat transfer at the face, all told, in W/m2K; vapour is then left out."),
    click.option("--conductivity", metavar="W/MK", help="In W/m K."),
    click.option("--density", metavar="KG/M3", help="In kg/m3."),
    click.option("--specific-heat", metavar="J/KGK", help="In J/kg K."),
)

judge_options = several(
    click.option("--rules", default="", metavar="NAMES", help="Countries (us, gb ...) or rules by name. Left out: all, the strictest marked."),
    click.option("--probe-error", metavar="TEMP", help="How far the thermometer may be off, like 1C."),
    click.option("--chart", type=click.Path(dir_okay=False), help="Write a picture: .svg, .png or .html."),
)

kitchen_options = several(
    click.option("--kit", type=click.Path(dir_okay=False, path_type=Path), help="Your kitchen's file (docs/files.md): its oven's fan, and how far its dial is off."),
    click.option("--which", metavar="KEY", help="Which of its ovens, by its key, where it has several."),
)


def kit_oven(given: dict[str, Any]) -> Oven | None:
    """The oven of ``--kit``; None where no kitchen was given."""
    if given["kit"] is not None:
        from ingle.planning.kit import read_kit  # planning is loaded only where a kitchen is named

        return oven_of(read_kit(given["kit"]), given["which"])
    if given["which"] is not None:
        raise BadBrief(f"which {given['which']!r} names an oven of no kitchen.", field="which", value=given["which"], limit="with --kit", remedy="Add --kit kitchen.toml.")
    return None
