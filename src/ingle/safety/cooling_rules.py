"""The named rules on cooling as the data files tell them, and which of them a piece may use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from ingle.ground.errors import OutOfRange
from ingle.ground.tables import csv_table, source, toml_table
from ingle.ground.units import duration_h, seconds, temperature_c

COOK_END, MADE, CHILL_START = "cook-end", "made", "chill-start"
_EVENTS = (COOK_END, MADE, CHILL_START)
_SAID = {COOK_END: "end of cooking", CHILL_START: "start of chilling"}


@dataclass(frozen=True)
class Facts:
    """What the record of a batch says beside its temperatures. None = not told.

    ``nitrite_mg_per_kg`` ingoing sodium nitrite; ``brine_pct`` salt in salt and water [%]; ``aw`` water activity;
    ``ascorbate`` whether ascorbate or erythorbate is in the cure; ``intact`` whole muscle, not needled or minced.
    """

    nitrite_mg_per_kg: float | None = None
    brine_pct: float | None = None
    aw: float | None = None
    ascorbate: bool | None = None
    intact: bool | None = None
    partly_cooked: bool = False
    ambient: bool = False

    def __post_init__(self) -> None:
        for name, high in (("nitrite_mg_per_kg", 1e6), ("brine_pct", 40.0), ("aw", 1.0)):
            value = getattr(self, name)
            if value is not None and not 0 <= value <= high:
                raise OutOfRange(
                    f"{name} is {value:g}; it lies between 0 and {high:g}.", field=name, value=value,
                    limit=f"0 to {high:g}", remedy="Check the number and its unit.",
                )  # fmt: skip


@dataclass(frozen=True)
class Segment:
    """One stage: from a temperature or an event to a temperature or an event. None = a line that is held."""

    name: str
    start: float | str | None  # [C] or a word of _EVENTS
    end: float | str  # [C] or CHILL_START
    seconds: float | None
    printed: str
    source: str
    clause: str
    sure: str
    doubt: str


@dataclass(frozen=True)
class Rule:
    """One named rule with its stages in order."""

    key: str
    about: str
    country: str
    group: str
    kind: str
    needs: tuple[dict[str, float | bool], ...]
    ascorbate: bool
    continuous: bool
    asks: tuple[str, ...]
    doubt: str
    segments: tuple[Segment, ...]


@cache
def all_rules() -> tuple[Rule, ...]:
    """Every rule of ``data/limits/cooling.toml`` with its stages from ``cooling_rows.csv``."""
    return tuple(_rule(key, said) for key, said in toml_table("limits", "cooling.toml").items())


def usable(facts: Facts, countries: Sequence[str]) -> tuple[tuple[Rule, ...], dict[str, tuple[str, ...]]]:
    """Rules that hold for a piece, and per group why its other ways were not taken."""
    found: list[Rule] = []
    left: dict[str, tuple[str, ...]] = {}
    for rule in all_rules():
        if countries and rule.country not in countries:
            continue
        why = why_not(rule, facts)
        if not why:
            found.append(rule)
        elif not any(set(n) & {"partly_cooked", "ambient"} for n in rule.needs) and not facts.partly_cooked and not facts.ambient:
            left[rule.group] = (*left.get(rule.group, ()), f"{rule.about} ({rule.country.upper()}): {why}")
    return tuple(found), left


def why_not(rule: Rule, facts: Facts) -> str:
    """Why a rule may not be used for a piece; empty when it may."""
    special = {k for need in rule.needs for k in need}
    if facts.partly_cooked and "partly_cooked" not in special and rule.kind == "law" and rule.group in ("us-fsis", "us-fda"):
        return "for fully cooked food"
    if facts.ambient and "ambient" not in special and rule.group != "gb-law":
        return "for food that was cooked"
    if rule.ascorbate and facts.ascorbate is False:
        return "asks for ascorbate or erythorbate in the cure, and there is none"
    if not rule.needs:
        return ""
    reasons = [_lacks(need, facts) for need in rule.needs]
    return "" if "" in reasons else reasons[0]


def _lacks(need: dict[str, float | bool], facts: Facts) -> str:
    words = {"nitrite_mg_per_kg": "ingoing nitrite", "brine_pct": "salt in the water phase", "aw": "water activity"}
    units = {"nitrite_mg_per_kg": " mg/kg", "brine_pct": " %", "aw": ""}
    for key, wanted in need.items():
        given = getattr(facts, key)
        if isinstance(wanted, bool):
            if given is not wanted:
                return f"asks for {'whole muscle' if key == 'intact' else key.replace('_', ' ')}" + (", not told" if given is None else "")
        elif given is None:
            return f"{words[key]} was not told; judged as uncured"
        elif (given > wanted + 1e-9) if key == "aw" else (given < wanted - 1e-9):
            side = "at most" if key == "aw" else "at least"
            return f"{words[key]} is {given:g}{units[key]}, asked is {side} {wanted:g}{units[key]}; judged as uncured"
    return ""


def _rule(key: str, said: dict[str, Any]) -> Rule:
    source(said["source"])
    rows = [r for r in csv_table("limits", "cooling_rows.csv") if r["rule"] == key]
    return Rule(
        key=key, about=said["about"], country=said["country"], group=said["group"], kind=said["kind"],
        needs=tuple(said.get("needs", ())), ascorbate=said.get("ascorbate", False),
        continuous=said.get("continuous", False), asks=tuple(said.get("asks", ())), doubt=said.get("doubt", ""),
        segments=tuple(_segment(r) for r in rows),
    )  # fmt: skip


def _segment(row: dict[str, str]) -> Segment:
    start, end = _point(row["from"], row["scale"]), _point(row["to"], row["scale"])
    if end is None:
        raise ValueError(f"cooling row {row} has no end")
    return Segment(
        row["segment"], start, end, round(seconds(duration_h(f"{row['hours']}h")), 6) if row["hours"] else None,
        printed(row), source(row["source"]).key, row["clause"], row["sure"], row["doubt"],
    )  # fmt: skip


def printed(row: dict[str, str]) -> str:
    """``130 to 80 F``, ``end of cooking to 50 C``, ``held at 8 C or below``."""
    if not row["from"]:
        return f"held at {row['to']} {row['scale']} or below"
    ends = [_SAID.get(row[k], row[k]) for k in ("from", "to")]
    return " to ".join(ends) + ("" if row["to"] in _SAID else f" {row['scale']}")


def _point(text: str, scale: str) -> float | str | None:
    if not text:
        return None
    return text if text in _EVENTS else temperature_c(f"{text}{scale}")
