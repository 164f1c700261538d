"""Nutrients of 100 g of a pack, and the declaration by a country's rules."""

from __future__ import annotations

from ingle.jobs.label_pack import NUTRIENTS, Pack
from ingle.safety import label_rules
from ingle.safety.label_rules import LabelRules

_NEED = ("fat", "saturates", "carbohydrate", "sugars", "protein", "salt")


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


def nutrition_lines(pack: Pack, found: LabelRules) -> tuple[tuple[str, str], ...]:
    """The declaration per 100 g in the rule's order, rounded by its bands; empty where values are missing."""
    values = per_100g(pack)
    if values is None or "nutrition" not in found.records:
        return ()
    record = found.records["nutrition"]
    lines = []
    for nutrient, name in zip(record["order"], record["names"], strict=True):
        if nutrient in record["optional"] and not all("fibre" in (i.per_100g or {}) for i in pack.ingredients):
            continue
        found_rule = label_rules.rounding(found, nutrient)
        if found_rule is None:
            raise ValueError(f"labels.toml: no rounding for {nutrient}")
        if nutrient == "energy":
            kj, kcal = (label_rules.printed(e, found_rule[1]) for e in energy(values, found))
            lines.append((name, f"{kj} kJ / {kcal} kcal"))
        else:
            lines.append((name, f"{label_rules.printed(values[nutrient], found_rule[1])} {found_rule[1]['unit']}"))
    return tuple(lines)
