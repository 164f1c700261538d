"""Pork frozen against trichinae: how cold, how long, how thick; every rule beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse

from ingle.faces.heat_given import days_of, frozen_of
from ingle.faces.web.forms import Typed, wrong_of
from ingle.faces.web.page import show, state
from ingle.ground import units
from ingle.ground.errors import IngleError
from ingle.jobs.freeze import FreezeAnswer, freeze
from ingle.jobs.house import METRIC
from ingle.safety.verdict import Verdict

router = APIRouter(include_in_schema=False)

_ORDER = {"over": 0, "near": 1, "cannot_say": 2, "within": 3}


@dataclass(frozen=True)
class Frozen:
    """The question, and its answer where there is one."""

    template: ClassVar[str] = "frozen.html"
    typed: Mapping[str, str]
    answer: FreezeAnswer | None
    verdicts: tuple[Verdict, ...] = ()  # the one that decides first
    spare: tuple[Verdict, ...] = ()  # ways not met, beside one of the same country that is

    @property
    def title(self) -> str:
        """The window's title."""
        return "Frozen against trichinae"


@router.get("/frozen")
def frozen(request: Request) -> HTMLResponse:
    """All that is asked stands in the address."""
    _, shelf, session = state(request)
    house = shelf.house(session) or METRIC
    typed = Typed({k: v.strip()[:60] for k, v in request.query_params.items()})
    if not typed["freezer"]:
        return show(request, Frozen(Typed({"freezer": "-18C", "days": "20"}), None), here="drawer")
    try:
        _, celsius = frozen_of(typed["freezer"], None, typed["days"] or None)
        assert celsius is not None  # without a log there is a temperature
        thick = typed["thickness"]
        bare = thick.replace(",", ".").replace(".", "", 1).isdigit()
        answer = freeze(
            celsius, days_of(typed["days"]), thickness_mm=units.length_mm(f"{thick}mm" if bare else thick, "thickness") if thick else None,
            game=typed["game"] == "yes", countries=house.rules,
        )  # fmt: skip
    except IngleError as why:
        known = {k: k for k in typed} | {"thickness_mm": "thickness", "log": "freezer", "days": "days"}
        return show(request, Frozen(typed, None), here="drawer", errors=(wrong_of(why, known),), status=422)
    ordered = sorted(answer.verdicts, key=lambda v: (v.rule != answer.strictest, _ORDER[v.level]))
    spare = tuple(v for v in ordered if v.rule in answer.not_needed)
    return show(request, Frozen(typed, answer, tuple(v for v in ordered if v not in spare), spare), here="drawer")
