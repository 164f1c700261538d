"""How long it keeps, and what still holds when something went wrong: two short forms, each with one act on top."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse

from ingle.faces.mishap_chart import mishap_svg
from ingle.faces.web.forms import Typed, wrong_of
from ingle.faces.web.ink import in_page_ink
from ingle.faces.web.page import clock_of, show, state
from ingle.ground import units
from ingle.ground.errors import BadBrief, IngleError
from ingle.ground.things import Piece
from ingle.jobs.house import METRIC
from ingle.jobs.keep import QUALITY_WORDS, KeepAnswer, keep
from ingle.jobs.keep_given import Kept
from ingle.jobs.mishap import Accident, Food, MishapAnswer, mishap
from ingle.jobs.mishap_lines import Line
from ingle.planning.part_file import load_parts
from ingle.safety import keeping as guidance

router = APIRouter(include_in_schema=False)

WENT = (("fridge-off", "the fridge failed"), ("left-out", "it stood in the room"), ("smoker", "the smoker ran hot"))
EATEN = (("cooked", "cooked before it is eaten"), ("uncooked", "eaten as it is"))
MUSCLE = (("", "not known: judged as both"), ("yes", "yes"), ("no", "no"))
_ORDER = {"over": 0, "near": 1, "cannot_say": 2, "within": 3}
PACKED = (("air", "open or covered"), ("vacuum", "in a bag without air"))


@dataclass(frozen=True)
class Keeping:
    """How long a food keeps."""

    template: ClassVar[str] = "keeping.html"
    typed: Mapping[str, str]
    answer: KeepAnswer | None
    foods: tuple[tuple[str, str], ...]
    packed: tuple[tuple[str, str], ...] = PACKED
    quality_words: str = QUALITY_WORDS

    @property
    def title(self) -> str:
        """The window's title."""
        return "How long it keeps"


@dataclass(frozen=True)
class Amiss:
    """Something went wrong."""

    template: ClassVar[str] = "amiss.html"
    typed: Mapping[str, str]
    answer: MishapAnswer | None
    wide: Markup
    narrow: Markup
    lines: tuple[Line, ...] = ()  # the gravest first
    went: tuple[tuple[str, str], ...] = WENT
    eaten: tuple[tuple[str, str], ...] = EATEN
    muscle: tuple[tuple[str, str], ...] = MUSCLE
    packed: tuple[tuple[str, str], ...] = PACKED

    @property
    def title(self) -> str:
        """The window's title."""
        return "Something went wrong"


def _asked(request: Request) -> Typed:
    return Typed({k: v.strip()[:60] for k, v in request.query_params.items()})


def _foods() -> tuple[tuple[str, str], ...]:
    """Foods of the published days first, then the parts that ship."""
    named = tuple((key, guidance.food(key).name) for key in guidance.foods())
    return tuple(sorted({**{k: p.name for k, p in load_parts().items()}, **dict(named)}.items(), key=lambda x: x[1].lower()))


@router.get("/keeping")
def keeping(request: Request) -> HTMLResponse:
    """All that is asked stands in the address."""
    _, shelf, session = state(request)
    house = shelf.house(session) or METRIC
    typed = _asked(request)
    foods = _foods()
    if not typed["part"]:
        today = clock_of(request).astimezone(house.home).date().isoformat()
        return show(request, Keeping(Typed({"since": today, "low": "3C", "high": "7C", "packed": "air"}), None, foods), here="drawer")
    try:
        if typed["part"] not in dict(foods):
            raise BadBrief(f"{typed['part']!r} is not in the list.", field="part", value=typed["part"], limit="one of the list", remedy="Choose the nearest.")
        low, high = (units.temperature_c(typed[k], k, low=-40.0, high=60.0) if typed[k] else None for k in ("low", "high"))
        band = None if low is None and high is None else (low if low is not None else high, high if high is not None else low)
        answer = keep(
            Kept(
                typed["part"], fridge_c=band, since=_date(typed["since"], "since"), now=clock_of(request).astimezone(house.home).replace(tzinfo=None),  # type: ignore[arg-type]
                packed="vacuum" if typed["packed"] == "vacuum" else "air", opened=typed["opened"] == "yes", frozen=typed["frozen"] == "yes",
                eaten_uncooked=typed["eaten"] == "uncooked",
            )
        )  # fmt: skip
    except IngleError as why:
        return show(request, Keeping(typed, None, foods), here="drawer", errors=(wrong_of(why, {k: k for k in typed} | {"fridge": "low", "on": "since"}),), status=422)
    return show(request, Keeping(typed, answer, foods), here="drawer")


def _date(written: str, field: str) -> Any:
    from datetime import datetime

    if not written:
        return None
    try:
        return datetime.fromisoformat(written).replace(tzinfo=None)
    except ValueError:
        raise BadBrief(f"{field} {written!r} is not a date.", field=field, value=written, limit="like 2026-12-19", remedy="Write it like 2026-12-19.") from None


@router.get("/amiss")
def amiss(request: Request) -> HTMLResponse:
    """One act first, with its reasons under it."""
    typed = _asked(request)
    if not typed["weight"]:
        return show(request, Amiss(Typed({"went": "fridge-off", "room": "21C", "eaten": "cooked", "packed": "air"}), None, Markup(""), Markup("")), here="drawer")
    try:
        hours = units.duration_h(typed["hours"], "hours", high=24.0 * 120, zero=False) if typed["hours"] else _missing("hours", "How long is missing.", "Write it like 9h.")
        room = units.temperature_c(typed["room"] or "21C", "room", low=-30.0, high=60.0)
        found = units.temperature_c(typed["found"], "found", low=-5.0, high=90.0) if typed["found"] else None
        went = typed["went"] if typed["went"] in dict(WENT) else "fridge-off"
        if went == "smoker" and found is None:
            _missing("found", "How hot the smoker was is missing.", "Write it like 38C.")
        thick = typed["thickness"]
        piece = Piece(
            units.mass_g(typed["weight"], "weight"), units.length_mm(f"{thick}mm" if thick.replace(".", "", 1).isdigit() else thick, "thickness") if thick else None
        )
        uncooked = typed["eaten"] == "uncooked"
        food = Food("ready" if uncooked else "raw", eaten="uncooked" if uncooked else "cooked", packed="vacuum" if typed["packed"] == "vacuum" else "air",
                    whole={"yes": True, "no": False}.get(typed["whole"]))  # fmt: skip
        answer = mishap(piece, Accident(went, hours, 0.0, room, found if went == "fridge-off" else None, found if went == "smoker" else None), food=food)
    except IngleError as why:
        known = {k: k for k in typed} | {"fridge-off": "hours", "left-out": "hours", "smoker": "found", "fridge_off": "hours", "hours": "hours", "thickness": "thickness"}
        return show(request, Amiss(typed, None, Markup(""), Markup("")), here="drawer", errors=(wrong_of(why, known),), status=422)
    wide, narrow = in_page_ink(mishap_svg(answer)), in_page_ink(mishap_svg(answer, narrow=True))
    return show(request, Amiss(typed, answer, wide, narrow, tuple(sorted(answer.lines, key=lambda x: _ORDER[x.level]))), here="drawer")


def _missing(field: str, what: str, remedy: str) -> float:
    raise BadBrief(what, field=field, value="missing", limit=remedy, remedy=remedy)
