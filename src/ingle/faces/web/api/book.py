"""The notebook: what to do today, tracing, and everything that is written down, each once by its UUID."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Annotated, Any

import click
from fastapi import APIRouter, Header, Path, Query, Request
from starlette.responses import JSONResponse

from ingle.faces.cli import record_again, record_control, record_in, record_out, record_seen, today_cmd, trace_cmd
from ingle.faces.web.api.answers import answered
from ingle.faces.web.api.asking import ask, asks
from ingle.faces.web.page import clock_of, state
from ingle.ground.errors import BadBrief
from ingle.jobs.today import today
from ingle.notebook.trouble import AlreadyThere

router = APIRouter(tags=["the book"])

COMMANDS: dict[str, click.Command] = {
    "kitchen": record_in.kitchen, "lot": record_in.lot, "piece": record_in.piece, "batch": record_in.batch, "into": record_in.into,
    "dose": record_seen.dose, "step": record_seen.step, "reading": record_seen.reading, "correct": record_seen.correct,
    "deviation": record_control.deviation, "act": record_control.act, "instrument": record_control.instrument, "check": record_control.check,
    "pack": record_out.pack, "hand": record_out.hand, "end": record_out.end, "again": record_again.again, "compare": record_again.compare,
}  # fmt: skip
Key = Annotated[str | None, Header(max_length=100, description="UUID of this entry, where the body has no uid: sent again it adds nothing.")]


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


for _name, _command in COMMANDS.items():
    router.add_api_route(f"/record/{_name}", _route(_name, _command), methods=["POST"], responses=answered("record"), operation_id=f"record_{_name}")


@router.get("/today", responses=answered("today"), operation_id="today")
def get_today(request: Request, now: Annotated[str | None, Query(max_length=40, description="As if it were then: ISO 8601 with offset.")] = None) -> JSONResponse:
    """What to do now: what needs attention, what is waiting, the next step."""
    _, shelf, session = state(request)
    return JSONResponse(today_cmd.as_dict(today(shelf.book(session), now=_now(request, now))))


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


_TRACE = asks("trace", trace_cmd.command)


@router.get("/trace/{code}", responses=answered("trace"), operation_id="trace")
def get_trace(request: Request, code: Annotated[str, Path(max_length=80)]) -> JSONResponse:
    """Where a lot, piece, batch or pack came from, what came of it, who got it."""
    _, shelf, session = state(request)
    return JSONResponse(ask(_TRACE, _TRACE.model(code=code), book=shelf.book(session)))  # type: ignore[call-arg]
