"""What the page holds open: the cook's notebook, the demonstration's own, and work that takes long."""

from __future__ import annotations

import threading
from pathlib import Path

from ingle.faces.web.config import Config
from ingle.faces.web.runs import Runs
from ingle.faces.web.security import Session
from ingle.jobs.house import House, house_of
from ingle.notebook.store import Notebook, open_notebook
from ingle.notebook.trouble import NotFound


class Shelf:
    """Notebooks are opened when first asked for and closed with the page."""

    def __init__(self, config: Config):
        self.config = config
        self.runs = Runs()
        self._open: dict[bool, Notebook] = {}
        self._lock = threading.Lock()

    def book(self, session: Session) -> Notebook:
        """The notebook this session looks at, made when there is none yet."""
        return self._book(session.demonstration)

    def _book(self, demonstration: bool) -> Notebook:
        with self._lock:
            if demonstration not in self._open:
                self.config.keep.mkdir(parents=True, exist_ok=True)
                self._open[demonstration] = open_notebook(str(self.config.demonstration) if demonstration else self.config.notebook)
            return self._open[demonstration]

    def house(self, session: Session) -> House | None:
        """The kitchen of that notebook; None before the first start is over."""
        try:
            return house_of(self.book(session))
        except NotFound:
            return None

    def plans(self, session: Session) -> Path:
        """Folder of this session's briefs and plans."""
        return self.config.plans / "demonstration" if session.demonstration else self.config.plans

    def close(self) -> None:
        """Let go of all of it."""
        self.runs.close()
        with self._lock:
            for book in self._open.values():
                book.close()
            self._open.clear()
