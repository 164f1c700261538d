"""A reading of a batch or piece: a temperature, a pH, a taste, a note, a picture."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar
from urllib.parse import quote

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces.web.forms import Form, Sent, Typed, number
from ingle.faces.web.page import show, state
from ingle.faces.web.pages.at_bench import held, with_unit
from ingle.ground import units
from ingle.ground.errors import IngleError
from ingle.jobs import record
from ingle.jobs.book import Leaf
from ingle.notebook.readings import PHOTO_MOST

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class ReadPage:
    """A reading of a batch or piece."""

    template: ClassVar[str] = "read.html"
    leaf: Leaf
    typed: Mapping[str, str]
    photo_most: int = PHOTO_MOST // 1_000_000  # MB

    @property
    def title(self) -> str:
        """The window's title."""
        return f"Read {self.leaf.name}"


@router.get("/book/{code}/read")
def read_page(request: Request, code: str) -> HTMLResponse:
    """A temperature, a pH, a taste, a note, a picture."""
    told, _ = held(request, code)
    return show(request, ReadPage(told, Typed(dict(request.query_params))), here="book")


@router.post("/book/{code}/read")
async def read(request: Request, code: str, form: Sent) -> Response:
    """Stored like it is, out of range or not; what cannot be is refused at its field."""
    upload = form.file("photo")
    photo = await upload.read() if upload else None
    return await run_in_threadpool(_read, request, code, form, photo)


def _read(request: Request, code: str, form: Form, photo: bytes | None) -> Response:
    told, lived = held(request, code)
    _, shelf, session = state(request)
    values: dict[str, Any] = {
        "temperature_c": form.read("temperature", lambda w, f: units.temperature_c(with_unit(w, lived.temperature), f)), "ph": form.read("ph", number),
        "humidity_pct": form.read("humidity", lambda w, f: units.per_hundred(units.fraction(with_unit(w, "%"), f))),
        "salt_g_per_100g": form.read("salt", lambda w, f: units.per_hundred(units.fraction(with_unit(w, "%"), f))), "water_activity": form.read("water_activity", number),
        "weight_g": form.read("weight", lambda w, f: units.mass_g(with_unit(w, "lb" if lived.mass == "lb" else "kg"), f)),
        "probe_depth_mm": form.read("depth", lambda w, f: units.length_mm(with_unit(w, "mm"), f)),
    }  # fmt: skip
    if not form.wrong:
        try:
            row = record.reading(
                shelf.book(session), form.text("piece") or code, photo=photo, uid=form.uid, at=form.at, who=session.who, taste=form.text("taste") or None,
                note=form.text("note") or None, **values,
            )  # fmt: skip
            return RedirectResponse(f"/book/{code}?wrote={row.uid}&kind=reading&what={quote('A reading')}", 303)
        except IngleError as why:
            form.blame(why, {"weight": "weight", "temperature": "temperature", "ph": "ph", "water": "water_activity", "humidity": "humidity", "salt": "salt", "reading": "temperature",
                             "photo": "photo", "note": "note", "taste": "taste", "probe_depth": "depth", "probe depth": "depth"})  # fmt: skip
    return show(request, ReadPage(told, form.typed), here="book", errors=tuple(form.wrong), status=422)
