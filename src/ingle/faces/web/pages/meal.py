"""The meal: from a form or a brief to quantities, shopping, the week and its verdicts; then into the book."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import lru_cache
from pathlib import Path
from typing import Any, ClassVar

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces import folder as plan_folder
from ingle.faces.events import Event, events
from ingle.faces.timeline import timeline_svg
from ingle.faces.web import briefs
from ingle.faces.web.forms import Form, Sent, Typed, said, wrong_of
from ingle.faces.web.ink import in_page_ink
from ingle.faces.web.page import Wrong, clock_of, show, state
from ingle.faces.web.pages.house import kit_path
from ingle.faces.web.runs import Run
from ingle.ground import tables
from ingle.ground.errors import IngleError
from ingle.jobs.book import has_plan
from ingle.jobs.take_plan import take_plan
from ingle.notebook.trouble import NotFound
from ingle.planning import planfile
from ingle.planning.brief import read_brief
from ingle.planning.part_file import load_parts
from ingle.planning.parts import Part
from ingle.planning.plan import Plan
from ingle.safety.verdict import Verdict, worst

router = APIRouter(include_in_schema=False)

LIMIT_S = 15.0
PIECES = 3  # rows of the form; a brief's file takes any number
_ORDER = {"over": 0, "near": 1, "cannot_say": 2, "within": 3}


@dataclass(frozen=True)
class Made:
    """A plan that lies in the folder."""

    slug: str
    name: str
    at: datetime
    plates: int
    number: int
    level: str


@dataclass(frozen=True)
class Meals:
    """All of them."""

    template: ClassVar[str] = "meals.html"
    made: tuple[Made, ...]

    @property
    def title(self) -> str:
        """The window's title."""
        return "Meal"


@dataclass(frozen=True)
class NewMeal:
    """The form."""

    template: ClassVar[str] = "meal_new.html"
    typed: Mapping[str, str]
    parts: tuple[Part, ...]
    rows: int = PIECES
    usual: Mapping[str, str] = field(default_factory=lambda: served_in("fernhollow", "fernhollow.toml"))  # grams a plate, by part

    @property
    def title(self) -> str:
        """The window's title."""
        return "Plan a meal"


@dataclass(frozen=True)
class DayOf:
    """What hands do on one day."""

    name: str
    events: tuple[Event, ...]


@dataclass(frozen=True)
class MealPage:
    """One plan."""

    template: ClassVar[str] = "meal.html"
    slug: str
    plan: Plan
    level: str
    to_say: tuple[Verdict, ...]
    within: tuple[Verdict, ...]
    wide: Markup
    narrow: Markup
    days: tuple[DayOf, ...]
    in_book: bool

    @property
    def title(self) -> str:
        """The window's title."""
        return self.plan.name


def _folders(request: Request) -> list[Path]:
    _, shelf, session = state(request)
    here = shelf.plans(session)
    return sorted(p for p in here.glob("*.plan") if (p / planfile.FILE).is_file()) if here.is_dir() else []


def served_in(*brief: str) -> Mapping[str, str]:
    """Grams a plate as a shipped brief serves them, by part."""
    return {row["part"]: row["grams_per_plate"] for row in tables.toml_table("examples", *brief)["serve"]}


@lru_cache(maxsize=8)
def _read(path: Path, _changed: float) -> Plan:
    return planfile.read(path)


def _plan(path: Path) -> Plan:
    return _read(path, (path / planfile.FILE).stat().st_mtime)


@router.get("/meal")
def meals(request: Request) -> HTMLResponse:
    """All meals, the coming one first."""
    found = [(p, _plan(p)) for p in _folders(request)]
    rows = tuple(Made(p.name.removesuffix(".plan"), m.name, m.at, m.plates, m.number, worst(m.verdicts)) for p, m in sorted(found, key=lambda x: x[1].at))
    return show(request, Meals(rows), here="meal")


@router.get("/meal/new")
def new_meal(request: Request) -> Response:
    """The form, filled with what is usual."""
    _, shelf, session = state(request)
    lived = shelf.house(session)
    if lived is None:
        return RedirectResponse("/house?then=/meal/new", 303)
    today = clock_of(request).astimezone(lived.home)
    saturday = today + timedelta(days=(5 - today.weekday()) % 7 + 28)
    return show(request, NewMeal(Typed({"date": saturday.date().isoformat(), "time": "18:30", "plates": "8"}), _parts()), here="meal")


