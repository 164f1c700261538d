"""Brine, cold smoke, bread, dough, butter, sauce: one form each, its figures each with where it is written."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse

from ingle.faces.bench_given import bread_of, brine_of, butter_of, dough_of, sauce_of, smoke_of
from ingle.faces.bench_told import told
from ingle.faces.web.forms import Typed, wrong_of
from ingle.faces.web.page import show, state
from ingle.faces.web.pages.bench_forms import BenchForm, fields_by_word, form_of, given_of, usual_of, where
from ingle.ground.errors import IngleError
from ingle.jobs.figures import BenchAnswer, Figure
from ingle.jobs.house import METRIC, House
from ingle.safety.verdict import Verdict

router = APIRouter(include_in_schema=False)

_ASKED: dict[str, Callable[[Mapping[str, Any]], BenchAnswer]] = {
    "brine": brine_of, "smoke": smoke_of, "butter": butter_of, "bread": bread_of, "formula": bread_of, "dough": dough_of, "proof": dough_of, "sauce": sauce_of,
}  # fmt: skip
_FIRST = {"bread": 2, "dough": 2, "butter": 2}  # groups that stand beside the form's answer; of the others one
_ORDER = {"over": 0, "near": 1, "cannot_say": 2, "within": 3}


@dataclass(frozen=True)
class Row:
    """A figure as it is read, and its record."""

    name: str
    value: str
    band: str
    ground: str
    source: str
    sure: str


@dataclass(frozen=True)
class Minded:
    """What to do or to mind, and where it is written, if anywhere."""

    text: str
    why: str
    ground: str = ""
    source: str = ""
    sure: str = ""


@dataclass(frozen=True)
class Section:
    """Figures that are read together."""

    title: str
    rows: tuple[Row, ...]
    note: str


@dataclass(frozen=True)
class Craft:
    """The question, and its answer where there is one."""

    template: ClassVar[str] = "craft.html"
    form: BenchForm
    typed: Mapping[str, str]
    answer: BenchAnswer | None
    asked: str = ""
    acts: tuple[Minded, ...] = ()
    cares: tuple[Minded, ...] = ()
    first: tuple[Section, ...] = ()
    rest: tuple[Section, ...] = ()
    loud: tuple[Verdict, ...] = ()
    calm: tuple[Verdict, ...] = ()

    @property
    def title(self) -> str:
        """The window's title."""
        return self.form.name


def page_of(key: str) -> Callable[[Request], HTMLResponse]:
    """The page of one form; all that is asked stands in the address."""

    def page(request: Request) -> HTMLResponse:
        _, shelf, session = state(request)
        house = shelf.house(session) or METRIC
        form, here = form_of(key), "salt" if key == "brine" else "drawer"
        if not request.query_params:
            return show(request, Craft(form, Typed({**usual_of(form, house), **_of_house(form, house)}), None), here=here)
        typed = Typed({k: v.strip()[:60] for k, v in request.query_params.items()})
        try:
            answer = _ASKED[key](given_of(form, typed))
        except IngleError as why:
            return show(request, Craft(form, typed, None), here=here, errors=(wrong_of(why, fields_by_word(form)),), status=422)
        sections = tuple(Section(g.title, tuple(_row(f, house) for f in g.figures.values()), g.note) for g in answer.groups)
        cut = _FIRST.get(key, 1)
        ordered = sorted(answer.verdicts, key=lambda v: _ORDER[v.level])
        loud, calm = tuple(v for v in ordered if v.level != "within"), tuple(v for v in ordered if v.level == "within")
        acts = tuple(Minded(a.act, a.why, a.ground, *where(a.ground)) for a in answer.acts)
        acts = acts or tuple(Minded(v.act, "") for v in loud[:1] if v.act)
        cares = tuple(Minded(c.text, "", c.ground, *(where(c.ground) if c.ground else ())) for c in answer.cautions)
        return show(request, Craft(form, typed, answer, answer.asked[:1].upper() + answer.asked[1:], acts, cares, sections[:cut], sections[cut:], loud, calm), here=here)

    return page


def _of_house(form: BenchForm, house: House) -> dict[str, str]:
    """What the house has said already."""
    return {"use": house.use} if form.key == "butter" else {}


def _row(f: Figure, house: House) -> Row:
    value, band = told(f, house)
    return Row(f.name, value, band, f.ground, *where(f.ground))


for name in _ASKED:
    router.add_api_route(f"/{name}", page_of(name), methods=["GET"], response_class=HTMLResponse)
