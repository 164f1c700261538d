"""Where paper goes: the options that all of ``ingle print`` share, and the writing of the file."""

from __future__ import annotations

import sys
import textwrap
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from ingle.faces.cli.lines import WIDTH
from ingle.faces.cli.options import several
from ingle.faces.cli.print_cmd import is_terminal
from ingle.faces.paper import press
from ingle.faces.paper.press import Job
from ingle.ground.errors import BadBrief
from ingle.planning import planfile

paper_option = click.option("--paper", default="a4", show_default=True, metavar="a4|letter|a3|tabloid", help="Size of the sheet.")
out_options = several(
    click.option("--out", type=click.Path(path_type=Path), metavar="FILE", help="A .pdf, .png or .svg. Left out: PDF to stdout, when that is a pipe."),
    click.option("--printed", metavar="TIME|now", help="When it was printed, to stand on the paper. Left out: no time, the same bytes every time."),
    click.option("--ppi", type=click.IntRange(50, 600), default=150, show_default=True, help="Fineness of a PNG."),
)


def printed_at(written: str | None) -> datetime | None:
    """The time that is to stand on the paper."""
    if written is None:
        return None
    if written.strip().lower() == "now":
        return datetime.now().replace(microsecond=0)
    try:
        return datetime.fromisoformat(written.strip())
    except ValueError:
        raise BadBrief(
            f"printed {written!r} is not a time.", field="printed", value=written, limit="like 2026-12-17T21:05, or now", remedy="Write it like 2026-12-17T21:05."
        ) from None


def put_out(job: Job, given: dict[str, Any]) -> int:
    """Write the file whole or not at all; several pages as PNG or SVG get a number each."""
    for note in job.notes:
        click.echo(textwrap.fill(f"Not settled here, ask the authority: {note}.", WIDTH, subsequent_indent="  ", break_on_hyphens=False), err=True)
    out: Path | None = given["out"]
    if press.is_large(job) and sys.stderr.isatty():
        click.echo("Setting it on paper; a thousand sides take half a minute ...", err=True)
    if out is None:
        if is_terminal():
            raise BadBrief("a PDF is not shown in a terminal.", field="out", value="missing", limit="FILE.pdf", remedy="Say where it goes: --out FILE.pdf.")
        sys.stdout.buffer.write(press.pdf(job))
        return 0
    kind = out.suffix.lower()
    if kind == ".pdf":
        pages = [press.pdf(job)]
    elif kind == ".png":
        pages = press.png(job, given["ppi"])
    elif kind == ".svg":
        pages = [page.encode() for page in press.svg(job)]
    else:
        raise BadBrief(f"{out.name} names no kind of file known here.", field="out", value=out.name, limit=".pdf, .png, .svg", remedy="Write it like sheet.pdf.")
    names = [out] if len(pages) == 1 else [out.with_name(f"{out.stem}-{n}{out.suffix}") for n in range(1, len(pages) + 1)]
    for name, page in zip(names, pages, strict=True):
        planfile.write_file(name, page)
    click.echo(f"written: {', '.join(str(n) for n in names)}", err=True)
    return 0
