"""Pork frozen against trichinae: how cold, how long, how thick, in words or by the freezer's log; every rule beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, ClassVar
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces.heat_given import days_of, frozen_of, kelvins
from ingle.faces.log_chart import log_svg
from ingle.faces.web import log_taking as taking
from ingle.faces.web.forms import Sent, Typed, wrong_of
from ingle.faces.web.ink import in_page_ink
from ingle.faces.web.page import Wrong, show, state
from ingle.ground import units
from ingle.ground.errors import BadBrief, IngleError
from ingle.jobs.freeze import FreezeAnswer, freeze, freeze_seen
from ingle.jobs.house import METRIC, House
from ingle.jobs.log_book import logs, seen_again
from ingle.jobs.read import ReadAnswer
from ingle.notebook.logs_limits import Line
from ingle.notebook.logs_things import Sighting
from ingle.safety.verdict import Verdict

router = APIRouter(include_in_schema=False)

_ORDER = {"over": 0, "near": 1, "cannot_say": 2, "within": 3}
_WORDS = ("freezer", "days")  # what a log tells by itself
_FIELDS = (*_WORDS, "thickness", "game", "log", "name", "place", "unit", "off", "still")
_KNOWN = {k: k for k in _FIELDS} | {"thickness_mm": "thickness", "file": "file", "probe-error": "off", "probe_error": "off", "probe_error_c": "off", "zone": "file"}
PLACES = (("", "as the log says"), ("room", "the freezer's air"), ("core", "the middle of the meat"))
UNITS = (("", "as the file says"), ("C", "°C"), ("F", "°F"))
STILL = (("", "not said"), ("yes", "nobody moved it"))


@dataclass(frozen=True)
class Frozen:
    """The question, and its answer where there is one."""

    template: ClassVar[str] = "frozen.html"
    typed: Mapping[str, str]
    answer: FreezeAnswer | None
    logs: tuple[tuple[str, str], ...]  # of the book, to choose from
    verdicts: tuple[Verdict, ...] = ()  # the one that decides first
    spare: tuple[Verdict, ...] = ()  # ways not met, beside one of the same country that is
    by: str = ""  # the log and its probe
    wide: Markup | str = ""  # the log with the line that decides
    narrow: Markup | str = ""
    places: tuple[tuple[str, str], ...] = PLACES
    units: tuple[tuple[str, str], ...] = UNITS
    stills: tuple[tuple[str, str], ...] = STILL

    @property
    def title(self) -> str:
        """The window's title."""
        return "Frozen against trichinae"


@router.get("/frozen")
def frozen(request: Request) -> HTMLResponse:
    """All that is asked stands in the address, a file by the hash under which it waits."""
    typed = Typed({k: v.strip()[:80] for k, v in request.query_params.items() if k in _FIELDS})
    if not typed["freezer"] and not typed["log"]:
        _, shelf, session = state(request)
        usual = {"freezer": (shelf.house(session) or METRIC).like("-18C"), "days": "20"}
        return show(request, Frozen(Typed({**usual, **typed}), None, _logs(request, typed)), here="drawer")
    try:
        return show(request, _answered(request, typed), here="drawer")
    except IngleError as why:
        known = _KNOWN | dict.fromkeys(("log", "encoding", "key"), "file" if taking.is_key(typed["log"]) else "log")
        return show(request, Frozen(typed, None, _logs(request, typed)), here="drawer", errors=(wrong_of(why, known),), status=422)


@router.post("/frozen")
async def asked(request: Request, form: Sent) -> Response:
    """The form: a file is put aside for a day, nothing is kept; the answer stands at an address of its own."""
    upload = form.file("file")
    content = await upload.read() if upload else b""
    return await run_in_threadpool(_asked, request, form.typed, content, upload.filename or "" if upload else "")


def _asked(request: Request, typed: Typed, content: bytes, name: str) -> Response:
    told = {k: typed[k][:80] for k in _FIELDS if typed[k]}
    if name:
        if not content:
            wrong = Wrong("file", "The file is empty. Export it once more.")
            return show(request, Frozen(typed, None, _logs(request, typed)), here="drawer", errors=(wrong,), status=422)
        told |= {"log": taking.wait(_folder(request), content, oldest_goes=True), "name": taking.bare_name(name)}
    if "log" in told:
        told = {k: v for k, v in told.items() if k not in _WORDS}
    return RedirectResponse(f"/frozen?{urlencode(told)}", 303)


