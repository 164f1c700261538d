"""Rounding on nutrition labels: EU guidance on tolerances, December 2012, rounding table; energy by Annex XIV of (EU) 1169/2011.

The rule was read in a secondary copy; the cases are made up to stand on its edges (arithmetic on the rule). Where exact
halves go is not said there. US cases: 21 CFR 101.9(c), read in copies and a summary of the agency's guide. Canada: Food and Drug
Regulations, table to B.01.401, from memory but for the serving; what the inspection agency prints as its example (figure 3.1 of
its page on the Nutrition Facts table) must stand as it is. Australia and New Zealand: Standard 1.2.8-7, no more than three
significant figures, from memory. Codex gives no rounding.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from ingle.ground.errors import BadBrief
from ingle.jobs.label import energy
from ingle.jobs.label_foods import foods, nutrients_of
from ingle.safety.label_rules import COUNTRIES, least_list_mm, least_x_mm, net_figure_mm, printed, rounding, rules

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

CA = [  # nutrient, a serving in the rule's unit, printed: on both sides of every line of the table
    ("energy", 4.4, "4"), ("energy", 4.6, "5"), ("energy", 12.4, "10"), ("energy", 50.0, "50"), ("energy", 52.4, "50"), ("energy", 137.0, "140"),
    ("fat", 0.0, "0"), ("fat", 0.04, "0"), ("fat", 0.44, "0.4"), ("fat", 0.46, "0.5"), ("fat", 2.7, "2.5"), ("fat", 2.8, "3"), ("fat", 5.0, "5"), ("fat", 5.4, "5"),
    ("trans", 0.12, "0.1"), ("saturates", 6.6, "7"), ("sodium", 3.2, "3"), ("sodium", 137.0, "135"), ("sodium", 140.0, "140"), ("sodium", 146.0, "150"),
    ("cholesterol", 33.0, "35"), ("carbohydrate", 0.4, "0"), ("carbohydrate", 0.5, "1"), ("fibre", 2.4, "2"), ("sugars", 17.6, "18"), ("protein", 0.43, "0.4"),
    ("protein", 3.2, "3"), ("potassium", 4.0, "0"), ("potassium", 44.0, "40"), ("potassium", 165.0, "175"), ("potassium", 276.0, "300"), ("calcium", 48.0, "50"),
    ("iron", 0.04, "0"), ("iron", 0.26, "0.3"), ("iron", 0.6, "0.5"), ("iron", 0.9, "1"), ("iron", 1.2, "1.25"), ("iron", 2.7, "2.5"),
]  # fmt: skip
CFIA_FIGURE_3_1 = [("energy", "80"), ("fat", "0.5"), ("saturates", "0"), ("trans", "0"), ("cholesterol", "0"), ("sodium", "0"), ("carbohydrate", "18"),
                   ("fibre", "2"), ("sugars", "2"), ("protein", "3")]  # fmt: skip
ANZ = [
    ("energy", 1704.8, "1700"), ("energy", 412.8, "413"), ("energy", 40.0, "40"), ("energy", 39.9, "less than 40"), ("energy", 0.0, "0"), ("energy", 9996.0, "10000"),
    ("fat", 39.69, "39.7"), ("fat", 12.62, "12.6"), ("fat", 1.04, "1.0"), ("fat", 0.99, "less than 1"), ("fat", 99.96, "100"), ("sugars", 0.0, "0"),
    ("sodium", 662.0, "662"), ("sodium", 1088.4, "1090"), ("sodium", 4.9, "less than 5"), ("sodium", 5.0, "5"),
]  # fmt: skip


@pytest.mark.parametrize(("nutrient", "value", "told"), CA)
def test_canadian_rounding(nutrient, value, told):
    assert printed(value, rounding(rules("ca"), nutrient)[1]) == told


@pytest.mark.parametrize(("nutrient", "told"), CFIA_FIGURE_3_1)
def test_what_the_agency_prints_stands_as_it_is(nutrient, told):
    assert printed(float(told), rounding(rules("ca"), nutrient)[1]) == told


def test_a_serving_is_stated_in_grams_by_its_size():
    assert [printed(g, rules("ca").records["serving"]) for g in (9.94, 9.96, 30.4)] == ["9.9", "10", "30"]  # B.01.401, table, item 1


@pytest.mark.parametrize(("nutrient", "value", "told"), ANZ)
def test_three_significant_figures(nutrient, value, told):
    assert printed(value, rounding(rules("anz"), nutrient)[1]) == told


@given(st.floats(40, 1e5))
def test_no_more_than_three_figures_are_ever_printed(value):
    told = printed(value, rounding(rules("anz"), "energy")[1])
    assert len(told.rstrip("0")) <= 3 and abs(float(told) - value) <= max(0.5, 0.005 * value) + 1e-9  # half a kJ, or half a unit of the third figure


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
    ca, anz = rules("ca"), rules("anz")
    assert [net_figure_mm(ca, 300, cm2) for cm2 in (32, 33, 258, 259, 645, 646, 2581)] == [1.6, 3.2, 3.2, 6.4, 6.4, 9.5, 12.7]  # C.R.C. c. 417, 14(2)
    assert (least_x_mm(ca, 10.1), least_x_mm(ca, 10), least_list_mm(ca, 60), least_list_mm(eu, 100)) == (1.6, 0.8, (1.1, 2.5), (1.2, 0.0))  # SFCR 210; B.01.008.1(1)(e)
    assert [net_figure_mm(anz, 300, 70, side) for side in (120, 121, 361, None)] == [2.0, 2.5, 4.8, 4.8]  # a side that is not given is the longest
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
