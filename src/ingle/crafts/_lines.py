"""Cited bands and lines of the crafts, and a number placed beside one. Private to the crafts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any

from ingle.ground.errors import OutOfRange
from ingle.ground.tables import csv_table, toml_table
from ingle.safety.verdict import Verdict, level_of_max, level_of_min


@dataclass(frozen=True)
class CitedBand:
    """A value with its spread, and how far to trust it."""

    low: float
    likely: float
    high: float
    unit: str
    sure: str  # quoted | memory | derived | common practice | gap
    source: str
    doubt: str = ""


@dataclass(frozen=True)
class Note:
    """A sentence to act on, with where it is written."""

    key: str
    act: str
    why: str
    source: str
    sure: str


@cache
def columns(name: str) -> dict[str, tuple[float, ...]]:
    """Columns of ``data/tables/NAME.csv`` as numbers."""
    rows = csv_table("tables", f"{name}.csv")
    return {key: tuple(float(row[key]) for row in rows) for key in rows[0]}


@cache
def band(craft: str, key: str) -> CitedBand:
    """One record of ``data/tables/practice_CRAFT.toml``."""
    return CitedBand(**_untitled(toml_table("tables", f"practice_{craft}.toml")["band"][key]))


@cache
def notes(craft: str) -> tuple[Note, ...]:
    """Every note of ``data/tables/practice_CRAFT.toml``, in the file's order."""
    told = toml_table("tables", f"practice_{craft}.toml").get("note", {})
    return tuple(Note(key=key, **_untitled(said)) for key, said in told.items())


def _untitled(said: dict[str, Any]) -> dict[str, Any]:
    """A record without the words that name it in a list."""
    return {k: v for k, v in said.items() if k != "about"}


def line_value(file: str, key: str) -> float:
    """The number of one line of ``data/limits/FILE.toml``."""
    said = toml_table("limits", f"{file}.toml")[key]["limit"]
    return float(said["max"] if "max" in said else said["min"])


def judged(file: str, key: str, value: float | None, act: str = "", *, not_checked: tuple[str, ...] = ()) -> Verdict:
    """Place a value beside one line of ``data/limits/FILE.toml``.

    The line's ``margin`` is the spread given to the value (how well a kitchen measures it): a spread that
    touches the line is near. ``act`` is kept when the line is near or crossed. No value: cannot say.
    """
    said = toml_table("limits", f"{file}.toml")[key]
    ceiling = "max" in said["limit"]
    edge, margin = line_value(file, key), said["margin"]
    low = high = None
    level = "cannot_say"
    if value is not None and math.isfinite(value):
        low, high = value - margin, value + margin
        level = level_of_max(value, edge, None, high) if ceiling else level_of_min(value, edge, low)
    else:
        value = None
    return Verdict(
        rule=f"{file}.{key}", title=said["about"], level=level, value=value, limit=edge,
        unit=said["limit"]["unit"],
        clause=said["clause"], source=said["source"], sure=said["sure"], kind=said["kind"],
        basis=said["basis"],
        low=low, high=high, act="" if level == "within" else act, doubt=said.get("doubt", ""),
        not_checked=not_checked,
    )  # fmt: skip


def require(value: float, field: str, low: float, high: float, unit: str, remedy: str = "") -> float:
    """The value as a float, or OutOfRange with both ends and the unit."""
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if not (number and low <= value <= high):
        raise OutOfRange(
            f"{field} {value!r} is outside {low:g} to {high:g} {unit}".rstrip() + ".",
            field=field, value=value, limit=(low, high),
            remedy=remedy or f"Give {field} between {low:g} and {high:g} {unit}".rstrip() + ".",
        )  # fmt: skip
    return float(value)
