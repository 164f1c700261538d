"""A pack and what went into it, before any rule of labelling."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

NUTRIENTS = (
    "fat", "saturates", "carbohydrate", "sugars", "fibre", "protein", "salt", "alcohol", "polyols", "organic_acids", "trans", "cholesterol",
    "potassium", "calcium", "iron",
)  # fmt: skip
DATE_KINDS = ("use_by", "best_before")


@dataclass(frozen=True)
class Ingredient:
    """One thing that went in, as weighed at the time of use."""

    name: str
    grams: float
    allergens: tuple[str, ...] = ()  # the groups of ingle.planning.parts.ALLERGENS
    per_100g: dict[str, float] | None = None  # NUTRIENTS [g]; None = not known
    curing_salt: float | None = None  # its nitrite, as a fraction: declared as salt and preservative
    name_fr: str = ""


@dataclass(frozen=True)
class Pack:
    """What is known of a pack before any rule."""

    name: str
    lot: str
    net_g: float
    ingredients: tuple[Ingredient, ...]
    date: dt.date | None = None
    date_kind: str = "use_by"
    made: dt.date | None = None
    storage: str = ""
    operator: str = ""
    finished_g: float | None = None  # what all the ingredients together weigh now; None = as much as went in
    area_cm2: float = 200.0  # largest face of the pack
    exempt: str = ""  # why no nutrition is declared, in words
    link: str = ""  # opens the batch
    serving_g: float | None = None  # what the maker takes for a serving
    serving_words: str = ""  # "2 slices", where the rule wants a household measure beside the grams
    serving_words_fr: str = ""
    name_fr: str = ""
    storage_fr: str = ""
    one_language: str = ""  # why one language is enough where the rule wants two, in words
    longest_mm: float | None = None  # longest side of the pack
