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
from ingle.faces.web.pages.weighing import Asked, asked, beside, expected
from ingle.ground import units
from ingle.ground.errors import BadBrief, IngleError
from ingle.jobs import record
from ingle.jobs.book import Entry, Leaf, PieceRow, leaf
from ingle.jobs.green import is_far
from ingle.jobs.house import House
from ingle.jobs.judge_dose import would_be
from ingle.notebook.readings import AlreadyDosed
from ingle.notebook.trouble import NotFound
from ingle.safety.verdict import Verdict

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
    ask: Asked | None  # of what was just written, where it is far from what was expected
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
    weighed: str  # that its green weight is another than planned; "" = it is not
    ask: bool  # that weight is so far off that the amounts wait for a yes
    verdicts: tuple[Verdict, ...]  # of the amounts in the fields

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
    band = expected(told, piece, clock_of(request), lived)
    grams = units.mass_g(f"{figure}{unit}", "weight") if _is_figure(figure) else None
    level, said = beside(grams, band, piece, lived)
    show_in = lambda g: f"{units.pounds(g) if unit == 'lb' else units.kilograms(g) if unit == 'kg' else g:.3f}"  # noqa: E731
    low, high = ("", "") if band is None else (show_in(band.low), show_in(band.high))
    ask = asked(told, stamp[1], clock_of(request), lived) if stamp else None
    return Pad(told, piece, place + 1, len(told.pieces), figure, unit, f"{figure}\u00a0{unit}" if figure else "", level, said, since, stamp, ask, low, high)


def _is_figure(written: str) -> bool:
    return bool(written) and written.replace(".", "", 1).isdigit() and float(written) > 0


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
    told, lived = _held(request, code)
    return show(request, _dose_page(request, told, lived, piece), here="book")


def _dose_page(request: Request, told: Leaf, lived: House, piece: str, typed: Mapping[str, str] | None = None, again: str = "", ask: bool = False) -> DosePage:
    row = _piece(told, piece)[1] if piece else told.pieces[0] if len(told.pieces) == 1 else None
    planned = row.planned if row else {}
    names = planned or dict.fromkeys(USUAL_ITEMS, 0.0)
    items = tuple(
        (f"item_{i}", item, _named(item), (typed or {}).get(f"item_{i}") or (f"{grams:.1f}" if grams else "")) for i, (item, grams) in enumerate(names.items())
    )
    weighed = ""
    if row and planned and abs(row.green_g - row.told_g) > 1e-6:
        weighed = f"Planned {lived.weight(row.told_g)}; {lived.weight(row.green_g)} was weighed before the cure. The amounts stand for {lived.weight(row.green_g)}."
    _, shelf, session = state(request)
    once = again or _dosed(told, row, lived)
    verdicts = would_be(shelf.book(session), told.code, row.code, planned, clock_of(request)) if row and planned and not once else ()
    return DosePage(told, row, items, once, weighed, bool(weighed) and not once and (ask or (row is not None and is_far(row.green_g, row.told_g))), verdicts)


def _dosed(told: Leaf, row: PieceRow | None, lived: House) -> str:
    """What is on the piece already, or where none is named on any piece of the batch: who and when, by the kitchen's clock."""
    whole = [d for d in told.facts.doses if d.piece_id is None]
    held = [(p.name, [*p.doses, *(whole if row else ())]) for p in told.pieces if row is None or p.code == row.code]
    if row is None:
        held.append((told.name, whole))
    return " ".join(
        f"{name} got {', '.join(f'{_named(d.item)} {d.weighed_g:.1f} g' for d in doses)}{' by ' + doses[-1].who if doses[-1].who else ''}, "
        f"{doses[-1].at_utc.astimezone(lived.home):%a %d %b, %H:%M}."
        for name, doses in held if doses
    )  # fmt: skip


def _named(item: str) -> str:
    name, _, strength = item.partition("@")
    number_ = strength.removesuffix("%")
    return f"curing salt, {number_}\u00a0% nitrite" if strength else name


@router.post("/book/{code}/dose")
def dose(request: Request, code: str, form: Sent) -> Response:
    """All of it or nothing; a second dosing is asked about first, with who and when, and so are amounts for a weight far from the plan's."""
    told, lived = _held(request, code)
    _, shelf, session = state(request)
    page = _dose_page(request, told, lived, form.text("piece"), form.typed)
    piece = page.piece.code if page.piece else ""
    if page.weighed and not page.again and form.text("green") != f"{page.piece.green_g:.3f}" and (page.ask or form.text("green")):  # type: ignore[union-attr]
        return show(request, _dose_page(request, told, lived, piece, ask=True), here="book", status=409)
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
        return show(request, _dose_page(request, told, lived, piece, form.typed, why.message), here="book", status=409)
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
