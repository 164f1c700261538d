"""The trail: from a lot to every pack and back again, and the sheet for calling packs back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar
from urllib.parse import quote

from fastapi import APIRouter, Query, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces.web.page import Wrong, show, state
from ingle.jobs.trace import Glance, glance
from ingle.notebook.trouble import NotFound

router = APIRouter(include_in_schema=False)

CODE_MOST = 80
DEEPEST = 4  # steps of indent that are drawn
MOST = 150  # things listed on a page; the recall sheet and /api hold all
KINDS = {"lot": "lot", "piece": "piece", "batch": "batch", "pack": "pack"}


@dataclass(frozen=True)
class Trail:
    """One thing, where it came from, what came of it, who has it."""

    template: ClassVar[str] = "trail.html"
    code: str
    told: Glance | None
    kinds: dict[str, str]
    deepest: int = DEEPEST

    @property
    def title(self) -> str:
        """The window's title."""
        return f"Trail of {self.told.start.code}" if self.told else "Trail"


def _empty(code: str = "") -> Trail:
    return Trail(code, None, KINDS)


@router.get("/trace")
def ask(request: Request, code: str = "") -> Response:
    """By its code."""
    _, shelf, session = state(request)
    if shelf.house(session) is None:
        return RedirectResponse("/doors", 303)
    said = code.strip().upper()[:CODE_MOST]
    return RedirectResponse(f"/trace/{quote(said, safe='')}", 303) if said else show(request, _empty(), here="drawer")


@router.get("/trace/{code}")
def trail(request: Request, code: str, page: Annotated[int, Query(ge=1, le=10_000_000)] = 1) -> HTMLResponse:
    """One thing's trail, a page of it."""
    _, shelf, session = state(request)
    try:
        told = glance(shelf.book(session), code[:CODE_MOST], most=MOST, page=page)
    except NotFound as why:
        wrong = Wrong("code", f"{why.message} Look at the tag or label: it begins with the letters of your kitchen.")
        return show(request, _empty(code[:CODE_MOST]), here="drawer", errors=(wrong,), status=404)
    return show(request, Trail(told.start.code, told, KINDS), here="drawer")


@router.get("/c/{code}")
def by_label(code: str) -> Response:
    """What a label's or tag's QR code opens."""
    return RedirectResponse(f"/book/{quote(code[:CODE_MOST], safe='')}", 303)
