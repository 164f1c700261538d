"""Writing at the bench: weights by big keys, doses by a tap, readings, and corrections that leave the old value standing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, ClassVar
from urllib.parse import quote

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces.web.forms import Form, Sent, Typed, number, said
from ingle.faces.web.page import Wrong, clock_of, show, state
from ingle.ground import units
from ingle.ground.errors import BadBrief, IngleError
from ingle.ground.things import Band
from ingle.jobs import record
from ingle.jobs.begun import expected_g
from ingle.jobs.book import Entry, Leaf, PieceRow, leaf
from ingle.jobs.house import House
from ingle.notebook.readings import AlreadyDosed
from ingle.notebook.trouble import NotFound

router = APIRouter(include_in_schema=False)

KEYS = ("7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0", "back")
FIGURE_MOST = 8
MEASURED = (
    ("temperature", "temperature_c"), ("ph", "ph"), ("humidity", "humidity_pct"), ("salt", "salt_g_per_100g"), ("water_activity", "water_activity"),
)  # fmt: skip


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
    words: str  # what the figure is: "1.33 kg"
    level: str  # how it sits beside what is expected; "" where nothing is expected or typed
    said: str
    since: str
    stamp: tuple[str, str] | None  # words, uid of what was just written
    low: str  # what is expected, in the pad's unit, for the script
    high: str
    keys: tuple[str, ...] = KEYS

    @property
    def title(self) -> str:
        """The window's title."""
        return f"Weigh {self.piece.name}, {self.place} of {self.of}"


@dataclass(frozen=True)
class DosePage:
    """What goes on one piece."""

    template: ClassVar[str] = "dose.html"
    leaf: Leaf
    piece: PieceRow | None
    items: tuple[tuple[str, str, str, str], ...]  # field, item, name, value as typed or planned
    again: str  # who and when it was dosed already; "" = not yet

    @property
    def title(self) -> str:
        """The window's title."""
        return f"Dose {self.piece.name if self.piece else self.leaf.name}"


@dataclass(frozen=True)
class ReadPage:
    """A reading of a batch or piece."""

    template: ClassVar[str] = "read.html"
    leaf: Leaf
    typed: Mapping[str, str]

    @property
    def title(self) -> str:
        """The window's title."""
        return f"Read {self.leaf.name}"


@dataclass(frozen=True)
class CorrectPage:
    """One entry to be put right."""

    template: ClassVar[str] = "correct.html"
    leaf: Leaf
    entry: Entry
    field: str
    label: str
    value: str

    @property
    def title(self) -> str:
        """The window's title."""
        return "Put right"


def _held(request: Request, code: str) -> tuple[Leaf, House]:
    _, shelf, session = state(request)
    lived = shelf.house(session)
    if lived is None:
        raise NotFound("There is no kitchen in this book yet.", field="kitchen", remedy="Begin one: the three doors.")
    return leaf(shelf.book(session), code), lived


def _piece(told: Leaf, code: str) -> tuple[int, PieceRow]:
    for i, piece in enumerate(told.pieces):
        if piece.code == code:
            return i, piece
    raise NotFound(f"{told.name} has no piece {code!r}.", field="piece", value=code, remedy="See the pieces of the batch.")


# -- weighing ----------------------------------------------------------------------------------------------------------


@router.get("/book/{code}/weigh")
def pad(request: Request, code: str, piece: str = "", since: str = "", wrote: str = "", said: str = "") -> Response:
    """The next piece of the round at the scale; a round begins when it is opened."""
    told, lived = _held(request, code)
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
    place, piece = _piece(told, code)
    unit = "lb" if lived.mass == "lb" else "kg" if piece.green_g >= 1000 else "g"
    expected = _expected(request, told, piece)
    grams = units.mass_g(f"{figure}{unit}", "weight") if _is_figure(figure) else None
    level, said = _beside(grams, expected, piece, lived)
    show_in = lambda g: f"{units.pounds(g) if unit == 'lb' else units.kilograms(g) if unit == 'kg' else g:.3f}"  # noqa: E731
    low, high = ("", "") if expected is None else (show_in(expected.low), show_in(expected.high))
    return Pad(told, piece, place + 1, len(told.pieces), figure, unit, f"{figure}\u00a0{unit}" if figure else "", level, said, since, stamp, low, high)


def _is_figure(written: str) -> bool:
    return bool(written) and written.replace(".", "", 1).isdigit() and float(written) > 0


