"""``/api``: the jobs of the commands, asked and answered in JSON, described by OpenAPI.

Writes are taken as JSON (or a log's bytes as ``application/octet-stream``) only: neither can be sent by a form of another site
without the browser asking this page first, and it says no. The same sign-in, host and origin rules as for the pages stand before it.
"""

from __future__ import annotations

from fastapi import APIRouter

from ingle.faces.web.api import book, calculate, logs, work
from ingle.faces.web.api.answers import ERRORS

router = APIRouter(prefix="/api", responses=ERRORS)
for part in (calculate.router, book.router, logs.router, work.router):
    router.include_router(part)
