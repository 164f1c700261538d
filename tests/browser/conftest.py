"""A real browser at a real server: Debian's Chromium, one at a time; left out with a word where it is not there."""

from __future__ import annotations

import shutil
import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Browser, BrowserContext, Error, Page, sync_playwright

from ingle.faces.cli.offered import OFFERED
from ingle.faces.web.app import create_app
from ingle.faces.web.config import Config

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
FLAGS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
PHONE, TABLE = {"width": 390, "height": 844}, {"width": 1280, "height": 800}
AXE = Path(__file__).parent / "axe" / "axe.min.js"


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The browser of the session."""
    if CHROMIUM is None:
        pytest.skip("no chromium is installed (apt-get install --no-install-recommends chromium)")
    with sync_playwright() as play:
        running = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield running
        running.close()


class Served:
    """A page on a free port of this machine, on a notebook of its own."""

    def __init__(self, folder: Path, config: Config | None = None):
        self.config = config or Config(str(folder / "own.notebook"), folder / "own.page", secret=b"k" * 32)
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        self.url = f"http://127.0.0.1:{port}"
        self.server = uvicorn.Server(uvicorn.Config(create_app(self.config, OFFERED), host="127.0.0.1", port=port, log_level="error"))
        self.thread = threading.Thread(target=self.server.run, daemon=True)
        self.thread.start()
        until = time.monotonic() + 20
        while not self.server.started and time.monotonic() < until:
            time.sleep(0.02)

    def stop(self) -> None:
        """Stop it."""
        self.server.should_exit = True
        self.thread.join(10)


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    """A page before its first start."""
    running = Served(tmp_path)
    yield running
    running.stop()


@pytest.fixture(scope="module")
def kitchen(tmp_path_factory: pytest.TempPathFactory, browser: Browser) -> Iterator[Served]:
    """A page whose kitchen is set up, with the demonstration laid out and a piece in its cure."""
    running = Served(tmp_path_factory.mktemp("kitchen"))
    context = browser.new_context(viewport=TABLE, base_url=running.url)
    page = context.new_page()
    begin(page)
    page.goto("/book/begun")
    fill_begun(page)
    send(page, "text=Write it down")
    running.code = page.url.rpartition("/")[2]  # type: ignore[attr-defined]
    page.goto("/doors")
    send(page, "text=Look at the demonstration")
    page.wait_for_url("**/", timeout=120_000)
    running.cookies = context.cookies()  # type: ignore[attr-defined]
    context.close()
    yield running
    running.stop()


def send(page: Page, target: str) -> None:
    """Press what leads on, and wait until the next page is there."""
    with page.expect_navigation():
        page.click(target)


def until(page: Page, condition: str, arg: object = None, seconds: float = 15.0) -> None:
    """Wait until a condition of the page holds; asked from outside, since the page's policy lets no text be run."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        try:
            if page.evaluate(condition, arg):
                return
        except Error:  # the page changes under the question
            pass
        page.wait_for_timeout(40)
    raise AssertionError(condition)


def begin(page: Page, name: str = "Test kitchen") -> None:
    """Through the first start, as it is filled in."""
    page.goto("/house")
    page.fill("#name", name)
    page.fill("#zone", "Europe/London")
    page.fill("#prefix", "TK")
    send(page, "text=Begin this kitchen")


def fill_begun(page: Page) -> None:
    """A piece that lies in its cure."""
    for field, value in (("name", "Collar"), ("weight", "1.38"), ("thickness", "50"), ("salt", "32.1"), ("curing", "2.6"), ("time", "00:01")):
        page.fill(f"#{field}", value)


@pytest.fixture(params=["phone", "table"])
def size(request: pytest.FixtureRequest) -> dict[str, int]:
    """Both widths."""
    return PHONE if request.param == "phone" else TABLE


def open_at(browser: Browser, served: Served, size: dict[str, int], **more: object) -> tuple[BrowserContext, Page]:
    """A new session at the page; anything asked of another machine is counted."""
    context = browser.new_context(viewport=size, base_url=served.url, **more)  # type: ignore[arg-type]
    page = context.new_page()
    page.set_default_timeout(45_000)  # the first heat of a machine is compiled while others work
    context.elsewhere = []  # type: ignore[attr-defined]
    page.on("request", lambda r: None if r.url.startswith((served.url, "data:", "about:")) else context.elsewhere.append(r.url))  # type: ignore[attr-defined]
    return context, page
