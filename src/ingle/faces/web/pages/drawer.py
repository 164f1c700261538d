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
    Item("/amiss", "Something went wrong", "the fridge failed, left out, too hot: one act first"),
    Item("/heat", "Heat", "when the middle is done; how fast it gets cold"),
    Item("/keeping", "How long it keeps", "the day it ends, and who says so"),
    Item("/loggers", "Loggers", "a logger's file: shown, kept once, its batch worked out anew"),
    Item("/trace", "Trail", "from a lot to every pack and back; calling packs back"),
    Item("/papers", "Papers", "for an inspector, the fridge door, packs"),
    Item("/phone", "Bring in a phone", "a code that signs it in, once"),
    Item("/house", "The house", "its clock and rules, kilograms or pounds, its kit"),
    Item("/grounds", "Grounds", "where every limit and number comes from, and how sure"),
    Item("/doors", "The three doors", "plan a meal, take in what is begun, the demonstration"),
    Item("/parts", "All parts", "every mark and button of this page, to look at"),
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
