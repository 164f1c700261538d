"""A piece of meat in a brief: its measures, whether they fit its weight, and how it was begun."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from ingle.ground import units
from ingle.ground.errors import IngleError, OutOfRange
from ingle.ground.flesh import lean_density
from ingle.ground.things import FATS, SHAPES, SKINS, Piece
from ingle.planning import fields, values
from ingle.planning.brief_things import LIQUIDS, Begun, ServedPiece
from ingle.planning.fields import Fields

_SHAPE_MISS = 0.15  # ours: a cut is no box, and its weight may miss that of its sides so far
_LONGEST_BEGUN_D = 366
PIECE_KEYS = (
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


def piece_of(f: Fields, zone: ZoneInfo, plan_from: datetime) -> ServedPiece:
    """One entry of ``pieces``; a weight that its sides contradict by more than 15 % is refused."""
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
    by_shape = volume * lean_density() / 1000
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
        f.only_with(
            ("added", "box", "liquid"), "is said of a piece that has not begun.", limit="with started", remedy="Add started = its date and time, or take this out."
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
