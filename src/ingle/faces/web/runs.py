"""Work that takes long: one thread each, its last line told, stopped when asked; a page that refreshes looks in."""

from __future__ import annotations

import logging
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from ingle.ground.errors import IngleError, Refused

MOST_GOING = 2  # of one kind: the machine has other things to do
KEPT_S = 3600.0  # how long an answer waits to be fetched


@dataclass(frozen=True)
class Kind:
    """What sort of work, and the words and ways of its page."""

    place: str  # of the page, as in its head
    back: str  # where one who stopped it goes on, and the words for it
    back_words: str
    wish: str  # "before there was ..."
    keeps: str = ""  # what stopping does
    counts: str = ""  # what is counted while it goes


PLAN = Kind("meal", "/meal/new", "Back to the form", "a plan", "Stop keeps the best found so far.", "wishes settled")
PAPER = Kind("drawer", "/papers", "Back to the papers", "a paper")


@dataclass
class Run:
    """One piece of work. ``answer`` or ``error`` stands when it is over."""

    id: str
    what: str
    owner: str
    began: float
    kind: Kind = PLAN
    line: str = ""
    done: int = 0
    total: int = 0
    answer: Any = None
    error: IngleError | None = None
    over: bool = False
    ended: float = 0.0
    stop: threading.Event = field(default_factory=threading.Event)
    long: threading.Event = field(default_factory=threading.Event)  # it is over, or it is known that it takes long
    made: bytes = b""  # a file that waits to be fetched, and its name
    name: str = ""

    @property
    def seconds(self) -> float:
        """How long it has taken. [s]"""
        return (self.ended or time.monotonic()) - self.began

    def tell(self, line: str, done: int, total: int) -> None:
        """Take note of how far it is."""
        self.line, self.done, self.total = line, done, total


class Runs:
    """All that is going on or waits to be fetched."""

    def __init__(self) -> None:
        self._runs: dict[str, Run] = {}
        self._lock = threading.Lock()

    def start(self, what: str, owner: str, work: Callable[[Run], Any], kind: Kind = PLAN) -> Run:
        """Begin it; refused when as many as the machine can bear are going."""
        with self._lock:
            now = time.monotonic()
            self._runs = {k: r for k, r in self._runs.items() if not r.over or now - r.ended < KEPT_S}
            if sum(not r.over and r.kind == kind for r in self._runs.values()) >= MOST_GOING:
                raise Refused(
                    f"{MOST_GOING} pieces of work are going already.", field="run", value=what, limit=MOST_GOING, remedy="Wait for one, or stop it."
                )
            run = Run(secrets.token_urlsafe(12), what, owner, now, kind)
            self._runs[run.id] = run
        threading.Thread(target=self._do, args=(run, work), name=f"run-{run.id}", daemon=True).start()
        return run

    @staticmethod
    def _do(run: Run, work: Callable[[Run], Any]) -> None:
        try:
            run.answer = work(run)
        except IngleError as why:
            run.error = why
        except Exception:
            logging.getLogger("ingle").exception("%s failed", run.what)
            run.error = IngleError("The work failed here, not by what you gave. Nothing was changed.", remedy="Try once more.")
        run.ended = time.monotonic()
        run.over = True
        run.long.set()

    def get(self, key: str, owner: str) -> Run | None:
        """A run of this owner."""
        run = self._runs.get(key)
        return run if run is not None and run.owner == owner else None

    def close(self) -> None:
        """Ask all to stop."""
        for run in list(self._runs.values()):
            run.stop.set()
