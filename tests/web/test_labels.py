"""A pack's label at the page: what its rules want is asked, and nothing is printed while it is missing."""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from PIL import Image
from tests.faces.paper_pages import Printed
from tests.web.visitor import Visitor, text

from ingle.jobs import label_book
from ingle.notebook.store import open_notebook

PACK = {"count": "6", "net": "180", "day": "2027-01-02", "kind": "best_before", "storage": "Keep refrigerated.", "yes": "1", "name": "Cured collar"}


def packed(visitor: Visitor) -> str:
    """The code of a pack of a piece laid in by hand."""
    code = visitor.lay_in()
    answer = visitor.post(f"/book/{code}/pack", **PACK)
    assert answer.status_code == 200, text(answer.text)
    return f"{code}-P1"


def said(visitor: Visitor, pack: str, **fields):
    """The label's form, filled in; of its ingredients the page asks about the first, the collar."""
    rows = {f"{k}-1": fields.pop(k) for k in ("food", "french") if k in fields}
    return visitor.post(f"/papers/label/{pack}", item=["Collar", "salt", "curing salt"], **rows, **fields)


@pytest.fixture
def seller(tmp_path):
    return Visitor(tmp_path).begin(use="sale")


def test_a_seller_is_asked_for_what_the_rules_want_and_then_has_labels(seller):
    pack = packed(seller)
    page = text(seller.get(f"/papers/label/{pack}").text)
    assert "Not to be printed yet" in page and "none is named" in page and seller.get(f"/papers/label/{pack}.pdf").status_code == 422
    page = text(said(seller, pack, rules="gb", operator="").text)
    assert "needs operator, nutrition" in page and "of Collar" in page
    page = said(seller, pack, rules="gb", operator="Fernhollow Society, Fernhollow", food="pork-blade-boston")
    assert "Not to be printed yet" not in page.text and "In the book." in page.text, text(page.text)
    made = seller.get(re.search(r'href="(/papers/label/[^"]+\.pdf[^"]*)"', page.text)[1])
    assert made.status_code == 200 and made.headers["content-type"] == "application/pdf"
    told = Printed(made.content).letters
    assert "FernhollowSociety" in told and "Bestbefore2Jan2027" in told and "kJ" in told
    picture = Image.open(BytesIO(seller.get(f"/papers/label/{pack}.png").content))
    assert picture.size[0] > 300


def test_canada_asks_for_french_and_a_serving(seller):
    pack = packed(seller)
    page = said(seller, pack, rules="ca", operator="Fernhollow", exempt="sold at a farmers' market by the maker")
    told = text(page.text)
    assert "French is missing of: name, storage, Collar" in told and "Name in French" in told and "Collar in French" in told and "salt in French" not in told
    page = said(seller, pack, rules="ca", operator="Fernhollow", exempt="sold at a farmers' market by the maker", name_fr="Échine salée", storage_fr="Garder réfrigéré.",
                french="échine de porc", face="100 x 70")  # fmt: skip
    assert "Not to be printed yet" not in page.text and "farmers" in text(page.text) and "nutrition symbol" in text(page.text)
    letters = Printed(seller.get(f"/papers/label/{pack}.pdf", on="roll-62").content).letters
    assert "Ingrédients:Échinedeporc,Sel,Nitritedesodium" in letters and "2027JA02" in letters


def test_the_form_asks_of_each_ingredient_what_is_not_known_and_keeps_what_it_does_not_ask(seller):
    pack = packed(seller)
    said(seller, pack, rules="ca", operator="Fernhollow", food="pork-blade-boston", french="échine de porc")
    page = seller.get(f"/papers/label/{pack}").text
    assert re.findall(r'name="item" value="([^"]+)"', page) == ["Collar", "salt", "curing salt"]
    assert set(re.findall(r'name="((?:food|french)-\d)"', page)) == {"food-1", "french-1"} and 'value="échine de porc"' in page
    assert "trans, cholesterol, potassium, calcium, iron of Collar" in text(page)  # what the table of foods does not have
    said(seller, pack, rules="ca", operator="Fernhollow", exempt="sold at a fair by the maker", french="échine de porc")
    page = seller.get(f"/papers/label/{pack}").text
    assert "food-1" not in page and 'name="serving"' not in page
    said(seller, pack, rules="eu", operator="Fernhollow")
    assert "Not to be printed yet" not in seller.get(f"/papers/label/{pack}").text  # the food said before is still known


def test_what_was_said_before_stays_in_the_book_and_the_next_pack_knows_its_seller(seller):
    pack = packed(seller)
    said(seller, pack, rules="gb", operator="Fernhollow", exempt="small")
    said(seller, pack, rules="gb", operator="Fernhollow Society", exempt="small")
    with open_notebook(seller.config.notebook) as book:
        assert label_book.said_of(book, pack) == {"operator": "Fernhollow Society", "rules": "gb", "exempt": "small"}
    notes = text(seller.get(f"/book/{pack.removesuffix('-P1')}").text)
    assert f'Label of {pack}: operator: "Fernhollow Society"' in notes
    other = packed(seller)
    assert 'value="Fernhollow Society"' in seller.get(f"/papers/label/{other}").text


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [("face", "large", "two lengths"), ("face", "1 x 70", "no face"), ("face", "nan x 70", "no face"), ("serving", "much", "Serving"), ("serving", "nan", "Serving"),
     ("operator", "x" * 301, "do not go on a label")],
)  # fmt: skip
def test_a_field_that_cannot_be_is_shown_again_with_its_error(seller, field, value, words):
    answer = said(seller, packed(seller), **({"rules": "anz", "operator": "Fernhollow"} | {field: value}))
    assert answer.status_code == 422 and words in text(answer.text) and f'value="{value}"' in answer.text


def test_what_is_kept_can_always_be_shown_again(seller):
    """A food that is none, a country that is none, markup and half a letter: refused or shown as it is; the page stands."""
    pack = packed(seller)
    assert said(seller, pack, rules="gb", food="gold").status_code == 422
    assert said(seller, pack, rules="zz", operator="<b>#x</b>", exempt="{x}").status_code == 200
    page = seller.get(f"/papers/label/{pack}")
    assert page.status_code == 200 and "&lt;b&gt;" in page.text and "no table of label rules" in text(page.text)
    said(seller, pack, rules="anz", operator="#strong[x] $y$", exempt="x")
    assert "#strong[x]$y$" in Printed(seller.get(f"/papers/label/{pack}.pdf", on="roll-62").content).letters


def test_a_kitchen_for_its_own_table_has_a_home_label_and_no_form(tmp_path):
    visitor = Visitor(tmp_path).begin()
    pack = packed(visitor)
    page = visitor.get(f"/papers/label/{pack}")
    assert "for our own table" in text(page.text) and 'name="operator"' not in page.text
    assert "Nolabellingrulewasapplied" in Printed(visitor.get(f"/papers/label/{pack}.pdf").content).letters


def test_a_pack_that_is_not_there_is_said_so(seller):
    assert seller.get("/papers/label/XX-000000-A-P1").status_code == 404
