"""At hand: what needs someone, the next step with its one big button, then what comes and what waits."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import ClassVar
from urllib.parse import quote

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import RedirectResponse, Response

from ingle.faces.grains import count_words
from ingle.faces.marks import grains_svg
from ingle.faces.web.forms import Form, Sent
from ingle.faces.web.ink import in_page_ink
from ingle.faces.web.page import clock_of, show, state
from ingle.faces.week import week_svg
from ingle.faces.words import day, moment, waking
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.jobs import record
from ingle.jobs.at_hand import Ahead, Made, Meal, ahead
from ingle.jobs.attention import Need
from ingle.jobs.house import House
from ingle.jobs.lying import Along
from ingle.jobs.today import today
from ingle.jobs.today_things import Task, Today, Waiting
from ingle.jobs.visits import visit
from ingle.jobs.week import week
from ingle.notebook.models import Done, Reading
from ingle.notebook.readings import AlreadyDone

router = APIRouter(include_in_schema=False)

WITHDRAWN_MOST = 40  # entries by one press


@dataclass(frozen=True)
class Waits:
    """What goes on by itself, with its grains where it has a forecast."""

    row: Waiting
    grains: Markup
    count: str
    log: Along | None = None  # moved its forecast

    @property
    def pull(self) -> datetime:
        """Its end, at an hour somebody is up."""
        return waking(self.row.until)


@dataclass(frozen=True)
class Stamp:
    """What was just written, and the way back."""

    words: str
    kind: str
    uid: str


@dataclass(frozen=True)
class DayTasks:
    """Tasks of one day under its name."""

    name: str
    tasks: tuple[Task, ...]


@dataclass(frozen=True)
class Hand:
    """The first page."""

    template: ClassVar[str] = "hand.html"
    told: Today
    meal: Meal | None
    left: str
    needs: tuple[Need, ...]
    then: tuple[DayTasks, ...]
    waits: tuple[Waits, ...]
    goes_on: bool
    count: str
    done_today: tuple[Made, ...]
    stamp: Stamp | None
    already: str = ""  # that the step which was pressed is over
    way: str = ""  # back to the batch it was pressed in
    week_wide: Markup = Markup("")  # noqa: RUF009  frozen, a value
    week_narrow: Markup = Markup("")  # noqa: RUF009  frozen, a value

    @property
    def title(self) -> str:
        """The window's title."""
        return f"At hand: {self.told.next.verb}, {moment(self.told.next.at)}" if self.told.next else "At hand"


@router.get("/")
def hand(request: Request, wrote: str = "", what: str = "") -> Response:
    """What to do now."""
    _, shelf, session = state(request)
    if shelf.house(session) is None:
        return RedirectResponse("/doors", 303)
    book = shelf.book(session)
    told = today(book, now=clock_of(request))
    beside = ahead(book, told)
    stamp = next((Stamp(what or "Written", d.kind, wrote) for d in beside.done_today if d.uid == wrote), None)
    return show(request, hand_page(told, beside, stamp), here="hand")


def hand_page(told: Today, beside: Ahead, stamp: Stamp | None = None) -> Hand:
    """The page of an answer."""
    nxt = told.next
    rest = [t for t in told.tasks if t is not nxt]
    days: dict[str, list[Task]] = {}
    for task in rest:
        late = task.at.date() < told.now.date()
        name = "Still to do" if late else "Then" if task.at.date() == told.now.date() else f"{task.at:%A} {task.at.day}"
        days.setdefault(name, []).append(task)
    meal = beside.meal
    left = "" if meal is None else units.show_hours(units.hours((meal.at - told.now).total_seconds()))
    return Hand(
        told, meal, left, tuple(n for n in told.needs if not _is_next(n, nxt)), tuple(DayTasks(k, tuple(v)) for k, v in days.items()),
        tuple(_waits(w, beside) for w in told.waiting), nxt is not None and nxt.step_id in beside.goes_on, _count(told.now, nxt), beside.done_today, stamp,
        **dict(zip(("week_wide", "week_narrow"), _week(told, beside), strict=True)),
    )  # fmt: skip


