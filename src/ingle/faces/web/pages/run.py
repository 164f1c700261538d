"""Work that takes long, as a page: it refreshes by itself, with or without scripts, and can be stopped."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from ingle.faces.web.forms import Sent
from ingle.faces.web.page import show, state
from ingle.faces.web.pages.pressed import pdf_file
from ingle.faces.web.runs import Run
from ingle.ground.errors import IngleError, NoPlan
from ingle.notebook.trouble import NotFound

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class Going:
    """How far it is, or why it ended without an answer."""

    template: ClassVar[str] = "run.html"
    run: Run
    error: IngleError | None
    stopped: bool  # by who began it, before there was an answer
    clash: tuple[str, ...]
    remedies: tuple[str, ...]

    @property
    def title(self) -> str:
        """The window's title."""
        return f"{'Stopped: ' if self.stopped else 'Error: ' if self.error else ''}{self.run.what}"


def _run(request: Request, key: str) -> Run:
    _, shelf, session = state(request)
    run = shelf.runs.get(key, session.id)
    if run is None:
        raise NotFound("This work is over, or was begun on another machine.", field="run", value=key, remedy="Begin it again: what was written before is kept.")
    return run


@router.get("/run/{key}")
def going(request: Request, key: str) -> Response:
    """Looks in; moves on to the answer when it stands."""
    run = _run(request, key)
    if run.over and run.error is None:
        return RedirectResponse(str(run.answer), 303)
    error: Any = run.error
    clash = tuple(error.clash) if isinstance(error, NoPlan) else ()
    remedies = tuple(str(getattr(r, "text", r)) for r in error.remedies) if isinstance(error, NoPlan) else ()
    stopped = error is not None and run.stop.is_set() and not clash
    answer = show(request, Going(run, error, stopped, clash, remedies), here=run.kind.place, status=422 if error and not stopped else 200)
    if not run.over:
        answer.headers["refresh"] = "1"
    return answer


@router.get("/run/{key}/{name}.pdf")
def made(request: Request, key: str, name: str) -> Response:
    """The paper that was made."""
    run = _run(request, key)
    if not run.made:
        raise NotFound(f"{name[:60]} is not printed, or not yet.", field="run", value=key, remedy="Begin it again at Papers.")
    return pdf_file(run.made, run.name)


@router.post("/run/{key}/stop")
def stop(request: Request, key: str, _form: Sent) -> Response:
    """Asks it to stop; of a plan the best found so far is kept."""
    _run(request, key).stop.set()
    return RedirectResponse(f"/run/{key}", 303)
