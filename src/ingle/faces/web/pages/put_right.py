"""Putting right: a new row in the place of a wrong one, and the old value left standing, struck through."""

from __future__ import annotations

from dataclasses import dataclass
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

MEASURED = (
    ("temperature", "temperature_c"), ("ph", "ph"), ("humidity", "humidity_pct"), ("salt", "salt_g_per_100g"), ("water_activity", "water_activity"),
)  # fmt: skip


@dataclass(frozen=True)
class CorrectPage:
    """One entry to be put right."""

    template: ClassVar[str] = "correct.html"
    leaf: Leaf
    entry: Entry
    field: str
    label: str
    value: str

    @property
    def title(self) -> str:
        """The window's title."""
        return "Put right"


def _entry(told: Leaf, kind: str, uid: str) -> Entry:
    found = next((e for e in told.entries if e.kind == kind and e.now.uid == uid), None)
    if found is None:
        raise NotFound("This entry is not in this batch, or was put right before.", field="row", value=uid, remedy="Look at the batch again.")
    return found


def _field(entry: Entry, lived: House) -> tuple[str, str, str]:
    row = entry.now.row
    if entry.kind == "dose":
        return "weighed_g", f"{named(row.item)}, g", f"{row.weighed_g:g}"
    if row.weight_g is not None:
        by = (units.pounds(row.weight_g), "lb") if lived.mass == "lb" else (units.kilograms(row.weight_g), "kg")
        return "weight_g", f"Weight, {by[1]}", f"{by[0]:g}"
    if row.temperature_c is not None:
        warm = units.fahrenheit(row.temperature_c) if lived.temperature == "F" else row.temperature_c
        return "temperature_c", f"Temperature, °{lived.temperature}", f"{warm:g}"
    for name, column in MEASURED[1:]:
        if getattr(row, column) is not None:
            return column, name.replace("_", " "), f"{getattr(row, column):g}"
    return "text", "What it should say", row.text


@router.get("/book/{code}/correct/{kind}/{uid}")
def correct_page(request: Request, code: str, kind: str, uid: str) -> HTMLResponse:
    """The value that stands, and the place for the right one."""
    told, lived = held(request, code)
    entry = _entry(told, kind, uid)
    return show(request, CorrectPage(told, entry, *_field(entry, lived)), here="book")


@router.post("/book/{code}/correct/{kind}/{uid}")
def correct(request: Request, code: str, kind: str, uid: str, form: Sent) -> Response:
    """A new row in its place; the old one stays, struck through."""
    told, lived = held(request, code)
    _, shelf, session = state(request)
    entry = _entry(told, kind, uid)
    field, label, _ = _field(entry, lived)
    try:
        if form.has("void"):
            record.correct(shelf.book(session), kind, uid, void=True, uid=form.uid, who=session.who)
        else:
            record.correct(shelf.book(session), kind, uid, uid=form.uid, who=session.who, **{field: _right(field, form.text("value"), lived)})
    except IngleError as why:
        page = CorrectPage(told, entry, field, label, form.text("value"))
        return show(request, page, here="book", errors=(Wrong("value", said(why)),), status=422)
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
