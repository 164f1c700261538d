"""Crackling: whether a rind puffs, when, and what stops it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import ClassVar

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse

from ingle.faces.crackle_chart import svg
from ingle.faces.crackle_given import programme_of, rind_of
from ingle.faces.heat_given import oven_of
from ingle.faces.web.forms import Typed, wrong_of
from ingle.faces.web.ink import in_page_ink
from ingle.faces.web.page import show, state
from ingle.faces.web.pages.bench_forms import BenchForm, Field, fields_by_word, form_of, given_of, usual_of, where
from ingle.faces.web.pages.crafts import Row
from ingle.faces.web.pages.heat import kit_of, ovens_of
from ingle.ground import units
from ingle.ground.errors import IngleError
from ingle.ground.things import Band
from ingle.jobs.crackle import NOT_CHECKED, CrackleAnswer, crackle
from ingle.jobs.house import METRIC

router = APIRouter(include_in_schema=False)

WORDS = {"within": "can crackle", "near": "may or may not crackle", "over": "will not crackle", "cannot_say": "cannot say"}
_RINDS = 20  # a chance is told as so many of twenty


@dataclass(frozen=True)
class Crackling:
    """The question, and its answer where there is one."""

    template: ClassVar[str] = "crackle.html"
    form: BenchForm
    typed: Mapping[str, str]
    answer: CrackleAnswer | None
    wide: Markup
    narrow: Markup
    word: str = ""
    count: str = ""
    rows: tuple[Row, ...] = ()
    unseen: tuple[str, ...] = NOT_CHECKED

    @property
    def title(self) -> str:
        """The window's title."""
        return self.form.name


@router.get("/crackle")
def crackling(request: Request) -> HTMLResponse:
    """All that is asked stands in the address."""
    _, shelf, session = state(request)
    house, kit, none = shelf.house(session) or METRIC, kit_of(request), Markup("")
    form = _in_an_oven(form_of("crackle"), ovens_of(kit))
    if not request.query_params:
        return show(request, Crackling(form, usual_of(form, house), None, none, none), here="drawer")
    typed = Typed({k: v.strip()[:60] for k, v in request.query_params.items()})
    try:
        given = given_of(form, typed)
        told = {**dict.fromkeys(("water", "cured", "thickness", "salt", "dried_weight", "humidity", "fridge", "oven_offset", "recrisp")), **given}
        told |= {"rack": not given["tray"], "oven": given["oven"] or (), "fat": given["fat"] or "0mm", "fridge_temperature": given["fridge_temperature"] or "4C"}
        which = typed["which"]
        answer = crackle(rind_of(told), **programme_of(told, oven_of(kit, which) if kit is not None and which else None))
    except IngleError as why:
        return show(request, Crackling(form, typed, None, none, none), here="drawer", errors=(wrong_of(why, fields_by_word(form)),), status=422)
    wide, narrow = (in_page_ink(svg(answer, narrow=n)) for n in (False, True))
    return show(request, Crackling(form, typed, answer, wide, narrow, WORDS[answer.level], _count(answer), _rows(answer)), here="drawer")


def _in_an_oven(form: BenchForm, ovens: tuple[tuple[str, str], ...]) -> BenchForm:
    """The form, asking which of the house's ovens where its kit tells more than that they are there."""
    if not ovens:
        return form
    which = Field("which", "Which oven", "choose", "With its fan, and as far as its dial is off.", usual=ovens[0][0], options=ovens)
    at = next(i for i, f in enumerate(form.fields) if f.key == "oven_1")
    return replace(form, fields=(*form.fields[:at], which, *form.fields[at:]))


def _count(answer: CrackleAnswer) -> str:
    puffed = f"{round(_RINDS * answer.answer.told.chance)} of {_RINDS} such rinds puff"
    after = answer.answer.tried
    return puffed if after is None else f"{puffed}; {round(_RINDS * after)} after that"


def _rows(answer: CrackleAnswer) -> tuple[Row, ...]:
    """Figures with the record each rests on."""
    t = answer.answer.told
    found = [("Those that puff, at minute", "" if t.puff_min is None else _band(t.puff_min, ""), "practice.skin.puff_temperature_c")]
    if t.after_fridge_g is not None:
        found.append(("After the fridge", _band(t.after_fridge_g, "g"), "practice.skin.water_per_skin"))
    if t.weighed_g is not None:
        found.append(("Weighed, which counts", units.show_mass(t.weighed_g), "practice.skin.water_per_skin"))
    found += [
        ("Water into the oven", _band(t.into_oven_pct, "%"), "practice.skin.water_per_skin"), ("Crackling", _band(t.crackling_g, "g"), "practice.skin.water_per_skin"),
        ("Salt in the crackling", f"{units.per_hundred(answer.salt_per_crackling):.1f} %" if answer.salt_per_crackling else "", "rind.salt_kept"),
    ]  # fmt: skip
    if answer.floor_min is not None:
        found.append(("By heat alone, not before minute", f"{answer.floor_min:.0f}", "boiling.skin"))
    if t.recrisp_chance is not None:
        found.append(("Gone soft, crisp again at minute", "not within that time" if t.recrisp_min is None else _band(t.recrisp_min, ""), "practice.skin.puff_temperature_c"))
    return tuple(Row(words, *_parted(figure), ground, *where(ground)) for words, figure, ground in found if figure)


def _parted(figure: str) -> tuple[str, str]:
    """Value and spread."""
    value, _, spread = figure.partition(" (")
    return value, f"({spread}" if spread else ""


def _band(b: Band, unit: str) -> str:
    return f"{b.likely:.0f} {unit}".rstrip() + f" ({b.low:.0f} to {b.high:.0f})"
