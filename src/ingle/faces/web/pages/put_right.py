"""Putting right: a new row in the place of a wrong one, and the old value left standing, struck through."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces.web.forms import Sent, number, said
from ingle.faces.web.page import Wrong, show, state
from ingle.faces.web.pages.at_bench import held, named, with_unit
from ingle.ground import units
from ingle.ground.errors import IngleError
from ingle.jobs import record
from ingle.jobs.book import Entry, Leaf
from ingle.jobs.house import House
from ingle.notebook.trouble import NotFound

router = APIRouter(include_in_schema=False)

MEASURED = (("pH", "ph"), ("Humidity, %", "humidity_pct"), ("Salt, g per 100 g", "salt_g_per_100g"), ("Water activity", "water_activity"))


@dataclass(frozen=True)
class Field:
    """One value of an entry: its column, what it is called, and as it stands."""

    column: str
    label: str
    value: str
    name: str = "value"  # of the form's field


@dataclass(frozen=True)
class CorrectPage:
    """One entry to be put right."""

    template: ClassVar[str] = "correct.html"
    leaf: Leaf
    entry: Entry
    fields: tuple[Field, ...]  # all that was read in it, each to be put right or left as it is

    @property
    def title(self) -> str:
        """The window's title."""
        return "Put right"


def _entry(told: Leaf, kind: str, uid: str) -> Entry:
    found = next((e for e in told.entries if e.kind == kind and e.now.uid == uid), None)
    if found is None:
        raise NotFound("This entry is not in this batch, or was put right before.", field="row", value=uid, remedy="Look at the batch again.")
    return found


def _fields(entry: Entry, lived: House) -> tuple[Field, ...]:
    """The values that an entry holds, in the house's units; a note's words where it holds nothing else, or beside it."""
    row = entry.now.row
    if entry.kind == "dose":
        return (Field("weighed_g", f"{named(row.item)}, g", f"{row.weighed_g:g}"),)
    found = []
    if row.weight_g is not None:
        by = (units.pounds(row.weight_g), "lb") if lived.mass == "lb" else (units.kilograms(row.weight_g), "kg")
        found.append(("weight_g", f"Weight, {by[1]}", f"{by[0]:g}"))
    if row.temperature_c is not None:
        warm = units.fahrenheit(row.temperature_c) if lived.temperature == "F" else row.temperature_c
        found.append(("temperature_c", f"Temperature, °{lived.temperature}", f"{warm:g}"))
    found += [(column, label, f"{getattr(row, column):g}") for label, column in MEASURED if getattr(row, column) is not None]
    if row.text or not found:
        found.append(("text", "What it should say", row.text))
    return tuple(Field(*f, name=f"value_{f[0]}" if n else "value") for n, f in enumerate(found))


@router.get("/book/{code}/correct/{kind}/{uid}")
def correct_page(request: Request, code: str, kind: str, uid: str) -> HTMLResponse:
    """The values that stand, and the place for the right ones."""
    told, lived = held(request, code)
    entry = _entry(told, kind, uid)
    return show(request, CorrectPage(told, entry, _fields(entry, lived)), here="book")


@router.post("/book/{code}/correct/{kind}/{uid}")
def correct(request: Request, code: str, kind: str, uid: str, form: Sent) -> Response:
    """A new row in its place; the old one stays, struck through. The same press sent again writes nothing."""
    told, lived = held(request, code)
    _, shelf, session = state(request)
    if form.uid and any(e.now.uid == form.uid for e in told.entries):
        return RedirectResponse(f"/book/{code}", 303)
    entry = _entry(told, kind, uid)
    fields = _fields(entry, lived)
    void, changed = form.has("void"), {}
    for f in () if void else fields:
        if f.name == "value" or (f.name in form.typed and form.text(f.name) != f.value.strip()):
            try:
                changed[f.column] = _right(f.column, form.text(f.name), lived)
            except IngleError as why:
                form.wrong.append(Wrong(f.name, said(why)))
    try:
        if not form.wrong:
            record.correct(shelf.book(session), kind, uid, void=void, uid=form.uid, who=session.who, **changed)
    except IngleError as why:
        form.wrong.append(Wrong("value", said(why)))
    if form.wrong:
        page = CorrectPage(told, entry, tuple(replace(f, value=form.typed.get(f.name, f.value)) for f in fields))
        return show(request, page, here="book", errors=tuple(form.wrong), status=422)
    return RedirectResponse(f"/book/{code}", 303)


def _right(field: str, written: str, lived: House) -> Any:
    if field == "text":
        return written
    if field == "weighed_g":
        return units.mass_g(with_unit(written, "g"), "weighed", zero=True)
    if field == "weight_g":
        return units.mass_g(with_unit(written, "lb" if lived.mass == "lb" else "kg"), "weight")
    if field == "temperature_c":
        return units.temperature_c(with_unit(written, lived.temperature), "temperature")
    return number(written, field)
