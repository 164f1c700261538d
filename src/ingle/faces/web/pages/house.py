"""The house: its name, clock and rules, how it likes its numbers, its kit. Kept in the notebook's kitchen."""

from __future__ import annotations

import os
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar
from zoneinfo import available_timezones

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ingle.faces.web.forms import Sent, said
from ingle.faces.web.page import Wrong, show, state
from ingle.faces.words import tie
from ingle.ground import tables
from ingle.ground.errors import IngleError
from ingle.jobs import kitchen as kitchens
from ingle.jobs.house import METRIC, RULES, House, prefix_named, scale_named, settle, zone_named
from ingle.planning.kit import Kit, every_place, read_kit
from ingle.planning.kit_words import about
from ingle.planning.planfile import write_file

router = APIRouter(include_in_schema=False)

KIT_WORDS = {"home": "a home kitchen, as shipped", "smokehouse": "a small smokehouse, as shipped", "own": "our own file"}


@dataclass(frozen=True)
class HousePage:
    """What is said of the house; ``first`` at the first start."""

    template: ClassVar[str] = "house.html"
    first: bool
    typed: dict[str, str]
    ticked: tuple[str, ...]
    zones: tuple[str, ...]
    kit: Kit | None
    kit_lines: tuple[str, ...]
    saved: bool
    next: str
    rules: tuple[tuple[str, str], ...] = tuple(RULES.items())
    kits: tuple[tuple[str, str], ...] = tuple(KIT_WORDS.items())

    @property
    def title(self) -> str:
        """The window's title."""
        return "The house"


@router.get("/house")
def house(request: Request, saved: str = "", then: str = "") -> HTMLResponse:
    """What is said of the house."""
    _, shelf, session = state(request)
    lived = shelf.house(session)
    return show(request, _page(request, lived, None, (), bool(saved), then), here="drawer")


@router.post("/house")
async def settle_house(request: Request, form: Sent) -> Response:
    """Said anew; the first time it begins the kitchen."""
    upload = form.file("kit_file")
    content = await upload.read() if upload else b""
    return await run_in_threadpool(_settle, request, form, content)


def _settle(request: Request, form: Sent, content: bytes) -> Response:
    _, shelf, session = state(request)
    lived = shelf.house(session)
    rules = tuple(form.all("rules"))
    if not form.text("name"):
        form.wrong.append(Wrong("name", "The kitchen has no name. A word or two: it stands on sheets and labels."))
    _look(form, lived is None)
    if content and not form.wrong:
        _keep_kit(request, form, content)
    if not form.wrong:
        try:
            book = shelf.book(session)
            if lived is None:
                kitchens.begin(book, form.text("name"), zone=form.text("zone"), rules=rules, prefix=form.text("prefix") or None, use=form.text("use"), uid=form.uid)
            settle(
                book, name=form.text("name"), zone=form.text("zone"), rules=rules, use=form.text("use"), mass=form.text("mass"), temperature=form.text("temperature"),
                kit="own" if content else form.text("kit") or None, scale=form.text("scale") or None,
            )  # fmt: skip
        except IngleError as why:
            form.blame(why, {"kitchen": "name", "prefix": "prefix", "zone": "zone", "rules": "rules", "scale": "scale"})
    if form.wrong:
        page = _page(request, lived, form.typed, rules, False, form.text("then"))
        return show(request, page, here="drawer", errors=tuple(form.wrong), status=422)
    then = form.text("then")
    return RedirectResponse(then if then in ("/meal/new", "/book/begun") else "/house?saved=1", 303)


def _look(form: Sent, first: bool) -> None:
    """Every field is looked at before one is refused: what is wrong is told in one go."""
    if not form.text("zone"):
        form.wrong.append(Wrong("zone", "No time zone is named. Take the one its clock hangs in, like Europe/London."))
    for field, look in (("zone", zone_named), ("scale", scale_named), *((("prefix", prefix_named),) if first else ())):
        if form.text(field):
            try:
                look(form.text(field))
            except IngleError as why:
                form.wrong.append(Wrong(field, said(why)))


def this_zone() -> str:
    """The zone this machine's clock is set to, as a place; empty where it names none: a server on UTC says nothing of the kitchen."""
    link = Path("/etc/localtime")
    named = os.environ.get("TZ", "").lstrip(":") or str(link.resolve() if link.is_symlink() else "").partition("zoneinfo/")[2]
    return named if named in _zones() else ""


def _keep_kit(request: Request, form: Sent, content: bytes) -> None:
    """The kitchen's own kit file: read whole before it is kept."""
    config, _, _ = state(request)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "kitchen.toml"
        path.write_bytes(content)
        try:
            read_kit(path)
        except IngleError as why:
            form.wrong.append(Wrong("kit_file", said(why)))
            return
    write_file(config.keep / "kitchen.toml", content)


def kit_path(request: Request, lived: House | None) -> str:
    """The file of the kit this house plans with."""
    config, _, _ = state(request)
    kind = lived.kit if lived else "home"
    own = config.keep / "kitchen.toml"
    return str(own) if kind == "own" and own.is_file() else str(tables.data_path("kit", f"{'home' if kind == 'own' else kind}.toml"))


def _page(request: Request, lived: House | None, typed: dict[str, str] | None, ticked: tuple[str, ...], saved: bool, then: str) -> HousePage:
    said = lived or METRIC
    filled = typed or {
        "name": said.name, "zone": this_zone() if lived is None else said.zone, "use": said.use, "mass": said.mass, "temperature": said.temperature, "kit": said.kit,
        "scale": said.scale, "prefix": said.prefix,
    }  # fmt: skip
    try:
        kit: Kit | None = read_kit(Path(kit_path(request, lived)))
    except IngleError:
        kit = None
    return HousePage(lived is None, filled, ticked if typed else said.rules, _zones(), kit, _kit_lines(kit, said.scale), saved, then)


def _kit_lines(kit: Kit | None, scale: str) -> tuple[str, ...]:
    if kit is None:
        return ()
    return (*(tie(about(p)) for p in every_place(kit)), *(f"{c.name} cooks" for c in kit.cooks), f"a scale with steps of {scale}, as said above")


def _zones() -> tuple[str, ...]:
    """Zones as places, the bare offsets left out."""
    return tuple(sorted(z for z in available_timezones() if "/" in z and not z.startswith(("Etc/", "posix/", "right/", "SystemV/"))))
