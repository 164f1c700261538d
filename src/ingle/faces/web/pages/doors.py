"""First start: three doors. And the door of the page itself, where a pass phrase is set."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces.web.forms import Sent
from ingle.faces.web.page import Wrong, show, state
from ingle.faces.web.security import pass_phrase_fits, set_session, signed_in
from ingle.jobs.house import METRIC

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class Doors:
    """The three doors; ``begun`` once this book has a kitchen."""

    template: ClassVar[str] = "doors.html"
    begun: bool
    in_demonstration: bool

    @property
    def title(self) -> str:
        """The window's title."""
        return "Three doors"


@dataclass(frozen=True)
class SignIn:
    """Asks for the pass phrase."""

    template: ClassVar[str] = "sign_in.html"
    wait_s: int = 0

    @property
    def title(self) -> str:
        """The window's title."""
        return "Sign in"


@router.get("/doors")
def doors(request: Request) -> HTMLResponse:
    """The three doors."""
    _, shelf, session = state(request)
    own = shelf.house(replace(session, demonstration=False))
    return show(request, Doors(own is not None, session.demonstration), here="drawer" if own or session.demonstration else "")


@router.post("/own")
def own(request: Request, _form: Sent) -> Response:
    """Out of the demonstration, back to the cook's own book."""
    config, _, session = state(request)
    answer = RedirectResponse("/", 303)
    set_session(config, answer, replace(session, demonstration=False))
    return answer


@router.get("/sign-in")
def sign_in(request: Request) -> Response:
    """Asks for the pass phrase, where one is set."""
    config, _, session = state(request)
    if not config.pass_phrase or session.signed_in:
        return RedirectResponse("/", 303)
    return _bare(request, SignIn())


@router.post("/sign-in")
def signing_in(request: Request, form: Sent) -> Response:
    """Right: a session under a new id. Wrong five times: a wait."""
    config, _, session = state(request)
    tries = request.app.state.tries
    source = request.client.host if request.client else ""
    wait = tries.wait_s(source)
    if wait:
        minutes = max(1, round(wait / 60))
        words = f"Five wrong pass phrases: wait {minutes} min, then try again."
        return _bare(request, SignIn(round(wait)), (Wrong("pass_phrase", words),), 429)
    if not pass_phrase_fits(config, form.text("pass_phrase")):
        tries.wrong(source)
        return _bare(request, SignIn(), (Wrong("pass_phrase", "This is not the pass phrase. It was set when the page was started."),), 403)
    tries.right(source)
    answer = RedirectResponse("/", 303)
    set_session(config, answer, signed_in(session))
    return answer


@router.post("/sign-out")
def sign_out(request: Request, _form: Sent) -> Response:
    """This browser is forgotten."""
    config, _, session = state(request)
    answer = RedirectResponse("/sign-in" if config.pass_phrase else "/", 303)
    set_session(config, answer, replace(session, signed_in=False))
    return answer


def _bare(request: Request, page: SignIn, errors: tuple[Wrong, ...] = (), status: int = 200) -> HTMLResponse:
    """Before sign-in nothing of the book is read."""
    return show(request, page, errors=errors, status=status, house=METRIC)
