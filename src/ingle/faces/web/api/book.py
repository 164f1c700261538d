"""The notebook: what to do today, tracing, and everything that is written down, each once by its UUID."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Annotated, Any

import click
from fastapi import APIRouter, Header, Path, Query, Request
from starlette.responses import JSONResponse

from ingle.faces.today_dict import today_dict
from ingle.faces.web.api.answers import answered
from ingle.faces.web.api.asking import ask, asks
from ingle.faces.web.page import clock_of, state
from ingle.ground.errors import BadBrief
from ingle.jobs.today import today
from ingle.notebook.trouble import AlreadyThere

Key = Annotated[str | None, Header(max_length=100, description="UUID of this entry, where the body has no uid: sent again it adds nothing.")]


def router_of(commands: Mapping[str, click.Command], trace: click.Command) -> APIRouter:
    """``/today``, ``/trace/CODE``, and one route a command under ``/record``."""
    router = APIRouter(tags=["the book"])
    for name, command in commands.items():
        router.add_api_route(f"/record/{name}", _route(name, command), methods=["POST"], responses=answered("record"), operation_id=f"record_{name}")
    router.add_api_route("/today", get_today, responses=answered("today"), operation_id="today")
    router.add_api_route("/trace/{code}", _trace(trace), responses=answered("trace"), operation_id="trace")
    return router


def _route(name: str, command: click.Command) -> Callable[..., Any]:
    asked = asks(name, command)

    def route(request: Request, given: Any, idempotency_key: Key = None) -> JSONResponse:
        _, shelf, session = state(request)
        if name == "kitchen" and shelf.house(session) is not None:
            raise AlreadyThere("This notebook has its kitchen.", field="kitchen", value=given.name, remedy="Change it at /house, or open another notebook.")
        more: tuple[str, ...] = ()
        if "uid" in asked.by_field and given.uid is None and idempotency_key is not None:
            more += (f"--uid={idempotency_key}",)
        if "who" in asked.by_field and given.who is None:
            more += (f"--who={session.who}",)
        return JSONResponse(ask(asked, given, book=shelf.book(session), more=more))

    route.__annotations__["given"] = asked.model
    route.__name__, route.__doc__ = name, asked.model.__doc__
    return route


def get_today(request: Request, now: Annotated[str | None, Query(max_length=40, description="As if it were then: ISO 8601 with offset.")] = None) -> JSONResponse:
    """What to do now: what needs attention, what is waiting, the next step."""
    _, shelf, session = state(request)
    return JSONResponse(today_dict(today(shelf.book(session), now=_now(request, now))))


def _now(request: Request, written: str | None) -> datetime:
    if written is None:
        return clock_of(request)
    try:
        told = datetime.fromisoformat(written)
    except ValueError:
        told = None
    if told is None or told.tzinfo is None or not 2000 <= told.year <= 2200:
        raise BadBrief(
            f"now {written!r} is not a time with its offset.", field="now", value=written, limit="like 2026-12-04T18:05:00+00:00",
            remedy="Write it like 2026-12-04T18:05:00+00:00, between 2000 and 2200.",
        )  # fmt: skip
    return told


def _trace(command: click.Command) -> Callable[..., Any]:
    asked = asks("trace", command)

    def get_trace(request: Request, code: Annotated[str, Path(max_length=80)]) -> JSONResponse:
        """Where a lot, piece, batch or pack came from, what came of it, who got it."""
        _, shelf, session = state(request)
        return JSONResponse(ask(asked, asked.model(code=code), book=shelf.book(session)))  # type: ignore[call-arg]

    return get_trace
