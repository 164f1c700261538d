"""Pack labels: order, names that stand out, least letters, cells in millimetres, codes read by another reader."""

from __future__ import annotations

import struct
from dataclasses import replace
from datetime import date

import pytest
from pytest import approx
from tests.faces.paper_pages import MM, Printed

from ingle.faces.paper import press
from ingle.faces.paper.labels import pack_labels, ruled_sheet
from ingle.faces.paper.stock import stock, stocks
from ingle.faces.tokens import FONT_DIR
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.jobs.label import HOME_WORDS, Ingredient, Pack, label, per_100g
from ingle.jobs.label_file import read_label_file, salt_of

LEAN = {"fat": 18.0, "saturates": 6.5, "carbohydrate": 0.0, "sugars": 0.0, "protein": 17.4, "salt": 0.16}
NONE = dict.fromkeys(LEAN, 0.0)
PACK = Pack(
    "Cold-smoked pork collar", "FH-261204-A", 350.0,
    (
        Ingredient("curing salt", 3.5, (), {**NONE, "salt": 97.4}, 0.0625), Ingredient("pork collar", 1872.0, (), LEAN),
        Ingredient("salt", 43.6, (), {**NONE, "salt": 98.35}),
        Ingredient("mustard seed", 10.0, ("mustard",), {"fat": 36.0, "saturates": 2.0, "carbohydrate": 16.0, "sugars": 7.0, "protein": 26.0, "salt": 0.03}),
    ),
    date(2026, 12, 24), "use_by", date(2026, 12, 4), "Keep refrigerated, at most 4 °C.", "Fernhollow Society, Fernhollow", 1700.0, 60.0,
    "", "http://192.168.1.20:8000/c/FH-261204-A",
)  # fmt: skip


BREAD = replace(PACK, name="Bread and butter", finished_g=None)


def x_share() -> float:
    """Height of an x of Public Sans as a share of its size, from the typeface's own OS/2 and head tables."""
    data = (FONT_DIR / "PublicSans-Regular.ttf").read_bytes()
    tables = {data[12 + 16 * i : 16 + 16 * i]: struct.unpack(">I", data[20 + 16 * i : 24 + 16 * i])[0] for i in range(struct.unpack(">H", data[4:6])[0])}
    units = struct.unpack(">H", data[tables[b"head"] + 18 : tables[b"head"] + 20])[0]
    return struct.unpack(">h", data[tables[b"OS/2"] + 86 : tables[b"OS/2"] + 88])[0] / units


def words_of(one):
    return "".join(t for t, _ in one.ingredients)


def test_ingredients_fall_by_weight_and_the_curing_salt_is_declared_by_its_parts():
    one = label(PACK, "gb")
    assert words_of(one) == "pork collar, salt, mustard seed, preservative: sodium nitrite (E250)"
    assert [t for t, out in one.ingredients if out] == ["mustard"]
    assert dict(one.nutrition)["Salt"] == "2.9 g"  # (0.16 x 18.72 + 98.35 x 0.436 + 97.4 x 0.035 + 0.03 x 0.1) / 17.00 = 2.90
    assert [n for n, _ in one.nutrition] == ["Energy", "Fat", "of which saturates", "Carbohydrate", "of which sugars", "Protein", "Salt"]


def test_allergens_of_annex_ii_stand_out_even_where_the_name_hides_them():
    """Regulation (EU) 1169/2011, Annex II, 14 groups: bread, butter, celery seed in ketchup, mustard."""
    found = (
        Ingredient("wheat bread", 4, ("gluten",)), Ingredient("butter", 3, ("milk",)), Ingredient("ketchup with celery seed", 2, ("celery",)),
        Ingredient("mustard", 1, ("mustard",)),
    )  # fmt: skip
    one = label(replace(BREAD, ingredients=found, exempt="handed straight to the eater"), "eu")
    assert [t for t, out in one.ingredients if out] == ["wheat", "milk", "celery", "mustard"]
    assert words_of(one) == "wheat bread, butter (milk), ketchup with celery seed, mustard"
    with pytest.raises(BadBrief, match="names which"):
        label(replace(BREAD, ingredients=(Ingredient("flour", 1, ("gluten",)),), exempt="x"), "eu")
    assert label(replace(BREAD, ingredients=found), "us").contains == "Contains: wheat, milk."  # celery and mustard are none of the nine
    assert "buttermilk" in [t for t, out in label(replace(BREAD, ingredients=(Ingredient("buttermilk", 1, ("milk",)),), exempt="x"), "eu").ingredients if out]


@pytest.mark.parametrize("missing", ["date", "storage", "operator", "ingredients"])
def test_a_label_for_sale_is_refused_while_something_is_missing(missing):
    empty = {"date": None, "storage": "", "operator": "", "ingredients": ()}[missing]
    with pytest.raises(BadBrief, match=missing):
        label(replace(PACK, exempt="x", **{missing: empty}), "gb")


