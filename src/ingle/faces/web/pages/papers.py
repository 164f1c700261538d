"""Papers: for an inspector in two taps, for the fridge door, for packs; made when they are asked for, kept nowhere."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime
from typing import ClassVar
from urllib.parse import quote

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces.events import days
from ingle.faces.paper import day as paper_day
from ingle.faces.paper import kitchen as paper_kitchen
from ingle.faces.paper import tags
from ingle.faces.paper.record import recall_sheet
from ingle.faces.paper.record import record as record_paper
from ingle.faces.sheet import day_html
from ingle.faces.web.page import clock_of, kitchen_of, show, state
from ingle.faces.web.pages import labels
from ingle.faces.web.pages.pressed import pdf_answer as _pdf
from ingle.faces.web.pages.pressed import pdf_or_wait
from ingle.ground.errors import BadBrief
from ingle.jobs import dossier_read
from ingle.jobs.plan_kept import lots_of, plan_for, plans_kept
from ingle.jobs.plan_now import as_it_stands
from ingle.notebook.trouble import NotFound
from ingle.planning.plan import Plan

router = APIRouter(include_in_schema=False)
router.include_router(labels.router)

PAPERS = ("a4", "letter")
_MONTH = re.compile(r"(20\d\d)-(0[1-9]|1[0-2])")


@dataclass(frozen=True)
class Papers:
    """What can be printed."""

    template: ClassVar[str] = "papers.html"
    months: tuple[tuple[str, str], ...]
    plan: Plan | None
    days: tuple[date, ...]
    today: date

    @property
    def title(self) -> str:
        """The window's title."""
        return "Papers"


def _today(request: Request) -> date:
    return clock_of(request).astimezone(kitchen_of(request).home).date()


def _month_before(day: date) -> date:
    return (day.replace(day=1) - date.resolution).replace(day=1)


@router.get("/papers")
def papers(request: Request) -> Response:
    """All of them, the inspector's first."""
    _, shelf, session = state(request)
    if shelf.house(session) is None:
        return RedirectResponse("/doors", 303)
    today = _today(request)
    plan = plan_for(plans_kept(shelf.book(session)), today)
    ahead = tuple(d for d in days(plan) if d >= today)[:10] if plan else ()
    this = today.replace(day=1)
    months = tuple((f"{m:%Y-%m}", f"{m:%B %Y}") for m in (_month_before(today), this, _month_before(_month_before(today))))
    return show(request, Papers(months, plan, ahead, today), here="drawer")


def _paper(on: str) -> str:
    if on not in PAPERS:
        raise BadBrief(f"paper {on[:20]!r} is not known.", field="on", value=on[:20], limit=", ".join(PAPERS), remedy="Take one of these.")
    return on


@router.get("/papers/record")
def record_of(code: str = "") -> Response:
    """This lot, by its code."""
    return RedirectResponse(f"/papers/record/{quote(code.strip().upper()[:80], safe='')}.pdf" if code.strip() else "/papers", 303)


@router.get("/papers/record/{code}.pdf")
def record_pdf(request: Request, code: str, on: str = "a4") -> Response:
    """One lot, piece, batch or pack for an inspector, corrections and instruments with it."""
    _, shelf, session = state(request)
    book, paper, printed = shelf.book(session), _paper(on), _printed(request)
    return pdf_or_wait(request, f"Record of {code}", f"record-{code}", lambda: record_paper(dossier_read.of_lot(book, code), on=paper, printed=printed))


@router.get("/papers/month/{month}.pdf")
def month_pdf(request: Request, month: str, on: str = "a4") -> Response:
    """A month for an inspector; ``last`` is the one before this."""
    _, shelf, session = state(request)
    found = _MONTH.fullmatch(month)
    if month != "last" and found is None:
        raise BadBrief(f"month {month[:20]!r} is not a month.", field="month", value=month[:20], limit="like 2026-11, or last", remedy="Write it like 2026-11.")
    first = _month_before(_today(request)) if found is None else date(int(found[1]), int(found[2]), 1)
    book, paper, printed = shelf.book(session), _paper(on), _printed(request)
    what, name = f"Record of {first:%B %Y}", f"record-{first:%Y-%m}"
    return pdf_or_wait(request, what, name, lambda: record_paper(dossier_read.of_month(book, first), on=paper, printed=printed))


@router.get("/papers/recall/{code}.pdf")
def recall_pdf(request: Request, code: str, on: str = "a4") -> Response:
    """Who got it, what is left."""
    _, shelf, session = state(request)
    book, paper, printed = shelf.book(session), _paper(on), _printed(request)
    return pdf_or_wait(request, f"Recall {code}", f"recall-{code}", lambda: recall_sheet(dossier_read.recall(book, code), on=paper, printed=printed))


def _plan(request: Request) -> Plan:
    _, shelf, session = state(request)
    plan = plan_for(plans_kept(shelf.book(session)), _today(request))
    if plan is None:
        raise NotFound("No plan is in the book.", field="plan", remedy="Plan a meal and take it in, then its sheets are here.")
    return as_it_stands(shelf.book(session), plan, clock_of(request))


def _printed(request: Request) -> datetime:
    """When it is printed, by the kitchen's clock: a sheet says how old it is."""
    return clock_of(request).astimezone(kitchen_of(request).home).replace(tzinfo=None, second=0, microsecond=0)


def _day(written: str, request: Request) -> date:
    if written == "today":
        return _today(request)
    try:
        return date.fromisoformat(written)
    except ValueError:
        raise BadBrief(f"{written[:20]!r} is not a day.", field="day", value=written[:20], limit="like 2026-12-18, or today", remedy="Write it like 2026-12-18.") from None


@router.get("/papers/day/{day}.pdf")
def day_pdf(request: Request, day: str, on: str = "a4") -> Response:
    """One day on one side, for the fridge door."""
    told = _day(day, request)
    return _pdf(paper_day.day_sheet(_plan(request), told, on=_paper(on), printed=_printed(request)), f"day-{told}")


@router.get("/papers/day/{day}.html")
def day_file(request: Request, day: str) -> HTMLResponse:
    """The same as one file that needs nothing else: it is kept on a phone and read without a network."""
    told = _day(day, request)
    answer = HTMLResponse(day_html(_plan(request), told), headers={"content-disposition": f'attachment; filename="day-{told}.html"'})
    # its style and fonts lie inside it; nothing else is let in
    answer.headers["content-security-policy"] = "default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:; frame-ancestors 'none'"
    return answer


@router.get("/papers/plan/{kind}.pdf")
def plan_pdf(request: Request, kind: str, on: str = "a4") -> Response:
    """Of the plan: what to buy, the wall, the last hours, tags of its pieces."""
    _, shelf, session = state(request)
    plan = _plan(request)
    jobs = {
        "buy": lambda: paper_kitchen.shopping_list(plan, on=_paper(on)), "wall": lambda: paper_kitchen.wall_plan(plan, on=_paper(on)),
        "card": lambda: paper_kitchen.minute_card(plan, on=_paper(on), printed=_printed(request)), "tags": lambda: tags.piece_tags(tags.tags_of(plan, lots_of(shelf.book(session), plan))),
    }  # fmt: skip
    if kind not in jobs:
        raise NotFound(f"There is no paper {kind[:20]!r}.", field="paper", value=kind[:20], limit=", ".join(jobs), remedy="Choose one in Papers.")
    return _pdf(jobs[kind](), f"{kind}-{plan.name}")
