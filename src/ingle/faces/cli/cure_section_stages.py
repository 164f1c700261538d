"""``ingle cure --section NAME --stages FILE``: a drawn cross-section, stage by stage."""

from __future__ import annotations

import sys
from typing import Any

import click

from ingle.crafts.cure.section_history import Place
from ingle.faces import section_picture
from ingle.faces.cli.cure_words import harden_line
from ingle.faces.cli.lines import put, put_json, rests_on
from ingle.faces.picture_file import write_picture
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.jobs.section_stages import SectionHistory, section_by_stages

BESIDE = ("weight", "thickness", "added", "days")  # what the file of stages says itself


def by_section_stages(given: dict[str, Any]) -> int:
    """A history in a drawn cut."""
    for key in BESIDE:
        if given[key]:
            name = "add" if key == "added" else key
            raise BadBrief(
                f"--{name} stands beside a file of stages.", field=name, value=str(given[key]), limit="one of both",
                remedy=f"Leave --{name} out: the file says it.",
            )  # fmt: skip
    quiet = given["as_json"] or not sys.stderr.isatty()
    answer = section_by_stages(
        given["section"],
        given["stages"],
        wished_salt=None if given["wish"] is None else units.fraction(given["wish"], "wish", low=0.005, high=0.12),
        diffusivity=None
        if given["diffusivity"] is None
        else units.diffusivity_m2_s(given["diffusivity"], "diffusivity"),
        progress=None if quiet else lambda done, total: click.echo(f"stage {done} of {total}", err=True),
    )
    if given["chart"]:
        frames = [(f"{f.kind}, {units.show_hours(f.hours)}", f.salt) for f in answer.told.frames]
        title = f"Salt after each stage: {answer.section.name}"
        write_picture(
            given["chart"], lambda: section_picture.front_svg(answer.told.map, frames, unit="g/100 g", title=title), title=title
        )
    if given["as_json"]:
        put_json(answer.as_dict())
    elif given["plain"]:
        for line in _rows(answer):
            click.echo("\t".join(line))
    else:
        _show(answer)
        if given["chart"]:
            click.echo(f"drawn: {given['chart']}")
    return 0


def _rows(answer: SectionHistory) -> list[list[str]]:
    """Of each stage: kind, end, weight, salt in core, lean, fat and whole, brine."""
    told, rows = answer.told, []
    for a in told.after:
        at = max(i for i, h in enumerate(told.hours) if h <= a.hours + 1e-9)
        fat = "-" if told.fat[at] != told.fat[at] else f"{told.fat[at]:.2f}"
        rows.append(
            [a.kind, units.show_hours(a.hours), f"{a.change_pct.likely:+.1f}", f"{told.core[at]:.2f}", f"{told.lean[at]:.2f}", fat,
             f"{a.mean_salt.likely:.2f}", f"{a.brine_g_per_kg.likely:.0f}"]
        )  # fmt: skip
    return rows


def _show(answer: SectionHistory) -> None:
    told = answer.told
    height, width = (units.millimetres(v) for v in told.map.size_m)
    put(
        f"{answer.section.name}, {width:g} by {height:g} mm, {units.show_mass(answer.piece.weight_g)} "
        f"(some {answer.length_mm:.0f} mm long), {len(told.stages)} stages"
    )
    click.echo()
    click.echo("                         weight      salt, g/100 g                     brine")
    click.echo("after stage        at         %    core    lean     fat   whole        g/kg")
    for kind, when, change, core, lean, fat, whole, brine in _rows(answer):
        click.echo(f"  {kind:<10} {when:>11} {change:>7} {core:>7} {lean:>7} {fat:>7} {whole:>7} {brine:>11}")
    x, y = told.core_place_mm
    put(
        f"core: the lean that salt reaches last, {x:.0f} mm from the left and {y:.0f} mm from the top; nitrite there "
        f"{told.nitrite_core[-1]:.0f} mg/kg at the end"
    )
    click.echo()
    harden_line(told.hardening)
    rests_on(answer.assumed, answer.not_in_it, answer.cautions)
    put(f"Least salt in the water of the lean: {_said(told.worst_lean)}")
    if told.worst.tissue != "lean":
        put(f"Least of all, in the {told.worst.tissue}: {_said(told.worst)}")
    never = told.ready_h > 1e9
    put(
        f"Ready (core holds 90 % of the wished salt): {'not by the end of these stages' if never else units.show_hours(told.ready_h)}."
    )


def _said(place: Place) -> str:
    x, y = place.place_mm
    return (
        f"{place.water_phase_salt_pct:.1f} % of its water phase, water activity {place.water_activity:.3f}, "
        f"nitrite {place.nitrite_mg_per_kg:.0f} mg/kg, {x:.0f} mm from the left and {y:.0f} mm from the top."
    )
