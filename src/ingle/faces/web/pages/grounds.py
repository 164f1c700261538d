"""Grounds: every limit and every number ingle uses, its clause, and how sure it is; one tap from any number."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import cache
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse

from ingle.faces.web.page import environment, show
from ingle.ground import tables
from ingle.ground.errors import IngleError
from ingle.ground.sources import Source
from ingle.jobs.sources import Record, records
from ingle.notebook.trouble import NotFound
from ingle.safety.verdict import Verdict

router = APIRouter(include_in_schema=False)

MOST = 150  # records on one page: more is searched, not scrolled
SURE = {
    "quoted": "read in the source, or in a copy of it", "memory": "known from memory, source named; check before relying on it",
    "derived": "worked out from other records", "common practice": "a fact of the trade, no source", "gap": "not found: no figure is used",
}  # fmt: skip
FILES = {"limits": "limits", "laws": "physical laws and properties", "tables": "what the trade does"}


@dataclass(frozen=True)
class Shelf:
    """One file of records."""

    file: str
    name: str
    count: int


@dataclass(frozen=True)
class Grounds:
    """All of them, or those found."""

    template: ClassVar[str] = "grounds.html"
    find: str
    file: str
    found: tuple[Record, ...]
    more: int
    shelves: tuple[Shelf, ...]
    sure: tuple[tuple[str, str, int], ...]

    @property
    def title(self) -> str:
        """The window's title."""
        return f"Grounds: {self.find}" if self.find else "Grounds"


@dataclass(frozen=True)
class Ground:
    """One record, or one source with what comes from it."""

    template: ClassVar[str] = "ground.html"
    record: Record | None
    source: Source
    others: tuple[Record, ...]
    sure_words: str

    @property
    def title(self) -> str:
        """The window's title."""
        return f"Grounds: {self.record.about if self.record else self.source.title}"


@cache
def _all() -> tuple[Record, ...]:
    return records()


@cache
def _by_key() -> dict[str, Record]:
    return {r.key: r for r in _all()}


def ground_of(verdict: Verdict) -> str:
    """Where a verdict's limit stands, as an address of this page."""
    rule = verdict.rule.partition("@")[0]
    for key in (rule, rule.removesuffix(".min").removesuffix(".required")):
        if key in _by_key():
            return f"/grounds/{key}"
    return f"/grounds/{verdict.source}"


def source_name(verdict: Verdict) -> str:
    """The source a verdict rests on, by its short name."""
    return tables.source(verdict.source).name


environment().filters.update(ground=ground_of, source_name=source_name)


@router.get("/grounds")
def grounds(request: Request, find: str = "", file: str = "") -> HTMLResponse:
    """All records by file, or those that hold every word."""
    words = find.strip()[:200]
    found = [r for r in (records(words) if words else _all()) if not file or r.file == file]
    shown = found if words or file else []
    count = Counter(r.file for r in _all())
    shelves = tuple(Shelf(f, f"{FILES.get(f.partition('/')[0], '')}: {f.partition('/')[2].rpartition('.')[0].removeprefix('practice_').replace('_', ' ')}", n) for f, n in sorted(count.items()))
    sure = Counter(r.sure for r in _all())
    return show(
        request, Grounds(words, file, tuple(shown[:MOST]), max(0, len(shown) - MOST), shelves, tuple((k, SURE.get(k, ""), n) for k, n in sure.most_common())),
        here="drawer",
    )  # fmt: skip


@router.get("/grounds/{key:path}")
def ground(request: Request, key: str) -> HTMLResponse:
    """One record by its key; a source's key gives all that comes from it."""
    record = _by_key().get(key)
    if record is not None:
        beside = tuple(r for r in _all() if r.source.key == record.source.key and r.key != record.key)[:12]
        return show(request, Ground(record, record.source, beside, SURE.get(record.sure, "")), here="drawer")
    return show(request, Ground(None, _source(key), tuple(r for r in _all() if r.source.key == key)[:MOST], ""), here="drawer")


def _source(key: str) -> Source:
    try:
        return tables.source(key)
    except ValueError:
        error: IngleError = NotFound(f"There is no record and no source {key!r}.", field="key", value=key, remedy="Search for a word of it.")
        raise error from None
