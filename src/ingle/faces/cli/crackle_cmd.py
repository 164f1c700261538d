"""``ingle crackle``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ingle.crafts.skin import Skin, Stage
from ingle.crafts.skin.answer import Rind
from ingle.faces.cli.lines import EXIT, bullet, put, put_json
from ingle.faces.cli.options import json_option, plain_option
from ingle.faces.heat_given import kelvins
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.ground.things import Band
from ingle.jobs.crackle import CrackleAnswer, crackle

_WORD = {"within": "can crackle", "near": "may or may not crackle", "over": "will not crackle", "cannot_say": "cannot say"}
_DEFAULT_MM = 3.0


@click.command("crackle")
@click.option("--weight", required=True, metavar="MASS", help="Of the raw rind, scraped, fat layer and all.")
@click.option("--thickness", metavar="LENGTH", help="Of the skin without the fat, like 3mm. Left out: 2 to 4 mm.")
@click.option("--fat", default="0mm", show_default=True, metavar="LENGTH", help="Layer of fat left below the skin.")
@click.option("--water", metavar="SHARE", help="Water of the raw skin, when it is known. Left out: 45 to 65 %.")
@click.option("--cured", metavar="SHARE", help="Salt that a cure has left in the skin, like 2%.")
@click.option("--smoked", is_flag=True, help="Smoked skin browns early.")
@click.option("--salt", metavar="MASS", help="Rubbed on before drying, brushed off before the oven.")
@click.option("--fridge", metavar="TIME", help="Hours in the fridge before the oven, like 12h. Left out: none.")
@click.option("--fridge-temperature", default="4C", show_default=True, metavar="TEMP", help="Of the fridge.")
@click.option("--humidity", metavar="SHARE", help="Of the fridge's air, when it is known.")
@click.option("--fridge-fan", is_flag=True, help="The fridge has a fan.")
@click.option("--covered", is_flag=True, help="In a bag or box while in the fridge.")
@click.option("--dried-weight", metavar="MASS", help="After the fridge, salt brushed off. Overrides the forecast.")
@click.option("--oven", multiple=True, metavar="TEMP,TIME", help="A stage, like 220C,20min. Repeat for the next one.")
@click.option("--fan", is_flag=True, help="The oven's fan is on.")
@click.option("--oven-offset", metavar="TEMP", help="How much hotter the oven is than its dial, like 10K or -5K.")
@click.option("--rack/--tray", default=True, show_default=True, help="Both faces open, or flat on a tray.")
@click.option("--recrisp", metavar="TEMP,TIME", help="Crisped again later, like 200C,5min.")
@click.option("--chart", type=click.Path(dir_okay=False, path_type=Path), help="Write a picture: .svg, .png or .html.")
@json_option
@plain_option
def command(**given: Any) -> int:
    """Whether a rind crackles, when, and what stops it.

    \b
    Example:  ingle crackle --weight 180g --thickness 3mm --fridge 12h \\
                --salt 3g --oven 220C,20min --oven 180C,60min
    """
    answer = crackle(_rind(given), **_asked(given))
    if given["chart"]:
        from ingle.faces.cli.crackle_picture import draw  # drawing is loaded only for a picture

        draw(answer, given["chart"])
    if given["as_json"]:
        put_json(answer.as_dict())
    elif given["plain"]:
        c = answer.answer.told.curve
        for m, w, t, p in zip(c.minutes, c.water_pct, c.celsius, c.puffed, strict=True):
            click.echo(f"{m:.2f}\t{w[1]:.2f}\t{t[1]:.1f}\t{p:.3f}")
    else:
        show(answer)
        if given["chart"]:
            click.echo(f"drawn: {given['chart']}")
    return EXIT[answer.level]


def show(answer: CrackleAnswer) -> None:
    """The picture first, then weights and water, the verdict last."""
    from ingle.faces.cli.crackle_strip import strip

    a, t, s = answer.answer, answer.answer.told, answer.rind.skin
    fat = f", {answer.rind.fat_mm:g} mm of fat below" if answer.rind.fat_mm else ""
    thick = f"{s.thickness_mm:g} mm" if answer.rind.thickness_known else "2 to 4 mm"
    put(f"{units.show_mass(s.raw_g)} of rind, {thick} thick{fat}, {'on a rack' if answer.programme.rack else 'on a tray'}")
    if t.after_fridge_g is not None:
        weighed = "" if t.weighed_g is None else f"; weighed {units.show_mass(t.weighed_g)}, which counts"
        how = "covered" if answer.programme.covered else "uncovered"
        put(f"After {units.show_hours(answer.programme.fridge_h)} in the fridge, {how}: {_grams(t.after_fridge_g)}{weighed}.")
    elif t.weighed_g is not None:
        put(f"Weighed before the oven: {units.show_mass(t.weighed_g)}.")
    put(f"Into the oven with {_pct(t.into_oven_pct)} water.")
    click.echo()
    for line in strip(answer):
        click.echo(line)
    click.echo()
    put("assumed: " + "; ".join(answer.assumed), 0, 2)
    put("not modelled: " + "; ".join(a.not_modelled), 0, 2)
    put(f"how sure: both thresholds are assumed. {a.doubt}", 0, 2)
    for caution in answer.cautions:
        bullet(caution, "!")
    click.echo()
    put(f"Crackling: {_grams(t.crackling_g)}, {100 * answer.salt_per_crackling:.1f} % salt; fat run off 12 to 70 %, only its order is modelled.")
    if answer.floor_min is not None:
        put(f"By heat alone, in an oven true to its dial: not before minute {answer.floor_min:.0f}.")
    if t.recrisp_chance is not None:
        when = "not within that time" if t.recrisp_min is None else f"minute {_minutes(t.recrisp_min)}"
        put(f"Gone soft, it is crisp again: {when}.")
    for warning in a.warnings:
        bullet(warning)
    when = "" if t.puff_min is None else f"; those that do, at minute {_minutes(t.puff_min)}"
    put(f"{_WORD[a.level].capitalize()}: {round(20 * t.chance)} of 20 such rinds puff{when}.")
    put(a.why[0].upper() + a.why[1:])
    if a.act:
        put(f"{a.act}" + ("" if a.tried is None else f" Then {round(20 * a.tried)} of 20 puff."))


def _rind(given: dict[str, Any]) -> Rind:
    water, cured = given["water"], given["cured"]
    skin: dict[str, Any] = {"smoked": given["smoked"]}
    if water is not None:
        skin["water_per_skin"] = units.fraction(water, "water", low=0.2, high=0.8)
        skin["fat_per_skin"] = Skin(1.0).fat_per_skin * (1.0 - skin["water_per_skin"]) / (1.0 - Skin(1.0).water_per_skin)
    if cured is not None:
        skin["salt_per_skin"] = units.fraction(cured, "cured", high=0.2)
    thick = given["thickness"]
    return Rind(
        Skin(
            units.mass_g(given["weight"], "weight"),
            thickness_mm=_DEFAULT_MM if thick is None else units.length_mm(thick, "thickness", low=0.5, high=20.0), **skin,
        ),
        fat_mm=_fat(given["fat"]),
        salt_rubbed_g=0.0 if given["salt"] is None else units.mass_g(given["salt"], "salt", zero=True),
        dried_g=None if given["dried_weight"] is None else units.mass_g(given["dried_weight"], "dried-weight"),
        water_known=water is not None, thickness_known=thick is not None,
    )  # fmt: skip


def _fat(text: str) -> float:
    """A layer of fat; none is written 0mm."""
    none = text.strip().lower().removesuffix("mm").strip() == "0"
    return 0.0 if none else units.length_mm(text, "fat", high=10.0)


def _asked(given: dict[str, Any]) -> dict[str, Any]:
    offset = given["oven_offset"]
    return {
        "oven": tuple(_stage(text, "oven") for text in given["oven"]),
        "fridge_h": 0.0 if given["fridge"] is None else units.duration_h(given["fridge"], "fridge", high=240.0),
        "fridge_c": units.temperature_c(given["fridge_temperature"], "fridge-temperature"),
        "humidity": None if given["humidity"] is None else units.fraction(given["humidity"], "humidity"),
        "covered": given["covered"], "fridge_fan": given["fridge_fan"], "rack": given["rack"], "fan": given["fan"],
        "offset_c": kelvins(offset, "oven-offset"), "offset_sd_c": None if offset is None else 5.0,
        "recrisp": None if given["recrisp"] is None else _stage(given["recrisp"], "recrisp"),
    }  # fmt: skip


def _stage(text: str, field: str) -> Stage:
    warm, comma, long = text.partition(",")
    if not comma:
        raise BadBrief(
            f"{field} {text!r} is not TEMP,TIME.", field=field, value=text, limit="TEMP,TIME", remedy="Write it like 220C,20min."
        )
    return Stage(
        units.temperature_c(warm, field, low=20.0, high=300.0), 60.0 * units.duration_h(long, field, high=24.0, zero=False)
    )


def _grams(b: Band) -> str:
    return _band(b, "g ")


def _pct(b: Band) -> str:
    return _band(b, "% ")


def _minutes(b: Band) -> str:
    return _band(b)


def _band(b: Band, unit: str = "") -> str:
    return f"{b.likely:.0f} {unit}({b.low:.0f} to {b.high:.0f})"
