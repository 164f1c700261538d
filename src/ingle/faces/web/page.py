"""From a page's dataclass to HTML: its fields are all its template may use, beside what every page has."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any, ClassVar, Protocol

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse

from ingle.faces import words
from ingle.faces.marks import mark
from ingle.faces.pages import numbers_bold
from ingle.faces.web.config import Config
from ingle.faces.web.ink import in_page_ink
from ingle.faces.web.security import Session, token
from ingle.faces.web.shelf import Shelf
from ingle.ground.units import show_hours
from ingle.jobs.house import METRIC, House
from ingle.notebook.rows import new_uid
from ingle.notebook.trouble import NotFound

TEMPLATES = Path(__file__).parent / "templates"
STATIC = Path(__file__).parent / "static"

# what every template may use beside its own page's fields
COMMON = ("title", "nav", "here", "csrf", "session", "house", "own", "errors", "new_uid", "now", "error_title", "version", "scripts")


class Page(Protocol):
    """A page: a frozen dataclass with a title and the name of its template."""

    template: ClassVar[str]

    @property
    def title(self) -> str:
        """What stands in the window's bar."""


@dataclass(frozen=True)
class Place:
    """One place of the bar."""

    key: str
    path: str
    name: str


NAV = (
    Place("hand", "/", "At hand"),
    Place("meal", "/meal", "Meal"),
    Place("salt", "/salt", "Salt"),
    Place("book", "/book", "Book"),
    Place("drawer", "/drawer", "Drawer"),
)


@dataclass(frozen=True)
class Wrong:
    """One thing wrong with a form: which field, what, what to do."""

    field: str
    text: str


@cache
def environment() -> Environment:
    """Templates; everything put in is escaped, and a missing name is an error."""
    env = Environment(
        loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, auto_reload=False
    )
    env.filters.update(
        amounts=numbers_bold, mark=lambda level: Markup(mark(level)), clock=words.clock, day=words.day, day_month=words.day_month,
        long_day=words.long_day, moment=words.moment, span=words.span, sentence=words.sentence, tie=words.tie, figure=words.figure,
        level_words=words.level_words, limit_words=words.limit_words, value_words=words.value_words, clean=words.clean, svg=in_page_ink,
        iso=lambda at: at.isoformat(), amount=words.amount,
        item_words=item_words, hours=show_hours, with_unit=words.with_unit, state_words=words.state_words,
    )  # fmt: skip
    return env


def item_words(item: str) -> str:
    """What a dose's item is called: ``curing-salt@6.25%`` is "curing salt, 6.25 %"."""
    name, _, strength = item.partition("@")
    number = strength.removesuffix("%")
    return f"{name.replace('-', ' ')}, {number}\u00a0%" if strength else name


def state(request: Request) -> tuple[Config, Shelf, Session]:
    """What a route works with: configuration, open notebooks, who asks."""
    return request.app.state.config, request.app.state.shelf, request.state.session


def kitchen_of(request: Request) -> House:
    """The kitchen of the book.

    Raises
    ------
    NotFound
        It is not begun yet.
    """
    _, shelf, session = state(request)
    lived = shelf.house(session)
    if lived is None:
        raise NotFound("There is no kitchen in this book yet.", field="kitchen", remedy="Begin one: the three doors.")
    return lived


def clock_of(request: Request) -> datetime:
    """The page's clock."""
    told: datetime = request.app.state.config.clock()
    return told.astimezone(UTC)


def show(request: Request, page: Any, *, here: str = "", errors: tuple[Wrong, ...] = (), status: int = 200, house: House | None = None) -> HTMLResponse:
    """The page as an answer. ``errors`` stand at its top, and its window's title says so."""
    config, shelf, session = state(request)
    lived = house or shelf.house(session)
    fields = {f.name: getattr(page, f.name) for f in dataclasses.fields(page)}
    title = page.title
    common: dict[str, Any] = {
        "title": title, "error_title": f"Error: {title}" if errors else title, "nav": NAV, "here": here, "csrf": token(config, session),
        "session": session, "house": lived or METRIC, "own": lived is not None, "errors": errors, "new_uid": new_uid, "now": clock_of(request),
        "version": request.app.version, "scripts": request.app.state.scripts,
    }  # fmt: skip
    return HTMLResponse(environment().get_template(page.template).render(**common, **fields), status_code=status)
