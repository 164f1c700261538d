"""``ingle cure --section``: a drawn cross-section."""

from __future__ import annotations

from typing import Any

import click

from ingle.crafts.cure.base import base_of
from ingle.faces import section_picture
from ingle.faces.cli.lines import bullet, put, put_json
from ingle.faces.cli.options import days_of, mix_of, pieces_of
from ingle.faces.picture_file import write_picture
from ingle.ground import units
from ingle.jobs import section
from ingle.jobs.cure import CAUTIONS


def by_section(given: dict[str, Any]) -> int:
    """A drawn cross-section, day by day."""
    pieces = pieces_of(given)
    grams = sum(base_of(p).skin_free_g for p in pieces)
    span = days_of(given["days"]) or 14.0
    answer = section.cure_section(
        section.drawing(given["section"]),
        mix_of(given["added"]).salt / grams,
        temperature_c=units.temperature_c(given["temperature"], "temperature"),
        days=tuple(span * share for share in (1 / 14, 3 / 14, 1 / 2, 1)),
        diffusivity=None
        if given["diffusivity"] is None
        else units.diffusivity_m2_s(given["diffusivity"], "diffusivity"),
    )
    if given["chart"]:
        frames = [(units.show_hours(d * 24), f) for d, f in zip(answer.days, answer.salt, strict=True)]
        write_picture(
            given["chart"],
            lambda: section_picture.front_svg(
                answer.map, frames, unit="g/100 g", title=f"Salt in {answer.map.section.name}"
            ),
            title=f"Salt in {answer.map.section.name}",
        )
    if given["as_json"]:
        put_json(answer.as_dict())
        return 0
    put(f"{answer.map.section.name}, {answer.dose * 100:.2f} % salt, {answer.temperature_c:g} C, liquid kept")
    click.echo()
    click.echo("Salt, g per 100 g       lean        fat     least of the lean")
    for i, d in enumerate(answer.days):
        fat = f"{answer.fat[i]:8.2f}" if answer.fat[i] == answer.fat[i] else "       -"
        click.echo(f"  {units.show_hours(d * 24):>14}   {answer.lean[i]:8.2f}   {fat}     {answer.core[i]:8.2f}")
    click.echo()
    for caution in CAUTIONS:
        bullet(caution, "!")
    put("not in it: water that moves; the spread of the prior. " + section.CAUTION, 0, 2)
    x, y = answer.core_place_mm
    put(
        f"Least salt in the lean at the end: {answer.core[-1]:.2f} g per 100 g, {x:.0f} mm from the left and {y:.0f} mm from the top."
    )
    if given["chart"]:
        click.echo(f"drawn: {given['chart']}")
    return 0
