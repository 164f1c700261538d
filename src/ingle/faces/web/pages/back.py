"""The paper sheet's boxes taken back, in the order they stand on it: each a reading, or the hour a step was done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, ClassVar
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from ingle.faces.benchrow import Row, rows
from ingle.faces.boxes import Box, boxes_of
from ingle.faces.events import Event, days, events
from ingle.faces.web.forms import Form, Sent, Typed, number
from ingle.faces.web.page import Wrong, clock_of, kitchen_of, show, state
from ingle.ground import units
from ingle.ground.errors import BadBrief, IngleError
from ingle.jobs.plan_kept import Value, plan_for, plans_kept, take_back
from ingle.notebook.trouble import NotFound
from ingle.planning.plan import Plan

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class Asked:
    """One box, as often as it is drawn."""

    name: str  # of the field: "b3-0-1" is row 3, box 0, the second of its pair
    label: str
    unit: str  # "°C", "kg", "g", "pH", ":" for a time
    limit: bool
    step: str
    goes_on: str = ""  # "began" | "visit": what is done there ends nothing


@dataclass(frozen=True)
class BackRow:
    """One row of the sheet."""

    row: Row
    boxes: tuple[Asked, ...]
    who: str  # name of the field of its initials


@dataclass(frozen=True)
class Back:
    """The sheet of one day, with its boxes as fields."""

    template: ClassVar[str] = "back.html"
    plan: Plan
    day: date
    days: tuple[date, ...]
    rows: tuple[BackRow, ...]
    typed: Mapping[str, str]
    taken: int

    @property
    def title(self) -> str:
        """The window's title."""
        return f"Boxes of {self.day:%A} {self.day.day}"


def _page(request: Request, day: str, typed: Mapping[str, str], taken: int = 0) -> Back:
    _, shelf, session = state(request)
    today = clock_of(request).astimezone(kitchen_of(request).home).date()
    plans = plans_kept(shelf.book(session))
    plan = plan_for(plans, today)
    if plan is None:
        raise NotFound("No plan is in the book, so no sheet has boxes.", field="plan", remedy="Plan a meal and take it in.")
    try:
        asked = date.fromisoformat(day) if day else max((d for d in days(plan) if d <= today), default=days(plan)[0])
    except ValueError:
        raise BadBrief(f"{day[:20]!r} is not a day.", field="day", value=day[:20], limit="like 2026-12-18", remedy="Write it like 2026-12-18.") from None
    past = tuple(d for d in days(plan) if d <= today)[-6:] or (days(plan)[0],)
    return Back(plan, asked, past, asked_rows(plan, asked), typed, taken)


def asked_rows(plan: Plan, day: date) -> tuple[BackRow, ...]:
    """The rows of the day sheet in their order, each box with the step it belongs to."""
    todays = events(plan, day)
    found = []
    for i, row in enumerate(rows(plan, day)):
        asked = []
        for j, box in enumerate(row.boxes):
            event = next((e for e in todays if e.start == row.start and box in boxes_of(plan, e)), None)
            step, on = (event.step.id, _goes_on(event)) if event else ("", "")
            asked += [Asked(f"b{i}-{j}-{n}", _label(box, n), box.unit, box.limit, step, on) for n in range(box.count)]
        found.append(BackRow(row, tuple(asked), f"w{i}"))
    return tuple(found)


def _goes_on(event: Event) -> str:
    """A visit ends nothing, nor does the first stretch of a step that goes on by itself."""
    return "visit" if event.visit else "began" if event.later or not event.last else ""


def _label(box: Box, n: int) -> str:
    names = box.label.split(" and ")
    if box.count > 1 and len(names) == box.count:
        return names[n][0].upper() + names[n][1:]
    return box.label if box.count == 1 else f"{box.label}, {'first' if n == 0 else 'second'}"


@router.get("/back")
def back(request: Request, day: str = "", taken: int = 0) -> Response:
    """The sheet of a day."""
    _, shelf, session = state(request)
    if shelf.house(session) is None:
        return RedirectResponse("/doors", 303)
    return show(request, _page(request, day, Typed(), max(0, min(taken, 999))), here="drawer")


@router.post("/back")
def take(request: Request, form: Sent) -> Response:
    """Boxes that were filled are written, all or none; empty ones are not read."""
    _, shelf, session = state(request)
    page = _page(request, form.text("day"), form.typed)
    zone = ZoneInfo(page.plan.zone)
    values = [v for r in page.rows for box in r.boxes if (v := _value(form, page, r, box, zone)) is not None]
    if not values and not form.wrong:
        form.wrong.append(Wrong(page.rows[0].boxes[0].name if page.rows else "", "No box is filled. Copy at least one from the sheet."))
    if not form.wrong:
        try:
            count = take_back(shelf.book(session), page.plan, values, uid=form.uid, who=session.who)
            return RedirectResponse(f"/back?day={page.day}&taken={count}", 303)
        except IngleError as why:
            form.blame(why, {})
    return show(request, page, here="drawer", errors=tuple(form.wrong), status=422)


def _value(form: Form, page: Back, r: BackRow, box: Asked, zone: ZoneInfo) -> Value | None:
    """What stood in a box, read in the unit that is printed in it."""
    written = form.text(box.name)
    if not written:
        return None
    at = datetime.combine(page.day, r.row.start.timetz().replace(tzinfo=None), zone)
    common: dict[str, Any] = {"place": box.name[1:].replace("-", "."), "step": box.step, "label": box.label, "goes_on": box.goes_on, "initials": form.text(r.who)[:8]}
    try:
        if box.unit == ":":
            return Value(at=_clock(written, page.day, zone), done=True, **common)
        said = written if any(c.isalpha() for c in written) else f"{written}{'' if box.unit == 'pH' else box.unit}"
        if box.unit in ("g", "kg"):
            return Value(at=at, weight_g=units.mass_g(said, box.label), **common)
        if box.unit == "\u00b0C":
            return Value(at=at, temperature_c=units.temperature_c(said.replace("\u00b0", ""), box.label), **common)
        if box.unit == "pH":
            return Value(at=at, ph=number(written.removeprefix("pH").strip(), box.label), **common)
        return Value(at=at, note=f"{written} {box.unit}", **common)
    except IngleError as why:
        form.wrong.append(Wrong(box.name, why.text.replace("\n", " ")))
        return None


def _clock(written: str, day: date, zone: ZoneInfo) -> datetime:
    hour, _, minute = written.replace(".", ":").replace("h", ":").partition(":")
    try:
        return datetime(day.year, day.month, day.day, int(hour), int(minute or 0), tzinfo=zone)
    except ValueError:
        raise BadBrief(f"{written!r} is not an hour.", field="at", value=written, limit="like 18:05", remedy="Write it like 18:05.") from None
