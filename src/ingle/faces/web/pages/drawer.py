"""The drawer: everything that is wanted now and then, one line each."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces.web.forms import Sent
from ingle.faces.web.page import show, state
from ingle.faces.web.security import set_session

router = APIRouter(include_in_schema=False)

THEMES = (("", "as the machine has it"), ("light", "light"), ("dark", "dark"), ("black", "black only"))


@dataclass(frozen=True)
class Item:
    """One thing in the drawer."""

    path: str
    name: str
    what: str


ITEMS: list[Item] = [
    Item("/amiss", "Something went wrong", "say what happened, get one act"),
    Item("/heat", "Heat", "reckon when the middle is done and how fast it gets cold; frost, cold smoke, crackling"),
    Item("/bread", "Bread, butter, sauce", "scale a formula, warm a dough's water, churn, boil down"),
    Item("/keeping", "How long it keeps", "read off the day it ends"),
    Item("/loggers", "Loggers", "bring a logger's file; its batch is worked out anew"),
    Item("/trace", "Trail", "follow a lot to its packs, or call them back"),
    Item("/papers", "Papers", "print for an inspector, the fridge door, packs"),
    Item("/phone", "Bring in a phone", "show it a code that signs it in once"),
    Item("/house", "The house", "set its clock, rules, units, kit"),
    Item("/grounds", "Grounds", "look up where a limit comes from and how sure it is"),
    Item("/doors", "The three doors", "plan a meal, take in what is begun, open the demonstration"),
    Item("/parts", "All parts", "look at every mark and button of this page"),
]


@dataclass(frozen=True)
class Drawer:
    """What is in it."""

    template: ClassVar[str] = "drawer.html"
    items: tuple[Item, ...]
    themes: tuple[tuple[str, str], ...] = THEMES

    @property
    def title(self) -> str:
        """The window's title."""
        return "Drawer"


@router.get("/drawer")
def drawer(request: Request) -> HTMLResponse:
    """What is in the drawer."""
    return show(request, Drawer(tuple(ITEMS)), here="drawer")


@router.post("/theme")
def theme(request: Request, form: Sent) -> Response:
    """How the page looks on this machine: kept in the session alone."""
    config, _, session = state(request)
    chosen = form.text("theme")
    answer = RedirectResponse("/drawer", 303)
    set_session(config, answer, replace(session, theme=chosen if chosen in dict(THEMES) else "", who=form.text("who")[:40]))
    return answer
