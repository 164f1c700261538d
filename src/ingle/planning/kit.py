"""The kitchen: what it holds, how warm it is, and who stands in it when.

A kit is a TOML file. Its tables: ``[[oven]]``, ``[[fridge]]``, ``[[freezer]]``, ``[[smoker]]``,
``[[other]]``, ``[[cook]]`` and ``[scale]``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ingle.ground import units
from ingle.ground.errors import OutOfRange
from ingle.ground.tables import data_path
from ingle.planning import fields, values
from ingle.planning.fields import Fields
from ingle.planning.kit_hours import DAYS, cook_of
from ingle.planning.kit_things import (
    NO_SMOKE,
    SMOKE_MAKERS,
    AnyPlace,
    Cold,
    CookHours,
    Kit,
    Other,
    Oven,
    Shift,
    Smoker,
    every_place,
    places_of,
)

KIT_KEYS = ("name", "oven", "fridge", "freezer", "smoker", "other", "cook", "scale")
OVEN_KEYS = ("key", "name", "holds", "range", "heat_up", "offset", "fan")
OFFSET_KEYS = ("mean", "sd")
COLD_KEYS = ("key", "name", "litres", "temperature", "sd")
SMOKER_KEYS = ("key", "name", "rails", "makes_smoke")
OTHER_KEYS = ("key", "name", "holds")
COOK_KEYS = ("key", "name", "hours", "away")
SCALE_KEYS = ("steps",)


def read_kit(path: Path | None = None) -> Kit:
    """Read a kit; None is the home kitchen that ships with ingle.

    Raises
    ------
    BadBrief, OutOfRange
        With the place in the file, the value, the limit and a remedy.
    """
    path = path or data_path("kit", "home.toml")
    given = values.read_file(path, "kit")
    with values.in_file(path.name):
        return kit_from(given, file=path.name)


def kit_from(given: Mapping[str, Any], *, file: str = "") -> Kit:
    """A kit from the tables of its file."""
    top = fields.fields(given, "", KIT_KEYS)
    kit = Kit(
        name=top.text("name", "the kitchen"),
        ovens=tuple(_oven(f) for f in top.tables("oven", OVEN_KEYS)),
        fridges=tuple(_cold(f, 4.0, 1.0, 0.0, 12.0) for f in top.tables("fridge", COLD_KEYS)),
        freezers=tuple(_cold(f, -18.0, 0.0, -40.0, -5.0) for f in top.tables("freezer", COLD_KEYS)),
        smokers=tuple(_smoker(f) for f in top.tables("smoker", SMOKER_KEYS)),
        others=tuple(_other(f) for f in top.tables("other", OTHER_KEYS)),
        cooks=tuple(cook_of(f) for f in top.tables("cook", COOK_KEYS, least=1, example="[[cook]] with key and hours")),
        scale_steps_g=_scale(top),
        file=file,
    )
    _own_names(kit)
    return kit


def _oven(f: Fields) -> Oven:
    low, high = _range(f)
    offset = f.table("offset", OFFSET_KEYS, fields.Fields(f.at("offset"), {}))
    key = f.key("key")
    return Oven(
        key,
        f.text("name", key),
        f.whole("holds", low=1, high=200, unit="shelves"),
        low,
        high,
        f.minutes("heat_up", 15, high_h=6),
        offset.spread_c("mean", 0.0 if f.has("offset") else None, low=-60, high=60),
        offset.spread_c("sd", None, low=0, high=40),
        f.flag("fan", None),
    )


def _range(f: Fields) -> tuple[float, float]:
    ends = f.listed("range", '["60C", "250C"]')
    if not ends:
        return 50.0, 250.0
    if len(ends) != 2:
        values.refuse(
            f.at("range"),
            f"holds {len(ends)} values.",
            value=len(ends),
            limit="2: lowest, highest",
            remedy='Write range = ["60C", "250C"].',
        )
    low, high = (values.quantity(units.temperature_c, v, path, "250C", low=20, high=400) for path, v in ends)
    if not low < high:
        values.refuse(
            f.at("range"),
            f"ends at {high:g} C, not above its start {low:g} C.",
            value=f"{low:g} to {high:g} C",
            limit="lowest first",
            remedy='Write range = ["60C", "250C"].',
            kind=OutOfRange,
        )
    return low, high


def _cold(f: Fields, usual_c: float, usual_sd_c: float, low: float, high: float) -> Cold:
    key = f.key("key")
    return Cold(
        key,
        f.text("name", key),
        _litres(f),
        f.temperature_c("temperature", usual_c, low=low, high=high),
        f.spread_c("sd", usual_sd_c, high=10),
    )


def _litres(f: Fields) -> int:
    """``60`` or ``"60l"``: free litres, rounded down."""
    value = f.raw("litres", fields.NEEDED, "60")
    if isinstance(value, str):
        value = values.quantity(units.volume_l, value, f.at("litres"), "60l")
    return int(values.number(value, f.at("litres"), 1, 100_000, "l"))


def _smoker(f: Fields) -> Smoker:
    key = f.key("key")
    return Smoker(
        key,
        f.text("name", key),
        f.whole("rails", low=1, high=1000, unit="rails"),
        NO_SMOKE if f.given.get("makes_smoke") is False else f.choice("makes_smoke", SMOKE_MAKERS),
    )


def _other(f: Fields) -> Other:
    key = f.key("key")
    return Other(key, f.text("name", key), f.whole("holds", low=1, high=1000))


def _scale(top: Fields) -> tuple[float, ...]:
    scale = top.table("scale", SCALE_KEYS, None)
    if scale is None:
        return ()
    return tuple(
        sorted(
            values.quantity(units.mass_g, v, path, "0.1g", high=1000.0)
            for path, v in scale.listed("steps", '["0.1g"]')
        )
    )


def _own_names(kit: Kit) -> None:
    for what, keys in (
        ("place", [p.key for p in every_place(kit)]),
        ("cook", [c.key for c in kit.cooks]),
    ):
        for key, count in Counter(keys).items():
            if count > 1:
                values.refuse(
                    f"{what}.key",
                    f"{key!r} is given {count} times.",
                    value=key,
                    limit="one each",
                    remedy=f"Give every {what} a key of its own.",
                )


__all__ = [
    "DAYS", "SMOKE_MAKERS", "AnyPlace", "Cold", "CookHours", "Kit", "Other", "Oven", "Shift", "Smoker", "every_place", "kit_from", "places_of", "read_kit",
]  # fmt: skip
