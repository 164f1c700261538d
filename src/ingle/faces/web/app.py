"""The app: gate, pages, static files, and what is said when something goes wrong."""

from __future__ import annotations

import logging
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.metadata import version

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.staticfiles import StaticFiles

from ingle.faces.asked import Offered
from ingle.faces.tokens import FONT_DIR
from ingle.faces.web import ink
from ingle.faces.web.config import Config
from ingle.faces.web.forms import NotOurs
from ingle.faces.web.gate import Gate
from ingle.faces.web.page import STATIC, show
from ingle.faces.web.pages import ROUTERS
from ingle.faces.web.pages.trouble import Trouble, trouble_of
from ingle.faces.web.passes import Passes
from ingle.faces.web.security import Tries
from ingle.faces.web.shelf import Shelf
from ingle.ground.errors import IngleError, NotebookError, Refused
from ingle.notebook.trouble import AlreadyThere, NotFound


def create_app(config: Config, offered: Offered | None) -> FastAPI:
    """The page of one notebook, and under ``/api`` the commands that are offered.

    None offered: what is needed at hand; `complete` adds the rest.
    """

    @asynccontextmanager
    async def life(app: FastAPI) -> AsyncIterator[None]:
        yield
        app.state.shelf.close()

    # the usual pages of the interface's description fetch scripts from elsewhere: they stay off, the description itself is served
    app = FastAPI(
        title="ingle", version=version("ingle"), lifespan=life, docs_url=None, redoc_url=None, openapi_url="/api/openapi.json",
        description="The same jobs as the command line: what it answers with --json.",
    )  # fmt: skip
    app.state.config, app.state.shelf, app.state.tries, app.state.scripts = config, Shelf(config), Tries(), True
    app.state.passes = Passes()
    for router in ROUTERS:
        app.include_router(router)
    if offered is not None:
        complete(app, offered)
    app.add_api_route("/static/tokens.css", _tokens, include_in_schema=False)
    app.mount("/static/fonts", StaticFiles(directory=FONT_DIR))
    app.mount("/static", StaticFiles(directory=STATIC))
    app.add_exception_handler(IngleError, _ingle_error)
    app.add_exception_handler(HTTPException, _http_error)
    app.add_exception_handler(RequestValidationError, _not_understood)
    app.add_exception_handler(Exception, _own_error)
    app.add_middleware(Gate, config=config)
    return app


def complete(app: FastAPI, offered: Offered) -> None:
    """Add the places beside the bench and the interface: a third of what the page loads, and not needed for its first answer."""
    from ingle.faces.web import api
    from ingle.faces.web.pages.more import router as more

    app.include_router(more)
    app.include_router(api.router_of(offered))


def _tokens() -> Response:
    return PlainTextResponse(ink.token_css(), media_type="text/css", headers={"cache-control": "max-age=3600"})


def status_of(error: IngleError) -> int:
    """The status an answer that is an error goes out with."""
    if isinstance(error, NotFound):
        return 404
    if isinstance(error, NotOurs):
        return 403
    if isinstance(error, AlreadyThere):
        return 409
    if isinstance(error, NotebookError):
        return 503
    return 422 if not isinstance(error, Refused) else 400


def _ingle_error(request: Request, error: Exception) -> Response:
    assert isinstance(error, IngleError)
    return _answer(request, error, status_of(error))


def _http_error(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    told = {
        404: IngleError("There is nothing under this address.", remedy="Go back, or begin at hand."),
        405: IngleError("This address is not asked in that way.", remedy="Go back, and use the page's own button."),
    }.get(error.status_code, IngleError(str(error.detail)))
    return _answer(request, told, error.status_code)


def _not_understood(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    first = (error.errors() or [{}])[0]
    field = ".".join(str(x) for x in first.get("loc", ())[1:])
    return _answer(request, IngleError(f"{field or 'The request'}: {first.get('msg', 'is not understood')}.", field=field), 422)


def _own_error(request: Request, error: Exception) -> Response:
    logging.getLogger("ingle").error("a request failed: %s %s", request.method, request.url.path, exc_info=error)
    return _answer(request, IngleError("Something failed here, not by what you gave. What was written before is kept.", remedy="Try once more."), 500)


def _answer(request: Request, error: IngleError, status: int) -> Response:
    if request.url.path.startswith("/api"):
        return JSONResponse(error.as_dict(), status)
    try:
        return show(request, trouble_of(error, status), status=status)
    except IngleError:  # the notebook itself cannot be read: the page is shown without it
        plain: Trouble = trouble_of(error, status)
        return PlainTextResponse(f"{plain.heading}\n\n{error.text}\n", status)
