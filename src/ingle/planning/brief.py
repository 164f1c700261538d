"""The brief: what to serve, to how many, when, with which kit.

`read_brief` reads the cook's TOML file; `brief_from` takes the same tables from a form. Times in the file
are the clock on the kitchen's wall; in the brief they are aware.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from ingle.ground import units
from ingle.ground.errors import IngleError, OutOfRange
from ingle.ground.things import FATS, SHAPES, SKINS, Piece
from ingle.planning import fields, values
from ingle.planning.fields import Fields
from ingle.planning.problem_check import WISHES

RULES = ("us", "eu", "gb", "ca", "anz", "codex")
USES = ("table", "sale")
LIQUIDS = ("kept", "poured off", "unknown")
MEAT_KG_M3 = 1070.0  # contracts: weight and shape are compared at this density
_SHAPE_MISS = 0.15
_LONGEST_PLAN_D = 366
_LONGEST_BEGUN_D = 366


@dataclass(frozen=True)
class Begun:
    """What is known of a piece that lies in its cure already."""

    started: datetime  # aware
    added_g: dict[str, float] = field(default_factory=dict)  # "salt", "sugar", "curing-salt@6.25%" -> g
    box: bool | None = None  # lidded box rather than a bag; None = not said
    liquid: str = "unknown"  # one of LIQUIDS


@dataclass(frozen=True)
class ServedPiece:
    """One cut named in the brief, and whether it is begun."""

    piece: Piece
    begun: Begun | None = None


@dataclass(frozen=True)
class Served:
    """One part on the plate."""

    part: str
    grams_per_plate: float
    pieces: tuple[ServedPiece, ...] = ()


@dataclass(frozen=True)
class Brief:
    """What to serve, to how many, when, with which kit."""

    name: str
    at: datetime  # aware, in ``zone``
    zone: ZoneInfo
    plates: int
    plan_from: datetime  # aware: the plan's clock
    serve: tuple[Served, ...]
    rules: tuple[str, ...] = ()  # () = strictest of all
    use: str = "table"
    ready_chance: float = 0.95
    kit_path: Path | None = None  # None = the home kitchen that ships with ingle
    parts_dirs: tuple[Path, ...] = ()  # searched before the shipped parts
    wishes: tuple[str, ...] = WISHES  # most important first
    night: tuple[int, int] = (22 * 60, 6 * 60)  # minutes from midnight
    file: str = ""


def read_brief(path: Path, now: datetime | None = None) -> Brief:
    """Read a brief; relative paths in it start at its own folder.

    Parameters
    ----------
    now : datetime, optional
        Stands in for ``plan_from`` where the file has none.

    Raises
    ------
    BadBrief, OutOfRange
        With the place in the file, the value, the limit and a remedy.
    """
    given = values.read_file(path, "brief")
    with values.in_file(path.name):
        return brief_from(given, path.resolve().parent, file=path.name, now=now)


def brief_from(
    given: Mapping[str, Any], folder: Path, *, file: str = "", now: datetime | None = None
) -> Brief:
    """A brief from the tables of its file or form."""
    top = fields.fields(given, "", ("meal", "serve", "use", "wish", "night"))
    meal = top.table(
        "meal",
        ("name", "at", "zone", "plates", "plan_from", "rules", "use", "ready_chance"),
        example="[meal]",
    )
    zone = values.zone(meal.raw("zone", fields.NEEDED, '"Europe/London"'), meal.at("zone"))
    at = meal.when("at", zone)
    plan_from = meal.when("plan_from", zone, fields.NEEDED if now is None else now)
    _in_order(meal, plan_from, at)
    use = top.table("use", ("kit", "parts"), fields.Fields("use", {}))
    return Brief(
        name=meal.text("name", longest=120),
        at=at,
        zone=zone,
        plates=meal.whole("plates", low=1, high=100_000, unit="plates"),
        plan_from=plan_from.astimezone(zone),
        serve=_serve(top, zone, plan_from),
        rules=tuple(
            dict.fromkeys(meal.words("rules", known=RULES, what="a country whose rules are known here"))
        ),
        use=meal.choice("use", USES, "table"),
        ready_chance=meal.number("ready_chance", 0.95, low=0.5, high=0.999),
        kit_path=_path(use, "kit", folder),
        parts_dirs=_folders(use, folder),
        wishes=_wishes(top),
        night=_night(top),
        file=file,
    )


def _in_order(meal: Fields, plan_from: datetime, at: datetime) -> None:
    if plan_from >= at:
        values.refuse(
            meal.at("plan_from"),
            f"{plan_from:%d %b %Y %H:%M} is not before the meal at {at:%d %b %Y %H:%M}.",
            value=plan_from.isoformat(),
            limit=at.isoformat(),
            remedy="Plan from an earlier hour, or set a later meal.",
            kind=OutOfRange,
        )
    if at - plan_from > timedelta(days=_LONGEST_PLAN_D):
        values.refuse(
            meal.at("plan_from"),
            f"lies {(at - plan_from).days} d before the meal.",
            value=plan_from.isoformat(),
            limit=f"{_LONGEST_PLAN_D} d",
            remedy="Plan from a day nearer to the meal.",
            kind=OutOfRange,
        )


_PIECE = (
    "weight",
    "thickness",
    "width",
    "length",
    "shape",
    "skin",
    "skin_weight",
    "fat",
    "name",
    "started",
    "added",
    "box",
    "liquid",
)


def _serve(top: Fields, zone: ZoneInfo, plan_from: datetime) -> tuple[Served, ...]:
    given = top.tables(
        "serve",
        ("part", "grams_per_plate", "pieces"),
        least=1,
        example="[[serve]] with part and grams_per_plate",
    )
    served = tuple(
        Served(
            f.key("part"),
            f.mass_g("grams_per_plate", high=5000.0),
            tuple(_piece(p, zone, plan_from) for p in f.tables("pieces", _PIECE)),
        )
        for f in given
    )
    for part, count in Counter(s.part for s in served).items():
        if count > 1:
            values.refuse(
                "serve",
                f"the part {part!r} is served {count} times.",
                value=part,
                limit="once",
                remedy="Put its pieces and grams into one [[serve]].",
            )
    return served


def _piece(f: Fields, zone: ZoneInfo, plan_from: datetime) -> ServedPiece:
    sides = {key: f.length_mm(key, None, high=2000.0) for key in ("thickness", "width", "length")}
    try:
        piece = Piece(
            weight_g=f.mass_g("weight", high=200_000.0),
            thickness_mm=sides["thickness"],
            width_mm=sides["width"],
            length_mm=sides["length"],
            shape=f.choice("shape", SHAPES, "slab"),
            skin=f.choice("skin", SKINS, "none"),
            skin_weight_g=f.mass_g("skin_weight", None),
            fat=f.choice("fat", FATS, "none"),
            name=f.text("name", "", longest=60),
        )
    except IngleError as why:
        if not why.field.startswith(f.path):
            why.field = f.at(why.field.replace("-", "_"))
            why.message = f"{why.field}: {why.message}"
            why.args = (why.text,)
        raise
    _shape_fits_weight(piece, f)
    return ServedPiece(piece, _begun(f, zone, plan_from))


def volume_cm3(piece: Piece) -> float | None:
    """Volume of a piece from its sides [cm3]; None when a side was not measured."""
    t, w, length = (
        None if side is None else side / 10 for side in (piece.thickness_mm, piece.width_mm, piece.length_mm)
    )
    if piece.shape == "sphere":
        return None if t is None else math.pi / 6 * t**3
    if piece.shape == "cylinder":
        return None if t is None or length is None else math.pi / 4 * t**2 * length
    return None if t is None or w is None or length is None else t * w * length


def _shape_fits_weight(piece: Piece, f: Fields) -> None:
    volume = volume_cm3(piece)
    if volume is None:
        return
    by_shape = volume * MEAT_KG_M3 / 1000
    if abs(by_shape / piece.weight_g - 1) > _SHAPE_MISS:
        values.refuse(
            f.at("weight"),
            f"is {piece.weight_g:g} g, but a {piece.shape} of these sides would weigh {by_shape:.0f} g.",
            value=f"{piece.weight_g:g} g",
            limit=f"within 15 % of {by_shape:.0f} g",
            remedy="Measure again: a skewer at the thickest place, width and length around the meat.",
            kind=OutOfRange,
        )


def _begun(f: Fields, zone: ZoneInfo, plan_from: datetime) -> Begun | None:
    if not f.has("started"):
        for key in ("added", "box", "liquid"):
            if f.has(key):
                values.refuse(
                    f.at(key),
                    "is said of a piece that has not begun.",
                    value=f.given[key],
                    limit="with started",
                    remedy="Add started = its date and time, or take this out.",
                )
        return None
    started = f.when("started", zone)
    if not plan_from - timedelta(days=_LONGEST_BEGUN_D) <= started <= plan_from:
        values.refuse(
            f.at("started"),
            f"{started:%d %b %Y %H:%M} is not within the year before plan_from {plan_from:%d %b %Y %H:%M}.",
            value=started.isoformat(),
            limit=plan_from.isoformat(),
            remedy="Write when the piece went into its cure; leave started out if it has not.",
            kind=OutOfRange,
        )
    return Begun(started, _added(f), f.flag("box", None), f.choice("liquid", LIQUIDS, "unknown"))


def _added(f: Fields) -> dict[str, float]:
    """Grams of what was added; a curing salt carries its nitrite: ``curing-salt@6.25%``."""
    given = f.raw("added", {}, '{ salt = "34g" }')
    added = fields.fields(given, f.at("added"), tuple(given) if isinstance(given, dict) else ())
    out = {}
    for name in added.given:
        item, _, strength = name.partition("@")
        if item not in ("salt", "sugar", "curing-salt"):
            values.unknown(
                added.at(name),
                item,
                ("salt", "sugar", "curing-salt@6.25%"),
                "something a cure is made of here",
            )
        if (item == "curing-salt") != bool(strength):
            values.refuse(
                added.at(name),
                "a curing salt, and only that, carries its nitrite after an @.",
                value=name,
                limit="curing-salt@6.25%",
                remedy='Write what the packet says: "curing-salt@6.25%" = "2.5g".',
            )
        if strength:
            values.quantity(units.fraction, strength, added.at(name), "6.25%", high=0.2)
        read = units.curing_salt_g if strength else units.mass_g
        out[name] = added.quantity(read, name, example="2.5g" if strength else "34g")
    return out


def _path(use: Fields, key: str, folder: Path) -> Path | None:
    said = use.text(key, None, example='"kitchen.toml"')
    return None if said is None else folder / said


def _folders(use: Fields, folder: Path) -> tuple[Path, ...]:
    found = []
    for i, said in enumerate(use.words("parts")):
        path = folder / said
        if not path.is_dir():
            values.refuse(
                f"{use.at('parts')}[{i}]",
                f"{said!r} is not a folder beside the brief.",
                value=said,
                limit="a folder of part files",
                remedy="Make the folder, or take it out of parts.",
            )
        found.append(path)
    return tuple(found)


def _wishes(top: Fields) -> tuple[str, ...]:
    """Ranked wishes at their rank, the others around them in their usual order."""
    given = top.tables("wish", ("kind", "rank"))
    ranks: dict[int, str] = {}
    for f in given:
        kind, rank = f.choice("kind", WISHES), f.whole("rank", low=1, high=len(WISHES))
        if rank in ranks or kind in ranks.values():
            values.refuse(
                f.path,
                f"the wish {kind!r} or the rank {rank} is given twice.",
                value=f"{kind} {rank}",
                limit="once each",
                remedy="Give every wish one rank of its own.",
            )
        ranks[rank] = kind
    rest = iter(k for k in WISHES if k not in ranks.values())
    return tuple(ranks.get(r) or next(rest) for r in range(1, len(WISHES) + 1))


def _night(top: Fields) -> tuple[int, int]:
    night = top.table("night", ("from", "to"), None)
    if night is None:
        return 22 * 60, 6 * 60
    begin, end = night.clock("from"), night.clock("to")
    length = (end - begin) % (24 * 60)
    if not 60 <= length <= 16 * 60:
        values.refuse(
            "night",
            f"from {night.given['from']} to {night.given['to']} is a night of {length / 60:g} h.",
            value=f"{night.given['from']} to {night.given['to']}",
            limit="1 h to 16 h",
            remedy='Write when the kitchen goes to bed and gets up: from = "22:00", to = "06:00".',
            kind=OutOfRange,
        )
    return begin, end