def _parts() -> tuple[Part, ...]:
    return tuple(load_parts(()).values())


@router.post("/meal/plan")
def plan_meal(request: Request, form: Sent) -> Response:
    """The form as a brief, and off to plan it."""
    _, shelf, session = state(request)
    lived = shelf.house(session)
    if lived is None:
        return RedirectResponse("/house?then=/meal/new", 303)
    given, known = _given(form, lived.zone, lived.rules, lived.use)
    if not form.wrong:
        try:
            return _begin(request, given)
        except IngleError as why:
            form.wrong.append(wrong_of(why, known))
    return show(request, NewMeal(form.typed, _parts()), here="meal", errors=tuple(form.wrong), status=422)


def _given(form: Form, zone: str, rules: tuple[str, ...], use: str) -> tuple[dict[str, Any], dict[str, str]]:
    """The tables of a brief, and which field of the form each of their places came from."""
    known = {"meal.name": "name", "meal.at": "date", "meal.plates": "plates", "meal.plan_from": "date", "serve": "serve"}
    at = plates = None
    if not form.text("name"):
        form.wrong.append(Wrong("name", "The meal has no name. A word or two: sheets and labels carry it."))
    try:
        at = datetime.fromisoformat(f"{form.text('date')}T{form.text('time') or '18:30'}")
    except ValueError:
        form.wrong.append(Wrong("date", f"{form.text('date') or 'Nothing'} is not a date with {form.text('time') or '18:30'}. Write it like 2026-12-19, and the hour like 18:30."))
    try:
        plates = int(form.text("plates"))
    except ValueError:
        form.wrong.append(Wrong("plates", f"{form.text('plates') or 'Nothing'} is not a number of plates. Write it like 18."))
    serve: list[dict[str, Any]] = []
    for part in _parts():
        grams = form.text(f"g_{part.key}")
        if not grams:
            continue
        i = len(serve)
        row: dict[str, Any] = {"part": part.key, "grams_per_plate": f"{grams}g" if grams.replace(",", ".").replace(".", "", 1).isdigit() else grams}
        known |= {f"serve[{i}].grams_per_plate": f"g_{part.key}", f"serve[{i}].part": f"g_{part.key}"}
        if part.cure is not None:
            row["pieces"] = _pieces(form, part.key, i, known)
            if not row["pieces"]:
                words = f"{part.name}: its pieces are missing, and a cure is timed by them. Weigh one, and push a skewer through the thickest place."
                form.wrong.append(Wrong(f"w_{part.key}_0", words))
        serve.append(row)
    if not serve:
        form.wrong.append(Wrong("serve", "Nothing is served. Give grams a plate for one part at least."))
    return {"meal": {"name": form.text("name"), "at": at, "zone": zone, "plates": plates, "rules": list(rules), "use": use}, "serve": serve}, known


