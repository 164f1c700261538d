"""What is only worked out, and written nowhere: one route a command."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click
from fastapi import APIRouter
from starlette.responses import JSONResponse

from ingle.faces.cli import chill_cmd, cook_cmd, crackle_cmd, cure_cmd, judge_cmd, keep_cmd, mishap_cmd, weigh_cmd
from ingle.faces.web.api.answers import answered
from ingle.faces.web.api.asking import ask, asks

router = APIRouter(tags=["work out"])

COMMANDS: dict[str, click.Command] = {
    "weigh": weigh_cmd.command, "judge": judge_cmd.command, "cure": cure_cmd.command, "cook": cook_cmd.command, "chill": chill_cmd.command,
    "keep": keep_cmd.command, "mishap": mishap_cmd.command, "crackle": crackle_cmd.command,
}  # fmt: skip


def _route(name: str, command: click.Command) -> Callable[..., Any]:
    asked = asks(name, command)

    def route(given: Any) -> JSONResponse:
        return JSONResponse(ask(asked, given))

    route.__annotations__["given"] = asked.model
    route.__name__, route.__doc__ = name, asked.model.__doc__
    return route


for _name, _command in COMMANDS.items():
    router.add_api_route(f"/{_name}", _route(_name, _command), methods=["POST"], responses=answered(_name), operation_id=_name)
