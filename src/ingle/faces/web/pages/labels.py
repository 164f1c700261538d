"""A pack's label: what its country's rules ask for is asked here, and nothing is printed while it is missing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar
from urllib.parse import quote

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces.paper import press
from ingle.faces.paper.labels import fitting, pack_labels
from ingle.faces.paper.stock import stocks
from ingle.faces.web.forms import Form, Sent, Typed, in_command_words
from ingle.faces.web.page import Wrong, show, state
from ingle.faces.web.pages.pressed import pdf_answer
from ingle.ground import units
from ingle.ground.errors import BadBrief, IngleError
from ingle.jobs import label_book
from ingle.jobs.house import METRIC, RULES
from ingle.jobs.label import Label, Pack, label
from ingle.jobs.label_foods import foods
from ingle.jobs.label_nutrition import lacking, per_serving
from ingle.jobs.label_wants import OR_HOME
from ingle.jobs.label_words import declared, in_french
from ingle.safety import label_rules

router = APIRouter(include_in_schema=False)

LONGEST = 300  # letters of one field: a label is small
WORDS = ("operator", "exempt", "serving_words", "serving_words_fr", "name_fr", "storage_fr", "one_language")


@dataclass(frozen=True)
class Row:
    """One ingredient, what it is to the table of foods, and its French name."""

    name: str
    food: str
    french: str
    asks_food: bool
    asks_french: bool


@dataclass(frozen=True)
class LabelPage:
    """What stands on a pack's label, and what it still wants."""

    template: ClassVar[str] = "label.html"
    code: str
    name: str
    batch: str
    sale: bool
    typed: Mapping[str, str]
    rules: tuple[tuple[str, str], ...]
    rows: tuple[Row, ...]
    foods: tuple[tuple[str, str], ...]
    french: bool  # the rules want a second language
    serving: bool
    lacks: tuple[str, ...]  # why it is not printed, and what to do; none = it is
    not_here: tuple[str, ...]
    stocks: tuple[tuple[str, str], ...]  # those it fits on, what the country prints on first
    saved: bool

    @property
    def title(self) -> str:
        """The window's title."""
        return f"Label of {self.name}"


def _pack(request: Request, code: str) -> tuple[Pack, int, str, bool]:
    """The pack with the code that opens it here, how many, whose rules, and whether the house sells."""
    _, shelf, session = state(request)
    link = f"{request.url.scheme}://{request.url.netloc}/c/{quote(code.upper(), safe='')}"
    pack, count, country = label_book.pack_of(shelf.book(session), code, link=link)
    return pack, count, country, (shelf.house(session) or METRIC).use == "sale"


def _made(pack: Pack, country: str, *, sale: bool) -> tuple[Label | None, tuple[str, ...]]:
    """The label, or why there is none and what to do."""
    try:
        return label(pack, country, home=not sale), ()
    except IngleError as why:
        remedy = why.remedy.replace(OR_HOME, "").strip()
        message = why.message[:1].upper() + why.message[1:]
        return None, (message,) if in_command_words(remedy) or not remedy else (message, remedy)


def _page(request: Request, code: str, typed: Mapping[str, str] | None = None, facts: dict[str, Any] | None = None, *, saved: bool = False) -> LabelPage:
    """As it is kept, or as it was typed and cannot be kept yet."""
    _, shelf, session = state(request)
    pack, _, country, sale = _pack(request, code)
    if facts is None:
        facts = label_book.said_of(shelf.book(session), code)
    country = str(facts.get("rules", "")) or country
    found = label_rules.rules(country) if country in label_rules.COUNTRIES else None
    french = found is not None and "languages" in found.records
    made, lacks = _made(pack, country, sale=sale)
    shown, names = typed if typed is not None else _typed(facts, country), stocks()
    return LabelPage(
        pack.lot, pack.name, label_book.batch_of(shelf.book(session), code), sale, shown, tuple((k, RULES[k]) for k in label_rules.COUNTRIES),
        _rows(pack, facts, found, french=french), (("", "not in the table"), *sorted(foods().items(), key=lambda f: f[0])), french,
        found is not None and per_serving(found) and not pack.exempt, lacks, made.not_here if made else (), tuple((k, names[k]) for k in fitting(made)) if made else (), saved,
    )  # fmt: skip


def _rows(pack: Pack, facts: dict[str, Any], found: label_rules.LabelRules | None, *, french: bool) -> tuple[Row, ...]:
    """Each ingredient with what is asked of it: no food where nothing is declared, no French where the name is known."""
    foods, translated = facts.get("foods", {}), facts.get("french", {})
    unknown = lacking(pack, found) if found and not pack.exempt else {}
    known = {one.name for one in declared(pack, found) if not one.name_fr and in_french(one, found)} if found and french else set()
    return tuple(
        Row(
            one.name, foods.get(one.name, ""), translated.get(one.name, ""), not pack.exempt and (one.name in foods or one.name in unknown),
            french and one.curing_salt is None and one.name not in known,
        )
        for one in pack.ingredients
    )  # fmt: skip


