"""Loggers: a file comes in, is shown as it was understood, is kept once; then its chart, what was over, and what that changes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces.log_chart import log_svg
from ingle.faces.web import log_taking as taking
from ingle.faces.web.forms import Form, Sent, Typed
from ingle.faces.web.ink import in_page_ink
from ingle.faces.web.page import Wrong, show, state
from ingle.faces.words import pattern_words
from ingle.ground.errors import BadBrief, IngleError
from ingle.ground.units import HOUR_S, show_hours
from ingle.jobs.house import METRIC
from ingle.jobs.log_book import LogRow, kept_as, logs, may_belong, stored
from ingle.jobs.read import ReadAnswer
from ingle.jobs.read_feed import Fed, feed_stored
from ingle.jobs.withdraw_log import withdraw_log
from ingle.safety import cooling
from ingle.safety.verdict import worst

router = APIRouter(include_in_schema=False)

PLACES = (("fridge", "in a fridge"), ("smoker", "in the smoker"), ("cooling", "in a piece that cools"), ("", "somewhere else: only chart it"))
HANGING = tuple((k, k) for k in taking.HANGING)
_KEPT = ("zone", "unit", "dates", "start", "doubles", "order", "encoding", "instrument", "thickness", "still", "place", "hanging", "name", "batch")
_FIELDS = {"limits": "place", "zone": "zone", "unit": "unit", "thickness": "thickness", "batch": "batch", "file": "file", "log": "file", "start": "start"}


@dataclass(frozen=True)
class Loggers:
    """What came in so far, and the way in."""

    template: ClassVar[str] = "loggers.html"
    rows: tuple[LogRow, ...]
    count: int
    batches: tuple[tuple[str, str], ...]
    typed: Mapping[str, str]
    places: tuple[tuple[str, str], ...] = PLACES
    hangings: tuple[tuple[str, str], ...] = HANGING

    @property
    def title(self) -> str:
        """The window's title."""
        return "Loggers"


@dataclass(frozen=True)
class Look:
    """How a file was understood; nothing is kept yet."""

    template: ClassVar[str] = "log_look.html"
    key: str
    answer: ReadAnswer
    typed: Mapping[str, str]
    facts: tuple[tuple[str, str], ...]
    wide: Markup
    narrow: Markup
    batches: tuple[tuple[str, str], ...]
    choices: Mapping[str, tuple[tuple[str, str], ...]]  # answers to what is asked, by its field
    first: str = ""  # of a cooling: the rule that decides
    there: str = ""  # UUID of the log that came from this very file
    kinds: tuple[tuple[str, str], ...] = tuple((k, k) for k in taking.KINDS)
    places: tuple[tuple[str, str], ...] = PLACES

    @property
    def title(self) -> str:
        """The window's title."""
        return f"Is this right? {self.answer.sighting.name}"


@dataclass(frozen=True)
class LogPage:
    """One log in the book."""

    template: ClassVar[str] = "log.html"
    row: LogRow
    answer: ReadAnswer
    level: str
    wide: Markup
    narrow: Markup
    fed: tuple[Fed, ...]
    kept: str
    deviations: tuple[tuple[Any, str], ...]  # each with how long it was above
    place: str
    first: str = ""  # of a cooling: the rule that decides
    places: tuple[tuple[str, str], ...] = PLACES

    @property
    def title(self) -> str:
        """The window's title."""
        return self.row.name


def _batches(request: Request) -> tuple[tuple[str, str], ...]:
    """Batches a log may belong to."""
    _, shelf, session = state(request)
    return (("", "no batch"), *((code, f"{name}, {code}") for code, name in may_belong(shelf.book(session))))


@router.get("/loggers")
def loggers(request: Request, batch: str = "") -> Response:
    """All logs, and the way in."""
    _, shelf, session = state(request)
    if shelf.house(session) is None:
        return RedirectResponse("/doors", 303)
    return show(request, _list(request, Typed({"place": "fridge", "batch": batch})), here="drawer")


