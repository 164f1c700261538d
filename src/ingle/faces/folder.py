"""A plan's folder: plan.json, a sheet for each day, a calendar, a picture."""

from __future__ import annotations

from pathlib import Path

from ingle.faces.calendar import calendar_bytes
from ingle.faces.events import days
from ingle.faces.sheet import day_html
from ingle.faces.terminal import plan_text
from ingle.faces.timeline import timeline_png, timeline_svg
from ingle.planning import planfile
from ingle.planning.plan import Plan

WORDS = "plan.json, plan.txt, calendar.ics, timeline.svg, timeline.png, a sheet for each day"


def write(plan: Plan, folder: Path) -> tuple[Path, ...]:
    """Write every file, each whole or not at all; sheets of days that fell away are taken out. plan.json comes last."""
    svg = timeline_svg(plan)
    files: dict[str, bytes] = {
        f"sheet-{day.isoformat()}.html": day_html(plan, day).encode() for day in days(plan)
    }
    files |= {
        "plan.txt": plan_text(plan).encode(), "calendar.ics": calendar_bytes(plan), "timeline.svg": svg.encode(),
        "timeline.png": timeline_png(svg),
    }  # fmt: skip
    for name, content in files.items():
        planfile.write_file(folder / name, content)
    for old in folder.glob("sheet-????-??-??.html"):
        if old.name not in files:
            old.unlink()
    return (*(folder / name for name in files), planfile.write(plan, folder))
