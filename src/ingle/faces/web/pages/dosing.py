"""What goes on a piece, recorded as weighed: all of it or nothing; a second dosing is asked about first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar
from urllib.parse import quote

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces.web.forms import Sent
from ingle.faces.web.page import Wrong, clock_of, show, state
from ingle.faces.web.pages.at_bench import held, named, piece_of
from ingle.ground import units
from ingle.jobs import record
from ingle.jobs.book import Leaf, PieceRow
from ingle.jobs.green import is_far
from ingle.jobs.house import House
from ingle.jobs.judge_dose import would_be
from ingle.notebook.readings import AlreadyDosed
from ingle.safety.verdict import Verdict

router = APIRouter(include_in_schema=False)

NAMED = 3  # pieces named in one line; of more the rest is counted
USUAL_ITEMS = ("salt", "curing-salt@6.25%", "sugar")


@dataclass(frozen=True)
class DosePage:
    """What goes on one piece."""

    template: ClassVar[str] = "dose.html"
    leaf: Leaf
    piece: PieceRow | None
    items: tuple[tuple[str, str, str, str], ...]  # field, item, name, value as typed or planned
    again: tuple[str, ...]  # who and when it was dosed already, a line each; empty = not yet
    weighed: str  # that its green weight is another than planned; "" = it is not
    ask: bool  # that weight is so far off that the amounts wait for a yes
    verdicts: tuple[Verdict, ...]  # of the amounts in the fields

    @property
    def title(self) -> str:
        """The window's title."""
        return f"Dose {self.piece.name if self.piece else self.leaf.name}"


@router.get("/book/{code}/dose")
def dose_page(request: Request, code: str, piece: str = "") -> HTMLResponse:
    """What is planned for a piece, ready to be recorded as weighed."""
    told, lived = held(request, code)
    return show(request, _dose_page(request, told, lived, piece), here="book")


def _dose_page(request: Request, told: Leaf, lived: House, piece: str, typed: Mapping[str, str] | None = None, again: tuple[str, ...] = (), ask: bool = False) -> DosePage:
    row = piece_of(told, piece)[1] if piece else told.pieces[0] if len(told.pieces) == 1 else None
    planned = row.planned if row else {}
    names = planned or dict.fromkeys(USUAL_ITEMS, 0.0)
    items = tuple(
        (f"item_{i}", item, named(item), (typed or {}).get(f"item_{i}") or (f"{grams:.1f}" if grams else "")) for i, (item, grams) in enumerate(names.items())
    )
    weighed = ""
    if row and planned and abs(row.green_g - row.told_g) > 1e-6:
        weighed = f"Planned {lived.weight(row.told_g)}; {lived.weight(row.green_g)} was weighed before the cure. The amounts stand for {lived.weight(row.green_g)}."
    _, shelf, session = state(request)
    once = again or _dosed(told, row, lived)
    verdicts = would_be(shelf.book(session), told.code, row.code, planned, clock_of(request)) if row and planned and not once else ()
    return DosePage(told, row, items, once, weighed, bool(weighed) and not once and (ask or (row is not None and is_far(row.green_g, row.told_g))), verdicts)


def _dosed(told: Leaf, row: PieceRow | None, lived: House) -> tuple[str, ...]:
    """What is on the piece already, or where none is named on any piece of the batch: who and when, by the kitchen's clock; pieces that got the same in one line."""
    whole = [d for d in told.facts.doses if d.piece_id is None]
    given = [(p.name, [*p.doses, *(whole if row else ())]) for p in told.pieces if row is None or p.code == row.code]
    if row is None:
        given.append((told.name, whole))
    same: dict[str, list[str]] = {}
    for name, doses in given:
        if doses:
            got = ", ".join(f"{named(d.item)} {d.weighed_g:.1f} g" for d in doses) + (f" by {doses[-1].who}" if doses[-1].who else "")
            same.setdefault(f"{got}, {doses[-1].at_utc.astimezone(lived.home):%a %d %b, %H:%M}", []).append(name)
    return tuple(f"{_listed(names)} {'each got' if len(names) > 1 else 'got'} {got}." for got, names in same.items())


def _listed(names: list[str]) -> str:
    """``Piece 1, Piece 2, Piece 3 and 9 more``."""
    first = names[:NAMED] if len(names) > NAMED + 1 else names[:-1]
    last = f"{len(names) - NAMED} more" if len(names) > NAMED + 1 else names[-1]
    return f"{', '.join(first)} and {last}" if first else last


@router.post("/book/{code}/dose")
def dose(request: Request, code: str, form: Sent) -> Response:
    """All of it or nothing; a second dosing is asked about first, with who and when, and so are amounts for a weight far from the plan's."""
    told, lived = held(request, code)
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
        return show(request, _dose_page(request, told, lived, piece, form.typed, (why.message,)), here="book", status=409)
    words = ", ".join(f"{named(r.item)} {r.weighed_g:.1f} g" for r in rows)
    return RedirectResponse(f"/book/{code}?wrote={','.join(r.uid for r in rows)}&kind=dose&what={quote(words)}", 303)
