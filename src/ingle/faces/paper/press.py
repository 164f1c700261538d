"""The press: a template and its words in, PDF, PNG or SVG out.

Words travel as JSON and are set as text, never as markup: ``#``, ``$``, ``*`` or ``@`` in a name print as they are.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import typst

from ingle.faces.tokens import FONT_DIR
from ingle.faces.words import QUANTITY, clean, tie
from ingle.ground.errors import BadBrief, OutOfRange

_TEMPLATES = Path(__file__).parent / "templates"
LARGE = 400_000  # letters of data: what takes a second or more, like forty batches of a record
_NO_GLYPH = "could not be displayed"


@dataclass(frozen=True)
class Job:
    """One thing to print."""

    template: str  # "day" for templates/day.typ
    title: str
    data: dict[str, Any]
    printed: datetime | None = None  # None = no time is on the paper, nor in the file
    notes: tuple[str, ...] = field(default_factory=tuple)  # what the person should know before it is printed


def is_large(job: Job) -> bool:
    """Whether a job takes more than a moment to press."""
    return len(json.dumps(job.data, ensure_ascii=False)) > LARGE


def runs(text: str) -> list[list[Any]]:
    """A text as ``[piece, bold]`` pairs, its numbers with their units bold."""
    text = tie(text)
    out: list[list[Any]] = []
    at = 0
    for match in QUANTITY.finditer(text):
        if match.start() > at:
            out.append([text[at : match.start()], False])
        out.append([match[0], True])
        at = match.end()
    if at < len(text):
        out.append([text[at:], False])
    return out


def pdf(job: Job) -> bytes:
    """The job as a tagged PDF: PDF/UA-1, and PDF/A-2a too where the time of printing was given.

    Raises
    ------
    BadBrief
        A letter that no typeface here has.
    OutOfRange
        Something does not fit its place on the paper.
    """
    standards: Any = ["ua-1", "a-2a"] if job.printed else ["ua-1"]
    _require_room(job)
    return bytes(_each_face(job, lambda fonts: typst.compile(**_call(job, fonts), format="pdf", pdf_standards=standards)))


def png(job: Job, ppi: float = 150) -> list[bytes]:
    """The job as pictures, one a page."""
    _require_room(job)
    return _pages(_each_face(job, lambda fonts: typst.compile(**_call(job, fonts), format="png", ppi=ppi)))


def svg(job: Job) -> list[str]:
    """The job as SVG, one a page; letters are outlines."""
    _require_room(job)
    return [page.decode() for page in _pages(_each_face(job, lambda fonts: typst.compile(**_call(job, fonts), format="svg")))]


def ask(job: Job, label: str) -> list[Any]:
    """Values a template marks with ``<label>``: how high a thing came out, how wide."""
    return [found["value"] for found in json.loads(_each_face(job, lambda fonts: typst.query(**_call(job, fonts), selector=f"<{label}>")))]


def _pages(made: Any) -> list[bytes]:
    return [bytes(page) for page in made] if isinstance(made, list) else [bytes(made)]


def fits(job: Job) -> bool:
    """Whether all that must fit does."""
    return all(_fits(told) for told in ask(job, "fit"))


def _fits(told: dict[str, Any]) -> bool:
    return bool(told["need"] <= told["room"] + 0.05)


def _require_room(job: Job) -> None:
    """A template marks what must fit with ``<fit>``: what, need and room in mm."""
    for told in ask(job, "fit"):
        if not _fits(told):
            raise OutOfRange(
                f"{told['what']} needs {told['need']:.1f} mm and has {told['room']:.1f} mm.",
                field="paper", value=f"{told['need']:.1f} mm", limit=f"{told['room']:.1f} mm",
                remedy=told.get("remedy", "Take larger paper, or shorter words."),
            )  # fmt: skip


def _call(job: Job, fonts: typst.Fonts) -> dict[str, Any]:
    date = job.printed
    data = {
        **job.data, "title": clean(job.title),
        "date": None if date is None else [date.year, date.month, date.day, date.hour, date.minute, date.second],
    }  # fmt: skip
    return {
        "input": str(_TEMPLATES / f"{job.template}.typ"), "root": str(_TEMPLATES), "font_paths": fonts, "ignore_system_fonts": True,
        "sys_inputs": {"data": json.dumps(data, ensure_ascii=False, allow_nan=False)},
    }  # fmt: skip


def _each_face(job: Job, make: Callable[[typst.Fonts], Any]) -> Any:
    """Print in the house's faces; a letter they lack is looked for among those of the machine, and refused if not there."""
    try:
        return make(_fonts(False))
    except typst.TypstError as why:
        if _NO_GLYPH not in str(why):
            raise
    try:
        return make(_fonts(True))
    except typst.TypstError as why:
        if _NO_GLYPH not in str(why):
            raise
        raise BadBrief(
            f"{job.title}: {str(why).partition('error: ')[2].partition(' could not')[0] or 'a letter'} is in no typeface of this machine.",
            field="text", value=job.title, remedy="Write it in Latin letters, or install a typeface that has it.",
        ) from None  # fmt: skip


@cache
def _fonts(machine: bool) -> typst.Fonts:
    return typst.Fonts(include_system_fonts=machine, font_paths=[FONT_DIR])
