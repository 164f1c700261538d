"""Salt: the cure bench. A piece and its mix; judgement and forecast follow thickness, warmth, days and dose as they are dragged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse, JSONResponse, Response

from ingle.crafts.cure.forecast import wished_in_tissue
from ingle.crafts.cure.formula import Targets
from ingle.crafts.cure.mix import curing_salt
from ingle.faces.front_chart import days_svg, front_svg
from ingle.faces.grains import count_words
from ingle.faces.marks import grains_svg
from ingle.faces.web.forms import Typed, wrong_of
from ingle.faces.web.ink import in_page_ink
from ingle.faces.web.page import Wrong, clock_of, environment, show, state
from ingle.ground import units
from ingle.ground.errors import BadBrief, IngleError
from ingle.ground.things import FATS, SHAPES, SKINS, Piece
from ingle.jobs.bench import Asked, Bench, as_dict, bench
from ingle.jobs.house import METRIC, House
from ingle.safety.verdict import Verdict

router = APIRouter(include_in_schema=False)

USUAL = {
    "weight": "1.38kg", "thickness": "50", "shape": "slab", "width": "", "length": "", "skin": "none", "fat": "none", "salt": "2.5", "nitrite": "118", "packet": "6.25",
    "sugar": "0", "temperature": "4", "days": "14",
}  # fmt: skip
# slider: field, label, unit, least, most, step
SLIDERS = (
    ("thickness", "Thickness", "mm", 10, 150, 1), ("temperature", "Fridge", "°C", 0, 8, 0.5), ("days", "Days in the cure", "d", 1, 60, 1),
    ("salt", "Salt, all of it", "% of green weight", 1, 8, 0.1), ("nitrite", "Nitrite put in", "mg/kg", 0, 200, 1),
)  # fmt: skip
FIELDS = tuple(USUAL)
_NAMES = {k: k for k in FIELDS} | {"curing-salt": "packet", "curing_salt": "packet", "skin-weight": "skin", "scale": "salt"}
SHAPE_WORDS = {"slab": "flat, a slab", "cylinder": "round, like a loin", "sphere": "a ball", "box": "a block, width and length known"}
SKIN_WORDS = {"none": "off", "one-face": "on, one face"}
FAT_WORDS = {"none": "none", "thin": "thin", "thick": "thick as a pencil"}
_ORDER = {"over": 0, "near": 1, "within": 2, "cannot_say": 3}


@dataclass(frozen=True)
class Slider:
    """One thing to drag, with the exact field beside it."""

    name: str
    label: str
    unit: str
    least: float
    most: float
    step: float
    value: str


@dataclass(frozen=True)
class Answer:
    """What stands beside the sliders; also sent alone while one is dragged."""

    template: ClassVar[str] = "_salt_answer.html"
    made: Bench | None
    level: str
    grams: tuple[tuple[str, str], ...]
    counted: tuple[Verdict, ...]
    left: tuple[Verdict, ...]
    advice: tuple[Verdict, ...]
    strictest: str
    front: Markup
    days: Markup
    grains: Markup
    count: str
    window: str
    pull: str
    wrong: tuple[Wrong, ...] = ()

    @property
    def title(self) -> str:
        """The window's title."""
        return "Salt"


@dataclass(frozen=True)
class Salt:
    """The bench."""

    template: ClassVar[str] = "salt.html"
    sliders: tuple[Slider, ...]
    typed: Mapping[str, str]
    answer: Answer
    shapes: tuple[tuple[str, str], ...] = tuple((k, SHAPE_WORDS[k]) for k in SHAPES)
    skins: tuple[tuple[str, str], ...] = tuple((k, SKIN_WORDS[k]) for k in SKINS)
    fats: tuple[tuple[str, str], ...] = tuple((k, FAT_WORDS[k]) for k in FATS)

    @property
    def title(self) -> str:
        """The window's title."""
        return "Salt"


def asked_of(typed: Mapping[str, str], house: House, day: str) -> Asked:
    """What was typed as what is asked; bare numbers have the unit of their label."""
    said = {k: v.strip() for k, v in typed.items()}
    length = lambda key: units.length_mm(_with(said.get(key, ""), "mm"), key) if said.get(key) else None  # noqa: E731
    piece = Piece(
        units.mass_g(_with(said.get("weight", ""), "lb" if house.mass == "lb" else "kg"), "weight"), length("thickness"), length("width"), length("length"),
        said.get("shape") or "slab", said.get("skin") or "none", None, said.get("fat") or "none",
    )  # fmt: skip
    targets = Targets(
        units.fraction(_with(said.get("salt", ""), "%"), "salt"), units.mg_per_kg(said.get("nitrite") or "0", "nitrite"), units.fraction(_with(said.get("sugar") or "0", "%"), "sugar")
    )
    packet = curing_salt(_with(said["packet"], "%")) if said.get("packet") and targets.nitrite_mg_per_kg > 0 else None
    days = units.days(units.duration_h(_with(said.get("days", ""), "d"), "days", high=24 * 400))
    if not days > 0:
        raise BadBrief("days is 0: nothing happens in no time.", field="days", value=said.get("days"), limit="above 0", remedy="Give the days it lies in the cure.")
    warm = units.temperature_c(_with(said.get("temperature", ""), house.temperature), "temperature")
    return Asked(piece, targets, packet, warm, days, house.rules, day, units.mass_g(house.scale, "scale"))