def test_a_country_is_named_or_the_label_is_for_home():
    with pytest.raises(BadBrief, match="none is named"):
        label(PACK)
    with pytest.raises(BadBrief, match="no table of label rules"):
        label(PACK, "jp")
    one = label(PACK, home=True)
    assert one.home == HOME_WORDS and not one.nutrition and not one.clauses and not one.operator
    told = Printed(pack_labels([(one, 1)])).text
    assert HOME_WORDS in told and "Use by" not in told and "Eat by 24 Dec 2026" in told and "kJ" not in told


def test_what_is_not_known_is_not_declared():
    hidden = replace(PACK, ingredients=(*PACK.ingredients, Ingredient("juniper", 1.0)))
    assert per_100g(hidden) is None
    with pytest.raises(BadBrief, match="nutrition"):
        label(hidden, "eu")
    assert not label(replace(hidden, exempt="small quantities"), "eu").nutrition
    with pytest.raises(OutOfRange):
        label(replace(PACK, finished_g=5000.0), "eu")
    with pytest.raises(OutOfRange):
        label(replace(PACK, ingredients=(Ingredient("fat", 1, (), {**NONE, "fat": 80.0, "protein": 40.0}),)), "eu")


@pytest.mark.parametrize(("name", "pack"), [("a4-24", PACK), ("letter-10", replace(PACK, area_cm2=120)), ("a4-8", replace(PACK, area_cm2=120))])
def test_labels_lie_in_their_cells_with_letters_of_the_least_height(name, pack):
    size = stock(name)
    one = label(pack, "gb")
    sheet = Printed(pack_labels([(one, 2)], on=name, start=2))
    assert sheet.size_mm() == (size.paper.width, size.paper.height)
    for (x, y), _ in zip(size.cells(2, 2)[0], range(2), strict=True):
        mine = [c for c in sheet.chars() if x <= (c["x0"] + c["x1"]) / 2 * MM <= x + size.width and y <= (c["top"] + c["bottom"]) / 2 * MM <= y + size.height]
        assert mine and min(c["x0"] for c in mine) * MM >= x + size.edge - 0.05 and max(c["x1"] for c in mine) * MM <= x + size.width - size.edge + 0.05
        assert min(c["top"] for c in mine) * MM >= y + size.edge - 2 and max(c["bottom"] for c in mine) * MM <= y + size.height - size.edge + 1
        text = [c for c in mine if "PublicSans" in c["fontname"]]
        assert min(c["size"] for c in text) * MM * x_share() >= one.x_mm - 0.0005
        net = [c for c in mine if "Barlow" in c["fontname"] and c["text"].isdigit()]
        assert min(c["size"] for c in net) * MM * 0.7 >= 4.0 - 0.05  # 200 to 1,000 g
        bold = "".join(c["text"] for c in text if "Bold" in c["fontname"])
        assert "mustard" in bold and "seed" not in bold and "Useby24Dec2026" in bold
    everything = [c for c in sheet.chars() if c["x0"] * MM < size.cells(1, 1)[0][0][0] + size.width and c["top"] * MM < size.top + size.height]
    assert not everything  # the first cell is kept free


def test_x_height_of_seven_point_is_over_the_line_of_the_law():
    assert x_share() * 7 * 25.4 / 72 == approx(1.28, abs=0.005)
    assert x_share() == approx(0.517, abs=1e-6)  # the share the template counts with: less would print letters under the law's


def test_an_offset_moves_the_print_and_nothing_else():
    at = lambda o: [(c["x0"] * MM, c["top"] * MM) for c in Printed(pack_labels([(label(PACK, "gb"), 1)], offset=o)).chars()]  # noqa: E731
    plain, moved = at((0.0, 0.0)), at((1.5, -0.7))
    assert [(b[0] - a[0], b[1] - a[1]) for a, b in zip(plain, moved, strict=True)] == [(approx(1.5, abs=0.01), approx(-0.7, abs=0.01))] * len(plain)
    for bad in ((6.0, 0.0), (0.0, -5.1)):
        with pytest.raises(OutOfRange, match="offset"):
            pack_labels([(label(PACK, "gb"), 1)], offset=bad)


def test_sheets_are_filled_from_the_start_cell_on():
    one = label(PACK, home=True)
    job = pack_labels([(one, 30)], start=20)
    assert [len(s) for s in job.data["sheets"]] == [5, 24, 1]
    assert job.data["sheets"][0][0][:2] == [70.0, 0.5 + 6 * 37]  # the 20th of 3 x 8: second of the seventh row
    for start in (0, 25):
        with pytest.raises(OutOfRange, match="start"):
            pack_labels([(one, 1)], start=start)
    for count in (0, 2001):
        with pytest.raises((BadBrief, OutOfRange)):
            pack_labels([(one, count)])


