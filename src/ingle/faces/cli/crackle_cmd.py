"""``ingle crackle``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ingle.faces.cli import heat_options as opts
from ingle.faces.cli.lines import EXIT, bullet, put, put_json
from ingle.faces.cli.options import json_option, plain_option
from ingle.faces.crackle_given import programme_of, rind_of
from ingle.ground import units
from ingle.ground.things import Band
from ingle.jobs.crackle import CrackleAnswer, crackle

_WORD = {"within": "can crackle", "near": "may or may not crackle", "over": "will not crackle", "cannot_say": "cannot say"}


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
@opts.kitchen_options
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
    answer = crackle(rind_of(given), **programme_of(given, opts.kit_oven(given)))
    if given["chart"]:
        from ingle.faces.crackle_chart import draw  # drawing is loaded only for a picture

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
    off = answer.programme.offset_c
    oven = f"{', fan on' if answer.programme.fan else ''}" + (f", {abs(off):g} C {'over' if off > 0 else 'under'} its dial," if off else "")
    put(f"Into the oven{oven} with {_pct(t.into_oven_pct)} water.")
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
    if not answer.rind.salt_rubbed_g or answer.to_rub.soak_min:
        put(f"Salt: {answer.to_rub.act} [{answer.to_rub.sure}]", 0, 6)
    for warning in a.warnings:
        bullet(warning)
    when = "" if t.puff_min is None else f"; those that do, at minute {_minutes(t.puff_min)}"
    put(f"{_WORD[a.level].capitalize()}: {round(20 * t.chance)} of 20 such rinds puff{when}.")
    put(a.why[0].upper() + a.why[1:])
    if a.act:
        put(f"{a.act}" + ("" if a.tried is None else f" Then {round(20 * a.tried)} of 20 puff."))


def _grams(b: Band) -> str:
    return _band(b, "g ")


def _pct(b: Band) -> str:
    return _band(b, "% ")


def _minutes(b: Band) -> str:
    return _band(b)


def _band(b: Band, unit: str = "") -> str:
    return f"{b.likely:.0f} {unit}({b.low:.0f} to {b.high:.0f})"
