"""The second door: what lies in its cure already, or is laid in now, comes into the book: one piece, or several in one box."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from ingle.faces.web.forms import Form, Sent, Typed
from ingle.faces.web.page import Wrong, clock_of, show, state
from ingle.faces.web.pages.house import kit_path
from ingle.faces.web.pages.salt import FAT_WORDS, SHAPE_WORDS, SKIN_WORDS
from ingle.ground import units
from ingle.ground.errors import IngleError
from ingle.ground.things import Piece
from ingle.jobs.begun import begun, letter
from ingle.jobs.box_pieces import FRIDGE_C
from ingle.jobs.house import House
from ingle.planning.kit import read_kit

router = APIRouter(include_in_schema=False)


MOST = 12  # pieces in one box, as they are weighed in a row


@dataclass(frozen=True)
class Begun:
    """The form."""

    template: ClassVar[str] = "begun.html"
    typed: Mapping[str, str]
    shapes: tuple[tuple[str, str], ...] = tuple((k, v) for k, v in SHAPE_WORDS.items() if k != "box")
    skins: tuple[tuple[str, str], ...] = tuple(SKIN_WORDS.items())
    fats: tuple[tuple[str, str], ...] = tuple(FAT_WORDS.items())
    most: int = MOST
    letters: tuple[str, ...] = tuple(letter(n) for n in range(MOST))

    @property
    def title(self) -> str:
        """The window's title."""
        return "I have already begun"


@router.get("/book/begun")
def begun_page(request: Request) -> Response:
    """Asks what lies there."""
    _, shelf, session = state(request)
    lived = shelf.house(session)
    if lived is None:
        return RedirectResponse("/house?then=/book/begun", 303)
    now = clock_of(request).astimezone(lived.home)
    usual = {"date": now.date().isoformat(), "time": f"{now:%H:%M}", "packet": "6.25", "temperature": _fridge(request, lived)}
    return show(request, Begun(Typed(usual)), here="book")


def _fridge(request: Request, lived: House) -> str:
    """How cold the fridge is by the house's own kit; of a kit that was only taken as shipped nobody has measured it."""
    celsius = FRIDGE_C
    if lived.kit == "own":
        with suppress(IngleError):  # a file of the house that cannot be read is told of on its page
            celsius = next((f.temperature_c for f in read_kit(Path(kit_path(request, lived))).fridges), FRIDGE_C)
    return f"{units.fahrenheit(celsius):.0f}" if lived.temperature == "F" else f"{celsius:g}"


@router.post("/book/begun")
def take_in(request: Request, form: Sent) -> Response:
    """Pieces, batch, what went on and the forecast, all or nothing."""
    _, shelf, session = state(request)
    lived = shelf.house(session)
    if lived is None:
        return RedirectResponse("/house?then=/book/begun", 303)
    bare = lambda unit: lambda w, f, **say: (units.mass_g if unit in ("g", "kg", "lb") else units.length_mm)(_unit(w, unit), f, **say)  # noqa: E731
    weight = form.read("weight", bare(lived.mass), needed="The weight is missing: what was it green, before the cure?")
    thickness = form.read("thickness", bare("mm"))
    others = _others(form, lambda key, unit: form.read(key, bare(unit)), lived.mass)
    salt = form.read("salt", bare("g"), needed="The salt is missing: how many g went on?")
    curing = form.read("curing", bare("g"))
    sugar = form.read("sugar", bare("g"))
    warm = form.read("temperature", lambda w, f: units.temperature_c(_unit(w, lived.temperature), f), needed="How warm is the fridge?")
    if not form.text("name"):
        form.wrong.append(Wrong("name", "The piece has no name. A word or two, like Collar."))
    if curing and not form.text("packet"):
        form.wrong.append(Wrong("packet", "The packet's strength is missing: it says nitrite ... %."))
    at = None
    try:
        at = datetime.fromisoformat(f"{form.text('date')}T{form.text('time') or '12:00'}").replace(tzinfo=lived.home)
    except ValueError:
        form.wrong.append(Wrong("date", f"{form.text('date') or 'Nothing'} is not a date. Write it like 2026-12-04, and the hour like 18:05."))
    if not form.wrong and weight is not None and salt is not None and warm is not None:
        added = {"salt": salt, f"curing-salt@{form.text('packet').rstrip('% ')}%": curing or 0.0, "sugar": sugar or 0.0}
        try:
            like = Piece(weight, thickness, shape=form.text("shape") or "slab", skin=form.text("skin") or "none", fat=form.text("fat") or "none")
            pieces = [like, *(replace(like, weight_g=grams, thickness_mm=thick) for grams, thick in others)]
            batch = begun(shelf.book(session), form.text("name"), pieces, added, at=at, temperature_c=warm, uid=form.uid, who=session.who, note=form.text("note"))
            return RedirectResponse(f"/book/{batch.code}", 303)
        except IngleError as why:
            form.blame(why, {"weight": "weight", "thickness": "thickness", "salt": "salt", "curing-salt": "packet", "at": "date", "name": "name", "temperature": "temperature",
                             "curing salt": "curing", "sugar": "sugar", "note": "note"})  # fmt: skip
    return show(request, Begun(form.typed), here="book", errors=tuple(form.wrong), status=422)


def _others(form: Form, read: Callable[[str, str], float | None], mass: str) -> list[tuple[float, float | None]]:
    """Weight and thickness of the pieces that lie beside the first; a thickness without a weight is asked about."""
    found = []
    for n in range(1, MOST):
        grams, thick = read(f"w_{n}", mass), read(f"t_{n}", "mm")
        if grams is not None:
            found.append((grams, thick))
        elif form.text(f"t_{n}") and not form.text(f"w_{n}"):
            form.wrong.append(Wrong(f"w_{n}", f"Piece {letter(n)} has a thickness and no weight: what was it green?"))
    return found


def _unit(written: str, unit: str) -> str:
    return f"{written}{unit}" if written.replace(",", ".").replace(".", "", 1).isdigit() else written
