"""A paper as the answer to a request."""

from __future__ import annotations

import re

from starlette.responses import Response

from ingle.faces.paper import press
from ingle.faces.paper.press import Job

_NAME = re.compile(r"[^A-Za-z0-9_.-]+")


def pdf_answer(job: Job, name: str) -> Response:
    """A job as PDF, shown in the browser under a name that is only letters."""
    tidy = _NAME.sub("-", name).strip("-.")[:60] or "paper"
    return Response(press.pdf(job), media_type="application/pdf", headers={"content-disposition": f'inline; filename="{tidy}.pdf"'})
