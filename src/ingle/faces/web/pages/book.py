"""The book: batches as a list, one batch as a leaf, several side by side, and one done again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, ClassVar

from fastapi import APIRouter, Query, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces.grains import count_words
from ingle.faces.marks import grains_svg
from ingle.faces.web.forms import Sent, Typed, wrong_of
from ingle.faces.web.page import Wrong, clock_of, show, state
from ingle.faces.web.pages.weighing import Asked, asked
from ingle.faces.words import day, waking
from ingle.ground import units
from ingle.ground.errors import BadBrief, IngleError
from ingle.jobs import kitchen as kitchens
from ingle.jobs.again import Again
from ingle.jobs.again import again as do_again
from ingle.jobs.book import BatchRow, Leaf, batches, kind_of, leaf
from ingle.jobs.compare import Compared, compare
from ingle.jobs.judge_dose import DoseJudged, doses_judged
from ingle.notebook.store import Notebook
from ingle.safety.verdict import Verdict

router = APIRouter(include_in_schema=False)

ROWS = 50  # on one page of the list
FURTHEST = 10_000  # pages
STATES = (("", "all"), ("going", "in the making"), ("planned", "planned"), ("done", "done"), ("discarded", "thrown away"))


@dataclass(frozen=True)
class Book:
    """The list."""

    template: ClassVar[str] = "book.html"
    rows: tuple[BatchRow, ...]
    find: str
    state: str
    page: int = 1
    older: bool = False  # there are more, laid in before these
    states: tuple[tuple[str, str], ...] = STATES

    @property
    def title(self) -> str:
        """The window's title."""
        return "Book"


@dataclass(frozen=True)
class LeafPage:
    """One batch."""

    template: ClassVar[str] = "leaf.html"
    leaf: Leaf
    grains: Markup
    count: str
    lain: str
    ready: tuple[datetime, datetime, datetime] | None
    pull: datetime | None
    stamp: tuple[str, str, str] | None  # words, kind, uid
    ask: Asked | None  # of a weight that was just written, where it is far from what was expected
    judged: Mapping[str, DoseJudged]  # what lies on each piece, by its code; "" = on the batch as a whole
    worst: Verdict | None  # of all that, where it is over, or was just written

    @property
    def title(self) -> str:
        """The window's title."""
        return f"{self.leaf.name}, {self.leaf.code}"


@dataclass(frozen=True)
class Beside:
    """Batches side by side."""

    template: ClassVar[str] = "compare.html"
    rows: tuple[Compared, ...]

    @property
    def title(self) -> str:
        """The window's title."""
        return "Side by side"


@dataclass(frozen=True)
class AgainPage:
    """A batch to be done again."""

    template: ClassVar[str] = "again.html"
    code: str
    name: str
    typed: Mapping[str, str]
    told: Again | None
    grams: tuple[tuple[str, str], ...]

    @property
    def title(self) -> str:
        """The window's title."""
        return f"{self.name} again"


@router.get("/book")
def book(request: Request, find: str = "", state_: str = Query("", alias="state"), page: str = "1") -> Response:
    """All batches, newest first, in pages."""
    _, shelf, session = state(request)
    if shelf.house(session) is None:
        return RedirectResponse("/doors", 303)
    return show(request, _list(shelf.book(session), find[:80], state_ if state_ in dict(STATES) else "", int(page) if page.isascii() and page.isdigit() else 1), here="book")


def _list(book: Notebook, find: str = "", wanted: str = "", page: int = 1) -> Book:
    page = max(1, min(page, FURTHEST))
    rows = batches(book, state=wanted, find=find, most=ROWS + 1, skip=ROWS * (page - 1))
    return Book(rows[:ROWS], find, wanted, page, len(rows) > ROWS)


@router.get("/book/compare")
def beside(request: Request, b: list[str] = Query([])) -> HTMLResponse:
    """A row each."""
    _, shelf, session = state(request)
    try:
        return show(request, Beside(compare(shelf.book(session), b[:12])), here="book")
    except BadBrief as why:
        return show(request, _list(shelf.book(session)), here="book", errors=(Wrong("", f"{why.message} Tick two or more in the list."),), status=422)


@router.get("/book/{code}")
def open_leaf(request: Request, code: str, wrote: str = "", kind: str = "", what: str = "") -> Response:
    """One batch; a piece leads to the batch it lies in, a lot or pack to where it is followed."""
    _, shelf, session = state(request)
    held = shelf.book(session)
    sort, batch = kind_of(held, code)
    if sort != "batch":
        return RedirectResponse(f"/book/{batch}" if sort == "piece" and batch else f"/trace/{code}", 303)
    told = leaf(held, code)
    stamp = (what[:120], kind, wrote) if wrote and kind in ("reading", "dose") and any(e.now.uid in wrote.split(",") and not e.now.void for e in told.entries) else None
    now, house = clock_of(request), shelf.house(session)
    ask = asked(told, wrote, now, house, what[:120]) if stamp and house else None
    return show(request, leaf_page(told, now, house, stamp, ask, doses_judged(held, code)), here="book")