def _list(request: Request, typed: Mapping[str, str]) -> Loggers:
    _, shelf, session = state(request)
    rows, count = logs(shelf.book(session))
    offered = _batches(request)
    chosen = typed.get("batch", "")
    more = () if not chosen or chosen in dict(offered) else ((chosen, chosen),)
    return Loggers(rows, count, (*offered, *more), typed)


@router.post("/loggers/look")
async def look(request: Request, form: Sent) -> Response:
    """A file is shown as it was understood; what only a person knows is asked."""
    upload = form.file("file")
    content = await upload.read() if upload else b""
    return await run_in_threadpool(_look, request, form, content, upload.filename or "" if upload else "")


def _folder(request: Request) -> Any:
    config, _, session = state(request)
    return config.keep / ("waits-demonstration" if session.demonstration else "waits")


def _look(request: Request, form: Form, content: bytes, name: str) -> Response:
    _, shelf, session = state(request)
    typed = Typed({k: form.text(k) for k in (*_KEPT, *(k for k in form.typed if k.startswith(("kind:", "lost"))))})
    key = form.text("key")
    if name:
        typed["name"] = taking.bare_name(name)
    if not content and not key:
        return show(request, _list(request, typed), here="drawer", errors=(Wrong("file", "No file was chosen. Choose what the logger's program exported, as CSV."),), status=422)
    try:
        if content:
            key = taking.wait(_folder(request), content)
        content = content or taking.waiting(_folder(request), key)
        answer = taking.look(content, said_of(form, typed), _house(request), shelf.book(session), [typed["batch"]])
    except IngleError as why:
        if key:
            taking.let_go(_folder(request), key)
        field = _FIELDS.get(why.field, "file")
        return show(request, _list(request, typed), here="drawer", errors=(Wrong(field, why.text.replace("\n", " ")),), status=422)
    return show(request, _shown(request, key, answer, typed), here="drawer")


def _house(request: Request) -> Any:
    _, shelf, session = state(request)
    return shelf.house(session) or METRIC


def said_of(form: Form, typed: Mapping[str, str]) -> taking.Said:
    """What the form says of the file."""
    try:
        lost = tuple(float(x) for x in form.all("lost") if x)
    except ValueError:
        raise BadBrief("lost is not a number.", field="lost", value=form.text("lost"), limit="a number", remedy="Write the number that stands for a lost probe.") from None
    kinds = tuple((k.removeprefix("kind:"), v) for k, v in form.typed.items() if k.startswith("kind:") and v in taking.KINDS)
    return taking.Said(
        name=typed["name"] or "log.csv", place=typed["place"], zone=typed["zone"], unit=typed["unit"], dates=typed["dates"], start=typed["start"],
        doubles=typed["doubles"], order=typed["order"], lost=lost, encoding=typed["encoding"], instrument=typed["instrument"], kinds=kinds,
        hanging=typed["hanging"] or "meat", still=typed["still"], thickness=typed["thickness"] and (typed["thickness"] + ("mm" if typed["thickness"].isdigit() else "")),
    )  # fmt: skip


def _charts(answer: ReadAnswer, zone: str, title: str) -> tuple[Markup, Markup]:
    if not any(not t.wet for t in answer.sighting.tracks):
        return Markup(""), Markup("")
    return in_page_ink(log_svg(answer, title=title, zone=zone)), in_page_ink(log_svg(answer, title=title, zone=zone, narrow=True))


def _first(answer: ReadAnswer) -> str:
    return cooling.strictest(answer.stages) if answer.stages else ""


