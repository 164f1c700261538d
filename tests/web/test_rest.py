"""The first page answers before the rest is there; nobody who asks for another place notices."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from starlette.testclient import TestClient

from ingle.faces.cli.offered import OFFERED
from ingle.faces.web.app import complete, create_app
from ingle.faces.web.config import Config
from ingle.faces.web.rest import Rest


@pytest.fixture
def app(tmp_path):
    return create_app(Config(str(tmp_path / "k.notebook"), tmp_path / "page"), None)


def until(what, seconds=20.0):
    """Wait for something that another thread does."""
    end = time.monotonic() + seconds
    while not what() and time.monotonic() < end:
        time.sleep(0.01)
    assert what()


def test_the_first_page_and_its_files_wait_for_nothing_and_the_rest_comes_behind(app):
    go, calls = threading.Event(), []

    def load():
        calls.append(1)
        go.wait(20)
        complete(app, OFFERED)

    page = Rest(app, load)
    with TestClient(page) as visitor:
        assert visitor.get("/static/tokens.css").status_code == 200
        assert not calls
        assert visitor.get("/", follow_redirects=False).status_code in (200, 303, 307)
        until(lambda: calls)
        assert not page.whole
        assert visitor.get("/static/tokens.css").status_code == 200  # while it loads
        go.set()
        assert visitor.get("/heat").status_code == 200
        assert page.whole and len(calls) == 1


@pytest.mark.parametrize("path", ["/heat", "/loggers", "/api/openapi.json"])
def test_whoever_asks_for_another_place_first_gets_it(app, path):
    with TestClient(Rest(app, lambda: complete(app, OFFERED))) as visitor:
        assert visitor.get(path).status_code == 200
        assert visitor.get("/nothing-here").status_code == 404


def test_the_rest_is_what_the_whole_app_has(app, tmp_path):
    whole = create_app(Config(str(tmp_path / "k.notebook"), tmp_path / "page"), OFFERED)
    complete(app, OFFERED)
    paths = [sorted({getattr(r, "path", "") for r in a.routes}) for a in (app, whole)]
    assert paths[0] == paths[1]
    assert app.openapi()["paths"].keys() == whole.openapi()["paths"].keys()


def test_many_at_once_load_it_once(app):
    calls = []

    def load():
        calls.append(1)
        time.sleep(0.2)
        complete(app, OFFERED)

    with TestClient(Rest(app, load)) as visitor, ThreadPoolExecutor(6) as many:
        assert [r.status_code for r in many.map(visitor.get, ["/heat"] * 6)] == [200] * 6
    assert len(calls) == 1


def test_a_load_that_failed_is_tried_again_when_a_place_is_asked_for(app):
    calls = []

    def load():
        calls.append(1)
        if len(calls) == 1:
            raise OSError("the disk was away")
        complete(app, OFFERED)

    page = Rest(app, load)
    with TestClient(page, raise_server_exceptions=False) as visitor:
        visitor.get("/", follow_redirects=False)
        until(lambda: calls)
        assert visitor.get("/heat").status_code == 200
        assert page.whole and len(calls) == 2
