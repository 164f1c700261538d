"""Logger files: looked at, confirmed, kept once."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from pydantic import BaseModel, ConfigDict, Field
from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse

from ingle.faces.web.api.answers import answered
from ingle.faces.web.log_taking import HANGING, Said, confirm, look
from ingle.faces.web.page import state
from ingle.ground.errors import BadBrief, IngleError
from ingle.jobs.house import METRIC
from ingle.jobs.log_book import logs, stored
from ingle.notebook.trouble import NotFound

router = APIRouter(tags=["logs"])
TAKEN = ("application/octet-stream", "text/csv")
Word = Annotated[str, Field(max_length=200)]


class NotTaken(IngleError):
    """A kind of content that is not taken."""


class LogAsked(BaseModel):
    """Where it stood, and what only you know. Without ``yes`` it is looked at and nothing is kept."""

    model_config = ConfigDict(extra="forbid")
    name: Word = Field("log.csv", description="As you know it.")
    place: Literal["", "fridge", "smoker", "cooling"] = Field("", description="Judge it by the lines of that place.")
    zone: Word = Field("", description="In which the logger's clock runs: Europe/London, UTC, +01:00.")
    unit: Literal["", "C", "F", "K"] = ""
    dates: Literal["", "day-first", "month-first", "year-first"] = ""
    start: Word = Field("", description="When a file of elapsed seconds began.")
    doubles: Literal["", "warmer", "colder"] = ""
    order: Literal["", "sort"] = ""
    lost: list[float] = Field(default_factory=list, max_length=20, description="Numbers that stand for a lost probe.")
    encoding: Word = ""
    instrument: Word = ""
    probe: list[Word] = Field(default_factory=list, max_length=40, description="NAME=KIND: air, core, surface, chamber or humidity.")
    hanging: Word = Field("meat", json_schema_extra={"enum": list(HANGING)}, description="In the smoker.")
    thickness: Word = Field("", description="Of the piece, like 50mm: its lag behind the air; in a cooling, what only a moved probe shows. Left out there: that of its batch.")
    still: bool = Field(False, description="In a cooling: nobody moved the probe, believe every reading.")
    lag: Word = ""
    rules: list[Word] = Field(default_factory=list, max_length=8)
    batch: list[Word] = Field(default_factory=list, max_length=40, description="[PROBE=]CODE of the batch it belongs to.")
    yes: bool = Field(False, description="It was understood rightly: take what is proposed, keep it.")


@router.get("/logs", responses=answered("logs"), operation_id="logs")
def get_logs(request: Request) -> JSONResponse:
    """Logs that are in the notebook, the newest first."""
    _, shelf, session = state(request)
    found, count = logs(shelf.book(session))
    return JSONResponse({"logs": [row.as_dict() for row in found], "count": count})


@router.get("/logs/{uid}", responses=answered("read"), operation_id="log")
def get_log(request: Request, uid: str, place: Literal["", "fridge", "smoker", "cooling"] = "") -> JSONResponse:
    """One of them, judged once more by the lines of its place."""
    _, shelf, session = state(request)
    house = shelf.house(session) or METRIC
    row, answer = stored(shelf.book(session), uid, place=place, countries=house.rules)
    return JSONResponse(answer.as_dict() | {"fed": [], "written": [], "row": row.as_dict()})


_BODY = {"requestBody": {"required": True, "content": {t: {"schema": {"type": "string", "format": "binary"}} for t in TAKEN}}}


@router.post("/logs", responses=answered("read"), operation_id="read", openapi_extra=_BODY)
async def post_log(request: Request, asked: Annotated[LogAsked, Query()]) -> JSONResponse:
    """Look at a logger's file and judge it; with ``yes`` keep it, once."""
    if request.headers.get("content-type", "").partition(";")[0].strip().lower() not in TAKEN:
        error = NotTaken("A log comes as its bytes.", field="content-type", value=request.headers.get("content-type", "none")[:80], limit=", ".join(TAKEN),
                         remedy="Send it as application/octet-stream.")  # fmt: skip
        return JSONResponse(error.as_dict(), 415)
    return await run_in_threadpool(_take, request, await request.body(), asked)


def _take(request: Request, content: bytes, asked: LogAsked) -> JSONResponse:
    _, shelf, session = state(request)
    house = shelf.house(session)
    if house is None and (asked.yes or asked.batch):
        raise NotFound("There is no kitchen in this notebook yet.", field="kitchen", remedy="Begin one: POST /api/record/kitchen.")
    given = asked.model_dump(exclude={"probe", "batch", "yes", "lost", "rules", "still"})
    said = Said(**given, still="yes" if asked.still else "", lost=tuple(asked.lost), rules=tuple(asked.rules), kinds=tuple(_pair(p, "probe") for p in asked.probe))
    if asked.batch and not asked.yes:
        raise BadBrief("A batch is named and nothing is confirmed.", field="batch", value=", ".join(asked.batch), limit="with yes",
                       remedy="Look at what was understood, then say yes.")  # fmt: skip
    batches = dict(_pair(p, "batch", alone=True) for p in asked.batch)
    answer = look(content, said, house or METRIC, shelf.book(session) if batches else None, batches.values())
    fed: list[Any] = []
    if asked.yes:
        answer, fed = confirm(shelf.book(session), answer, batches, who=session.who, countries=(house or METRIC).rules)
    return JSONResponse(answer.as_dict() | {"fed": [f.as_dict() for f in fed], "written": []})


def _pair(text: str, field: str, *, alone: bool = False) -> tuple[str, str]:
    name, eq, value = text.rpartition("=")
    if not value.strip() or (not eq and not alone):
        raise BadBrief(f"{field} {text!r} is not NAME=VALUE.", field=field, value=text, limit="NAME=VALUE", remedy="Write it like Channel 1=core.")
    return name.strip(), value.strip()
