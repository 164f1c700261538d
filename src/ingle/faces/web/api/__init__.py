"""``/api``: the jobs of the commands, asked and answered in JSON, described by OpenAPI.

Writes are taken as JSON (or a log's bytes as ``application/octet-stream``) only: neither can be sent by a form of another site
without the browser asking this page first, and it says no. The same sign-in, host and origin rules as for the pages stand before it.
"""

from __future__ import annotations

from fastapi import APIRouter

from ingle.faces.asked import Offered
from ingle.faces.web.api import book, calculate, logs, work
from ingle.faces.web.api.answers import ERRORS


def router_of(offered: Offered) -> APIRouter:
    """The interface to what is offered; logs and plans have routes of their own."""
    router = APIRouter(prefix="/api", responses=ERRORS)
    for part in (calculate.router_of(offered.reckon), book.router_of(offered.record, offered.trace), logs.router, work.router):
        router.include_router(part)
    return router
