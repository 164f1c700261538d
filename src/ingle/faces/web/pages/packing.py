"""Packed and labelled; and what was done about a line that was crossed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces.paper.stock import stocks
from ingle.faces.web.forms import Form, Sent, Typed
from ingle.faces.web.page import Wrong, clock_of, show, state
from ingle.ground import units
from ingle.ground.errors import BadBrief, IngleError
from ingle.jobs import kitchen as kitchens
from ingle.jobs import record
from ingle.jobs.book import leaf
from ingle.jobs.deviation import Crossed, crossed
from ingle.jobs.house import METRIC
from ingle.jobs.not_yet import not_yet

router = APIRouter(include_in_schema=False)

BECAME = (("kept", "it is kept"), ("held", "it is held until it is clear"), ("reworked", "it was reworked: cooked, soaked, trimmed"), ("discarded", "it was thrown away"))


@dataclass(frozen=True)
class Packing:
    """A batch goes into packs."""

    template: ClassVar[str] = "packing.html"
    code: str
    name: str
    typed: Mapping[str, str]
    packs: tuple[tuple[str, str, int, str], ...]  # code, name, count, net weight
    fresh: str
    stocks: tuple[tuple[str, str], ...]
    against: tuple[str, ...]  # what is asked first: its cure goes on, a line was crossed

    @property
    def title(self) -> str:
        """The window's title."""
        return f"Pack {self.name}"


@dataclass(frozen=True)
class Acting:
    """What was done about it."""

    template: ClassVar[str] = "acting.html"
    told: Crossed
    typed: Mapping[str, str]
    became: tuple[tuple[str, str], ...] = BECAME

    @property
    def title(self) -> str:
        """The window's title."""
        return "What was done"


def _packing(request: Request, code: str, typed: Mapping[str, str], fresh: str = "") -> Packing:
    _, shelf, session = state(request)
    house = shelf.house(session) or METRIC
    told = leaf(shelf.book(session), code)
    packs = tuple((p.code, p.name, p.count, house.weight(p.net_weight_g)) for p in told.facts.packs)
    return Packing(told.code, told.name, typed, packs, fresh if fresh in {p[0] for p in packs} else "", tuple(stocks().items()), not_yet(shelf.book(session), code, clock_of(request)))


@router.get("/book/{code}/pack")
def packing(request: Request, code: str, fresh: str = "") -> HTMLResponse:
    """How many, how heavy, until when."""
    _, shelf, session = state(request)
    home = (shelf.house(session) or METRIC).home
    day = clock_of(request).astimezone(home).date() + timedelta(days=10)
    typed = Typed({"storage": "keep at or below 5 °C", "day": day.isoformat(), "kind": "use_by"})
    return show(request, _packing(request, code, typed, fresh), here="book")


@router.post("/book/{code}/pack")
def pack(request: Request, code: str, form: Sent) -> Response:
    """Packs are made, under a code of their own; their labels are one tap away. Of what is not ready they wait for a yes."""
    _, shelf, session = state(request)
    try:
        day = _day(form)
        count = form.read("count", _count, needed="How many packs is missing.")
        net = form.read("net", lambda w, f: units.mass_g(w if any(c.isalpha() for c in w) else f"{w}g", f), needed="What one pack weighs is missing, in g.")
        if not form.wrong and not form.has("yes") and not_yet(shelf.book(session), code, clock_of(request)):
            return show(request, _packing(request, code, form.typed), here="book", status=409)
        if not form.wrong and count is not None and net is not None:
            row = kitchens.pack(
                shelf.book(session), [code], count=count, net_weight_g=net, name=form.text("name"), storage=form.text("storage"), uid=form.uid, who=session.who,
                use_by=day if form.text("kind") != "best_before" else None, best_before=day if form.text("kind") == "best_before" else None,
            )  # fmt: skip
            return RedirectResponse(f"/book/{code}/pack?fresh={row.code}", 303)
    except IngleError as why:
        form.blame(why)
    return show(request, _packing(request, code, form.typed), here="book", errors=tuple(form.wrong), status=422)


def _count(written: str, field: str) -> int:
    if not written.isdigit() or not 1 <= int(written) <= 100_000:
        raise BadBrief(f"{written!r} is not a number of packs.", field=field, value=written, limit="1 to 100,000", remedy="Write it like 6.")
    return int(written)


def _day(form: Form) -> date | None:
    written = form.text("day")
    if not written:
        form.wrong.append(Wrong("day", "The day it ends is missing. How long it keeps says which."))
        return None
    try:
        return date.fromisoformat(written)
    except ValueError:
        form.wrong.append(Wrong("day", f"{written!r} is not a day. Write it like 2026-12-30."))
        return None


def _acting(request: Request, ref: str) -> Crossed:
    _, shelf, session = state(request)
    return crossed(shelf.book(session), ref)


@router.get("/book/deviation/{ref}")
def acting(request: Request, ref: str) -> HTMLResponse:
    """The line, by how much, and the place for what was done."""
    return show(request, Acting(_acting(request, ref), Typed({"product": "held"})), here="book")


@router.post("/book/deviation/{ref}")
def acted(request: Request, ref: str, form: Sent) -> Response:
    """Written beside it; with what became of the food it is closed."""
    _, shelf, session = state(request)
    more: dict[str, Any] = {"cause": form.text("cause"), "prevention": form.text("prevention"), "product": form.text("product")}
    try:
        record.act_on(shelf.book(session), ref, form.text("act"), uid=form.uid, who=session.who, closes=form.text("product") != "held", **more)
    except IngleError as why:
        form.blame(why)
        return show(request, Acting(_acting(request, ref), form.typed), here="book", errors=tuple(form.wrong), status=422)
    told = _acting(request, ref)
    return RedirectResponse(f"/book/{told.batch}" if told.batch else "/", 303)
