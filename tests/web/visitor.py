"""A browser without scripts, as the tests of the page use it: follows links, carries cookies, fills forms with their token."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from html import unescape
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from ingle.faces.cli.offered import OFFERED
from ingle.faces.web.app import create_app
from ingle.faces.web.config import Config

HOUSE = {"name": "Test kitchen", "zone": "Europe/London", "mass": "kg", "temperature": "C", "use": "table", "kit": "home", "scale": "0.1g", "prefix": "TK"}


class Visitor:
    """One session at the page of one notebook."""

    def __init__(self, folder: Path, *, book: str = "own.notebook", **config: Any):
        self.config = Config(str(folder / book), folder / f"{book}.page", secret=b"k" * 32, **config)
        self.app = create_app(self.config, OFFERED)
        self.client = TestClient(self.app, follow_redirects=True, raise_server_exceptions=False)

    def get(self, path: str, **params: Any) -> Any:
        """A page."""
        return self.client.get(path, params=params or None)

    def token(self) -> str:
        """This session's token."""
        return re.search(r'name="csrf" value="(\w+)"', self.client.get("/house").text)[1]

    def post(self, path: str, files: Any = None, follow: bool = True, **data: Any) -> Any:
        """A form of this session."""
        return self.client.post(path, data={"csrf": self.token(), **data}, files=files, follow_redirects=follow)

    def begin(self, **said: str) -> Visitor:
        """Through the first start."""
        answer = self.post("/house", **(HOUSE | said))
        assert answer.status_code == 200, answer.text
        return self

    def lay_in(self, **said: str) -> str:
        """A piece that lies in its cure; returns the code of its batch."""
        given = {
            "name": "Collar", "weight": "1.38", "thickness": "50", "shape": "slab", "skin": "none", "fat": "none", "salt": "32.1", "curing": "2.6", "packet": "6.25",
            "temperature": "4", "date": datetime.now(UTC).date().isoformat(), "time": "00:05",
        }  # fmt: skip
        answer = self.post("/book/begun", **(given | said))
        assert answer.status_code == 200, text(answer.text)
        return str(answer.url).rpartition("/")[2]


def text(html: str) -> str:
    """A page as it is read: no tags, entities turned, blanks joined."""
    bare = re.sub(r"<(script|style|svg)\b.*?</\1>", " ", html, flags=re.DOTALL)
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", bare))).strip()


def uid(html: str) -> str:
    """The identity of the last form of a page."""
    return re.findall(r'name="uid" value="([0-9a-f-]+)"', html)[-1]