def _shown(request: Request, key: str, answer: ReadAnswer, typed: Typed) -> Look:
    seen = answer.sighting
    house = _house(request)
    told = {k: v for k, v in seen.understood.items() if isinstance(v, str | int | float) and str(v)}
    wide, narrow = _charts(answer, house.zone, seen.name) if not seen.questions else (Markup(""), Markup(""))
    return Look(key, answer, typed, tuple((k.replace("_", " "), pattern_words(str(v)) if k == "pattern" else str(v)) for k, v in told.items()), wide, narrow, _batches(request), {q.field: tuple((c, c) for c in q.choices) for q in seen.questions}, _first(answer), kept_as(state(request)[1].book(state(request)[2]), seen.sha256))


@router.post("/loggers/keep")
def keep(request: Request, form: Sent) -> Response:
    """It was understood rightly: kept once, its deviations written, the batch's forecast corrected."""
    _, shelf, session = state(request)
    key = form.text("key")
    typed = Typed({k: form.text(k) for k in (*_KEPT, *(k for k in form.typed if k.startswith(("kind:", "lost"))))})
    content = taking.waiting(_folder(request), key)
    try:
        answer = taking.look(content, said_of(form, typed), _house(request), shelf.book(session), [typed["batch"]])
        if answer.sighting.questions:
            return show(request, _shown(request, key, answer, typed), here="drawer", status=422, errors=(Wrong("", answer.sighting.questions[0].text),))
        batch = form.text("batch")
        kept, _ = taking.confirm(shelf.book(session), answer, {"": batch} if batch else {}, who=session.who, countries=_house(request).rules)
    except IngleError as why:
        return show(request, _list(request, typed), here="drawer", errors=(Wrong(_FIELDS.get(why.field, "file"), why.text.replace("\n", " ")),), status=422)
    taking.let_go(_folder(request), key)
    assert kept.kept is not None
    if not kept.kept.uid:
        return RedirectResponse("/loggers", 303)
    how = "again" if kept.kept.already else "new"
    return RedirectResponse(f"/loggers/{kept.kept.uid}?kept={how}", 303)


@router.post("/loggers/away")
def away(request: Request, form: Sent) -> Response:
    """Not this one: forgotten."""
    taking.let_go(_folder(request), form.text("key"))
    return RedirectResponse("/loggers", 303)


@router.get("/loggers/{uid}")
def log(request: Request, uid: str, kept: str = "", place: str = "") -> HTMLResponse:
    """One log in the book, judged by the lines of its place, with what it changes; of one that was withdrawn no more than its readings."""
    return show(request, _log_page(request, uid, kept if kept in ("new", "again", "withdrawn") else "", place), here="drawer")


def _log_page(request: Request, uid: str, kept: str = "", place: str = "") -> LogPage:
    _, shelf, session = state(request)
    book, house = shelf.book(session), _house(request)
    row, answer = stored(book, uid, place=place if place in dict(PLACES) else "", countries=house.rules)
    wide, narrow = _charts(answer, house.zone, row.name)
    if row.withdrawn is not None:
        return LogPage(row, ReadAnswer(answer.sighting), "", wide, narrow, (), kept, (), place or row.place)
    fed = tuple(feed_stored(book, code, countries=house.rules) for code, _ in row.batches)
    level = answer.level or (worst(list(answer.verdicts)) if answer.verdicts else "")
    held = tuple((d, show_hours(d.above_s / HOUR_S)) for d in answer.deviations)
    return LogPage(row, answer, level, wide, narrow, fed, kept, held, place or row.place, _first(answer))


@router.post("/loggers/{uid}/withdraw")
def withdraw(request: Request, uid: str, form: Sent) -> Response:
    """It was taken in wrongly: it counts no more, and says by whom, when and why."""
    _, shelf, session = state(request)
    if not form.text("why"):
        wrong = Wrong("why", "Say in a word or two what was wrong with it: it stays in the book beside the log.")
        return show(request, _log_page(request, uid), here="drawer", errors=(wrong,), status=422)
    withdraw_log(shelf.book(session), uid, why=form.text("why"), uid=form.uid, who=session.who)
    return RedirectResponse(f"/loggers/{uid}?kept=withdrawn", 303)