def leaf_page(
    told: Leaf, now: datetime, house: Any, stamp: tuple[str, str, str] | None = None, ask: Asked | None = None, judged: Mapping[str, DoseJudged] | None = None
) -> LeafPage:
    """The page of a batch."""
    lain = "" if told.state == "planned" else units.show_hours(max(0.0, units.hours(((told.ended or now) - told.laid_in).total_seconds())))
    grains, count, ready, pull = Markup(""), "", None, None
    lies = told.lies
    if lies is not None:
        home = house.home
        grains = Markup(grains_svg(lies.forecast, lies.pull_h, named=lambda h: day(lies.after(h).astimezone(home))))
        count = count_words(lies.forecast, lies.pull_h) if lies.pull_h else ""
        early, likely, late = (t.astimezone(home) for t in lies.ready)
        ready = (early, likely, late)
        pull = waking(lies.pull.astimezone(home)) if lies.pull else None
    return LeafPage(told, grains, count, lain, ready, pull, stamp, ask, judged or {}, _worst(told, judged or {}, stamp))


def _worst(told: Leaf, judged: Mapping[str, DoseJudged], stamp: tuple[str, str, str] | None) -> Verdict | None:
    """What is said at the head of the batch: a dose that is over, else what the dose just written comes to."""
    every = [j.verdicts[0] for j in judged.values() if j.verdicts]
    over = next((v for v in every if v.level == "over"), None)
    row = next((e.now.row for e in told.entries if stamp and stamp[1] == "dose" and e.now.uid in stamp[2].split(",")), None)
    if over is not None or row is None:
        return over
    code = next((p.code for p in told.facts.pieces if p.id == row.piece_id or len(told.pieces) == 1), "")
    return next(iter(judged[code].verdicts), None) if code in judged else None


@router.post("/book/{code}/end")
def end(request: Request, code: str, form: Sent) -> Response:
    """The batch is done, or thrown away, or goes on after all; what it was stays in the book."""
    _, shelf, session = state(request)
    wanted = form.text("state") or "done"
    if wanted == "back":
        wanted = _before(leaf(shelf.book(session), code))
    kitchens.end(shelf.book(session), code, wanted, uid=form.uid, who=session.who, why=form.text("why"))
    return RedirectResponse(f"/book/{code}", 303)


def _before(told: Leaf) -> str:
    """The state a batch was ended from."""
    said = next((e.now.row.text for e in told.entries if e.kind == "reading" and e.now.row.kind == "state"), "")
    before = said.partition(" -> ")[0]
    return before if before in ("planned", "going") else "going"


@router.get("/book/{code}/again")
def again(request: Request, code: str) -> HTMLResponse:
    """The formula for new weights, another day, less salt: shown before it is written."""
    typed = Typed(dict(request.query_params))
    return _again(request, code, typed, ())


def _again(request: Request, code: str, typed: Typed, errors: tuple[Wrong, ...], *, lay: bool = False, uid: str | None = None) -> Any:
    _, shelf, session = state(request)
    held = shelf.book(session)
    lived = shelf.house(session)
    name = leaf(held, code).name
    told: Again | None = None
    try:
        weights = [units.mass_g(_kg(w, lived), "weights") for w in typed["weights"].replace(";", ",").split(",") if w.strip()]
        salt = units.fraction(_pct(typed["salt"]), "salt", low=0.005, high=0.12) if typed["salt"] else None
        when = datetime.fromisoformat(f"{typed['date']}T12:00").replace(tzinfo=lived.home) if typed["date"] and lived else None
        told = do_again(held, code, weights, less_salty=typed["less"] == "yes" and salt is None, salt=salt, at=when, lay=lay, uid=uid, who=session.who)
    except IngleError as why:
        errors = (*errors, wrong_of(why, {"weight": "weights", "weights": "weights", "salt": "salt"}))
    except ValueError:
        errors = (*errors, Wrong("date", f"{typed['date']!r} is not a date. Write it like 2026-12-19."))
    if lay and told is not None and told.batch is not None:
        return RedirectResponse(f"/book/{told.batch.code}", 303)
    grams = () if told is None else tuple((k.replace("_", " "), units.show_mass(g, min(told.answer.formula.step_g, 1.0))) for k, g in told.answer.formula.grams.items() if g)
    return show(request, AgainPage(code, name, typed, told, grams), here="book", errors=errors, status=422 if errors else 200)


def _kg(written: str, house: Any) -> str:
    text = written.strip()
    return f"{text}{house.mass if house else 'kg'}" if text.replace(".", "", 1).isdigit() else text


def _pct(written: str) -> str:
    return f"{written}%" if written.replace(",", ".").replace(".", "", 1).isdigit() else written


@router.post("/book/{code}/again")
def lay_again(request: Request, code: str, form: Sent) -> Response:
    """It is written down as a planned batch."""
    answer: Response = _again(request, code, form.typed, (), lay=True, uid=form.uid)
    return answer