def _expected(request: Request, told: Leaf, piece: PieceRow) -> Band | None:
    """By the cure's model, where a dose and the thickness are in the book."""
    added = {d.item: d.weighed_g for d in piece.doses} or ({d.item: d.weighed_g for d in told.facts.doses if d.piece_id is None} if len(told.pieces) == 1 else {})
    cut = next((c for c, p in zip(told.facts.cuts, told.pieces, strict=True) if p.code == piece.code), None)
    if cut is None or not added or told.state == "planned":
        return None
    return expected_g(cut, added, units.hours((clock_of(request) - told.laid_in).total_seconds()))


def _beside(grams: float | None, expected: Band | None, piece: PieceRow, lived: House) -> tuple[str, str]:
    last = f"green {lived.weight(piece.green_g)}" + (f", last {lived.weight(piece.last_g)}" if piece.last_g is not None else "")
    if expected is None:
        return "", last
    band = f"expected {lived.weight(expected.low)} to {lived.weight(expected.high)}"
    if grams is None:
        return "", f"{band}; {last}"
    inside = expected.low <= grams <= expected.high
    return ("within" if inside else "near"), band if inside else f"outside what is {band}; weigh again, or record it as it is"


@router.post("/book/{code}/weigh")
def weigh(request: Request, code: str, form: Sent) -> Response:
    """A key without scripts writes the figure on; *Record* stores it and goes to the next piece."""
    told, lived = _held(request, code)
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
    wrote = quote(f"{_piece(told, piece)[1].name}: {figure} {unit}")
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


# -- dosing ------------------------------------------------------------------------------------------------------------

USUAL_ITEMS = ("salt", "curing-salt@6.25%", "sugar")


@router.get("/book/{code}/dose")
def dose_page(request: Request, code: str, piece: str = "") -> HTMLResponse:
    """What is planned for a piece, ready to be recorded as weighed."""
    told, _ = _held(request, code)
    return show(request, _dose_page(told, piece), here="book")


def _dose_page(told: Leaf, piece: str, typed: Mapping[str, str] | None = None, again: str = "") -> DosePage:
    row = _piece(told, piece)[1] if piece else None
    planned = row.planned if row else {}
    names = planned or dict.fromkeys(USUAL_ITEMS, 0.0)
    items = tuple(
        (f"item_{i}", item, _named(item), (typed or {}).get(f"item_{i}") or (f"{grams:.1f}" if grams else "")) for i, (item, grams) in enumerate(names.items())
    )
    return DosePage(told, row, items, again or _dosed(row))


def _dosed(row: PieceRow | None) -> str:
    if row is None or not row.doses:
        return ""
    last = row.doses[-1]
    return f"{row.name} got {', '.join(f'{d.item} {d.weighed_g:.1f} g' for d in row.doses)}{' by ' + last.who if last.who else ''}, {last.at_utc:%a %d %b, %H:%M} UTC."


def _named(item: str) -> str:
    name, _, strength = item.partition("@")
    number_ = strength.removesuffix("%")
    return f"curing salt, {number_}\u00a0% nitrite" if strength else name


@router.post("/book/{code}/dose")
def dose(request: Request, code: str, form: Sent) -> Response:
    """All of it or nothing; a second dosing is asked about first, with who and when."""
    told, _ = _held(request, code)
    _, shelf, session = state(request)
    piece = form.text("piece")
    page = _dose_page(told, piece, form.typed)
    amounts: dict[str, float] = {}
    for field, item, _, _ in page.items:
        if form.text(field):
            grams = form.read(field, lambda w, f: units.mass_g(w if w.rstrip().endswith("g") else f"{w}g", f, zero=True), item)
            if grams:
                amounts[item] = grams
    if not amounts and not form.wrong:
        form.wrong.append(Wrong(page.items[0][0], "Nothing is weighed in. Give at least one amount, in g."))
    if form.wrong:
        return show(request, page, here="book", errors=tuple(form.wrong), status=422)
    planned = page.piece.planned if page.piece else {}
    try:
        rows = record.dose(
            shelf.book(session), piece or code, amounts, planned={k: v for k, v in planned.items() if k in amounts} or None, again=form.has("again"), uid=form.uid,
            who=session.who, at=form.at,
        )  # fmt: skip
    except AlreadyDosed as why:
        return show(request, _dose_page(told, piece, form.typed, why.message), here="book", status=409)
    words = ", ".join(f"{_named(r.item)} {r.weighed_g:.1f} g" for r in rows)
    return RedirectResponse(f"/book/{code}?wrote={rows[0].uid}&kind=dose&what={quote(words)}", 303)


# -- other readings ----------------------------------------------------------------------------------------------------