def _week(told: Today, beside: Ahead) -> tuple[Markup, Markup]:
    """The days ahead as a picture, for a table and for a phone; empty where nothing lies in them."""
    plan = week(told, beside)
    if plan is None:
        return Markup(""), Markup("")
    wide, narrow = (week_svg(plan, told.now.date(), now=told.now, width=width) for width in (1200, 380))
    return (in_page_ink(wide), in_page_ink(narrow)) if wide else (Markup(""), Markup(""))


def _is_next(need: Need, nxt: Task | None) -> bool:
    """A step that is late and is the next one is said once: in the big card."""
    return nxt is not None and need.kind == "step" and need.ref == str(nxt.step_id)


def _count(now: datetime, nxt: Task | None) -> str:
    """``in 20 minutes``, ``1 h 05 min late``, ``in 2 d 3 h``."""
    if nxt is None:
        return ""
    hours = units.hours((nxt.at - now).total_seconds())
    if abs(hours) < 1 / 60:
        return "now"
    return f"in {units.show_hours(hours)}" if hours > 0 else f"{units.show_hours(-hours)} late"


def _waits(row: Waiting, beside: Ahead) -> Waits:
    found = beside.forecasts.get(row.batch)
    if found is None:
        return Waits(row, Markup(""), "")
    forecast, planned_h, since = found
    named = lambda h: day(datetime.fromtimestamp(since.timestamp() + units.seconds(h), since.tzinfo))  # noqa: E731
    return Waits(row, Markup(grains_svg(forecast, planned_h, named=named)), count_words(forecast, planned_h), beside.along.get(row.batch))


@router.post("/step")
def step(request: Request, form: Sent) -> Response:
    """A step is begun or done; sent twice it is written once, and one that another did meanwhile is told."""
    _, shelf, session = state(request)
    now = _when(form, shelf.house(session)) or form.at or clock_of(request)
    began = form.text("what") == "began"
    row: Done | Reading
    try:
        if form.has("visit"):  # a turn in between: the step goes on
            row = visit(shelf.book(session), form.text("step"), at=now, uid=form.uid, who=session.who)
        else:
            row = record.step(
                shelf.book(session), form.text("step"), uid=form.uid, who=session.who, began=now if began else None, ended=None if began else now, once=True
            )
    except AlreadyDone as why:
        told = today(shelf.book(session), now=clock_of(request))
        page = replace(hand_page(told, ahead(shelf.book(session), told)), already=why.message, way=form.text("back"))
        return show(request, page, here="hand", status=409)
    words = f"{'Begun' if began else 'Done'}: {form.text('verb')[:80]}"
    back = form.text("back")
    return RedirectResponse(back if back.startswith("/book/") else f"/?wrote={row.uid}&what={quote(words)}", 303)


def _when(form: Form, lived: House | None) -> datetime | None:
    """The hour that was given, by the kitchen's clock."""
    written = form.text("when")
    if not written or lived is None:
        return None
    try:
        return datetime.fromisoformat(written).replace(tzinfo=lived.home)
    except ValueError:
        raise BadBrief(f"{written[:20]!r} is not an hour.", field="when", value=written[:20], limit="like 2026-12-18 18:05", remedy="Write it like 2026-12-18 18:05.") from None


@router.post("/undo")
def undo(request: Request, form: Sent) -> Response:
    """The last entry, of a dosing all its items, is withdrawn by a correction: it stays in the book, struck through."""
    _, shelf, session = state(request)
    record.withdraw(shelf.book(session), form.text("kind"), form.text("row").split(",")[:WITHDRAWN_MOST], uid=form.uid, who=session.who)
    back = form.text("back") or "/"
    return RedirectResponse(back if back.startswith("/") and not back.startswith("//") else "/", 303)