def _with(written: str, unit: str) -> str:
    """A bare number with the unit its label names; what carries its own is left."""
    text = written.strip()
    return f"{text}{unit}" if text.replace(",", ".", 1).replace(".", "", 1).lstrip("+-\u2212").isdigit() else text


def answer_of(asked: Asked) -> Answer:
    """The answer as it is shown."""
    made = bench(asked)
    f, ready = made.weighed.formula, made.ready
    grams = _grams(made)
    counted = [v for v in made.weighed.verdicts if v.kind != "advice" and v.level != "cannot_say"]
    left = [v for v in made.weighed.verdicts if v.kind != "advice" and v.level == "cannot_say"]
    advice = [v for v in made.weighed.verdicts if v.kind == "advice"]
    aim = 90 * wished_in_tissue(min(made.wished, f.mix.salt / made.weighed.base.skin_free_g))  # 90 % of it, in g per 100 g
    top = max(2.4 * made.curves.left, aim * 1.3)
    planned = 24 * asked.days
    never = ready.likely_h > 1e9
    window = "never at this dose" if never else f"{units.show_hours(ready.earliest_h)} to {units.show_hours(ready.latest_h) if ready.latest_h < 1e9 else 'never in one of twenty'}"
    return Answer(
        made, made.weighed.level, grams, tuple(sorted(counted, key=lambda v: _ORDER[v.level])), tuple(left), tuple(advice),
        made.weighed.strictest.rule if made.weighed.strictest else "",
        Markup("") if made.front is None else in_page_ink(front_svg(made.front, aim, surface_most=top)),
        in_page_ink(days_svg(made.curves, aim, ready, planned)), Markup("" if never else grains_svg(ready, planned)),
        "" if never else count_words(ready, planned, f"day {asked.days:g}"), window, "" if made.pull_h > 1e9 else units.show_hours(made.pull_h),
    )  # fmt: skip


def _grams(made: Bench) -> tuple[tuple[str, str], ...]:
    """What goes on the scale, in the order it is taken."""
    f, packet = made.weighed.formula, made.weighed.packet
    if f.coarse:
        return ()
    names = {"salt": "plain salt", "curing_salt": packet.name if packet else "curing salt", "sugar": "sugar"}
    step = min(f.step_g, 1.0)
    return tuple((names.get(k, k.replace("_", " ")), units.show_mass(g, step)) for k, g in f.grams.items() if g)


def refused(why: IngleError) -> Answer:
    """An answer that could not be worked out."""
    return Answer(None, "cannot_say", (), (), (), (), "", Markup(""), Markup(""), Markup(""), "", "", "", (wrong_of(why, _NAMES),))


def _typed(request: Request) -> Typed:
    lived = _house(request)
    usual = USUAL | ({"temperature": "39"} if lived.temperature == "F" else {}) | ({"weight": "3 lb"} if lived.mass == "lb" else {})
    return Typed({**usual, **{k: v for k, v in request.query_params.items() if k in FIELDS}})


def _house(request: Request) -> House:
    _, shelf, session = state(request)
    return shelf.house(session) or METRIC


def _answer(request: Request, typed: Typed) -> Answer:
    try:
        return answer_of(asked_of(typed, _house(request), clock_of(request).date().isoformat()))
    except IngleError as why:
        return refused(why)


@router.get("/salt")
def salt(request: Request) -> HTMLResponse:
    """The bench with its answer."""
    typed = _typed(request)
    told = _answer(request, typed)
    warm = _house(request).temperature == "F"
    sliders = tuple(
        Slider(n, label, "°F" if warm and u == "°C" else u, *((32, 46, 1) if warm and u == "°C" else (low, high, step)), typed[n])
        for n, label, u, low, high, step in SLIDERS
    )
    return show(request, Salt(sliders, typed, told), here="salt", errors=told.wrong, status=422 if told.wrong else 200)


@router.get("/salt/answer")
def answer(request: Request) -> HTMLResponse:
    """The answer alone, while something is dragged."""
    told = _answer(request, _typed(request))
    fields = {k: getattr(told, k) for k in Answer.__dataclass_fields__}
    return HTMLResponse(environment().get_template("_salt_answer.html").render(house=_house(request), **fields), 422 if told.wrong else 200)


@router.get("/salt.json")
def told(request: Request) -> Response:
    """The answers of `ingle weigh --json` and `ingle cure --json` for what stands on the bench."""
    try:
        return JSONResponse(as_dict(asked_of(_typed(request), _house(request), clock_of(request).date().isoformat())))
    except IngleError as why:
        return JSONResponse(why.as_dict(), 422)