def _pieces(form: Form, part: str, i: int, known: dict[str, str]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    for n in range(PIECES):
        stem = f"{part}_{n}"
        if not form.text(f"w_{stem}"):
            continue
        piece: dict[str, Any] = {"name": "ABC"[n], "weight": _unit(form.text(f"w_{stem}"), "kg"), "skin": form.text(f"s_{stem}") or "none"}
        if form.text(f"t_{stem}"):
            piece["thickness"] = _unit(form.text(f"t_{stem}"), "mm")
        known |= {f"serve[{i}].pieces[{len(found)}].{key}": f"{letter}_{stem}" for key, letter in (("weight", "w"), ("thickness", "t"), ("skin", "s"))}
        found.append(piece)
    return found


def _unit(written: str, unit: str) -> str:
    return f"{written}{unit}" if written.replace(",", ".").replace(".", "", 1).isdigit() else written


@router.post("/meal/brief")
async def bring_brief(request: Request, form: Sent) -> Response:
    """A brief's file, read whole before anything is planned."""
    upload = form.file("brief")
    content = await upload.read() if upload else b""
    return await run_in_threadpool(_brief, request, form, content)


def _brief(request: Request, form: Form, content: bytes) -> Response:
    if not content:
        form.wrong.append(Wrong("brief", "No brief was chosen. Take a .toml file."))
    else:
        try:
            return _begin(request, briefs.uploaded(content))
        except IngleError as why:
            form.wrong.append(Wrong("brief", said(why)))
    return show(request, NewMeal(Typed(), _parts()), here="meal", errors=tuple(form.wrong), status=422)


def quarter(at: datetime) -> datetime:
    """The next full quarter of an hour: nobody begins a step at 17:04.

    >>> quarter(datetime(2026, 11, 25, 17, 4)).time(), quarter(datetime(2026, 11, 25, 18, 0)).time()
    (datetime.time(17, 15), datetime.time(18, 0))
    """
    step = timedelta(minutes=15)
    over = timedelta(minutes=at.minute % 15, seconds=at.second, microseconds=at.microsecond)
    return at - over + step if over else at


def _begin(request: Request, given: Mapping[str, Any]) -> Response:
    """Read the brief at once, so that what is wrong is said at its field; then plan it as work that takes long."""
    _, shelf, session = state(request)
    lived = shelf.house(session)
    now = quarter(clock_of(request))
    path = briefs.keep(given, shelf.plans(session), Path(kit_path(request, lived)), lived.scale if lived else "")
    read = read_brief(path, now)
    run = shelf.runs.start(f"Plan {read.name}", session.id, lambda run: planned(path, now, run))
    return RedirectResponse(f"/run/{run.id}", 303)


def planned(path: Path, now: datetime, run: Run) -> str:
    """Plan a brief and write its folder; returns where its page is."""
    from ingle.jobs.plan import plan as make_plan  # the solver takes a second to load: not when the page starts

    run.tell("Reading the brief", 0, 0)
    made = make_plan(path, limit_s=LIMIT_S, progress=run.tell, stop=run.stop.is_set, now=now)
    out = path.with_suffix(".plan")
    run.tell("Drawing sheets, calendar and picture", 1, 1)
    plan_folder.write(planfile.follows(made, out), out)
    return f"/meal/{path.stem}"


def _find(request: Request, name: str) -> tuple[Path, Plan]:
    for path in _folders(request):
        if path.name == f"{name}.plan":
            return path, _plan(path)
    raise NotFound(f"There is no plan {name!r}.", field="plan", value=name, remedy="See the list of meals.")


@router.get("/meal/{name}")
def meal(request: Request, name: str) -> HTMLResponse:
    """One plan."""
    _, shelf, session = state(request)
    path, plan = _find(request, name)
    ranked = sorted(plan.verdicts, key=lambda v: _ORDER[v.level])
    by_day: dict[str, list[Event]] = {}
    for event in events(plan):
        by_day.setdefault(f"{event.start:%A} {event.start.day} {event.start:%B}", []).append(event)
    wide, narrow = _pictures(path, (path / planfile.FILE).stat().st_mtime)
    page = MealPage(
        name, plan, worst(plan.verdicts), tuple(v for v in ranked if v.level != "within"), tuple(v for v in ranked if v.level == "within"), wide, narrow,
        tuple(DayOf(k, tuple(v)) for k, v in by_day.items()), _in_book(shelf, session, plan),
    )  # fmt: skip
    return show(request, page, here="meal")


@lru_cache(maxsize=8)
def _pictures(path: Path, changed: float) -> tuple[Markup, Markup]:
    plan = _read(path, changed)
    return in_page_ink(timeline_svg(plan, width=1200)), in_page_ink(timeline_svg(plan, width=380))


def _in_book(shelf: Any, session: Any, plan: Plan) -> bool:
    return shelf.house(session) is not None and has_plan(shelf.book(session), plan.name, plan.number)


@router.post("/meal/{name}/take")
def take(request: Request, name: str, _form: Sent) -> Response:
    """The plan goes into the book: its batches, pieces, steps and verdicts."""
    _, shelf, session = state(request)
    path, _ = _find(request, name)
    take_plan(shelf.book(session), path, who=session.who)
    return RedirectResponse("/", 303)


@router.get("/meal/{name}/calendar.ics")
def calendar(request: Request, name: str) -> Response:
    """The attended steps for a calendar."""
    path, _ = _find(request, name)
    return Response((path / "calendar.ics").read_bytes(), media_type="text/calendar", headers={"content-disposition": f'attachment; filename="{name}.ics"'})
