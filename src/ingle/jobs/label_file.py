"""A pack's facts from a TOML file a cook wrote."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

from ingle.crafts.cure.mix import curing_salt
from ingle.ground import tables, units
from ingle.ground.errors import BadBrief
from ingle.jobs.label import NUTRIENTS, Ingredient, Pack
from ingle.jobs.label_foods import nutrients_of
from ingle.planning.fields import Fields, fields
from ingle.planning.parts import ALLERGENS

_LABEL = (
    "name", "lot", "net", "use_by", "best_before", "made", "storage", "operator", "finished", "face", "exempt", "link", "serving", "serving_words",
    "serving_words_fr", "name_fr", "storage_fr", "one_language",
)  # fmt: skip
_INGREDIENT = ("name", "name_fr", "weight", "allergens", "per_100g", "food", "curing_salt", "kind")
# g of sodium in a gram of NaCl and of NaNO2 (atomic weights 22.990, 35.45, 14.007, 15.999); the label's salt is sodium x 2.5
SODIUM_IN_SALT, SODIUM_IN_NITRITE = 22.990 / 58.440, 22.990 / 68.995
NO_NUTRIENTS = {n: 0.0 for n in NUTRIENTS if n not in ("salt", "alcohol", "polyols", "organic_acids")}  # of salt and of water


def read_label_file(path: Path) -> Pack:
    """The facts in a label file; unknown keys are refused, every weight has its unit."""
    told = fields(tables.read_toml_file(path, "label file"), "", ("label", "ingredient"))
    said = told.table("label", _LABEL, example='name = "..."')
    found = told.tables("ingredient", _INGREDIENT)
    kinds = [k for k in ("use_by", "best_before") if said.has(k)]
    if len(kinds) > 1:
        raise BadBrief(
            "the label names both use_by and best_before.", field="label.use_by", value="both", limit="one of them",
            remedy="Use by is for what perishes quickly, best before for what keeps.",
        )  # fmt: skip
    sides = [units.length_mm(v, at) for at, v in said.listed("face", '["100mm", "120mm"]')]
    if sides and len(sides) != 2:
        raise BadBrief("face has two sides.", field="label.face", value=len(sides), limit="two lengths", remedy='Write face = ["100mm", "120mm"].')
    return Pack(
        said.text("name"), said.text("lot"), said.mass_g("net"), tuple(map(_ingredient, found)), _date(said, kinds[0]) if kinds else None,
        kinds[0] if kinds else "use_by", _date(said, "made") if said.has("made") else None, said.text("storage", ""), said.text("operator", ""),
        said.mass_g("finished", None), sides[0] * sides[1] / 100 if sides else 200.0, said.text("exempt", ""), said.text("link", ""),
        said.mass_g("serving", None), said.text("serving_words", ""), said.text("serving_words_fr", ""), said.text("name_fr", ""),
        said.text("storage_fr", ""), said.text("one_language", ""), max(sides) if sides else None,
    )  # fmt: skip


def _date(said: Fields, key: str) -> dt.date:
    value = said.raw(key, None, "2026-12-24")
    if isinstance(value, dt.date) and not isinstance(value, dt.datetime):
        return value
    raise BadBrief(
        f"label.{key} {value!r} is not a date.", field=f"label.{key}", value=value, limit="like 2026-12-24", remedy=f"Write {key} = 2026-12-24, without quotes."
    )


def _ingredient(said: Fields) -> Ingredient:
    strength = curing_salt(said.text("curing_salt"), said.at("curing_salt")).nitrite if said.has("curing_salt") else None
    kind = said.choice("kind", ("food", "salt", "water"), "food")
    name = said.text("name", "curing salt") if strength is not None else said.text("name")
    allergens = said.words("allergens", known=ALLERGENS, what="an allergen group")
    return Ingredient(name, said.mass_g("weight"), allergens, nutrients(said, kind, strength), strength, said.text("name_fr", ""))


def nutrients(said: Fields, kind: str, strength: float | None) -> dict[str, float] | None:
    """Nutrients of 100 g [g]: by chemistry for salt, curing salt and water, or a food of the table; what is written comes before it."""
    known: dict[str, float] | None = None
    if strength is not None or kind == "salt":
        known = {**NO_NUTRIENTS, "salt": salt_of(strength or 0.0)}
    elif kind == "water":
        known = {**NO_NUTRIENTS, "salt": 0.0}
    elif said.has("food"):
        known = nutrients_of(said.text("food"), said.at("food"))
    table = said.table("per_100g", (*NUTRIENTS, "sodium"), None)
    if table is None:
        return known
    found: dict[str, Any] = {k: table.mass_g(k, high=100.0, zero=True) for k in table.given}
    if "sodium" in found:
        if "salt" in found:
            raise BadBrief(f"{table.path} names salt and sodium.", field=table.path, value="both", limit="one of them", remedy="Salt is sodium times 2.5.")
        found["salt"] = 2.5 * found.pop("sodium")
    return (known or {}) | found


def salt_of(nitrite: float) -> float:
    """Salt in the label's sense in 100 g of salt with this share of sodium nitrite [g].

    Examples
    --------
    >>> round(salt_of(0.0), 2), round(salt_of(0.0625), 2)
    (98.35, 97.41)
    """
    return 250.0 * ((1 - nitrite) * SODIUM_IN_SALT + nitrite * SODIUM_IN_NITRITE)
