"""``ingle plan``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from ingle.faces import folder
from ingle.faces.cli.lines import EXIT, coloured, put, put_json
from ingle.faces.cli.options import colour_option, json_option, plain_option
from ingle.faces.terminal import plan_plain, plan_text
from ingle.ground import units
from ingle.ground.errors import BadBrief, NoPlan
from ingle.jobs.plan import level, plan
from ingle.planning import planfile
from ingle.planning.plan import Plan


@click.command("plan")
@click.argument("brief", type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder for the plan's files. Left out: NAME.plan here.",
)
@click.option(
    "--longest",
    default="15s",
    show_default=True,
    metavar="TIME",
    help="Longest time for the schedule; what is not proven shows its gap.",
)
@click.option("-n", "--no-files", is_flag=True, help="Show the plan and what differs from the last one; write nothing.")
@click.option(
    "--unicode/--ascii",
    "unicode",
    default=None,
    help="Draw with more than ASCII. Left out: as the terminal can.",
)
@json_option
@plain_option
@colour_option
def command(**given: Any) -> int:
    """From a brief to what to buy, what to weigh and when.

    Writes a folder NAME.plan with plan.json, a sheet for each day, a calendar
    and a picture. With --json nothing is written unless --out names a folder.

    \b
    Example:  ingle plan src/ingle/data/examples/fernhollow/fernhollow.toml
    """
    brief: Path = given["brief"]
    limit_s = units.seconds(units.duration_h(given["longest"], "longest", high=2))
    if limit_s < 0.5:
        raise BadBrief(
            f"longest {given['longest']!r} is too short to look for a plan.",
            field="longest",
            value=given["longest"],
            limit="0.5s or more",
            remedy="Write it like 15s.",
        )
    asked = {"n": 0}

    def tell(line: str, done: int, total: int) -> None:
        asked["n"] += 1
        click.echo(f"{line}  ({done} of {total} wishes)", err=True)

    try:
        made = plan(brief, limit_s=limit_s, progress=tell if sys.stderr.isatty() or not given["as_json"] else None)
    except NoPlan as why:
        if not given["as_json"]:
            no_plan(why)
            return 5
        raise
    out = given["out"] or Path(f"{brief.stem}.plan")
    writes = not given["no_files"] and (not given["as_json"] or given["out"] is not None)
    before = planfile.read(out) if (out / planfile.FILE).is_file() else None
    made = planfile.follows(made, out)
    if writes:
        folder.write(made, out)
    if given["as_json"]:
        put_json(planfile.as_dict(made))
    elif given["plain"]:
        click.echo(plan_plain(made), nl=False)
    else:
        wide = (
            given["unicode"]
            if given["unicode"] is not None
            else sys.stdout.isatty() and "utf" in (sys.stdout.encoding or "").lower()
        )
        click.echo(plan_text(made, unicode=wide, colour=coloured(given["no_color"]), folder=str(out) if writes else ""), nl=False)
        if given["no_files"] and before is not None:
            difference(before, made)
        if writes:
            put(f"written: {out}/ ({folder.WORDS})", 0, 9)
    found = level(made)
    return EXIT[found] if found != "cannot_say" else 0


def no_plan(why: NoPlan) -> None:
    """What clashes, and what was tried and frees it; the smallest change last."""
    put(why.message)
    if why.clash:
        click.echo()
        click.echo("These cannot all hold:")
        for reason in why.clash:
            put(f"- {reason}", 1, 3)
    if why.remedies:
        click.echo()
        click.echo("Each of these was tried and frees a plan, the smallest first:")
        for remedy in why.remedies:
            put(f"- {getattr(remedy, 'text', remedy)}", 1, 3)
    elif why.remedy:
        put(why.remedy)


def difference(before: Plan, now: Plan) -> None:
    """Steps that moved, came or went since the last plan."""
    old, new = {s.id: s for s in before.steps}, {s.id: s for s in now.steps}
    click.echo()
    click.echo(f"Against plan {before.number}:")
    moved = [i for i in new if i in old and new[i].start != old[i].start]
    for key in moved:
        put(
            f"moved  {new[key].name}: {old[key].start:%a %d %b %H:%M} to {new[key].start:%a %d %b %H:%M}",
            1,
            8,
        )
    for key in new.keys() - old.keys():
        put(f"new    {new[key].name}: {new[key].start:%a %d %b %H:%M}", 1, 8)
    for key in old.keys() - new.keys():
        put(f"gone   {old[key].name}", 1, 8)
    if not moved and new.keys() == old.keys():
        click.echo(" nothing differs")
