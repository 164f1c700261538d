"""``ingle mishap``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ingle.faces.cli.lines import tell
from ingle.faces.cli.mishap_words import plain, show
from ingle.faces.cli.options import colour_option, json_option, piece_options, pieces_of, plain_option
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.jobs.mishap import Accident, Food, MishapAnswer, mishap, mishap_file
from ingle.jobs.thermal_log import read_log

_ONE_OF = ("fridge_off", "left_out", "started_late", "smoker", "record")


@click.command("mishap")
@click.option("--fridge-off", metavar="TIME", help="The fridge failed for so long, like 9h.")
@click.option("--left-out", metavar="TIME", help="It stood in the room for so long.")
@click.option("--started-late", metavar="TIME", help="It lay raw for so long before the salt went on.")
@click.option("--smoker", metavar="TEMP,TIME", help="The smoker ran hot, like 38C,3h.")
@click.option("--record", type=click.Path(path_type=Path), help="A logger's CSV of the fridge: time,temperature_c.")
@click.option("--after", metavar="TIME", help="When it happened, from the first stage on, like 3d.")
@click.option("--room", default="21C", show_default=True, metavar="TEMP", help="The room.")
@click.option("--found", metavar="TEMP", help="What a thermometer in the fridge read on return.")
@click.option("--kept", metavar="TEMP", help="Where the raw piece lay before a late start. Left out: 4C.")
@click.option("--stages", type=click.Path(path_type=Path), help="The cure: a file of stages (docs/files.md).")
@piece_options
@click.option("--cooked", is_flag=True, help="No stages: it is cooked already.")
@click.option("--uncooked", is_flag=True, help="It is eaten without cooking.")
@click.option("--start", metavar="TEMP", help="No stages: how warm it was when it happened. Left out: 4C.")
@click.option("--whole/--pierced", default=None, help="Whole muscle: never pierced, boned, rolled, seamed, pumped, minced?")
@click.option("--vacuum", is_flag=True, help="In a bag or pack without air.")
@click.option("--aw", metavar="NUMBER", help="Measured water activity, like 0.97.")
@click.option("--ph", metavar="NUMBER", help="pH by a calibrated meter, like 5.8.")
@click.option("--nitrite", metavar="MG/KG", help="Ingoing nitrite of a cooked piece, in mg/kg: opens slower rules on cooling.")
@click.option("--wish", metavar="SHARE", help="Salt wished at the table, of green weight.")
@click.option("--chart", type=click.Path(path_type=Path), help="Draw it: .svg, .png or .html.")
@json_option
@plain_option
@colour_option
def command(**given: Any) -> int:
    """Something went wrong: what still holds, and the one thing to do.

    Everything it touches is worked out before and after: salt, growth, published hours, cold, cooling.

    \b
    Example:  ingle mishap --after 3d --fridge-off 9h --room 21C --found 14C \\
                --stages src/ingle/data/examples/disaster/collar.toml
    """
    answer = _answer(given)
    code = tell(given, answer, plain, show)
    if given["chart"]:
        _draw(answer, given["chart"])
        click.echo(f"drawn: {given['chart']}", err=given["as_json"] or given["plain"])
    return code


def _answer(given: dict[str, Any]) -> MishapAnswer:
    accident = _accident(given)
    eaten = "uncooked" if given["uncooked"] or given["cooked"] else "cooked"
    more: dict[str, Any] = {
        "eaten": eaten, "packed": "vacuum" if given["vacuum"] else "air", "whole": given["whole"], "aw": _number(given["aw"], "aw", 0.3, 1.0),
        "ph": _number(given["ph"], "ph", 2.0, 12.0), "nitrite": None if given["nitrite"] is None else units.mg_per_kg(given["nitrite"], "nitrite"),
    }  # fmt: skip
    if given["stages"] is not None:
        _alone(given)
        wish = None if given["wish"] is None else units.fraction(given["wish"], "wish", low=0.005, high=0.12)
        return mishap_file(given["stages"], accident, food=Food("cure", **more), wished_salt=wish)
    pieces = pieces_of(given)
    if len(pieces) > 1:
        raise BadBrief("One piece at a time.", field="weight", value=len(pieces), limit=1, remedy="Ask for the thickest: it warms last and chills last.")
    start = 4.0 if given["start"] is None else units.temperature_c(given["start"], "start", low=-1.0, high=100.0)
    return mishap(pieces[0], accident, food=Food("ready" if eaten == "uncooked" else "raw", start_c=start, **more))


def _alone(given: dict[str, Any]) -> None:
    for key in ("weight", "thickness"):
        if given[key]:
            raise BadBrief(f"{key} and stages are both given.", field=key, value=", ".join(given[key]), limit="one of them",
                           remedy="The file of stages holds the piece: leave it out.")  # fmt: skip
    for key in ("cooked", "start"):
        if given[key]:
            raise BadBrief(f"{key} has no use with stages.", field=key, value=given[key], limit="no stages", remedy="Leave one of them out.")


def _accident(given: dict[str, Any]) -> Accident:
    told = [key for key in _ONE_OF if given[key] is not None]
    if len(told) != 1:
        raise BadBrief(
            "What happened is missing." if not told else f"{len(told)} mishaps are given.", field="mishap", value=", ".join(told) or "missing",
            limit="one of " + ", ".join("--" + k.replace("_", "-") for k in _ONE_OF), remedy="Give one, like --fridge-off 9h.",
        )  # fmt: skip
    kind = told[0].replace("_", "-")
    for key, only in (("found", "fridge-off"), ("kept", "started-late")):
        if given[key] is not None and kind != only:
            raise BadBrief(f"{key} belongs to --{only}.", field=key, value=given[key], limit=only, remedy="Leave it out.")
    after = _after(given, kind)
    room = units.temperature_c(given["room"], "room", low=-30.0, high=60.0)
    if kind == "record":
        log = read_log(given["record"])
        return Accident(kind, units.hours(float(log.seconds[-1] - log.seconds[0])), after, room, log=log)
    hot = None
    text = given[told[0]]
    if kind == "smoker":
        degrees, comma, text = text.partition(",")
        if not comma:
            raise BadBrief(f"smoker {degrees!r} is not TEMPERATURE,TIME.", field="smoker", value=degrees, limit="like 38C,3h", remedy="Write it like 38C,3h.")
        hot = units.temperature_c(degrees, "smoker", low=0.0, high=90.0)
    elif given["kept"] is not None:
        hot = units.temperature_c(given["kept"], "kept", low=-1.0, high=40.0)
    found = None if given["found"] is None else units.temperature_c(given["found"], "found", low=-5.0, high=60.0)
    return Accident(kind, units.duration_h(text, kind, high=24.0 * 120, zero=False), after, room, found, hot)


def _after(given: dict[str, Any], kind: str) -> float:
    if given["after"] is not None:
        if given["stages"] is None:
            raise BadBrief("after counts from the first stage, and no stages are given.", field="after", value=given["after"], limit="--stages FILE", remedy="Leave it out.")
        return units.duration_h(given["after"], "after", high=24.0 * 400)
    if given["stages"] is not None and kind not in ("started-late", "smoker"):
        raise BadBrief("When it happened is missing.", field="after", value="missing", limit="like 3d", remedy="Give --after 3d, from the first stage on.")
    return 0.0


def _number(text: str | None, field: str, low: float, high: float) -> float | None:
    if text is None:
        return None
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        value = float("nan")
    if not low <= value <= high:
        raise BadBrief(f"{field} {text!r} is not a number from {low:g} to {high:g}.", field=field, value=text, limit=f"{low:g} to {high:g}",
                       remedy="Measure it, or leave it out.")  # fmt: skip
    return value


def _draw(answer: MishapAnswer, path: Path) -> None:
    from ingle.faces import mishap_chart  # drawing is loaded only for a picture
    from ingle.faces.picture_file import write_picture

    write_picture(path, lambda: mishap_chart.mishap_svg(answer), lambda: mishap_chart.mishap_html(answer))
