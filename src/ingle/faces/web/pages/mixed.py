"""A mix already made: what it is, every limit beside it, what the piece will hold, and what can still be done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse

from ingle.crafts.cure.forecast import wished_in_tissue
from ingle.crafts.cure.mix import mix
from ingle.faces.front_chart import days_svg
from ingle.faces.web.forms import Typed, wrong_of
from ingle.faces.web.ink import in_page_ink
from ingle.faces.web.page import clock_of, show, state
from ingle.faces.web.pages.at_bench import with_unit
from ingle.faces.web.pages.bench_forms import BenchForm, Given, fields_by_word, form_of, given_of, usual_of
from ingle.ground import units
from ingle.ground.errors import BadBrief, IngleError, Refused
from ingle.ground.things import Piece
from ingle.jobs.house import METRIC, House
from ingle.jobs.judge import JudgeAnswer, judge
from ingle.safety.limits import Product
from ingle.safety.verdict import Verdict

router = APIRouter(include_in_schema=False)

KINDS = {
    "equilibrium": "an equilibrium cure: the dose is the goal, running over does little harm", "excess": "an excess cure: more salt than is wished, so time decides",
    "light": "a light cure: less salt than is wished", "none": "no salt at all",
}  # fmt: skip
_ORDER = {"over": 0, "near": 1, "within": 2, "cannot_say": 3}
_NAMES = {"curing-salt": "curing", "curing_salt": "curing", "add": "salt", "mix": "salt", "thickness_mm": "thickness", "pick-up": "pump"}


@dataclass(frozen=True)
class Mixed:
    """The question, and its answer where there is one."""

    template: ClassVar[str] = "mixed.html"
    form: BenchForm
    typed: Mapping[str, str]
    answer: JudgeAnswer | None
    stop: tuple[str, str] = ("", "")  # it can harm: why, what to do
    kind: str = ""
    held: tuple[str, str] = ("", "")  # salt, nitrite of what was put on
    counted: tuple[Verdict, ...] = ()
    left: tuple[Verdict, ...] = ()
    advised: tuple[Verdict, ...] = ()
    chart: Markup = Markup("")  # noqa: RUF009  frozen, a value
    window: str = ""
    even: str = ""

    @property
    def title(self) -> str:
        """The window's title."""
        return self.form.name


@router.get("/mixed")
def mixed(request: Request) -> HTMLResponse:
    """All that is asked stands in the address."""
    _, shelf, session = state(request)
    house, form = shelf.house(session) or METRIC, form_of("mixed")
    if not request.query_params:
        return show(request, Mixed(form, usual_of(form, house), None), here="salt")
    typed = Typed({k: v.strip()[:60] for k, v in request.query_params.items()})
    try:
        answer = _judged(given_of(form, typed), house, clock_of(request).astimezone(house.home).date().isoformat())
    except IngleError as why:
        if isinstance(why, Refused) and why.field == "nitrite":  # poison is no slip of a form: it has a face and an act of its own
            return show(request, Mixed(form, typed, None, stop=(why.message, why.remedy)), here="salt", status=422)
        known = fields_by_word(form) | _NAMES | {f"curing-salt@{with_unit(typed['packet'], '%')}": "curing"}
        return show(request, Mixed(form, typed, None), here="salt", errors=(wrong_of(why, known),), status=422)
    judged = sorted((v for v in answer.verdicts if v.kind != "advice"), key=lambda v: _ORDER[v.level])
    held = (units.show_fraction(answer.ruling.salt), f"{answer.ruling.content.nitrite_as_sodium:.0f} mg/kg")
    page = Mixed(
        form, typed, answer, ("", ""), KINDS[answer.kind], held, tuple(v for v in judged if v.level != "cannot_say"), tuple(v for v in judged if v.level == "cannot_say"),
        tuple(v for v in answer.verdicts if v.kind == "advice"), _chart(answer), _hours(answer, "ready"), _hours(answer, "even"),
    )  # fmt: skip
    return show(request, page, here="salt")


def _judged(given: Given, house: House, day: str) -> JudgeAnswer:
    """The form in the words of the command ``judge``."""
    weight = given["weight"]
    if weight is None:
        raise BadBrief("The green weight is missing.", field="weight", value="missing", limit="like 1.38 kg", remedy="Weigh the piece.")
    if given["curing"] is not None and given["packet"] is None:
        raise BadBrief("The strength of the curing salt is missing.", field="packet", value="missing", limit="like 6.25", remedy="Read the nitrite on its packet.")
    length = lambda key: None if given[key] is None else units.length_mm(given[key], key)  # noqa: E731
    piece = Piece(
        units.mass_g(weight, "weight"), length("thickness"), length("width"), length("length"), given["shape"] or "slab", given["skin"] or "none", None, given["fat"] or "none"
    )
    put = [(name, given[key]) for name, key in (("salt", "salt"), (f"curing-salt@{given['packet']}", "curing"), ("sugar", "sugar"), ("water", "water")) if given[key] is not None]
    wish = given["wish"]
    return judge(
        (piece,), mix(put), product=Product(use=house.use), rules=house.rules, day=day,
        temperature_c=None if given["temperature"] is None else units.temperature_c(given["temperature"], "temperature"),
        days=None if given["days"] is None else units.days(units.duration_h(given["days"], "days", high=24 * 400)),
        wished_salt=units.fraction("2.5%" if wish is None else wish, "wish", low=0.005, high=0.12),
        pump_share=None if given["pump"] is None else units.fraction(given["pump"], "pump"),
    )  # fmt: skip


def _chart(answer: JudgeAnswer) -> Markup:
    """Salt along the days; a piece that was not measured has none."""
    if answer.curves is None or answer.ready is None:
        return Markup("")
    aim = 90 * wished_in_tissue(min(answer.wished_salt, answer.ruling.salt))  # 90 % of it, in g per 100 g
    return in_page_ink(days_svg(answer.curves, aim, answer.ready, 24 * (answer.at.days if answer.at else 0.0)))


def _hours(answer: JudgeAnswer, which: str) -> str:
    told = answer.ready if which == "ready" else answer.even
    if told is None:
        return ""
    if told.likely_h > 1e9:
        return "never at this dose"
    late = units.show_hours(told.latest_h) if told.latest_h < 1e9 else "never in one of twenty"
    return f"{units.show_hours(told.earliest_h)} to {late}"
