"""The named rules on heat as the data files tell them: printed rows, what they are for, conditions in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from ingle.ground.errors import BadBrief
from ingle.ground.tables import csv_table, source, toml_table
from ingle.ground.units import duration_h, seconds, temperature_c

PRODUCTS = {
    "meat": "meat other than poultry",
    "pork": "pork",
    "burger": "minced meat",
    "poultry": "poultry",
    "chicken": "chicken",
    "fat": "fat that is rendered",
    "reheated": "food cooked before, heated again",
}


@dataclass(frozen=True)
class Row:
    """One printed row: this hot for this long. ``printed`` is the temperature as the source prints it."""

    celsius: float
    seconds: float  # 0 = reached is enough
    printed: str
    source: str
    clause: str
    sure: str
    doubt: str = ""


@dataclass(frozen=True)
class Rule:
    """One named rule. ``rows`` rise in temperature; empty where only added-up heat is asked."""

    key: str
    about: str
    country: str
    kind: str
    organism: str
    log10: float | None
    products: tuple[str, ...]
    default: bool
    rows: tuple[Row, ...]
    law: str
    group: str
    needs: str
    moisture: bool
    rest: bool
    source: str
    clause: str
    sure: str
    doubt: str


@cache
def rows_of(key: str) -> tuple[Row, ...]:
    """Printed rows of a rule from ``data/limits/lethality_rows.csv``, coldest first."""
    found = [
        Row(
            _celsius(r["temperature"], r["scale"]), _seconds(r["time"], r["unit"]), f"{r['temperature']} {r['scale']}",
            source(r["source"]).key, r["clause"], r["sure"], r["doubt"],
        )
        for r in csv_table("limits", "lethality_rows.csv")
        if r["rule"] == key
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda row: row.celsius))


@cache
def all_rules() -> tuple[Rule, ...]:
    """Every rule of ``data/limits/lethality.toml``, checked on the way in."""
    return tuple(_rule(key, said) for key, said in toml_table("limits", "lethality.toml").items())


def rule(key: str) -> Rule:
    """One rule by its name."""
    for r in all_rules():
        if r.key == key:
            return r
    raise _unknown(key)


def chosen(product: str, rules: Sequence[str], countries: Sequence[str]) -> tuple[Rule, ...]:
    """Rules to judge: those named, or the defaults of a product; of the named countries, or of all."""
    if product not in PRODUCTS:
        raise BadBrief(
            f"product {product!r} is not known. There are: {', '.join(PRODUCTS)}.", field="product", value=product,
            limit=", ".join(PRODUCTS), remedy=f"Write one of {', '.join(PRODUCTS)}.",
        )  # fmt: skip
    if rules:
        for name in rules:
            if not any(name in (r.key, r.group) for r in all_rules()):
                raise _unknown(name)
        found = [r for r in all_rules() if r.key in rules or (r.group and r.group in rules)]
        wrong = [r.key for r in found if product not in r.products]
        if wrong:
            raise BadBrief(
                f"rule {wrong[0]} is not for {PRODUCTS[product]}.", field="rules", value=wrong[0], limit=product,
                remedy=f"It is for: {', '.join(rule(wrong[0]).products)}.",
            )  # fmt: skip
        return tuple(found)
    found = [r for r in all_rules() if r.default and product in r.products]
    named = [r for r in found if not countries or r.country in countries]
    return tuple(named or found)


def hold_time(key: str, celsius: float) -> float | None:
    """Time a printed table asks at a steady temperature: the cooler row's. [s]

    None below its coldest row; 0 where reached is enough.
    """
    met = [row.seconds for row in rule(key).rows if row.celsius <= celsius + 1e-9]
    return met[-1] if met else None


def words(*path: str) -> dict[str, Any]:
    """One record of ``data/limits/lethality_words.toml``."""
    said: dict[str, Any] = toml_table("limits", "lethality_words.toml")
    for key in path:
        said = said[key]
    return said


def _rule(key: str, said: dict[str, Any]) -> Rule:
    source(said["source"])
    inline = tuple(
        Row(_celsius(t, scale), _seconds(time, unit), f"{t:g} {scale}", said["source"], said["clause"], said["sure"])
        for t, scale, time, unit in said.get("rows", ())
    )
    return Rule(
        key=key, rows=inline or rows_of(key), log10=said.get("log10"), products=tuple(said["products"]),
        law=said.get("law", ""), group=said.get("group", ""), needs=said.get("needs", ""),
        moisture=said.get("moisture", False), rest=said.get("rest", False), doubt=said.get("doubt", ""),
        **{k: said[k] for k in ("about", "country", "kind", "organism", "default", "source", "clause", "sure")},
    )  # fmt: skip


def _celsius(value: str | float, scale: str) -> float:
    return temperature_c(f"{value}{scale}", "row")


def _seconds(value: str | float, unit: str) -> float:
    return round(seconds(duration_h(f"{value}{unit}", "row")), 6)


def _unknown(key: str) -> BadBrief:
    known = ", ".join(r.key for r in all_rules())
    return BadBrief(
        f"rule {key!r} is not known. There are: {known}, and water-bath for its three.", field="rules", value=key,
        limit=known, remedy="Name one of these, or leave it out for those of the product.",
    )  # fmt: skip
