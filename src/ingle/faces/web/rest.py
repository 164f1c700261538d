"""The first page before the rest: what is needed at hand answers at once, the other places load behind it."""

from __future__ import annotations

import logging
from collections.abc import Callable
from threading import Lock, Thread

from starlette.concurrency import run_in_threadpool
from starlette.types import ASGIApp, Receive, Scope, Send

AT_ONCE = ("/static/",)  # beside "/" itself


class Rest:
    """An app whose other places come later: behind the first answer, or before the first request that asks for one.

    Parameters
    ----------
    app
        What answers "/" and the static files as it stands.
    load
        Adds everything else to it; called once. What it raises is written down, and it is tried again when a place is asked for.
    """

    def __init__(self, app: ASGIApp, load: Callable[[], None]) -> None:
        self.app, self._load = app, load
        self._lock, self._begun, self._under_way = Lock(), False, 0
        self.whole = False

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request, or the app's own start and end."""
        if scope["type"] != "http" or self.whole or scope["path"].startswith(AT_ONCE):
            await self.app(scope, receive, send)
            return
        if self._begun or scope["path"] != "/":  # no page is made while modules load: two threads in one import may see half of one
            await run_in_threadpool(self.load)
        self._under_way += 1
        try:
            await self.app(scope, receive, send)
        finally:
            self._under_way -= 1
        if not self._begun and not self._under_way:
            self._begun = True
            Thread(target=self._behind, name="rest of the page", daemon=True).start()

    def load(self) -> None:
        """Add the rest, if nobody has: a second caller waits for the first."""
        with self._lock:
            if not self.whole:
                self._load()
                self.whole = True

    def _behind(self) -> None:
        try:
            self.load()
        except Exception as why:  # whoever asks for a place sees it
            logging.getLogger("ingle").error("the other places could not be loaded", exc_info=why)
