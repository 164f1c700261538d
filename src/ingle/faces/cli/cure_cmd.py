"""``ingle cure``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ingle.crafts.cure import forecast
from ingle.crafts.cure.history_stage import turning
from ingle.faces.cli.cure_words import late_lines
from ingle.faces.cli.lines import put, put_json, rests_on, when
from ingle.faces.cli.options import days_of, json_option, mix_of, piece_options, pieces_of, plain_option
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.ground.memory import keep_freed
from ingle.jobs.cure import CureAnswer, cure


@click.command("cure")
@piece_options
@click.option(
    "--add",
    "added",
    multiple=True,
    metavar="NAME=MASS",
    help="salt=38.5g, curing-salt@6.25%=3g, water= for a pickle.",
)
@click.option("--temperature", default="4C", show_default=True, metavar="TEMP", help="Of the fridge.")
@click.option("--days", metavar="TIME", help="How far the curve goes, in days (7) or like 7d.")
@click.option(
    "--wish",
    metavar="SHARE",
    help="Salt wished at the table, of green weight. Left out: the dose, or 2.5 % for an excess cure.",
)
@click.option("--chance", default="95%", show_default=True, metavar="SHARE", help="Chance at which it shall be ready.")
@click.option(
    "--stages", type=click.Path(path_type=Path), help="A file with the piece and a history of stages (docs/files.md)."
)
@click.option(
    "--section", metavar="NAME|FILE", help="A drawn cross-section: belly, loin, collar, or a file (docs/sections.md)."
)
@click.option("--members", type=int, metavar="N", help="For --stages: how many pieces are drawn. Left out: 512.")
@click.option("--cores", type=int, metavar="N", help="For --stages with thousands of members: cores of this machine.")
@click.option("--cluster", metavar="ADDRESS", help="The same by a Dask scheduler, like tcp://10.0.0.5:8786.")
@click.option("--drip", type=click.Choice(["kept"]), default="kept", show_default=True, help="Liquid left in the box.")
@click.option("--diffusivity", metavar="M2/S", help="Fixes the diffusivity and switches the spread off.")
@click.option("--chart", type=click.Path(dir_okay=False, path_type=Path), help="Write a picture: .svg, .png or .html.")
@json_option
@plain_option
def command(**given: Any) -> int:
    """When a cure is ready, and what the piece holds on the way.

    \b
    Example:  ingle cure --weight 1.38kg --thickness 40mm --add salt=34g \\
                         --temperature 4C
    """
    keep_freed()
    if given["stages"] is None or given["section"] is not None:
        require_one_piece(given)
    if given["stages"] is not None and given["section"] is not None:
        from ingle.faces.cli.cure_section_stages import by_section_stages  # as below

        return by_section_stages(given)
    if given["stages"] is not None:
        from ingle.faces.cli.cure_stages import by_stages  # files and records are loaded only for stages

        return by_stages(given)
    if not given["added"]:
        raise BadBrief(
            "Nothing was added.",
            field="add",
            value="missing",
            limit="like salt=34g",
            remedy="Say what was added: --add salt=34g.",
        )
    if given["section"] is not None:
        from ingle.faces.cli.cure_section import by_section  # the engine and drawings are loaded only for a section

        return by_section(given)
    pieces = pieces_of(given)
    if len(pieces) != 1:
        raise BadBrief(
            f"{len(pieces)} weights.",
            field="weight",
            value=len(pieces),
            limit="1",
            remedy="Forecast one piece at a time; the thickest is the slowest.",
        )
    answer = cure(
        pieces[0],
        mix_of(given["added"]),
        temperature_c=units.temperature_c(given["temperature"], "temperature"),
        days=days_of(given["days"]),
        wished_salt=None if given["wish"] is None else units.fraction(given["wish"], "wish", low=0.005, high=0.12),
        ready_chance=units.fraction(given["chance"], "chance", low=0.5, high=0.999),
        diffusivity=None
        if given["diffusivity"] is None
        else units.diffusivity_m2_s(given["diffusivity"], "diffusivity"),
    )
    if given["chart"]:
        draw(answer, given["chart"])
    if given["as_json"]:
        put_json(answer.as_dict())
    elif given["plain"]:
        for i, h in enumerate(answer.curves.hours):
            click.echo(
                f"{h:.2f}\t{answer.curves.core[i]:.3f}\t{answer.curves.mean[i]:.3f}\t{answer.curves.surface[i]:.3f}"
            )
    else:
        show(answer)
        if given["chart"]:
            click.echo(f"drawn: {given['chart']}")
    return 0


def require_one_piece(given: dict[str, Any]) -> None:
    """Refuse workers where there is nothing for them: closed forms and drawn sections are worked out here."""
    for name in ("members", "cores", "cluster"):
        if given[name] is not None:
            raise BadBrief(
                f"--{name} {given[name]} was given, but only a history of stages draws many pieces.",
                field=name,
                value=given[name],
                limit="with --stages, without --section",
                remedy=f"Give --stages FILE.toml, or leave --{name} out.",
            )


def show(answer: CureAnswer) -> None:
    """The window first in words, then the table, what matters most last."""
    c, piece = answer.curves, answer.piece
    put(
        f"{units.show_mass(piece.weight_g)}, {piece.shape}, {piece.thickness_mm:g} mm thick, "
        f"{'rind on one face' if piece.skin != 'none' else 'no rind'}, {answer.temperature_c:g} C, {answer.dose * 100:.2f} % salt"
    )
    put("an excess cure: time decides" if answer.excess else "an equilibrium cure: running over does little harm")
    click.echo()
    click.echo("Salt, g per 100 g    core (5 to 95 %)    whole piece    surface")
    for i in _rows(c.hours):
        click.echo(
            f"  {units.show_hours(c.hours[i]):>14}     {c.core[i]:4.1f} ({c.core_low[i]:.1f} to {c.core_high[i]:.1f})     "
            f"{c.mean[i]:8.1f}    {c.surface[i]:8.1f}"
        )
    click.echo(f"  {'in the end':>14}     {c.left:4.1f} everywhere")
    click.echo()
    rests_on((*answer.assumed, *turning(piece, answer.stages)), answer.ready.not_in_it, answer.cautions)
    told = answer.history
    c5, c50, c95 = (band[-1] for band in told.change_pct)
    w = told.worst
    put(
        f"Weight at the end of the curve: {c50:+.1f} % of green weight ({c5:+.1f} to {c95:+.1f}), liquid left in the box."
    )
    put(
        f"Least salt in the water then: {w.place}, {w.water_phase_salt_pct:.1f} % of its water phase, water activity "
        f"{w.water_activity:.3f}, nitrite {w.nitrite_mg_per_kg:.0f} mg/kg."
    )
    put(f"Even (core within 10 % of the mean): {when(answer.even)}.")
    if answer.whole is not None:
        put(f"The whole piece holds {units.show_fraction(answer.wished_salt)} after {when(answer.whole)}.")
    late_lines(answer.late, answer.excess, answer.wished_salt, c.left)
    put(f"Ready ({answer.ready.what}): {when(answer.ready)}.")
    if answer.asked_days is not None:
        chance = round(20 * forecast.chance_ready(answer.ready, answer.asked_days * 24))
        put(f"By day {answer.asked_days:g}: {chance} of 20 such pieces are ready.")
    at = answer.ready.at_chance[f"{answer.ready_chance:g}"]
    if not answer.excess and at < 1e9:
        put(f"Pull no sooner than {units.show_hours(at)}: then {units.show_fraction(answer.ready_chance, 0)} of such pieces are ready.")


def _rows(hours: Any) -> list[int]:
    """About ten rows, evenly spread in time."""
    wanted = [hours[-1] * k / 9 for k in range(10)]
    return sorted({min(range(len(hours)), key=lambda i: abs(hours[i] - w)) for w in wanted})


def draw(answer: CureAnswer, path: Path) -> None:
    """Write the chart of a plain cure."""
    from ingle.faces.cli.cure_picture import chart  # drawing is loaded only for a picture

    c = answer.curves
    chart(path, c.hours, (c.core_low, c.core, c.core_high), c.mean, c.surface, answer.ready, answer.piece.thickness_mm)
