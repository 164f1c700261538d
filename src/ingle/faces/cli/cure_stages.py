"""``ingle cure --stages``: a history from a file."""

from __future__ import annotations

import sys
from itertools import accumulate
from pathlib import Path
from typing import Any

import click

from ingle.faces.cli.cure_words import harden_line, late_lines
from ingle.faces.cli.lines import put, put_json, rests_on, when
from ingle.faces.picture_file import write_picture
from ingle.ground import units
from ingle.jobs.cure_stages import HistoryAnswer, cure_by_stages


def by_stages(given: dict[str, Any]) -> int:
    """A history from a file."""
    quiet = given["as_json"] or not sys.stderr.isatty()
    answer = cure_by_stages(
        given["stages"],
        members=given["members"],
        cores=given["cores"],
        cluster=given["cluster"],
        wished_salt=None if given["wish"] is None else units.fraction(given["wish"], "wish", low=0.005, high=0.12),
        ready_chance=units.fraction(given["chance"], "chance", low=0.5, high=0.999),
        diffusivity=None
        if given["diffusivity"] is None
        else units.diffusivity_m2_s(given["diffusivity"], "diffusivity"),
        progress=None if quiet else progress,
    )
    if given["as_json"]:
        put_json(answer.as_dict())
        return 0
    if given["plain"]:
        for a in answer.told.after:
            click.echo(
                f"{a.kind}\t{a.hours:g}\t{a.change_pct.likely:.2f}\t{a.mean_salt.likely:.3f}\t{a.brine_g_per_kg.likely:.1f}"
            )
        return 0
    show_history(answer)
    if given["chart"]:
        draw_history(answer, given["chart"])
        click.echo(f"drawn: {given['chart']}")
    return 0


def progress(members: int, stages: int, done: int, total: int) -> None:
    """How far it is: stages where all members go together, else members on one line that is written over."""
    if total == stages:
        click.echo(f"stage {done} of {total}", err=True)
    else:
        click.echo(f"\r{members * done // total:,} of {members:,} members worked out", nl=done == total, err=True)


def show_history(answer: HistoryAnswer) -> None:
    """Stage by stage, then the worst place, what matters most last."""
    told, piece = answer.told, answer.piece
    put(
        f"{units.show_mass(piece.weight_g)}, {piece.shape}, {piece.thickness_mm:g} mm thick, {len(answer.stages)} stages"
    )
    click.echo()
    click.echo("after stage      at       weight, % (5 to 95 %)   whole, g/100 g   brine, g/kg")
    for a in told.after:
        c, s = a.change_pct, a.mean_salt
        click.echo(
            f"  {a.kind:<10} {units.show_hours(a.hours):>11}  {c.likely:+6.1f} ({c.low:+.1f} to {c.high:+.1f})"
            f"{'':<3} {s.likely:5.2f} ({s.low:.2f} to {s.high:.2f})  {a.brine_g_per_kg.likely:5.0f}"
        )
    end = [band[-1] for band in told.core]
    click.echo(f"core at the end    {end[1]:.2f} g per 100 g ({end[0]:.2f} to {end[2]:.2f})")
    click.echo()
    harden_line(told.hardening)
    rests_on(told.assumed, answer.ready.not_in_it, answer.cautions)
    w = told.worst
    put(
        f"Least salt in the water: {w.place}, {w.water_phase_salt_pct:.1f} % of its water phase, water activity {w.water_activity:.3f}, "
        f"nitrite {w.nitrite_mg_per_kg:.0f} mg/kg."
    )
    if answer.whole is not None:
        after = "not by the end of these stages" if answer.whole.likely_h > 1e9 else when(answer.whole)
        put(f"The whole piece holds {units.show_fraction(answer.wished_salt)}: {after}.")
    late_lines(answer.late, answer.excess, answer.wished_salt)
    never = answer.ready.likely_h > 1e9
    put(
        f"Ready ({answer.ready.what}): {'not by the end of these stages, more likely than not' if never else when(answer.ready)}."
    )


def draw_history(answer: HistoryAnswer, path: Path) -> None:
    """Write the chart of a history: salt, weight and nitrite, stage by stage."""
    from ingle.faces import history_chart  # drawing is loaded only for a picture

    ends = list(accumulate(stage.lasts_h for stage in answer.stages))
    given: dict[str, Any] = {
        "title": f"{answer.piece.name or 'A piece'}, {answer.piece.thickness_mm:g} mm thick",
        "stages": [(stage.kind, end - stage.lasts_h, end) for stage, end in zip(answer.stages, ends, strict=True)],
        "forecast": answer.ready,
    }
    write_picture(
        path,
        lambda: history_chart.history_svg(answer.told, **given),
        lambda: history_chart.history_html(answer.told, **given),
    )
