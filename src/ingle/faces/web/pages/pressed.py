"""A paper as the answer to a request: at once, or as work that goes on where it is long."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING

from fastapi import Request
from starlette.responses import RedirectResponse, Response

from ingle.faces.web.page import state
from ingle.faces.web.runs import PAPER, Run

if TYPE_CHECKING:  # the press is loaded where something is printed: the first page does without
    from ingle.faces.paper.press import Job

_NAME = re.compile(r"[^A-Za-z0-9_.-]+")
_READ_S = 10.0  # a notebook that takes longer to look through is waited for on the page of the work


def pdf_answer(job: Job, name: str) -> Response:
    """A job as PDF, shown in the browser under a name that is only letters."""
    from ingle.faces.paper import press

    return pdf_file(press.pdf(job), name)


def pdf_file(made: bytes, name: str) -> Response:
    """A PDF under a name that is only letters."""
    return Response(made, media_type="application/pdf", headers={"content-disposition": f'inline; filename="{_tidy(name)}.pdf"'})


def pdf_or_wait(request: Request, what: str, name: str, make: Callable[[], Job]) -> Response:
    """A paper that may hold years: as PDF where it is soon made, else the page of the work, which leads to it and can be stopped."""
    from ingle.faces.paper import apart, press

    _, shelf, session = state(request)

    def work(run: Run) -> str:
        run.tell("Reading the book", 0, 0)
        job = make()
        if press.is_large(job):
            run.tell("Setting it on paper", 0, 0)
            run.long.set()
            run.made = apart.pdf(job, run.stop.is_set)
        else:
            run.made = press.pdf(job)
        run.name = name
        return f"/run/{run.id}/{_tidy(name)}.pdf"

    run = shelf.runs.start(what, session.id, work, PAPER)
    run.long.wait(_READ_S)
    if not run.over:
        return RedirectResponse(f"/run/{run.id}", 303)
    if run.error is not None:
        raise run.error
    return pdf_file(run.made, name)


def _tidy(name: str) -> str:
    return _NAME.sub("-", name).strip("-.")[:60] or "paper"
