"""Nutrients of plain foods by USDA SR26, for labels: the food as bought, before any cure or heat."""

from __future__ import annotations

from ingle.ground.tables import csv_table
from ingle.planning.values import unknown


def foods() -> dict[str, str]:
    """Keys of the foods there are, each with the table's own name."""
    return {row["key"]: row["name"] for row in csv_table("tables", "usda_sr26_foods.csv")}


def nutrients_of(key: str, field: str = "food") -> dict[str, float]:
    """Nutrients of 100 g [g] by their label names; what the table leaves empty is left out.

    The table's carbohydrate is by difference and holds the fibre; the label's does not. Salt is sodium times 2.5. Sugars
    the table leaves empty are none where there is no carbohydrate.

    Raises
    ------
    BadBrief
        No food of that key; the nearest is named.

    References
    ----------
    USDA National Nutrient Database for Standard Reference, release 26.

    Examples
    --------
    >>> bacon = nutrients_of("bacon-raw")
    >>> bacon["fat"], bacon["protein"], round(bacon["salt"], 3)
    (39.69, 12.62, 1.655)
    """
    row = next((r for r in csv_table("tables", "usda_sr26_foods.csv") if r["key"] == key), None)
    if row is None:
        unknown(field, key, list(foods()), "a food of the table")
    plain = {"fat": "fat_g", "saturates": "saturates_g", "sugars": "sugars_g", "fibre": "fibre_g", "protein": "protein_g"}
    found = {name: float(row[column]) for name, column in plain.items() if row[column]}
    carbohydrate = float(row["carbohydrate_by_difference_g"])
    found["carbohydrate"] = max(0.0, round(carbohydrate - found.get("fibre", 0.0), 6))
    if "sugars" in found:  # determined by another way than the carbohydrate they are part of: maple syrup has 67.9 g in 67.04 g
        found["sugars"] = min(found["sugars"], found["carbohydrate"])
    if not carbohydrate:
        found.setdefault("sugars", 0.0)
    found["salt"] = 2.5 * float(row["sodium_mg"]) / 1000
    return found