def _typed(facts: dict[str, Any], country: str) -> Typed:
    """What was said, as the form's fields."""
    told = {k: str(facts.get(k, "")) for k in WORDS} | {"rules": country}
    told["serving"] = f"{facts['serving_g']:g}" if facts.get("serving_g") else ""
    told["face"] = facts.get("face", "")
    return Typed(told)


@router.get("/papers/label/{code}.pdf")
def label_pdf(request: Request, code: str, on: str = "a4-24", start: int = 1) -> Response:
    """Labels of a pack; the QR code opens it here."""
    pack, count, country, sale = _pack(request, code)
    return pdf_answer(pack_labels([(label(pack, country, home=not sale), count)], on=on, start=start), f"labels-{code}")


@router.get("/papers/label/{code}.png")
def label_png(request: Request, code: str) -> Response:
    """One label as a picture, on the roll that is as long as it needs."""
    pack, _, country, sale = _pack(request, code)
    return Response(press.png(pack_labels([(label(pack, country, home=not sale), 1)], on="roll-62"), 200)[0], media_type="image/png")


@router.get("/papers/label/{code}")
def label_page(request: Request, code: str, saved: str = "") -> HTMLResponse:
    """What stands on it, what it wants, and the sheets it can be printed on."""
    return show(request, _page(request, code, saved=bool(saved)), here="book")


@router.post("/papers/label/{code}")
def label_said(request: Request, code: str, form: Sent) -> Response:
    """Kept with the pack; what it said before stays in the book as a note."""
    _, shelf, session = state(request)
    facts = _facts(form, label_book.said_of(shelf.book(session), code))
    if not form.wrong:
        try:
            label_book.say(shelf.book(session), code, facts, uid=form.uid, who=session.who)
            return RedirectResponse(f"/papers/label/{quote(code, safe='')}?saved=1", 303)
        except IngleError as why:
            form.blame(why)
    return show(request, _page(request, code, form.typed, facts), here="book", errors=tuple(form.wrong), status=422)


def _facts(form: Form, before: dict[str, Any]) -> dict[str, Any]:
    """The form's fields as a pack's label keeps them; what the form does not ask about stays."""
    facts = {k: v for k, v in before.items() if k not in (*WORDS, "rules", "serving_g", "face", "area_cm2", "longest_mm", "foods", "french")}
    facts |= {k: _short(form, k) for k in (*WORDS, "rules") if form.text(k)}
    serving = form.read("serving", lambda w, f: units.mass_g(w if any(c.isalpha() for c in w) else f"{w}g", f))
    if serving is not None:
        facts["serving_g"] = serving
    sides = form.read("face", _sides)
    if sides is not None:
        facts |= {"face": form.text("face"), "area_cm2": sides[0] * sides[1] / 100, "longest_mm": max(sides)}
    for key, kept in (("food", "foods"), ("french", "french")):
        was = before.get(kept, {})
        rows = {name: _short(form, f"{key}-{i}") if form.has(f"{key}-{i}") else was.get(name, "") for i, name in enumerate(form.all("item"), 1)}
        if any(rows.values()):
            facts[kept] = {name: value for name, value in rows.items() if value}
    return facts


def _short(form: Form, field: str) -> str:
    """A field's words, and a food only of the table: what is kept can always be shown again."""
    written = form.text(field)
    if len(written) > LONGEST:
        form.wrong.append(Wrong(field, f"{len(written):,} letters do not go on a label: at most {LONGEST}."))
        return ""
    if field.startswith("food-") and written and written not in foods():
        form.wrong.append(Wrong(field, f"{written!r} is no food of the table."))
        return ""
    return written


def _sides(written: str, field: str) -> tuple[float, float]:
    """Two lengths [mm], written like ``100 x 70``."""
    parts = written.lower().replace("mm", "").replace("×", "x").replace("by", "x").split("x")
    try:
        wide, high = (float(p.replace(",", ".")) for p in parts)
    except ValueError:
        raise BadBrief(f"{written!r} is not two lengths.", field=field, value=written, limit="two lengths, mm", remedy="Write it like 100 x 70.") from None
    if not (5 <= wide <= 2000 and 5 <= high <= 2000):
        raise BadBrief(f"{written!r} is no face of a pack.", field=field, value=written, limit="5 to 2,000 mm", remedy="Write it in mm, like 100 x 70.")
    return wide, high