def test_a_label_that_does_not_fit_is_refused_with_a_larger_one_named():
    with pytest.raises(OutOfRange, match=r"needs .* mm and has 29.0 mm") as caught:
        press.pdf(pack_labels([(label(replace(PACK, area_cm2=200), "gb"), 1)]))
    assert "roll-62" in caught.value.remedy
    roll = Printed(pack_labels([(label(replace(PACK, area_cm2=200), "gb"), 1)], on="roll-62"))
    assert roll.size_mm()[0] == 62 and 50 < roll.size_mm()[1] < 120


@pytest.mark.parametrize("name", sorted(stocks()))
def test_the_code_is_read_by_another_reader(name):
    home = label(PACK, home=True)
    if name == "letter-30":
        home = replace(home, storage="", home="Home")
    sheet = Printed(pack_labels([(home, 2)], on=name))
    codes = [c for i in range(len(sheet.pages)) for c in sheet.codes(i)]
    assert codes == [PACK.link] * 2
    assert 0.002 < sheet.ink() < 0.5


def test_without_an_address_the_code_holds_the_lot():
    assert Printed(pack_labels([(label(replace(PACK, link=""), home=True), 1)])).codes() == ["FH-261204-A"]


def test_the_order_is_that_of_the_rule_and_name_and_net_share_a_line():
    sheet = Printed(pack_labels([(label(PACK, "gb"), 1)]))
    told = sheet.letters
    marks = ["Cold-smokedporkcollar", "350g", "Ingredients:", "Per100g:", "Useby", "LotFH-261204-A", "Keeprefrigerated", "FernhollowSociety"]
    assert [told.find(m) for m in marks] == sorted(told.find(m) for m in marks) and min(told.find(m) for m in marks) >= 0
    name, net = (next(c for c in sheet.chars() if c["text"] == t and "Barlow" in c["fontname"]) for t in ("C", "3"))
    assert name["bottom"] == approx(net["bottom"], abs=3)  # one field of vision


def test_us_labels_give_ounces_and_leave_the_panel_out():
    one = label(PACK, "us")
    assert one.net == "Net Wt 12.3 oz (350 g)" and not one.nutrition and "Nutrition Facts" in one.not_here[0]  # 350 / 28.3495 = 12.35
    job = pack_labels([(one, 1)], on="letter-10")
    assert job.notes and min(c["size"] for c in Printed(job).chars() if "PublicSans" in c["fontname"]) * MM * x_share() >= 1.5875 - 0.0005


@pytest.mark.parametrize("text", ["#strong[x] $y$", "*a* _b_ @c <d> \\e", '"quoted" \'single\' ~ -- ...'])
def test_markup_on_a_label_prints_as_it_is(text):
    told = Printed(pack_labels([(label(replace(PACK, name=text, storage=text), home=True), 1)], on="a4-8")).letters
    assert told.count(text.replace(" ", "")) == 2


def test_the_ruled_sheet_shows_every_cell_where_it_is():
    sheet = Printed(ruled_sheet("a4-24"))
    cells = {(round(r[3], 1), round(r[4], 1)) for r in sheet.rects() if r[0] == approx(70, abs=0.1) and r[1] == approx(37, abs=0.1)}
    assert cells == {(70.0 * c, 0.5 + 37.0 * r) for c in range(3) for r in range(8)}
    with pytest.raises(BadBrief):
        ruled_sheet("roll-62")


def test_a_label_file_is_read_with_its_units_and_unknown_keys_are_refused(tmp_path):
    path = tmp_path / "x.toml"
    text = (
        '[label]\nname = "Collar"\nlot = "A"\nnet = "350g"\nuse_by = 2026-12-24\nface = ["100mm", "70mm"]\n'
        '[[ingredient]]\nname = "pork"\nweight = "1.5kg"\nper_100g = { fat = "18g", saturates = "6g", carbohydrate = "0g", sugars = "0g", protein = "17g", sodium = "60mg" }\n'
        '[[ingredient]]\ncuring_salt = "6.25%"\nweight = "3.5g"\n[[ingredient]]\nname = "salt"\nkind = "salt"\nweight = "40g"\n'
    )
    path.write_text(text)
    pack = read_label_file(path)
    assert pack.area_cm2 == approx(70) and pack.ingredients[0].per_100g["salt"] == approx(0.15) and pack.ingredients[1].curing_salt == 0.0625
    assert pack.ingredients[2].per_100g["salt"] == approx(98.35, abs=0.01)  # 2.5 x 22.990 / 58.440
    assert salt_of(1.0) == approx(83.3, abs=0.05)  # 2.5 x 22.990 / 68.995
    for bad in (text.replace("net =", "nett ="), text.replace('"350g"', '"350"'), text.replace("use_by = 2026-12-24", 'use_by = "soon"'),
                text + "[label2]\n", text.replace("sodium =", "salt = \"1g\", sodium =")):  # fmt: skip
        path.write_text(bad)
        with pytest.raises(BadBrief):
            read_label_file(path)
