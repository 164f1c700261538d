"""What stands on a pack: from what went in and what it weighs now, by the rules of the country that was chosen.

A home label applies no rule and says so. A label for sale is refused while something its rules ask for is missing.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass, field

from ingle.ground.errors import BadBrief, OutOfRange
from ingle.jobs.label_nutrition import energy, nutrition_lines, per_100g
from ingle.jobs.label_pack import DATE_KINDS, NUTRIENTS, Ingredient, Pack
from ingle.safety import label_rules
from ingle.safety.label_rules import Clause, LabelRules

HOME_WORDS = "Made at home for our own table, not for sale. No labelling rule was applied."
__all__ = ["DATE_KINDS", "HOME_WORDS", "NUTRIENTS", "Ingredient", "Label", "Pack", "energy", "label", "nutrition_lines", "per_100g"]

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_OUNCE_G = 28.349523125  # exact: the international avoirdupois ounce


@dataclass(frozen=True)
class Label:
    """What is printed, in order, and the clauses behind it."""

    country: str  # "" = a home label
    name: str
    net: str
    ingredients: tuple[tuple[str, bool], ...]  # (text, stands out)
    heading: str
    contains: str
    nutrition: tuple[tuple[str, str], ...]  # ("of which sugars", "<0.5 g")
    dates: tuple[str, ...]
    storage: str
    operator: str
    lot: str
    link: str
    home: str
    order: tuple[str, ...]
    x_mm: float  # least height of a lower-case x
    net_mm: float  # least height of the figures of the net quantity
    clauses: tuple[Clause, ...] = ()
    not_here: tuple[str, ...] = field(default_factory=tuple)


def day_words(at: dt.date) -> str:
    """``24 Dec 2026``: day, month, year, uncoded."""
    return f"{at.day} {_MONTHS[at.month - 1]} {at.year}"


def label(pack: Pack, country: str = "", *, home: bool = False) -> Label:
    """The label of a pack.

    Parameters
    ----------
    pack : Pack
    country : str
        ``eu``, ``gb`` or ``us``: whose rules a label for sale follows.
    home : bool
        A label for one's own table.

    Raises
    ------
    BadBrief
        A label for sale without a country, or without something its rules ask for.
    OutOfRange
        A weight that cannot be.
    """
    _check(pack)
    if home:
        return _home(pack)
    if not country:
        raise BadBrief(
            "a label for sale follows one country's rules, and none is named.",
            field="rules", value="missing", limit=", ".join(label_rules.COUNTRIES), remedy="Name it: --rules gb. Or print a home label: --home.",
        )  # fmt: skip
    found = label_rules.rules(country)
    order = tuple(found.records["particulars"]["order"])
    nutrition = nutrition_lines(pack, found) if "nutrition" in order else ()
    _require(pack, order, nutrition)
    used = [k for k in found.records if k not in ("same",) and ("nutrition" in order or not k.startswith("round-"))]
    record = found.records["date"]
    return Label(
        found.country, pack.name, _net(pack.net_g, found), _list(pack, found), found.records["ingredients"]["heading"], _contains(pack, found),
        nutrition, (f"{record[pack.date_kind]} {day_words(pack.date)}",) if pack.date else (), pack.storage, pack.operator,
        f"{found.records['lot']['prefix']} {pack.lot}", pack.link, "", order, label_rules.least_x_mm(found, pack.area_cm2),
        label_rules.net_figure_mm(found, pack.net_g, pack.area_cm2), tuple(found.clause(k) for k in used), (found.records["not-here"]["about"],),
    )  # fmt: skip


def _home(pack: Pack) -> Label:
    """Names, weights, allergens standing out, dates as the cook set them; no rule, no claim."""
    words = label_rules.rules("eu")
    dates = tuple(f"{w} {day_words(d)}" for w, d in (("Made", pack.made), ("Eat by", pack.date)) if d)
    return Label(
        "", pack.name, _grams(pack.net_g), _list(pack, words, strict=False), "In it", "", (), dates, pack.storage, "", pack.lot, pack.link,
        HOME_WORDS, ("name", "net", "ingredients", "date", "storage", "lot"), 0.9, 3.0,
    )  # fmt: skip


def _check(pack: Pack) -> None:
    if not pack.name.strip() or not pack.lot.strip():
        what = "name" if not pack.name.strip() else "lot"
        raise BadBrief(f"the label has no {what}.", field=what, value="", remedy=f"Give its {what}.")
    if not 0 < pack.net_g < 1e6:
        raise OutOfRange("net weight lies between 0 and 1,000 kg.", field="net", value=f"{pack.net_g:g} g", limit="above 0 g")
    for one in pack.ingredients:
        if not one.grams > 0:
            raise OutOfRange(f"{one.name} weighs nothing.", field="ingredients", value=f"{one.grams:g} g", limit="above 0 g")
        total = sum(v for k, v in (one.per_100g or {}).items() if k in ("fat", "carbohydrate", "protein", "salt", "fibre", "alcohol"))
        if one.per_100g and (min(one.per_100g.values()) < 0 or total > 105):
            raise OutOfRange(
                f"100 g of {one.name} would hold {total:.4g} g of fat, carbohydrate, fibre, protein and salt.",
                field="per_100g", value=f"{total:.4g} g", limit="0 to 100 g", remedy="Give the values per 100 g.",
            )  # fmt: skip
    if pack.date_kind not in DATE_KINDS:
        raise BadBrief(f"date kind {pack.date_kind!r} is not known.", field="date_kind", value=pack.date_kind, limit=", ".join(DATE_KINDS))
    went_in = sum(i.grams for i in pack.ingredients)
    if pack.finished_g is not None and went_in and not 0.05 * went_in < pack.finished_g <= 1.5 * went_in:
        raise OutOfRange(
            f"{pack.finished_g:g} g came of {went_in:g} g.", field="finished", value=f"{pack.finished_g:g} g", limit=f"up to {1.5 * went_in:g} g",
            remedy="Give the weight of the whole batch as it is packed.",
        )  # fmt: skip


def _require(pack: Pack, order: tuple[str, ...], nutrition: tuple[tuple[str, str], ...]) -> None:
    """What the rules ask for and the pack does not say."""
    have = {
        "ingredients": bool(pack.ingredients), "date": pack.date is not None, "storage": bool(pack.storage), "operator": bool(pack.operator),
        "nutrition": bool(nutrition) or bool(pack.exempt),
    }  # fmt: skip
    missing = [k for k in order if not have.get(k, True)]
    if missing:
        raise BadBrief(
            f"a label for sale needs {', '.join(missing)}.", field=missing[0], value="missing", limit=", ".join(order),
            remedy="Give them; nutrition can be left out where a reason is given (exempt). Or print a home label: --home.",
        )  # fmt: skip


# -- weights and names -------------------------------------------------------------------------------------------------


def _grams(net_g: float) -> str:
    return f"{net_g / 1000:.2f} kg" if net_g >= 999.5 else f"{net_g:.0f} g"


def _net(net_g: float, found: LabelRules) -> str:
    if found.country != "us":
        return _grams(net_g)
    ounces = net_g / _OUNCE_G
    told = f"{ounces:.1f} oz" if ounces < 16 else f"{int(ounces // 16)} lb {ounces % 16:.1f} oz"
    return f"Net Wt {told} ({_grams(net_g)})"


def _split(pack: Pack, found: LabelRules) -> list[Ingredient]:
    """Curing salt declared as its salt and its preservative, each with its own weight; equal names as one."""
    words = found.records["additives"]["curing_salt"]
    merged: dict[str, Ingredient] = {}
    for one in pack.ingredients:
        parts = [one]
        if one.curing_salt is not None:
            nitrite = one.grams * one.curing_salt
            parts = [Ingredient(words["salt"], one.grams - nitrite), Ingredient(words["agent"], nitrite)]
        for part in parts:
            before = merged.get(part.name)
            grams = part.grams + (before.grams if before else 0.0)
            merged[part.name] = Ingredient(part.name, grams, tuple(dict.fromkeys((*(before.allergens if before else ()), *part.allergens))))
    return sorted(merged.values(), key=lambda i: -i.grams)


def _list(pack: Pack, found: LabelRules, *, strict: bool = True) -> tuple[tuple[str, bool], ...]:
    """The list in falling order of weight as used; where the rule says so allergens stand out within it."""
    stands_out = found.records["ingredients"]["emphasis"] == "list"
    runs: list[tuple[str, bool]] = []
    for i, one in enumerate(_split(pack, found)):
        if i:
            runs.append((", ", False))
        runs += _emphasised(one, found, strict) if stands_out else [(one.name, False)]
    return tuple(runs)


def _emphasised(one: Ingredient, found: LabelRules, strict: bool) -> list[tuple[str, bool]]:
    """The ingredient's name with the rule's own words standing out; a group none of whose words is in the name is added."""
    words = found.records["allergens"]["words"]
    wanted = [w for group in one.allergens for w in words.get(group, ())]
    runs = [(text, bool(i % 2)) for i, text in enumerate(_cut(one.name, wanted)) if text]
    missing = [g for g in one.allergens if not _named(one.name, words.get(g, (g,)))]
    for group in missing:
        if strict and group in ("gluten", "nuts", "crustaceans"):
            raise BadBrief(
                f"{one.name} holds {group}: the label names which.", field="ingredients", value=one.name, limit=", ".join(words[group]),
                remedy=f"Name it, like {words[group][0]}.",
            )  # fmt: skip
        runs += [(" (", False), (words.get(group, (group,))[0], True), (")", False)]
    return runs


def _pattern(words: list[str] | tuple[str, ...]) -> re.Pattern[str]:
    return re.compile(r"\b(" + "|".join(re.escape(w) for w in sorted(words, key=len, reverse=True)) + r")\b", re.IGNORECASE)


def _cut(text: str, words: list[str]) -> list[str]:
    return _pattern(words).split(text) if words else [text]


def _named(text: str, words: list[str] | tuple[str, ...]) -> bool:
    return bool(words) and bool(_pattern(words).search(text))


def _contains(pack: Pack, found: LabelRules) -> str:
    """``Contains: wheat, milk.`` where the country's rule wants the line."""
    if found.records["ingredients"]["emphasis"] != "contains":
        return ""
    words = found.records["allergens"]["words"]
    named: dict[str, None] = {}
    for one in pack.ingredients:
        for group in one.allergens:
            if group not in words:
                continue  # not one of this country's nine
            hits = [m.lower() for m in _pattern(words[group]).findall(one.name)] or ([] if group == "gluten" else [words[group][0]])
            if group in ("nuts", "crustaceans", "fish") and not _named(one.name, words[group]):
                raise BadBrief(
                    f"{one.name} holds {group}: the label names which.", field="ingredients", value=one.name, limit=", ".join(words[group])
                )
            named.update(dict.fromkeys(hits))
    return f"Contains: {', '.join(named)}." if named else ""
