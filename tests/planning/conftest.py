"""Small files a cook could have written, for the tests of planning."""

from __future__ import annotations

import textwrap
from pathlib import Path

import pytest

KITCHEN = """
[[oven]]
key = "oven"
holds = 2
range = ["60C", "250C"]
heat_up = "15min"
[[fridge]]
key = "fridge"
litres = 60
temperature = "4C"
[[freezer]]
key = "freezer"
litres = 30
[[smoker]]
key = "smoker"
makes_smoke = "tray"
rails = 4
[[cook]]
key = "A"
hours = [{ days = "every day", from = "07:00", to = "22:00" }]
"""

# a meal of three parts of its own: a ham, dumplings that take its skin, and a gravy made of the ham itself
HAM = """
[part]
key = "ham"
name = "Boiled ham"
[cure]
salt = "2.5%"
nitrite = "100 mg/kg"
[[takes]]
item = "leg"
per_kg_out = "1.25kg"
pieces = true
skinned = true
[[takes]]
item = "salt"
per_kg_out = "0.03kg"
packs = ["500g"]
at = "lie"
[[gives]]
item = "ham"
main = true
of = "leg"
yield = { low = 0.75, likely = 0.80, high = 0.85 }
keeps = { fridge = "3d" }
at = "boil"
[[gives]]
item = "skin"
of = "leg"
skin = true
yield = { low = 0.05, likely = 0.08, high = 0.10 }
keeps = { fridge = "2d", frozen = "60d", thaw = "10h" }
at = "trim"
[[step]]
key = "trim"
lasts = { likely = "20min" }
hands = { start = "20min", per_piece = "5min" }
[[step]]
key = "lie"
after = [{ step = "trim", max = "4h" }]
lasts = { forecast = "cure" }
hands = { start = "15min" }
kit = [{ use = "fridge", litres_per_kg = 2 }]
[[step]]
key = "boil"
after = [{ step = "lie", max = "6h" }]
lasts = { likely = "90min" }
hands = { start = "10min", end = "10min", per_plate = "30s" }
fresh = { best = "30min", last = "2h" }
"""
DUMPLING = """
[part]
key = "dumpling"
name = "Dumplings"
allergens = ["gluten"]
[[takes]]
item = "skin"
per_kg_out = "0.30kg"
from = "ham"
at = "fry"
instead = { item = "lard", name = "lard", packs = ["250g"] }
[[takes]]
item = "flour"
per_kg_out = "0.50kg"
packs = ["1kg", "1.5kg"]
[[takes]]
item = "water"
per_kg_out = "0.20kg"
tap = true
[[gives]]
item = "dumpling"
yield = { low = 0.95, likely = 1.0, high = 1.02 }
[[step]]
key = "knead"
lasts = { likely = "20min", most = "12h" }
hands = { start = "15min" }
[[step]]
key = "fry"
after = [{ step = "knead", max = "2h" }]
lasts = { likely = "30min" }
hands = { start = "30min" }
kit = [{ use = "oven", mode = "200C", shelves_per_kg = 0.8 }]
fresh = { last = "60min" }
"""
GRAVY = """
[part]
key = "gravy"
name = "Ham gravy"
[[takes]]
item = "ham"
per_kg_out = "0.40kg"
from = "ham"
[[takes]]
item = "cream"
name = "cream"
per_kg_out = "0.60kg"
packs = ["200ml"]
kg_per_litre = 1.0
allergens = ["milk"]
[[gives]]
item = "gravy"
yield = { low = 0.95, likely = 1.0, high = 1.02 }
[[step]]
key = "stir"
lasts = { likely = "15min" }
hands = { start = "15min" }
fresh = { last = "30min" }
"""
BRIEF = """
[meal]
name = "Supper of three"
at = 2026-03-28T19:00:00
zone = "Europe/London"
plates = 10
plan_from = 2026-03-10T08:00:00
[[serve]]
part = "ham"
grams_per_plate = "100g"
pieces = [{ weight = "2.1kg", thickness = "45mm", skin = "one-face", skin_weight = "0.19kg" }]
[[serve]]
part = "dumpling"
grams_per_plate = "80g"
[[serve]]
part = "gravy"
grams_per_plate = "50g"
[use]
kit = "kitchen.toml"
parts = ["parts/"]
"""


@pytest.fixture
def supper(tmp_path: Path) -> Path:
    """A folder with brief.toml, kitchen.toml and parts/."""
    (tmp_path / "parts").mkdir()
    for name, text in (
        ("brief.toml", BRIEF),
        ("kitchen.toml", KITCHEN),
        ("parts/ham.toml", HAM),
        ("parts/dumpling.toml", DUMPLING),
        ("parts/gravy.toml", GRAVY),
    ):
        (tmp_path / name).write_text(textwrap.dedent(text), encoding="utf-8")
    return tmp_path


@pytest.fixture
def swap():
    """Replace words in a file; the words must be there."""

    def change(path: Path, old: str, new: str) -> None:
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")

    return change
