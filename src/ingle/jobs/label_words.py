"""The words of a label: its list of ingredients, and the line that names the allergens, by a country's rules."""

from __future__ import annotations

import re
from typing import Any

from ingle.ground.errors import BadBrief
from ingle.jobs.label_pack import Ingredient, Pack
from ingle.safety.label_rules import LabelRules

Runs = tuple[tuple[str, bool], ...]  # (text, stands out)


def declared(pack: Pack, found: LabelRules) -> list[Ingredient]:
    """In falling order of weight; curing salt as its salt and its preservative, each with its own weight; equal names as one."""
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
            allergens = tuple(dict.fromkeys((*(before.allergens if before else ()), *part.allergens)))
            merged[part.name] = Ingredient(part.name, grams, allergens, name_fr=part.name_fr or (before.name_fr if before else ""))
    return sorted(merged.values(), key=lambda i: -i.grams)


def in_french(one: Ingredient, found: LabelRules) -> str:
    """The ingredient's French name as the maker gave it, or of what this project itself puts on a list; "" = not known."""
    return one.name_fr or str(found.records["french"]["words"].get(one.name.lower(), ""))


def listed(pack: Pack, found: LabelRules, *, strict: bool = True, french: bool = False) -> Runs:
    """The list; where the rule says so allergens stand out within it."""
    stands_out = found.records["ingredients"]["emphasis"] in ("list", "both")
    capital = found.records["ingredients"].get("case") == "first"
    runs: list[tuple[str, bool]] = []
    for i, one in enumerate(declared(pack, found)):
        if i:
            runs.append((", ", False))
        name = in_french(one, found) if french else one.name
        runs += _emphasised(one, found, strict) if stands_out else [(name[:1].upper() + name[1:] if capital else name, False)]
    return tuple(runs)


def _emphasised(one: Ingredient, found: LabelRules, strict: bool) -> list[tuple[str, bool]]:
    """The ingredient's name with the rule's own words standing out; a group none of whose words is in the name is added."""
    words = found.records["allergens"]["words"]
    mine = [g for g in one.allergens if g in words]
    runs = [(text, bool(i % 2)) for i, text in enumerate(_cut(one.name, [w for g in mine for w in words[g]])) if text]
    for group in mine:
        if not words_in(one.name, words[group]):
            if strict and group in found.records["allergens"].get("name_which", ()):
                raise not_named(one, group, found)
            runs += [(" (", False), (words[group][0], True), (")", False)]
    return runs


def contains(pack: Pack, found: LabelRules, *, french: bool = False) -> str:
    """``Contains: wheat, milk.`` where the country's rule wants the line."""
    if found.records["ingredients"]["emphasis"] not in ("contains", "both"):
        return ""
    rule = found.records["allergens"]
    entries = list(dict.fromkeys(entry for one in pack.ingredients for entry in _entries(one, found)))
    if french:
        entries = [rule["french"][e.lower()] for e in entries]
    if found.records["ingredients"].get("case") == "first":
        entries = [e[:1].upper() + e[1:] for e in entries]
    return f"{rule['lead_fr' if french else 'lead']} {', '.join(entries)}." if entries else ""


def _entries(one: Ingredient, found: LabelRules) -> list[str]:
    """What the line says of one ingredient."""
    rule: dict[str, Any] = found.records["allergens"]
    told: list[str] = []
    for group in one.allergens:
        if group not in rule["words"]:
            continue  # not one of this country's
        hits = words_in(one.name, rule["words"][group])
        if not hits and words_in(one.name, rule.get("other", {}).get(group, ())):
            continue  # of a kind that needs no word there: rye is no wheat
        if not hits and group in rule.get("name_which", ()):
            raise not_named(one, group, found)
        for word in hits or [rule["words"][group][0]]:
            told += rule.get("summary", {}).get(word, [word])
    return told


def not_named(one: Ingredient, group: str, found: LabelRules) -> BadBrief:
    """The refusal of an ingredient whose allergen the rule wants named by its kind."""
    words = found.records["allergens"]["words"][group]
    return BadBrief(
        f"{one.name} holds {group}: the label names which.", field="ingredients", value=one.name, limit=", ".join(words), remedy=f"Name it, like {words[0]}."
    )


def _pattern(words: list[str] | tuple[str, ...]) -> re.Pattern[str]:
    return re.compile(r"\b(" + "|".join(re.escape(w) for w in sorted(words, key=len, reverse=True)) + r")\b", re.IGNORECASE)


def _cut(text: str, words: list[str]) -> list[str]:
    return _pattern(words).split(text) if words else [text]


def words_in(text: str, words: list[str] | tuple[str, ...]) -> list[str]:
    """Which of the words stand in a text, in small letters, as they come."""
    return [m.lower() for m in _pattern(words).findall(text)] if words else []
