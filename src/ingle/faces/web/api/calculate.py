"""What is only worked out, and written nowhere: one route a command."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import click
from fastapi import APIRouter
from starlette.responses import JSONResponse

from ingle.faces.web.api.answers import answered
from ingle.faces.web.api.asking import ask, asks


def router_of(commands: Mapping[str, click.Command]) -> APIRouter:
    """One route a command, under its name."""
    router = APIRouter(tags=["work out"])
    for name, command in commands.items():
        router.add_api_route(f"/{name}", _route(name, command), methods=["POST"], responses=answered(name), operation_id=name)
    return router


def _route(name: str, command: click.Command) -> Callable[..., Any]:
    asked = asks(name, command)

    def route(given: Any) -> JSONResponse:
        return JSONResponse(ask(asked, given))

    route.__annotations__["given"] = asked.model
    route.__name__, route.__doc__ = name, asked.model.__doc__
    return route
