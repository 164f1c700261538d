"""Every page of the app is one that the browser walks, by axe and by thumb: a new one that is not fails here, without a browser."""

from collections.abc import Iterator
from typing import Any

import pytest
from starlette.routing import Match
from tests.browser import test_craft_pages, test_every_page, test_more_pages

from ingle.faces.web.pages import ROUTERS
from ingle.faces.web.pages.more import router as more

MADE = {  # what the words in braces stand for
    "{leaf}": "/book/FH-1-A", "{log}": "/loggers/1", "{correct}": "/book/FH-1-A/correct/reading/1", "{deviation}": "/book/deviation/1", "{trace}": "/trace/FH-1-A",
    "{label}": "/papers/label/FH-1-A-P1", "{compare}": "/book/compare", "{work that goes on}": "/run/1", "{work that found no plan}": "/run/1",
    "{frozen by a log}": "/frozen", "{a log is looked at}": "/loggers",
}  # fmt: skip
WALKED = (*test_every_page.PLACES, *test_more_pages.PLACES, *test_more_pages.BEFORE, *test_craft_pages.PLACES)
NO_PAGE = {  # path: why it is none
    "/salt/answer": "a part of the bench, fetched by its script", "/salt.json": "JSON", "/meal/{name}/calendar.ics": "a calendar", "/papers/record": "leads on to a PDF",
    "/papers/day/{day}.html": "the sheet as a file of its own, see test_phone and the paper's tests", "/c/{code}": "leads on to the trail", "/in/{word}": "signs a phone in and leads on",
}  # fmt: skip


def routes(*routers: Any) -> Iterator[Any]:
    """All that answers a GET, routers within routers too."""
    for router in routers:
        for route in router.routes:
            if hasattr(route, "methods"):
                if "GET" in route.methods:
                    yield route
            else:
                yield from routes(getattr(route, "router", None) or route.original_router)


ROUTES = tuple(routes(*ROUTERS, more))
PAGES = tuple(r for r in ROUTES if r.path not in NO_PAGE and not r.path.endswith((".pdf", ".png")))


def answers(path: str) -> Any:
    """The route that a path comes to."""
    scope = {"type": "http", "method": "GET", "path": path, "root_path": "", "headers": []}
    return next((r for r in ROUTES if r.matches(scope)[0] is Match.FULL), None)


def walked() -> set[str]:
    """Paths of the routes that the browser's places come to."""
    found = set()
    for place in WALKED:
        for word, path in MADE.items():
            place = place.replace(word, path)  # noqa: PLW2901
        assert "{" not in place, place
        route = answers(place.partition("?")[0])
        found.add(route.path if route is not None else place)
    return found


def test_the_app_has_the_pages_that_are_known():
    assert len(PAGES) > 40 and {"/", "/frozen", "/book/{code}", "/loggers/{uid}"} <= {r.path for r in PAGES}
    assert set(NO_PAGE) <= {r.path for r in ROUTES}  # what is left out still exists


@pytest.mark.parametrize("page", PAGES, ids=lambda r: r.path)
def test_a_page_is_walked_by_the_browser(page):
    assert page.path in walked(), f"{page.path} is in no PLACES of tests/browser: add it, so that axe and the thumb see it"


def test_a_page_that_is_not_listed_is_noticed():
    assert answers("/nowhere") is None and answers("/book/begun").path == "/book/begun"
    assert "/never-listed" not in walked()
