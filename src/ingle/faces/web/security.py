"""Who is at the page, and what a request must carry: signed sessions, a token with every post, limits, headers.

A session is one signed cookie and nothing on the server, so that a restart loses nobody. Its token (HMAC of the
session under the page's secret) goes into every form; a post without it is refused. The origin a browser names must be
this page's as well, and on a loopback address the host must be a loopback name, so that no other site can rebind its
own name to this machine and read along.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import time
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlsplit

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from itsdangerous import BadSignature, URLSafeTimedSerializer
from starlette.requests import HTTPConnection
from starlette.responses import Response

from ingle.faces.web.config import Config

COOKIE = "ingle"
SESSION_S = 60 * 60 * 24 * 60  # two months: a phone at the bench is not signed out in the middle of a cure
TRIES, PER_S = 5, 300.0  # wrong pass phrases before one waits
CSP = (
    "default-src 'self'; img-src 'self' data:; style-src 'self'; script-src 'self'; connect-src 'self'; font-src 'self'; "
    "object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": CSP,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "permissions-policy": "camera=(self), geolocation=(), microphone=(), payment=(), usb=()",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}
LOOPBACK_NAMES = ("localhost", "127.0.0.1", "[::1]", "::1", "testserver")


@dataclass(frozen=True)
class Session:
    """Who is there: an id, whether the pass phrase was said, whose book is open, how it is to look."""

    id: str
    signed_in: bool = False
    demonstration: bool = False
    who: str = ""  # initials that go under what is written
    theme: str = ""  # "" as the machine has it | light | dark | black


def _signer(config: Config) -> URLSafeTimedSerializer:
    return URLSafeTimedSerializer(config.secret, salt="session")


def session_of(config: Config, request: HTTPConnection) -> Session:
    """Who asks, by the signed cookie; a new one where there is none, it is too old, or it was tampered with."""
    try:
        told = _signer(config).loads(request.cookies.get(COOKIE, ""), max_age=SESSION_S)
        return Session(str(told["id"]), bool(told["in"]), bool(told["demo"]), str(told["who"])[:40], str(told["theme"]))
    except (BadSignature, KeyError, TypeError):
        return Session(secrets.token_urlsafe(18))


def set_session(config: Config, response: Response, session: Session) -> None:
    """Send the session along with an answer."""
    told = {"id": session.id, "in": session.signed_in, "demo": session.demonstration, "who": session.who, "theme": session.theme}
    response.set_cookie(COOKIE, _signer(config).dumps(told), max_age=SESSION_S, httponly=True, samesite="lax", secure=config.secure, path="/")


def signed_in(session: Session) -> Session:
    """The session after the pass phrase: under a new id, so that one seen before is worth nothing."""
    return replace(session, id=secrets.token_urlsafe(18), signed_in=True)


def token(config: Config, session: Session) -> str:
    """What every form of this session carries; a form of the demonstration fits no other book, nor one of the cook's the demonstration."""
    book = b"demonstration:" if session.demonstration else b""
    return hmac.new(config.secret, b"form:" + book + session.id.encode(), hashlib.sha256).hexdigest()


def token_fits(config: Config, session: Session, given: str) -> bool:
    """Whether a post comes from a form of this session."""
    return hmac.compare_digest(token(config, session).encode(), given.encode("utf-8", "replace"))


def origin_fits(request: HTTPConnection) -> bool:
    """Whether the browser says that a post comes from this page; programs that say nothing of it still need the token."""
    if request.headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return False
    origin = request.headers.get("origin")
    return origin is None or urlsplit(origin).netloc == request.headers.get("host", "")


def host_fits(config: Config, request: HTTPConnection) -> bool:
    """Whether the host asked for is one of this machine's own names, where only this machine is heard."""
    name = urlsplit(f"//{request.headers.get('host', '')}").hostname or ""
    return not config.is_loopback or name in LOOPBACK_NAMES


def hashed(pass_phrase: str) -> str:
    """A pass phrase as it may be kept (argon2id)."""
    return PasswordHasher().hash(pass_phrase)


def pass_phrase_fits(config: Config, given: str) -> bool:
    """Whether this is the pass phrase."""
    try:
        return bool(PasswordHasher().verify(config.pass_phrase, given))
    except (VerificationError, InvalidHashError):
        return False


class Tries:
    """Wrong pass phrases, by where they come from: after five in five minutes one waits."""

    def __init__(self, clock: Any = time.monotonic):
        self._clock = clock
        self._wrong: dict[str, list[float]] = {}

    def wait_s(self, source: str) -> float:
        """How long this source must wait; 0 when it may try."""
        now = self._clock()
        if len(self._wrong) > 4096:  # a flood of addresses: the old ones are let go
            self._wrong = {k: v for k, v in self._wrong.items() if v and now - v[-1] < PER_S}
        recent = [t for t in self._wrong.get(source, ()) if now - t < PER_S]
        self._wrong[source] = recent
        return max(0.0, PER_S - (now - recent[-TRIES])) if len(recent) >= TRIES else 0.0

    def wrong(self, source: str) -> None:
        """Another wrong one."""
        self._wrong.setdefault(source, []).append(self._clock())

    def right(self, source: str) -> None:
        """The right one: nothing is held against it."""
        self._wrong.pop(source, None)
