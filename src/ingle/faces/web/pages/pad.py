"""Weighing piece after piece by big keys, with or without scripts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar
from urllib.parse import quote

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from ingle.faces.web.forms import Sent, said
from ingle.faces.web.page import Wrong, clock_of, show, state
from ingle.faces.web.pages.at_bench import held, piece_of
from ingle.faces.web.pages.weighing import Asked, asked, beside, expected, pressed
from ingle.ground import units
from ingle.ground.errors import BadBrief, IngleError
from ingle.jobs import record
from ingle.jobs.book import Leaf, PieceRow, leaf
from ingle.jobs.house import House

router = APIRouter(include_in_schema=False)

KEYS = ("7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0", "back")
FIGURE_MOST = 8


@dataclass(frozen=True)
class Pad:
    """One piece at the scale, with its keys."""

    template: ClassVar[str] = "pad.html"
    leaf: Leaf
    piece: PieceRow
    place: int
    of: int
    figure: str
    unit: str
    words: str  # what the figure is: "1.33 kg", "0.90 kg (900 g)"
    level: str  # how it sits beside what is expected; "" where nothing is expected or typed
    said: str
    since: str
    stamp: tuple[str, str] | None  # words, uid of what was just written
    ask: Asked | None  # of what was just written, where it is far from what was expected
    low: str  # what is expected, in the pad's unit, for the script
    high: str
    keys: tuple[str, ...] = KEYS

    @property
    def title(self) -> str:
        """The window's title."""
        return f"Weigh {self.piece.name}, {self.place} of {self.of}"


@router.get("/book/{code}/weigh")
def pad(request: Request, code: str, piece: str = "", since: str = "", wrote: str = "", said: str = "") -> Response:
    """The next piece of the round at the scale; a round begins when it is opened."""
    told, lived = held(request, code)
    if not told.pieces:
        return RedirectResponse(f"/book/{code}/read", 303)
    begun = since or clock_of(request).isoformat()
    here = piece or _next(told, begun) or told.pieces[0].code
    stamp = (said[:80], wrote) if wrote and any(e.now.uid == wrote for e in told.entries) else None
    return show(request, _pad(request, told, lived, here, "", begun, stamp), here="book")


def _next(told: Leaf, since: str) -> str:
    """The first piece that this round has not weighed."""
    try:
        begun = datetime.fromisoformat(since)
    except ValueError:
        return ""
    if begun.tzinfo is None:
        return ""
    left = [p.code for p in told.pieces if p.last_at is None or p.last_at < begun]
    return left[0] if left else ""


def _pad(request: Request, told: Leaf, lived: House, code: str, figure: str, since: str, stamp: tuple[str, str] | None = None) -> Pad:
    place, piece = piece_of(told, code)
    unit = "lb" if lived.mass == "lb" else "kg" if piece.green_g >= 1000 else "g"
    band = expected(told, piece, clock_of(request), lived)
    grams = units.mass_g(f"{figure}{unit}", "weight") if _is_figure(figure) else None
    level, said = beside(grams, band, piece, lived)
    show_in = lambda g: f"{units.pounds(g) if unit == 'lb' else units.kilograms(g) if unit == 'kg' else g:.3f}"  # noqa: E731
    low, high = ("", "") if band is None else (show_in(band.low), show_in(band.high))
    ask = asked(told, stamp[1], clock_of(request), lived, stamp[0]) if stamp else None
    words = pressed(figure, unit, lived) if grams is not None else f"{figure}\u00a0{unit}" if figure else ""
    return Pad(told, piece, place + 1, len(told.pieces), figure, unit, words, level, said, since, stamp, ask, low, high)


def _is_figure(written: str) -> bool:
    return bool(written) and written.replace(".", "", 1).isdigit() and float(written) > 0


@router.post("/book/{code}/weigh")
def weigh(request: Request, code: str, form: Sent) -> Response:
    """A key without scripts writes the figure on; *Record* stores it and goes to the next piece."""
    told, lived = held(request, code)
    _, shelf, session = state(request)
    figure, piece, since = form.text("figure").replace(",", "."), form.text("piece"), form.text("since")
    if form.has("key"):
        return show(request, _pad(request, told, lived, piece, _pressed(figure, form.text("key")), since), here="book")
    unit = _pad(request, told, lived, piece, "", since).unit
    try:
        if not _is_figure(figure):
            raise BadBrief("No weight is typed." if not figure else f"{figure!r} is not a weight.", field="figure", value=figure, remedy=f"Press the figures; it is in {unit}.")
        row = record.reading(
            shelf.book(session), piece, weight_g=units.mass_g(f"{figure}{unit}", "weight"), uid=form.uid, who=session.who, at=form.at
        )  # fmt: skip
    except IngleError as why:
        page = _pad(request, told, lived, piece, figure if _is_figure(figure) else "", since)
        return show(request, page, here="book", errors=(Wrong("figure", said(why)),), status=422)
    wrote = quote(f"{piece_of(told, piece)[1].name}: {pressed(figure, unit, lived)}")
    nxt = _next(leaf(shelf.book(session), code), since)
    if nxt:
        return RedirectResponse(f"/book/{code}/weigh?piece={nxt}&since={quote(since)}&wrote={row.uid}&said={wrote}", 303)
    return RedirectResponse(f"/book/{code}?wrote={row.uid}&kind=reading&what={wrote}", 303)


def _pressed(figure: str, key: str) -> str:
    if key == "back":
        return figure[:-1]
    if key not in KEYS or len(figure) >= FIGURE_MOST or (key == "." and "." in figure):
        return figure
    if key == ".":
        return (figure or "0") + key
    return key if figure == "0" else figure + key