def _folder(request: Request) -> Any:
    config, _, session = state(request)
    return config.keep / ("freezer-demonstration" if session.demonstration else "freezer")


def _logs(request: Request, typed: Typed) -> tuple[tuple[str, str], ...]:
    """Logs of the book that hold a temperature, and the file that was just given."""
    _, shelf, session = state(request)
    house = shelf.house(session)
    found: list[tuple[str, str]] = [("", "none")]
    if taking.is_key(typed["log"]):
        found.append((typed["log"], f"{taking.bare_name(typed['name'])}, just given"))
    for row in logs(shelf.book(session))[0] if house is not None else ():
        if row.withdrawn is None and any(kind != "humidity" for _, kind in row.probes):
            last = "" if row.last is None else f", to {row.last.astimezone(house.home if house else None):%-d %b %Y}"
            found.append((row.uid, f"{row.name}{last}"))
    return tuple(found)


def _answered(request: Request, typed: Typed) -> Frozen:
    _, shelf, session = state(request)
    house = shelf.house(session) or METRIC
    thick = typed["thickness"]
    bare = thick.replace(",", ".").replace(".", "", 1).isdigit()
    more: dict[str, Any] = {
        "thickness_mm": units.length_mm(f"{thick}mm" if bare else thick, "thickness") if thick else None, "game": typed["game"] == "yes",
        "countries": house.rules, "probe_error_c": abs(kelvins(typed["off"] or None, "probe-error")),
    }  # fmt: skip
    if not typed["log"]:
        _, celsius = frozen_of(typed["freezer"], None, typed["days"] or None)
        assert celsius is not None  # without a log there is a temperature
        return _page(request, typed, freeze(celsius, days_of(typed["days"]), **more))
    seen = _seen(request, typed, house)
    answer, probe = freeze_seen(seen, place=typed["place"], moved=False if typed["still"] == "yes" else None, **more)
    page = _page(request, typed, answer)
    limit = page.verdicts[0]
    line = Line(limit.rule, limit.title, limit.more["at_c"], limit.clause, limit.source, limit.sure, limit.kind, limit.country, "", "")
    one = replace(seen, tracks=tuple(t for t in seen.tracks if t.name == probe))
    wide, narrow = (in_page_ink(log_svg(ReadAnswer(one, lines=(line,), level=answer.level), title=seen.name, zone=house.zone, narrow=small)) for small in (False, True))
    return replace(page, by=seen.name if len(seen.tracks) == 1 else f"{seen.name}, {probe}", wide=wide, narrow=narrow)


def _page(request: Request, typed: Typed, answer: FreezeAnswer) -> Frozen:
    ordered = sorted(answer.verdicts, key=lambda v: (v.rule != answer.strictest, _ORDER[v.level]))
    spare = tuple(v for v in ordered if v.rule in answer.not_needed)
    return Frozen(typed, answer, _logs(request, typed), tuple(v for v in ordered if v not in spare), spare)


def _seen(request: Request, typed: Typed, house: House) -> Sighting:
    """The log that was chosen: one of the book, or a file that waits. A clock without a zone is the kitchen's: only lengths of time count."""
    _, shelf, session = state(request)
    if taking.is_key(typed["log"]):
        content = taking.waiting(_folder(request), typed["log"])
        said = taking.Said(name=typed["name"], unit=typed["unit"])
        seen = taking.look(content, said, house).sighting
        if [q.field for q in seen.questions] == ["zone"]:
            seen = taking.look(content, replace(said, zone=house.zone), house).sighting
        return seen
    row, seen = seen_again(shelf.book(session), typed["log"])
    if row.withdrawn is not None:
        raise BadBrief(f"{row.name} was withdrawn: nothing is worked out from it.", field="log", value=row.name, limit="a log that counts", remedy="Choose another one.")
    return seen
