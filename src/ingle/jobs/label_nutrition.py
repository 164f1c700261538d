"""Nutrients of 100 g of a pack, and the declaration by a country's rules."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ingle.jobs.label_pack import NUTRIENTS, Pack
from ingle.safety import label_rules
from ingle.safety.label_rules import LabelRules

_NEED = ("fat", "saturates", "carbohydrate", "sugars", "protein", "salt")
SALT_OF_SODIUM = 2.5  # salt in the label's sense, in which nutrients are kept here, is sodium times 2.5


@dataclass(frozen=True)
class Panel:
    """The declaration as it is laid out: rows of a name and a value for each column."""

    title: str = ""
    lines: tuple[str, ...] = ()  # under the title: servings, serving size
    columns: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    inner: tuple[int, ...] = ()  # rows that are part of the one above
    foot: str = ""
    linear: bool = True  # may be set as a line of text where a table does not fit
    high: tuple[str, ...] = ()  # what the front must say it is high in


def per_100g(pack: Pack) -> dict[str, float] | None:
    """Nutrients of 100 g of what is packed [g]; None where one ingredient's are not known.

    What was lost on the way is taken as water: no fat, salt or protein is taken off for what dripped.
    """
    if not pack.ingredients or any(i.per_100g is None or not set(_NEED) <= set(i.per_100g) for i in pack.ingredients):
        return None
    made = pack.finished_g if pack.finished_g is not None else sum(i.grams for i in pack.ingredients)
    return {n: sum(i.grams * (i.per_100g or {}).get(n, 0.0) for i in pack.ingredients) / made for n in NUTRIENTS}


def energy(values: dict[str, float], found: LabelRules) -> tuple[float, float]:
    """Energy of 100 g by the law's factors [kJ, kcal].

    Examples
    --------
    >>> bacon = {"protein": 12.62, "fat": 39.69, "carbohydrate": 1.28}
    >>> [round(e, 1) for e in energy(bacon, label_rules.rules("eu"))]
    [1704.8, 412.8]
    """
    factors = found.records["energy"]
    told = [(v, factors[n]) for n, v in values.items() if n in factors]
    return sum(v * f[0] for v, f in told), sum(v * f[1] for v, f in told)


def lacking(pack: Pack, found: LabelRules) -> dict[str, tuple[str, ...]]:
    """What the declaration needs and an ingredient does not say, by the ingredient's name."""
    record = found.records.get("nutrition")
    if record is None:
        return {}
    asked = [n for n in record["order"] if n not in ("energy", *record["optional"])]
    needed = dict.fromkeys("salt" if n == "sodium" else n for n in (*_NEED, *asked))
    told = {one.name: tuple(n for n in needed if n not in (one.per_100g or {})) for one in pack.ingredients}
    return {name: lacks for name, lacks in told.items() if lacks}


def unknown_nutrients(pack: Pack, found: LabelRules) -> tuple[str, ...]:
    """The same in words, ingredients that lack the same together: ``trans, cholesterol of pork collar, mustard seed``."""
    names: dict[tuple[str, ...], list[str]] = {}
    for name, lacks in lacking(pack, found).items():
        names.setdefault(lacks, []).append(name)
    return tuple(f"{', '.join(lacks)} of {', '.join(of)}" for lacks, of in names.items())


def per_serving(found: LabelRules) -> bool:
    """Whether the declaration gives a serving, so that its size is asked for."""
    return "serving" in found.records.get("nutrition", {}).get("per", ())


