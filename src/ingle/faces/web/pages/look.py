"""All parts of the page at once, light, dark and black-only: a change to a part is looked at here before it lands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse

from ingle.faces.marks import grains_svg
from ingle.faces.web.page import show
from ingle.ground.things import Forecast
from ingle.safety.verdict import Verdict

router = APIRouter(include_in_schema=False)

_GRAINS = Forecast("core holds its salt", 70, 96, 160, tuple(66 + 5.2 * i + (0.2 * i) ** 2 for i in range(20)))


@dataclass(frozen=True)
class Parts:
    """Every part with invented words."""

    template: ClassVar[str] = "parts.html"
    verdicts: tuple[Verdict, ...]
    grains: str
    themes: tuple[tuple[str, str], ...] = (("light", "Light"), ("dark", "Dark"), ("black", "Black only"))
    inks: tuple[str, ...] = ("enamel", "plate", "paper", "smoke", "ash", "wire", "hair", "rim", "stamp", "brine", "ember", "beet", "twine", "night", "brine-pale")
    series: tuple[str, ...] = ("ink", "ember", "brine", "rye", "beet", "leaf")

    @property
    def title(self) -> str:
        """The window's title."""
        return "All parts"


def _verdict(level: str, title: str, value: float | None, limit: float | None, act: str = "") -> Verdict:
    return Verdict(
        "parts.example", title, level, value, limit, "mg/kg" if limit and limit > 50 else "C", "invented clause 1", "invented", "gap", act=act,
        not_checked=("what is left in the finished product",),
    )  # fmt: skip


@router.get("/parts")
def parts(request: Request) -> HTMLResponse:
    """All parts."""
    verdicts = (
        _verdict("within", "nitrite put in", 118, 150), _verdict("near", "nitrite put in", 149, 150, "Weigh the curing salt again on a finer scale."),
        _verdict("over", "the fridge", 6.2, 5, "Check the door's seal. Read again by 20:00."), _verdict("cannot_say", "nitrite left in it", None, 100),
    )  # fmt: skip
    return show(request, Parts(verdicts, grains_svg(_GRAINS, 150)), here="drawer")
