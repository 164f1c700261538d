"""First start: three doors. And the door of the page itself, where a pass phrase is set."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces.web.forms import MOST_FIELDS, NotOurs, Sent
from ingle.faces.web.page import Wrong, show, state
from ingle.faces.web.security import pass_phrase_fits, set_session, signed_in
from ingle.jobs.house import METRIC

router = APIRouter(include_in_schema=False)

KEPT = "kept."  # before the names of fields that are handed on


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
    to: str = ""  # where it leads on
    kept: tuple[tuple[str, str], ...] = ()  # the fields of a form that was sent without being signed in
    lost: bool = False  # it held more than can be handed on: a file

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


@dataclass(frozen=True)
class SendNow:
    """Signed in again: what was typed before, one press from being sent."""

    template: ClassVar[str] = "send_now.html"
    to: str
    kept: tuple[tuple[str, str], ...]
    shown: tuple[tuple[str, str], ...]  # what of it a person typed or pressed

    @property
    def title(self) -> str:
        """The window's title."""
        return "Send it now"


OWN_FIELDS = ("csrf", "uid", "pass_phrase")  # of the page itself, not typed


@router.get("/sign-in")
def sign_in(request: Request, to: str = "") -> Response:
    """Asks for the pass phrase, where one is set."""
    config, _, session = state(request)
    if not config.pass_phrase or session.signed_in:
        return RedirectResponse(_way(to), 303)
    return _bare(request, SignIn(to=_way(to)))


@router.post("/sign-in/first")
async def sign_in_first(request: Request) -> Response:
    """A form came from a browser that is not signed in, or no longer: what was typed is handed through the sign-in. Nothing is read or stored."""
    if not hasattr(request.state, "meant_for"):
        raise NotOurs("There is nothing to send under this address. Nothing was stored.", field="address", remedy="Open the page itself.")
    sent = await request.form(max_files=8, max_fields=MOST_FIELDS)
    kept = tuple((k, v) for k, v in sent.multi_items() if isinstance(v, str) and k != "csrf")
    lost = any(not isinstance(v, str) and v.filename for v in sent.values())
    words = "You are not signed in, or no longer. Nothing was stored" + (": say the pass phrase, then send it." if kept else "; say the pass phrase first.")
    return _bare(request, SignIn(0, _way(request.state.meant_for), kept, lost), (Wrong("pass_phrase", words),), 401)


def _way(to: str) -> str:
    """A place of this page; anything else is its first."""
    return to if to.startswith("/") and not to.startswith(("//", "/\\", "/sign-in")) else "/"


@router.post("/sign-in")
def signing_in(request: Request, form: Sent) -> Response:
    """Right: a session under a new id. Wrong five times: a wait."""
    config, _, session = state(request)
    tries = request.app.state.tries
    source = request.client.host if request.client else ""
    to, kept = _way(form.text("to")), tuple((k.removeprefix(KEPT), v) for k, v in form.pairs if k.startswith(KEPT))
    wait = tries.wait_s(source)
    if wait:
        minutes = max(1, round(wait / 60))
        words = f"Five wrong pass phrases: wait {minutes} min, then try again."
        return _bare(request, SignIn(round(wait), to, kept), (Wrong("pass_phrase", words),), 429)
    if not pass_phrase_fits(config, form.text("pass_phrase")):
        tries.wrong(source)
        return _bare(request, SignIn(0, to, kept), (Wrong("pass_phrase", "This is not the pass phrase. It was set when the page was started."),), 403)
    tries.right(source)
    opened = signed_in(session)
    answer: Response = RedirectResponse(to, 303)
    if kept:
        request.state.session = opened  # its form carries the new session's token
        answer = _bare(request, SendNow(to, kept, tuple((k.replace("_", " "), v) for k, v in kept if v and k not in OWN_FIELDS)))
    set_session(config, answer, opened)
    return answer


@router.post("/sign-out")
def sign_out(request: Request, _form: Sent) -> Response:
    """This browser is forgotten."""
    config, _, session = state(request)
    answer = RedirectResponse("/sign-in" if config.pass_phrase else "/", 303)
    set_session(config, answer, replace(session, signed_in=False))
    return answer


def _bare(request: Request, page: SignIn | SendNow, errors: tuple[Wrong, ...] = (), status: int = 200) -> HTMLResponse:
    """Before sign-in nothing of the book is read."""
    return show(request, page, errors=errors, status=status, house=METRIC)