def panel(pack: Pack, found: LabelRules) -> Panel:
    """The declaration in the rule's order, rounded by its bands; empty where a value, or a serving it asks for, is missing."""
    record, values = found.records.get("nutrition"), per_100g(pack)
    if record is None or values is None or unknown_nutrients(pack, found) or (per_serving(found) and pack.serving_g is None):
        return Panel()
    serving = label_rules.printed(pack.serving_g, found.records["serving"]) if pack.serving_g is not None and "serving" in found.records else ""
    shares = [float(serving) / 100 if per == "serving" else 1.0 for per in record["per"]]
    kept = [(n, name) for n, name in zip(record["order"], record["names"], strict=True) if _known(pack, record, n)]
    printed = {n: [_printed(n, share, values, found) for share in shares] for n, _ in kept}
    rows = [(name, *(_with_unit(n, told, found) for told in printed[n])) for n, name in kept]
    inner = tuple(i for i, (n, _) in enumerate(kept) if n in record["inner"])
    daily = {n: _daily(n, {k: float(v[0]) for k, v in printed.items()}, found) for n, _ in kept} if "daily" in record else {}
    if daily:
        rows = [(*row, daily[n]) for row, (n, _) in zip(rows, kept, strict=True)]
    return Panel(
        record.get("title", ""), _lines(pack, serving, record), _columns(pack, serving, record), tuple(rows), inner, record.get("foot", ""),
        record.get("linear", True), _high(daily, found),
    )  # fmt: skip


def _known(pack: Pack, record: dict[str, Any], nutrient: str) -> bool:
    return nutrient not in record["optional"] or all(nutrient in (i.per_100g or {}) for i in pack.ingredients)


def _rule(nutrient: str, found: LabelRules) -> dict[str, Any]:
    rule = label_rules.rounding(found, nutrient)
    if rule is None:
        raise ValueError(f"labels.toml: no rounding for {nutrient}")
    return rule[1]


def _amount(nutrient: str, values: dict[str, float], found: LabelRules) -> float:
    """A nutrient of 100 g in its rule's unit, with what the rule counts in it."""
    if nutrient == "sodium":
        grams = values["salt"] / SALT_OF_SODIUM
    else:
        grams = values[nutrient] + sum(values[n] for n in found.records["nutrition"].get("holds", {}).get(nutrient, ()))
    return grams * 1000 if _rule(nutrient, found)["unit"] == "mg" else grams


def _printed(nutrient: str, share: float, values: dict[str, float], found: LabelRules) -> str:
    rule = _rule(nutrient, found)
    if nutrient != "energy":
        return label_rules.printed(_amount(nutrient, values, found) * share, rule)
    kj, kcal = (label_rules.printed(e * share, rule) for e in energy(values, found))
    return {"kJ": kj, "kcal": kcal, "kJ, kcal": f"{kj} kJ / {kcal} kcal"}[rule["unit"]]


def _with_unit(nutrient: str, told: str, found: LabelRules) -> str:
    unit = _rule(nutrient, found)["unit"]
    return told if unit in ("kcal", "kJ, kcal") else f"{told} {unit}"


def _daily(nutrient: str, printed: dict[str, float], found: LabelRules) -> str:
    """Per cent of the daily value, of the amount as printed; of several nutrients counted together it stands beside the first."""
    for names, grams in found.records["nutrition"]["daily"].items():
        together = names.split("+")
        if together[0] == nutrient:
            unit = 1000.0 if _rule(nutrient, found)["unit"] == "mg" else 1.0
            return f"{sum(printed[n] for n in together) / (grams * unit) * 100 + 1e-9:.0f} %"
    return ""


def _high(daily: dict[str, str], found: LabelRules) -> tuple[str, ...]:
    rule = found.records.get("front-symbol")
    return tuple(words for n, words in rule["high"].items() if int(daily[n].split()[0]) >= rule["percent"]) if rule and daily else ()


def _lines(pack: Pack, serving: str, record: dict[str, Any]) -> tuple[str, ...]:
    if not serving:
        return ()
    count = round(pack.net_g / float(serving), 1)
    told = (f"{count:.0f}" if abs(count - round(count)) < 0.05 else f"about {count:.1f}", serving)
    return tuple(line.replace("…", value) for line, value in zip(record.get("lines", ()), told, strict=False))


def _columns(pack: Pack, serving: str, record: dict[str, Any]) -> tuple[str, ...]:
    if "per_words" in record:
        grams = f"{serving}\u00a0g"
        english = f"{pack.serving_words} ({grams})" if pack.serving_words else grams
        french = f"{pack.serving_words_fr} ({grams})" if pack.serving_words_fr else grams
        return (record["per_words"].replace("…", english, 1).replace("…", french, 1), record["daily_words"])
    return tuple(record.get("columns", ("per 100 g",)))
