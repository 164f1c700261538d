"""The third door: Fernhollow, an invented kitchen in a notebook of its own, planned by the same planner as any other."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from ingle.faces.web.forms import Sent
from ingle.faces.web.page import clock_of, state
from ingle.faces.web.pages.meal import planned
from ingle.faces.web.runs import Run
from ingle.faces.web.security import Session, set_session
from ingle.faces.web.shelf import Shelf
from ingle.ground import tables
from ingle.jobs.demonstration import brief_for, early_history
from ingle.jobs.take_plan import take_plan
from ingle.planning.planfile import write_file

router = APIRouter(include_in_schema=False)


@router.post("/demonstration")
def demonstration(request: Request, _form: Sent) -> Response:
    """Through the door; the first time its kitchen is planned, which takes some seconds."""
    config, shelf, session = state(request)
    inside = replace(session, demonstration=True)
    if shelf.house(inside) is not None:
        answer = RedirectResponse("/", 303)
    else:
        now = clock_of(request)
        run = shelf.runs.start("The demonstration", session.id, lambda run: _lay_out(shelf, inside, now, run))
        answer = RedirectResponse(f"/run/{run.id}", 303)
    set_session(config, answer, inside)
    return answer


def _lay_out(shelf: Shelf, inside: Session, now: datetime, run: Run) -> str:
    """Plan the brief, moved so that its meal lies ahead of now, and take it in after an invented earlier batch."""
    folder: Path = shelf.plans(inside)
    source: Any = tables.data_path("examples", "fernhollow")
    write_file(folder / "kitchen.toml", (source / "kitchen.toml").read_bytes())
    path = folder / "fernhollow.toml"
    write_file(path, brief_for((source / "fernhollow.toml").read_text(encoding="utf-8"), now).encode())
    planned(path, now, run)
    run.tell("Writing its book", 1, 1)
    book = shelf.book(inside)
    early_history(book, now)
    take_plan(book, path.with_suffix(".plan"), who="A")
    return "/"
