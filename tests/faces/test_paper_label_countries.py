"""Labels by the rules of Canada, of Australia and New Zealand, and of the Codex: what is declared, what is asked for, how it lies on paper.

Where a clause was read its words are named beside the check (see ``doubt`` in data/limits/labels.toml); weights and foods are made up.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest
from pytest import approx
from tests.faces.paper_pages import MM, Printed
from tests.faces.test_paper_label import x_share

from ingle.faces.paper import press
from ingle.faces.paper.labels import pack_labels
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.jobs.label import Ingredient, Pack, label
from ingle.jobs.label_file import NO_NUTRIENTS, read_label_file, salt_of

MORE = {"fibre": 0.0, "trans": 0.0, "cholesterol": 0.065, "potassium": 0.33, "calcium": 0.015, "iron": 0.001}
LEAN = {"fat": 12.0, "saturates": 4.0, "carbohydrate": 0.0, "sugars": 0.0, "protein": 18.0, "salt": 0.15}
SALT = {**NO_NUTRIENTS, "salt": salt_of(0.0)}
MUSTARD = {**NO_NUTRIENTS, "fat": 36.0, "saturates": 2.0, "carbohydrate": 16.0, "sugars": 7.0, "fibre": 12.0, "protein": 26.0, "salt": 0.03}
PACK = Pack(
    "Cold-smoked pork collar", "FH-261204-A", 350.0,
    (
        Ingredient("pork collar", 1872.0, (), LEAN | MORE, name_fr="échine de porc"), Ingredient("salt", 43.6, (), SALT),
        Ingredient("curing salt", 3.5, (), {**NO_NUTRIENTS, "salt": salt_of(0.0625)}, 0.0625),
        Ingredient("mustard seed", 10.0, ("mustard",), MUSTARD, name_fr="graine de moutarde"),
    ),
    date(2026, 12, 24), "best_before", date(2026, 12, 4), "Keep refrigerated.", "Fernhollow Society, Fernhollow", 1800.0, 70.0,
    serving_g=50.0, name_fr="Échine de porc fumée à froid", storage_fr="Garder réfrigéré.", longest_mm=100.0,
)  # fmt: skip

SMALL = replace(PACK, finished_g=None, exempt="x")  # another list of ingredients, nothing lost


def words_of(runs):
    return "".join(t for t, _ in runs)


def test_canada_declares_in_both_languages_with_capitals_and_a_line_after_the_list():
    """B.01.008.2(1), (3): title Ingredients / Ingrédients, first letter upper case; B.01.010.3(1): Contains / Contient, each entry with a capital."""
    one = label(PACK, "ca")
    assert (one.heading, words_of(one.ingredients), one.contains) == ("Ingredients", "Pork collar, Salt, Mustard seed, Sodium nitrite", "Contains: Mustard.")
    assert (one.second.heading, one.second.contains) == ("Ingrédients", "Contient : Moutarde.")
    assert words_of(one.second.ingredients) == "Échine de porc, Sel, Graine de moutarde, Nitrite de sodium"
    assert not [t for t, out in one.ingredients if out] and one.boxed


def test_canadian_date_has_the_year_first_and_a_sign_for_the_month():
    """B.01.007(4), (5), as the agency prints it: 12 JN 28 for 28 June 2012."""
    assert label(PACK, "ca").dates == ("Best before / Meilleur avant 2026 DE 24",)
    assert label(replace(PACK, date=date(2012, 6, 8)), "ca").dates == ("Best before / Meilleur avant 2012 JN 08",)
    with pytest.raises(BadBrief, match="no use-by date there") as caught:
        label(replace(PACK, date_kind="use_by"), "ca")
    assert "best_before" in caught.value.remedy


@pytest.mark.parametrize(
    ("gone", "named"),
    [({"name_fr": ""}, "name"), ({"storage_fr": ""}, "storage"), ({"serving_words": "2 slices"}, "serving_words"),
     ({"ingredients": (*PACK.ingredients, Ingredient("juniper", 1.0, (), SALT))}, "juniper")],
)  # fmt: skip
def test_french_is_asked_for_where_it_is_not_given(gone, named):
    with pytest.raises(BadBrief, match=f"French is missing of: .*{named}") as caught:
        label(replace(PACK, **gone), "ca")
    assert "one_language" in caught.value.remedy
    one = label(replace(PACK, one_language="sold at our own stall only", **gone), "ca")
    assert one.second is None and any("sold at our own stall only" in told for told in one.not_here)  # said, never silently left out


def test_the_canadian_table_is_of_a_serving_with_total_carbohydrate_and_per_cent_of_the_day():
    """Of 1800 g: fat 228.2, sat. 75.1, protein 339.6, fibre 1.2, carbohydrate with it 2.8 g; salt 2.81 + 42.88 + 3.41 g; times 50 / 1800."""
    one = label(replace(PACK, serving_words="2 slices", serving_words_fr="2 tranches"), "ca")
    rows = {r[0]: r[1:] for r in one.nutrition}
    assert one.panel.columns[0] == "Per 2 slices (50\u00a0g) / pour 2 tranches (50\u00a0g)" and one.panel.title == "Nutrition Facts / Valeur nutritive"
    assert rows["Fat / Lipides"] == ("6 g", "8 %")  # 6.34 g; 6 of 75 g
    assert rows["Saturated / saturés"] == ("2 g", "10 %") and rows["+ Trans / trans"] == ("0 g", "")  # 2.09 g; together 2 of 20 g
    assert rows["Carbohydrate / Glucides"] == ("0 g", "") and rows["Protein / Protéines"] == ("9 g", "")  # 0.08 and 9.43 g
    assert rows["Sodium"] == ("550 mg", "24 %")  # 49.1 g salt / 2.5 x 50 / 1800 = 546 mg; of 2300
    assert rows["Calories"][0] == "100"  # 6.34 x 9 + 9.43 x 4 + 0.04 x 4 + 0.03 x 2 = 95.03
    assert rows["Potassium"] == ("175 mg", "5 %") and rows["Iron / Fer"] == ("0.5 mg", "3 %")


def test_what_the_canadian_front_must_say_is_told_from_the_table():
    """B.01.350, memory: 15 per cent of the daily value. Sodium of the made-up collar is 24; with a tenth of the salt it is under the line."""
    assert label(PACK, "ca").not_here[0] == "the symbol on the front: by this table it is high in sodium"
    mild = replace(PACK, ingredients=tuple(replace(i, grams=4.36) if i.name == "salt" else i for i in PACK.ingredients))
    assert not mild.exempt and not label(mild, "ca").panel.high and "symbol on the front: by" not in label(mild, "ca").not_here[0]


def test_the_canadian_table_is_refused_while_a_value_of_it_is_not_known_and_says_of_what():
    part = replace(PACK, ingredients=(replace(PACK.ingredients[0], per_100g=LEAN), *PACK.ingredients[1:]))
    with pytest.raises(BadBrief, match="needs nutrition") as caught:
        label(part, "ca")
    assert "trans, fibre, cholesterol, potassium, calcium, iron of pork collar." in caught.value.remedy and "farmers' market" in caught.value.remedy
    told = label(replace(part, exempt="sold at a farmers' market by the maker"), "ca")
    assert not told.nutrition and not [c for c in told.clauses if "round-" in c.key] and any("farmers' market" in n for n in told.not_here)


@pytest.mark.parametrize(
    ("name", "group", "english", "french"),
    [("smoked trout", "fish", "Trout", "Truite"), ("rye flour", "gluten", "Rye", "Seigle"), ("spelt", "gluten", "Wheat", "Blé"), ("butter", "milk", "Milk", "Lait"),
     ("prawns", "crustaceans", "Prawn", "Crevette"), ("celery", "celery", "", "")],
)  # fmt: skip
def test_canadian_sources_are_named_by_their_kind(name, group, english, french):
    """B.01.010.1(1): barley, oats, rye, triticale, wheat; crustaceans, fish and molluscs by their own name; celery is none of them."""
    one = label(replace(SMALL, ingredients=(Ingredient(name, 10.0, (group,), name_fr="x"),)), "ca")
    assert (one.contains, one.second.contains) == ((f"Contains: {english}.", f"Contient : {french}.") if english else ("", ""))
    with pytest.raises(BadBrief, match="names which"):
        label(replace(SMALL, ingredients=(Ingredient("flour", 10.0, ("gluten",), name_fr="farine"),)), "ca")


def test_every_word_canada_may_print_has_its_french():
    from ingle.safety.label_rules import rules

    rule = rules("ca").records["allergens"]
    printed = {e for words in rule["words"].values() for w in words for e in rule["summary"].get(w.lower(), [w.lower()])}
    assert not printed - set(rule["french"])


def test_flour_that_does_not_say_its_grain_is_refused_in_the_united_states_too():
    """Wheat is one of the nine, rye is not: a flour that names neither cannot be left out of the line."""
    with pytest.raises(BadBrief, match="names which"):
        label(replace(SMALL, ingredients=(Ingredient("flour", 1.0, ("gluten",)),)), "us")
    assert label(replace(SMALL, ingredients=(Ingredient("rye flour", 1.0, ("gluten",)),)), "us").contains == ""
    assert label(replace(SMALL, ingredients=(Ingredient("smoked trout", 1.0, ("fish",)),)), "us").contains == "Contains: trout."


def test_australia_and_new_zealand_name_allergens_in_bold_and_again_in_a_line():
    """Table of the New South Wales authority: barley, oats, rye in the list, gluten in the line; wheat in both, with gluten; nuts one by one."""
    found = (
        Ingredient("wheat flour", 5, ("gluten",)), Ingredient("rye flour", 4, ("gluten",)), Ingredient("butter", 3, ("milk",)), Ingredient("almonds", 2, ("nuts",)),
        Ingredient("smoked trout", 1.5, ("fish",)), Ingredient("mustard", 1, ("mustard",)),
    )  # fmt: skip
    one = label(replace(SMALL, ingredients=found), "anz")
    assert words_of(one.ingredients) == "wheat flour, rye flour, butter (milk), almonds, smoked trout (fish), mustard"
    assert [t for t, out in one.ingredients if out] == ["wheat", "rye", "milk", "almonds", "fish"]
    assert one.contains == "Contains wheat, gluten, milk, almond, fish."
    with pytest.raises(BadBrief, match="names which"):
        label(replace(SMALL, ingredients=(Ingredient("flour", 1, ("gluten",)),)), "anz")


def test_the_panel_of_australia_and_new_zealand_has_a_serving_and_100_g():
    """1.2.8-6(1): servings, serving size, kJ, sodium in mg of both; values as in the Canadian test, energy by S11-2: 37 x 12.68 + 17 x 18.87 + 17 x 0.09 + 8 x 0.07."""
    one = label(PACK, "anz")
    rows = {r[0]: r[1:] for r in one.nutrition}
    assert one.panel.lines == ("Servings per package: 7", "Serving size: 50 g") and one.panel.columns == ("per serving", "per 100 g")
    assert rows["Energy"] == ("396 kJ", "792 kJ") and rows["Fat, total"] == ("6.3 g", "12.7 g") and rows["Protein"] == ("9.4 g", "18.9 g")
    assert rows["Sodium"] == ("546 mg", "1090 mg") and rows["– sugars"] == ("less than 1 g", "less than 1 g")
    assert label(replace(PACK, serving_g=30.0), "anz").panel.lines[0] == "Servings per package: about 11.7"
    assert one.dates == ("Best Before 24 Dec 2026",) and label(replace(PACK, date_kind="use_by"), "anz").dates == ("Use By 24 Dec 2026",)  # 1.2.5-5(2)
    assert "preservative (250)" in words_of(one.ingredients)
    with pytest.raises(BadBrief, match="needs nutrition") as caught:
        label(replace(PACK, serving_g=None), "anz")
    assert "serving is asked for" in caught.value.remedy
    with pytest.raises(OutOfRange, match="serving"):
        label(replace(PACK, serving_g=400.0), "anz")


def test_codex_declares_sodium_and_says_that_its_rounding_is_not_given():
    """CXG 2-1985, 3.2.1: energy, protein, available carbohydrate, total sugars, fat, saturated fat, sodium."""
    one = label(PACK, "codex")
    assert [r[0] for r in one.nutrition] == ["Energy", "Protein", "Carbohydrate", "of which sugars", "Fat", "of which saturated", "Sodium"]
    assert dict(one.nutrition)["Sodium"] == "1090 mg" and [t for t, out in one.ingredients if out] == ["mustard"]
    assert {c.sure for c in one.clauses if c.key.startswith("codex.round")} == {"gap"}


@pytest.mark.parametrize(("country", "stock"), [("ca", "a4-4"), ("ca", "letter-6"), ("ca", "roll-62"), ("anz", "a4-8"), ("anz", "letter-10"), ("codex", "a4-8")])
def test_letters_are_no_smaller_than_the_rule_allows(country, stock):
    one = label(PACK, country)
    sheet = Printed(pack_labels([(one, 1)], on=stock))
    text = [c for c in sheet.chars() if "PublicSans" in c["fontname"] and c["text"].strip()]
    sizes = [c["size"] * MM * x_share() for c in text]
    assert min(sizes) >= one.list_mm - 0.0005  # the list and, on paper, the table
    lot = sheet.letters.find("LotFH-261204-A")
    assert lot >= 0 and max(sizes) >= one.x_mm - 0.0005
    net = [c for c in sheet.chars() if "Barlow" in c["fontname"] and c["text"].isdigit()]
    assert min(c["size"] for c in net) * MM * 0.7 >= one.net_mm - 0.05
    widest = max(c["x1"] for c in sheet.chars()) * MM
    assert widest <= sheet.size_mm()[0] + 0.05
    assert not overlaps(text)


def overlaps(chars):
    """Letters of one line that lie upon each other by more than a third of a letter: a name run into its value."""
    found, lines = [], {}
    for c in chars:
        lines.setdefault(round(c["top"], 0), []).append(c)
    for line in lines.values():
        line.sort(key=lambda c: c["x0"])
        found += [(a["text"], b["text"]) for a, b in pairwise(line) if a["x1"] - b["x0"] > 0.34 * (a["x1"] - a["x0"])]
    return found


def test_canadian_lines_of_the_list_stand_two_and_a_half_millimetres_apart():
    """B.01.008.1(1)(e): type not less than 1.1 mm with leading of not less than 2.5 mm."""
    more = tuple(Ingredient(f"{spice} seed", 5.0, (), SALT, name_fr=f"graine de {spice}") for spice in ("caraway", "cumin", "dill", "fennel", "nigella", "celery"))
    full = replace(SMALL, ingredients=(*PACK.ingredients, *more), storage="Keep refrigerated. " + "Cook before eating. " * 9)
    sheet = Printed(pack_labels([(label(full, "ca"), 1)], on="a4-8"))  # so full that its letters are the least
    chars = [c for c in sheet.chars() if "PublicSans" in c["fontname"]]
    title = next(c for c in chars if c["text"] == "I" and "Bold" in c["fontname"])  # of Ingredients
    bottoms = sorted({round(c["bottom"] * MM, 3) for c in chars if c["size"] == approx(title["size"], abs=0.01)})
    box = sheet.letters
    assert box.find("Ingredients:") < box.find("Contains:") < box.find("Ingrédients:") < box.find("Contient") < box.find("Bestbefore")
    steps = [b - a for a, b in pairwise(bottoms)]
    assert title["size"] * MM * x_share() == approx(1.1, abs=0.0005) and len(steps) >= 5 and min(steps) >= 2.5


def test_a_label_that_needs_a_table_is_not_set_as_a_line_where_the_rule_gives_a_form():
    """S12-2 gives the panel its form; the EU allows a line of text where there is no room (Art. 34)."""
    with pytest.raises(OutOfRange, match=r"needs .* mm and has 29.0 mm") as caught:
        press.pdf(pack_labels([(label(PACK, "anz"), 1)]))
    assert "roll-62, which is as long as it needs" in caught.value.remedy


def test_a_label_file_gives_what_these_rules_ask_for(tmp_path):
    path = tmp_path / "x.toml"
    path.write_text(
        '[label]\nname = "Collar"\nname_fr = "Échine"\nlot = "A"\nnet = "350g"\nbest_before = 2026-12-24\nstorage = "Keep refrigerated."\nstorage_fr = "Garder réfrigéré."\n'
        'operator = "Fernhollow"\nserving = "50g"\nserving_words = "2 slices"\nserving_words_fr = "2 tranches"\nface = ["100mm", "70mm"]\n'
        '[[ingredient]]\nname = "pork"\nname_fr = "porc"\nweight = "1.5kg"\nper_100g = { fat = "12g", saturates = "4g", carbohydrate = "0g", sugars = "0g", fibre = "0g", '
        'protein = "18g", sodium = "60mg", trans = "0g", cholesterol = "65mg", potassium = "330mg", calcium = "15mg", iron = "1mg" }\n[[ingredient]]\nname = "salt"\nkind = "salt"\nweight = "40g"\n'
    )
    pack = read_label_file(path)
    assert (pack.serving_g, pack.longest_mm, pack.name_fr) == (50.0, 100.0, "Échine") and pack.ingredients[0].per_100g["cholesterol"] == approx(0.065)
    assert label(pack, "ca").second.name == "Échine" and label(pack, "anz").net_mm == 2.0


def test_what_the_table_of_foods_does_not_have_is_written_beside_the_food(tmp_path):
    """USDA SR26, NDB 10080: fat 12.36 g; the rest of the Canadian table is not in the shipped columns."""
    path = tmp_path / "x.toml"
    path.write_text(
        '[label]\nname = "C"\nlot = "A"\nnet = "350g"\n[[ingredient]]\nname = "pork"\nweight = "1kg"\nfood = "pork-blade-boston"\n'
        'per_100g = { trans = "0.1g", cholesterol = "65mg", potassium = "330mg", calcium = "15mg", iron = "1mg", protein = "17g" }\n'
    )
    found = read_label_file(path).ingredients[0].per_100g
    assert (found["fat"], found["trans"], found["protein"]) == (12.36, 0.1, 17.0)  # what is written comes before the table