@router.get("/book/{code}/read")
def read_page(request: Request, code: str) -> HTMLResponse:
    """A temperature, a pH, a taste, a note, a picture."""
    told, _ = _held(request, code)
    return show(request, ReadPage(told, Typed(dict(request.query_params))), here="book")


@router.post("/book/{code}/read")
async def read(request: Request, code: str, form: Sent) -> Response:
    """Stored like it is, out of range or not; what cannot be is refused at its field."""
    upload = form.file("photo")
    photo = await upload.read() if upload else None
    return await run_in_threadpool(_read, request, code, form, photo)


def _read(request: Request, code: str, form: Form, photo: bytes | None) -> Response:
    told, lived = _held(request, code)
    _, shelf, session = state(request)
    values: dict[str, Any] = {
        "temperature_c": form.read("temperature", lambda w, f: units.temperature_c(_unit(w, lived.temperature), f)), "ph": form.read("ph", number),
        "humidity_pct": form.read("humidity", lambda w, f: units.per_hundred(units.fraction(_unit(w, "%"), f))),
        "salt_g_per_100g": form.read("salt", lambda w, f: units.per_hundred(units.fraction(_unit(w, "%"), f))), "water_activity": form.read("water_activity", number),
        "weight_g": form.read("weight", lambda w, f: units.mass_g(_unit(w, "lb" if lived.mass == "lb" else "kg"), f)),
        "probe_depth_mm": form.read("depth", lambda w, f: units.length_mm(_unit(w, "mm"), f)),
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


def _unit(written: str, unit: str) -> str:
    return f"{written}{unit}" if written.replace(",", ".").replace(".", "", 1).lstrip("+-\u2212").isdigit() else written


# -- putting right -----------------------------------------------------------------------------------------------------


def _entry(told: Leaf, kind: str, uid: str) -> Entry:
    found = next((e for e in told.entries if e.kind == kind and e.now.uid == uid), None)
    if found is None:
        raise NotFound("This entry is not in this batch, or was put right before.", field="row", value=uid, remedy="Look at the batch again.")
    return found


def _field(entry: Entry, lived: House) -> tuple[str, str, str]:
    row = entry.now.row
    if entry.kind == "dose":
        return "weighed_g", f"{_named(row.item)}, g", f"{row.weighed_g:g}"
    if row.weight_g is not None:
        by = (units.pounds(row.weight_g), "lb") if lived.mass == "lb" else (units.kilograms(row.weight_g), "kg")
        return "weight_g", f"Weight, {by[1]}", f"{by[0]:g}"
    if row.temperature_c is not None:
        warm = units.fahrenheit(row.temperature_c) if lived.temperature == "F" else row.temperature_c
        return "temperature_c", f"Temperature, °{lived.temperature}", f"{warm:g}"
    for name, column in MEASURED[1:]:
        if getattr(row, column) is not None:
            return column, name.replace("_", " "), f"{getattr(row, column):g}"
    return "text", "What it should say", row.text


@router.get("/book/{code}/correct/{kind}/{uid}")
def correct_page(request: Request, code: str, kind: str, uid: str) -> HTMLResponse:
    """The value that stands, and the place for the right one."""
    told, lived = _held(request, code)
    entry = _entry(told, kind, uid)
    return show(request, CorrectPage(told, entry, *_field(entry, lived)), here="book")


@router.post("/book/{code}/correct/{kind}/{uid}")
def correct(request: Request, code: str, kind: str, uid: str, form: Sent) -> Response:
    """A new row in its place; the old one stays, struck through."""
    told, lived = _held(request, code)
    _, shelf, session = state(request)
    entry = _entry(told, kind, uid)
    field, label, _ = _field(entry, lived)
    try:
        if form.has("void"):
            record.correct(shelf.book(session), kind, uid, void=True, uid=form.uid, who=session.who)
        else:
            record.correct(shelf.book(session), kind, uid, uid=form.uid, who=session.who, **{field: _right(field, form.text("value"), lived)})
    except IngleError as why:
        page = CorrectPage(told, entry, field, label, form.text("value"))
        return show(request, page, here="book", errors=(Wrong("value", said(why)),), status=422)
    return RedirectResponse(f"/book/{code}", 303)


def _right(field: str, written: str, lived: House) -> Any:
    if field == "text":
        return written
    if field == "weighed_g":
        return units.mass_g(_unit(written, "g"), "weighed", zero=True)
    if field == "weight_g":
        return units.mass_g(_unit(written, "lb" if lived.mass == "lb" else "kg"), "weight")
    if field == "temperature_c":
        return units.temperature_c(_unit(written, lived.temperature), "temperature")
    return number(written, field)
