"""The kitchen: what it holds, how warm it is, and who stands in it when.

A kit is a TOML file. Its tables: ``[[oven]]``, ``[[fridge]]``, ``[[freezer]]``, ``[[smoker]]``,
``[[other]]``, ``[[cook]]`` and ``[scale]``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from ingle.ground import units
from ingle.ground.errors import OutOfRange
from ingle.ground.tables import data_path
from ingle.planning import fields, values
from ingle.planning.fields import Fields

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
SMOKE_MAKERS = ("tray", "tube", "box with pipe", "open fire")
_LONGEST_SHIFT_H = 16


@dataclass(frozen=True)
class Oven:
    """An oven: shelves, the heat it can give, the time to reach it, and how far its dial is off."""

    key: str
    name: str
    holds: int  # shelves
    low_c: float = 50.0
    high_c: float = 250.0
    heat_up_min: int = 15
    offset_mean_c: float = 0.0
    offset_sd_c: float = 5.0
    fan: bool = False


@dataclass(frozen=True)
class Cold:
    """A fridge or a freezer: free litres, and the temperature with its spread."""

    key: str
    name: str
    litres: int
    temperature_c: float
    sd_c: float


@dataclass(frozen=True)
class Smoker:
    """A smoker: rails that hold food, and what makes the smoke."""

    key: str
    name: str
    rails: int
    makes_smoke: str  # one of SMOKE_MAKERS


@dataclass(frozen=True)
class Other:
    """Anything else that can be full: a hob, a rack, a mixer."""

    key: str
    name: str
    holds: int


AnyPlace = Oven | Cold | Smoker | Other


@dataclass(frozen=True)
class Shift:
    """Hours of some weekdays; ``to_min`` beyond 1440 is after midnight."""

    days: tuple[int, ...]  # 0 = Monday
    from_min: int
    to_min: int


@dataclass(frozen=True)
class CookHours:
    """One pair of hands, its usual hours and the days it is away."""

    key: str
    name: str
    shifts: tuple[Shift, ...]
    away: tuple[date, ...] = ()


@dataclass(frozen=True)
class Kit:
    """Everything the meal is made with."""

    name: str
    ovens: tuple[Oven, ...]
    fridges: tuple[Cold, ...]
    freezers: tuple[Cold, ...]
    smokers: tuple[Smoker, ...]
    others: tuple[Other, ...]
    cooks: tuple[CookHours, ...]
    scale_steps_g: tuple[float, ...] = ()  # () = not said
    file: str = ""


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
    top = fields.fields(given, "", ("name", "oven", "fridge", "freezer", "smoker", "other", "cook", "scale"))
    kit = Kit(
        name=top.text("name", "the kitchen"),
        ovens=tuple(
            _oven(f)
            for f in top.tables("oven", ("key", "name", "holds", "range", "heat_up", "offset", "fan"))
        ),
        fridges=tuple(_cold(f, 4.0, 1.0, 0.0, 12.0) for f in top.tables("fridge", _COLD)),
        freezers=tuple(_cold(f, -18.0, 2.0, -40.0, -5.0) for f in top.tables("freezer", _COLD)),
        smokers=tuple(_smoker(f) for f in top.tables("smoker", ("key", "name", "rails", "makes_smoke"))),
        others=tuple(_other(f) for f in top.tables("other", ("key", "name", "holds"))),
        cooks=tuple(
            _cook(f)
            for f in top.tables(
                "cook", ("key", "name", "hours", "away"), least=1, example="[[cook]] with key and hours"
            )
        ),
        scale_steps_g=_scale(top),
        file=file,
    )
    _own_names(kit)
    return kit


def places_of(kit: Kit, kind_or_key: str) -> tuple[AnyPlace, ...]:
    """All of this kind, or else the one with this key; () when there is none."""
    kinds: dict[str, tuple[AnyPlace, ...]] = {
        "oven": kit.ovens,
        "fridge": kit.fridges,
        "freezer": kit.freezers,
        "smoker": kit.smokers,
    }
    return kinds.get(kind_or_key) or tuple(p for p in every_place(kit) if p.key == kind_or_key)


def every_place(kit: Kit) -> tuple[AnyPlace, ...]:
    """Ovens, fridges, freezers, smokers and the rest."""
    return (*kit.ovens, *kit.fridges, *kit.freezers, *kit.smokers, *kit.others)


_COLD = ("key", "name", "litres", "temperature", "sd")


def _oven(f: Fields) -> Oven:
    low, high = _range(f)
    offset = f.table("offset", ("mean", "sd"), fields.Fields(f.at("offset"), {}))
    key = f.key("key")
    return Oven(
        key,
        f.text("name", key),
        f.whole("holds", low=1, high=200, unit="shelves"),
        low,
        high,
        f.minutes("heat_up", 15, high_h=6),
        offset.spread_c("mean", 0.0, low=-60, high=60),
        offset.spread_c("sd", 5.0, low=0, high=40),
        bool(f.flag("fan")),
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
        f.choice("makes_smoke", SMOKE_MAKERS),
    )


def _other(f: Fields) -> Other:
    key = f.key("key")
    return Other(key, f.text("name", key), f.whole("holds", low=1, high=1000))


def _cook(f: Fields) -> CookHours:
    key = f.text("key", example='"A"', longest=20)
    shifts = tuple(
        _shift(s)
        for s in f.tables(
            "hours",
            ("days", "from", "to"),
            least=1,
            example='{ days = "mon-fri", from = "18:00", to = "22:00" }',
        )
    )
    away = []
    for path, day in f.listed("away", "[2026-12-24]"):
        if isinstance(day, datetime) or not isinstance(day, date):
            values.refuse(
                path,
                f"{day!r} is not a date.",
                value=day,
                limit="2026-12-24",
                remedy="Write dates without quotes: 2026-12-24.",
            )
        away.append(day)
    return CookHours(key, f.text("name", f"cook {key}", longest=60), shifts, tuple(away))


def _shift(f: Fields) -> Shift:
    begin, end = f.clock("from"), f.clock("to")
    if end <= begin:
        end += 24 * 60  # past midnight
    if begin >= 24 * 60 or not 0 < end - begin <= _LONGEST_SHIFT_H * 60:
        values.refuse(
            f.path,
            f"from {f.given['from']} to {f.given['to']} is a stretch of {(end - begin) / 60:g} h.",
            value=f"{f.given['from']} to {f.given['to']}",
            limit=f"up to {_LONGEST_SHIFT_H} h",
            remedy="Give the hour work begins, then the hour it ends.",
            kind=OutOfRange,
        )
    return Shift(_weekdays(f), begin, end)


def _weekdays(f: Fields) -> tuple[int, ...]:
    """``mon-fri``, ``sat``, ``mon,wed,fri``, ``every day``."""
    said = f.text("days", example='"mon-fri"').lower()
    if said in ("daily", "every day"):
        return tuple(range(7))
    days: set[int] = set()
    for part in said.replace(" ", "").split(","):
        ends = part.split("-")
        for end in ends:
            if end not in DAYS:
                values.unknown(f.at("days"), end, DAYS, "a day of the week")
        if len(ends) > 2:
            values.refuse(
                f.at("days"),
                f"{part!r} has more than two ends.",
                value=part,
                limit="mon-fri",
                remedy='Write "mon-fri".',
            )
        first, last = DAYS.index(ends[0]), DAYS.index(ends[-1])
        days |= {(first + i) % 7 for i in range((last - first) % 7 + 1)}
    return tuple(sorted(days))


def _scale(top: Fields) -> tuple[float, ...]:
    scale = top.table("scale", ("steps",), None)
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
