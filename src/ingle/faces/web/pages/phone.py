"""A phone comes in: a QR code that signs it in once, and what is needed for that."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces.paper.labels import qr_svg
from ingle.faces.web.forms import Sent
from ingle.faces.web.page import Wrong, show, state
from ingle.faces.web.pages.doors import SignIn
from ingle.faces.web.passes import LASTS_S, own_address
from ingle.faces.web.security import set_session, signed_in
from ingle.jobs.house import METRIC

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class Phone:
    """The code, once it was asked for."""

    template: ClassVar[str] = "phone.html"
    heard: bool  # whether other machines can hear this page at all
    address: str
    code: Markup
    minutes: int = round(LASTS_S / 60)

    @property
    def title(self) -> str:
        """The window's title."""
        return "Bring in a phone"


def _address(request: Request) -> str:
    """Where another machine finds this page."""
    config, _, _ = state(request)
    if config.is_loopback:
        return ""
    name = request.url.hostname or ""
    host = own_address() or name if name in ("localhost", "127.0.0.1", "") or config.host in ("0.0.0.0", "::") else config.host
    return f"http{'s' if config.secure else ''}://{host}:{config.port}" if host else ""


@router.get("/phone")
def phone(request: Request) -> HTMLResponse:
    """How a phone comes in; the code is made when it is asked for."""
    address = _address(request)
    return show(request, Phone(bool(address), address, Markup("")), here="drawer")


@router.post("/phone")
def code(request: Request, _form: Sent) -> HTMLResponse:
    """A code that is good once."""
    address = _address(request)
    if not address:
        return show(request, Phone(False, "", Markup("")), here="drawer")
    return show(request, Phone(True, address, Markup(qr_svg(f"{address}/in/{request.app.state.passes.give()}"))), here="drawer")


@router.get("/in/{word}")
def come_in(request: Request, word: str) -> Response:
    """The code was read: this browser is signed in, and the code is spent."""
    config, _, session = state(request)
    tries = request.app.state.tries
    source = request.client.host if request.client else ""
    if tries.wait_s(source) or not request.app.state.passes.take(word[:100]):
        tries.wrong(source)
        wrong = Wrong("pass_phrase", "This code was used, or is older than five minutes. Ask for a new one, or say the pass phrase.")
        return show(request, SignIn(), errors=(wrong,), status=403, house=METRIC)
    answer = RedirectResponse("/", 303)
    set_session(config, answer, signed_in(session))
    return answer
