"""What stands before every route: host, size, sign-in, and the headers of every answer. Plain ASGI."""

from __future__ import annotations

from urllib.parse import quote

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import HTTPConnection, Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ingle.faces.web.config import Config
from ingle.faces.web.page import show
from ingle.faces.web.pages.trouble import trouble_of
from ingle.faces.web.security import COOKIE, HEADERS, host_fits, origin_fits, session_of, set_session
from ingle.ground.errors import Refused
from ingle.jobs.house import METRIC

OPEN = ("/sign-in", "/static/", "/in/")
SAFE = ("GET", "HEAD", "OPTIONS")


class TooLarge(Exception):
    """More came than is taken."""


class Gate:
    """Lets a request in, or says why not."""

    def __init__(self, app: ASGIApp, config: Config):
        self.app, self.config = app, config

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request = HTTPConnection(scope)
        session = session_of(self.config, request)
        scope.setdefault("state", {})["session"] = session
        path, fresh = scope["path"], COOKIE not in request.cookies

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                told = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    told.setdefault(name, value)
                if not path.startswith("/static/"):
                    told.setdefault("cache-control", "no-store")
                    if fresh and not any(v.startswith(f"{COOKIE}=") for v in told.getlist("set-cookie")):
                        holder = Response()
                        set_session(self.config, holder, session)
                        told.append("set-cookie", holder.headers["set-cookie"])
            await send(message)

        refusal = self._refused(scope, request, session.signed_in)
        if refusal is not None:
            await refusal(scope, receive, sent)
            return
        taken = 0

        async def received() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > self.config.upload_most:
                raise TooLarge
            return message

        try:
            await self.app(scope, received, sent)
        except TooLarge:
            await self._too_large(scope)(scope, receive, sent)

    def _refused(self, scope: Scope, request: HTTPConnection, signed_in: bool) -> Response | None:
        path = scope["path"]
        if not host_fits(self.config, request):
            return PlainTextResponse("This page answers only to this machine's own name.", 421)
        size = Headers(scope=scope).get("content-length", "0")
        if size.isdigit() and int(size) > self.config.upload_most:
            return self._too_large(scope)
        if scope["method"] not in SAFE and not origin_fits(request):
            return self._say(scope, 403, "This was sent from another page. Nothing was stored.", "Open this page itself and send it from there.")
        if self.config.pass_phrase and not signed_in and not path.startswith(OPEN):
            if path.startswith("/api"):
                return self._say(scope, 401, "Sign in first.", "Open /sign-in.")
            if scope["method"] == "POST":
                scope["state"]["meant_for"], scope["path"], scope["raw_path"] = path, "/sign-in/first", b"/sign-in/first"
                return None
            asked = scope["query_string"].decode("latin-1")
            return RedirectResponse("/sign-in" + (f"?to={quote(path + ('?' + asked if asked else ''))}" if path != "/" else ""), 303)
        return None

    def _too_large(self, scope: Scope) -> Response:
        most = f"{self.config.upload_most / 1e6:.0f} MB"
        return self._say(scope, 413, f"This is larger than {most}. Nothing was stored.", "Go back and send it in parts, or a picture smaller.")

    @staticmethod
    def _say(scope: Scope, status: int, message: str, remedy: str) -> Response:
        if scope["path"].startswith("/api"):
            return JSONResponse({"error": "Refused", "message": message, "field": "", "value": None, "limit": None, "remedy": remedy}, status)
        return show(Request(scope), trouble_of(Refused(message, remedy=remedy), status), status=status, house=METRIC)  # nothing of the book is read
