"""Rounding on nutrition labels: EU guidance on tolerances, December 2012, rounding table; energy by Annex XIV of (EU) 1169/2011.

The rule was read in a secondary copy; the cases are made up to stand on its edges (arithmetic on the rule). Where exact
halves go is not said there. US cases: 21 CFR 101.9(c), from memory.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from ingle.ground.errors import BadBrief
from ingle.jobs.label import energy
from ingle.jobs.label_foods import foods, nutrients_of
from ingle.safety.label_rules import COUNTRIES, least_x_mm, net_figure_mm, printed, rounding, rules

EU = [  # nutrient, g per 100 g, printed
    ("fat", 12.58, "13"),
    ("sugars", 0.5, "<0.5"),
    ("sugars", 0.54, "0.5"),
    ("sugars", 0.0, "0"),
    ("saturates", 0.10, "<0.1"),
    ("saturates", 0.14, "0.1"),
    ("salt", 0.0125, "<0.01"),
    ("salt", 0.0130, "0.01"),
    ("salt", 1.655, "1.7"),
    ("salt", 0.104, "0.10"),
    ("fat", 9.94, "9.9"),
    ("fat", 9.96, "10"),  # rounds up into the band of whole grams
    ("salt", 0.996, "1.0"),
    ("protein", 10.4, "10"),
]
US = [
    ("fat", 0.4, "0"), ("fat", 3.3, "3.5"), ("fat", 4.74, "4.5"), ("fat", 6.4, "6"), ("sodium", 4.0, "0"), ("sodium", 137.0, "135"),
    ("sodium", 141.0, "140"), ("sodium", 146.0, "150"), ("protein", 0.4, "0"), ("protein", 0.7, "less than 1"), ("protein", 1.6, "2"),
    ("energy", 4.0, "0"), ("energy", 47.0, "45"), ("energy", 50.0, "50"), ("energy", 54.0, "50"), ("energy", 56.0, "60"),
]  # fmt: skip


@pytest.mark.parametrize(("nutrient", "value", "told"), EU)
@pytest.mark.parametrize("country", ["eu", "gb"])
def test_eu_rounding(country, nutrient, value, told):
    assert printed(value, rounding(rules(country), nutrient)[1]) == told


@pytest.mark.parametrize(("nutrient", "value", "told"), US)
def test_us_rounding(nutrient, value, told):
    assert printed(value, rounding(rules("us"), nutrient)[1]) == told


def test_energy_of_bacon_by_annex_xiv():
    """USDA SR26, NDB 10123 raw bacon: protein 12.62, fat 39.69, carbohydrate 1.28 g; sodium 662 mg: salt 1.655 g, printed 1.7 g."""
    kj, kcal = energy({"protein": 12.62, "fat": 39.69, "carbohydrate": 1.28}, rules("eu"))
    assert (kj, kcal) == (approx(1704.8, abs=0.05), approx(412.8, abs=0.05))
    assert printed(kj, rules("eu").records["round-energy"]) == "1705" and printed(kcal, rules("eu").records["round-energy"]) == "413"
    assert 0.662 * rules("eu").records["salt"]["factor"] == approx(1.655)


@given(st.sampled_from(["fat", "saturates", "salt", "protein"]), st.floats(0, 100), st.floats(0, 100))
def test_more_is_never_printed_as_less(nutrient, a, b):
    def number(text):
        return 0.0 if text.startswith("<") else float(text)

    record = rounding(rules("eu"), nutrient)[1]
    low, high = sorted((a, b))
    assert number(printed(low, record)) <= number(printed(high, record))
    assert printed(high, record).startswith("<") or abs(float(printed(high, record)) - high) <= 0.5 + 1e-9


@pytest.mark.parametrize("country", COUNTRIES)
def test_every_record_has_its_source_and_says_how_sure_it_is(country):
    found = rules(country)
    for key in found.records:
        clause = found.clause(key)
        assert clause.clause and clause.sure in ("quoted", "memory", "derived", "common practice", "gap") and clause.source.title
        assert clause.sure != "memory" or clause.source.note or clause.doubt or "1169" in clause.source.key or "falcpa" in clause.source.key


def test_height_of_letters_follows_pack_and_weight():
    eu, us = rules("eu"), rules("us")
    assert (least_x_mm(eu, 79.9), least_x_mm(eu, 80.0)) == (0.9, 1.2)  # Art. 13(2), (3)
    assert [net_figure_mm(eu, g, 100) for g in (50, 51, 200, 201, 1000, 1001)] == [2, 3, 3, 4, 4, 6]  # Dir. 76/211/EEC, memory
    assert least_x_mm(us, 50) == approx(25.4 / 16)
    assert [round(net_figure_mm(us, 300, in2 * 6.4516) / 25.4 * 16, 3) for in2 in (5, 6, 25, 26, 100, 101)] == [1, 2, 2, 3, 3, 4]


def test_bacon_of_the_shipped_table_gives_the_label_of_its_source():
    """USDA SR26, NDB 10123 as above: 1705 kJ, 413 kcal, salt 1.7 g."""
    found = nutrients_of("bacon-raw")
    kj, kcal = energy(found, rules("eu"))
    assert [printed(kj, rules("eu").records["round-energy"]), printed(kcal, rules("eu").records["round-energy"])] == ["1705", "413"]
    assert printed(found["salt"], rounding(rules("eu"), "salt")[1]) == "1.7"


@pytest.mark.parametrize("key", sorted(foods()))
def test_a_food_of_the_table_can_be_true(key):
    """No row holds more than 100 g in 100 g, nor a part that is larger than its whole (rounding of the source: 0.5 g)."""
    row = nutrients_of(key)
    assert min(row.values()) >= 0
    assert row["fat"] + row["carbohydrate"] + row.get("fibre", 0) + row["protein"] <= 100.5
    assert row["saturates"] <= row["fat"] + 0.05 and row.get("sugars", 0) <= row["carbohydrate"]
    assert row["salt"] <= 2.5 * 39.5  # sodium of pure salt is 39.3 g per 100 g


def test_a_food_that_is_not_in_the_table_is_refused_with_the_nearest():
    with pytest.raises(BadBrief, match="pork-belly"):
        nutrients_of("pork-bely")
