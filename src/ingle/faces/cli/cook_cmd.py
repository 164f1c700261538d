"""``ingle cook``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ingle.faces.cli import heat_options as opts
from ingle.faces.cli.heat_words import show_cook
from ingle.faces.cli.lines import EXIT, put_json
from ingle.faces.cli.options import colour_option, json_option, plain_option
from ingle.faces.heat_given import heat_stages, in_oven, joint_of, kelvins, named
from ingle.ground import units
from ingle.jobs.cook import CookAnswer, cook
from ingle.safety import cooling
from ingle.safety.verdict import worst


@click.command("cook")
@opts.piece_options
@click.option("--oven", metavar="TEMP", help="What the dial says, like 160C.")
@click.option("--smoker", metavar="TEMP", help="Air of a hot smoker instead of an oven.")
@click.option("--water-bath", metavar="TEMP", help="Water around a vacuum bag instead of an oven.")
@click.option("--fan/--still", default=None, help="Does its fan run? Left out: not known.")
@click.option("--runs", type=click.Choice(["hot", "cool", "true"]), help="Does the oven run hot, cool, or was it checked?")
@click.option("--offset", metavar="TEMP", help="Measured: true temperature less the dial's, like 5C.")
@opts.kitchen_options
@click.option("--on", "support", type=click.Choice(["tray", "rack"]), help="What it stands on.")
@click.option("--heat-up", metavar="TIME", help="The oven starts cold and takes so long.")
@click.option("--humidity", metavar="SHARE", help="Relative humidity of the air at its temperature, like 30%.")
@click.option("--wet-bulb", metavar="TEMP", help="Instead: a wet thermometer in that air reads so much.")
@click.option("--wrapped", is_flag=True, help="In foil or a bag: nothing evaporates.")
@click.option("--start", metavar="TEMP", help="Of the raw piece. Left out: 4C, from the fridge.")
@click.option("--core", metavar="TEMP", help="Wished in the middle, like 71C.")
@click.option("--for", "lasts", metavar="TIME", help="Instead of a core: so long.")
@click.option("--rest", metavar="TIME", help="Rest afterwards in the kitchen; tells also when to pull earlier.")
@click.option("--stages", type=click.Path(path_type=Path), help="A file with the piece and a programme of stages (docs/files.md).")
@click.option("--probe-depth", metavar="LENGTH", help="How deep a probe stands, from the nearest face.")
@click.option("--product", type=click.Choice(["meat", "pork", "burger", "poultry", "chicken", "reheated"]), help="Left out: by the cut.")
@click.option("--cured", is_flag=True, help="The piece was cured with nitrite.")
@opts.judge_options
@json_option
@plain_option
@colour_option
def command(**given: Any) -> int:
    """When the core is done, what it has come through, what is lost.

    \b
    Example:  ingle cook --part collar --weight 1.3kg --thickness 70mm \\
                         --oven 160C --fan --core 71C --rest 20min
    """
    countries, rules = named(given["rules"])
    common: dict[str, Any] = {
        "product": given["product"], "rules": rules, "countries": countries, "cured": given["cured"],
        "probe_error_c": abs(kelvins(given["probe_error"], "probe-error")),
        "probe_mm": None if given["probe_depth"] is None else units.length_mm(given["probe_depth"], "probe-depth"),
    }  # fmt: skip
    oven = opts.kit_oven(given)
    start = None if given["start"] is None else units.temperature_c(given["start"], "start")
    if given["stages"] is not None:
        from ingle.crafts.heat.stage_file import read_programme  # files are read only when there is one

        joint, stages, file_start = read_programme(given["stages"])
        stages = stages if oven is None else in_oven(stages, oven)
        answer = cook(joint, stages, start_c=file_start if start is None else start, **common)
    else:
        told = heat_stages(given)
        answer = cook(joint_of(given), told if oven is None else in_oven(told, oven), start_c=start, **common)
    if given["chart"]:
        from ingle.faces.heat_chart import draw_cook  # fonts are loaded only for a picture

        draw_cook(answer, Path(given["chart"]))
    if given["as_json"]:
        put_json(answer.as_dict())
    elif given["plain"]:
        plain(answer)
    else:
        show_cook(answer, given["no_color"])
        if given["chart"]:
            click.echo(f"drawn: {given['chart']}")
    return code(answer)


def code(answer: CookAnswer) -> int:
    """Exit by the gravest verdict."""
    levels = [worst(answer.lethality)] if answer.lethality else ["cannot_say"]
    if answer.cooling:
        levels.append(cooling.worst(answer.cooling))
    return 3 if "over" in levels else max(EXIT[level] for level in levels)


def plain(answer: CookAnswer) -> None:
    """The curve, then the verdicts, one a line."""
    c = answer.heated.curves
    for i, s in enumerate(c.seconds):
        click.echo(f"{s:.0f}\t{c.core[i]:.2f}\t{c.mean[i]:.2f}\t{c.surface[i]:.2f}")
    for v in answer.lethality:
        click.echo(f"{v.rule}\t{v.level}\t{'' if v.value is None else f'{v.value:g}'}\t{'' if v.limit is None else f'{v.limit:g}'}\t{v.unit}")
