"""Brine, smoke, crackling, bread, dough, butter, sauce as pages: what they answer is the command's, each figure leads to its ground, nothing typed is lost."""

import re
import shlex

import pytest
from tests.web.visitor import text

from ingle.faces.asked import asking
from ingle.faces.cli.main import main
from ingle.faces.text import tie
from ingle.faces.web.page import NAV
from ingle.faces.web.pages.bench_forms import form_of
from ingle.faces.web.pages.drawer import ITEMS
from ingle.ground.tables import toml_table

FORMS = tuple(toml_table("tables", "bench_form.toml"))
# a form as it is sent, the command that says the same, and a figure that both show
ASKED = {
    "brine": ({"strength": "10", "volume": "5", "to": "12"}, "brine --strength 10% --volume 5l --to 12%", "535 g"),
    "smoke": ({"hours_1": "8h", "chamber_1": "18C", "hours_2": "6h", "chamber_2": "12C"}, "smoke --run 8h,18C --run 6h,12C", "14 h"),
    "bread": ({"loaf": "800 g", "pieces": "2", "hydration": "68", "preferment": "20", "preferment_hydration": "100", "also_name": "yeast", "also": "1"},
              "bread --loaf 800g --pieces 2 --hydration 68% --preferment 20% --also yeast=1%", "1,840 g"),
    "formula": ({"flour": "800 g", "water": "500 g", "salt_weight": "18 g", "starter_weight": "200 g", "starter_hydration": "100"},
                "bread --flour 800g --water 500g --salt-weight 18g --starter 200g,100%", "66.7 %"),
    "dough": ({"to": "24C", "flour": "1 kg", "flour_temperature": "22C", "water": "650 g", "tap": "24C"},
              "dough --flour 1kg --flour-temperature 22C --water 650g --tap 24C --to 24C", "11.5 g"),
    "proof": ({"piece": "900 g", "fridge": "6C", "in": "24.5C"}, "dough --piece 900g --fridge 6C", "11 h"),
    "butter": ({"cream": "1 kg", "fat": "36", "salt": "1.5", "cream_temperature": "20C", "use": "sale"},
               "butter --cream 1kg --fat 36% --salt 1.5% --cream-temperature 20C --use sale", "442 g"),
    "sauce": ({"mass_1": "2 kg", "solids_1": "6", "to": "30", "ph": "4.4"}, "sauce --part 2kg,6% --to 30% --ph 4.4", "400 g"),
}  # fmt: skip
RIND = {"weight": "180 g", "thickness": "3", "fat": "0", "fridge": "12 h", "oven_1": "220C", "time_1": "20 min", "oven_2": "180C", "time_2": "60 min"}


def said(line):
    """What the command answers in JSON."""
    with asking() as heard:
        main([*shlex.split(line), "--json"])
    return heard.answers[-1]


@pytest.mark.parametrize("name", [n for n in FORMS if n != "crackle"])  # its own numbers are reckoned once, below
def test_a_form_opens_with_what_it_begins_with_and_answers_it(visitor, name):
    page = visitor.get(f"/{name}")
    assert page.status_code == 200 and len(page.content) < 100_000
    sent = dict(re.findall(r'<input type="text" id="\w+" name="(\w+)" value="([^"]*)"', page.text)) | dict(re.findall(r'name="(\w+)" value="(\w*)" checked', page.text))
    assert set(sent) == {f.key for f in form_of(name).fields}
    answer = visitor.get(f"/{name}", **sent)
    assert answer.status_code == 200 and ('aria-label="Answer"' in answer.text or 'class="lead"' in answer.text), text(answer.text)


@pytest.mark.parametrize("name", ASKED)
def test_a_page_says_what_the_command_says(visitor, name):
    sent, line, shown = ASKED[name]
    answer, told = visitor.get(f"/{name}", **sent), said(line)
    read = text(answer.text).replace("\u00a0", " ")
    assert answer.status_code == 200 and shown in read
    for key, figure in told["figures"].items():
        assert f'href="/grounds/{figure["record"]}"' in answer.text, key
    assert (told["level"] is None) == ('aria-label="Answer"' not in answer.text)
    for words in (*(v["clause"] for v in told["verdicts"]), *told["notes"], *told["assumed"], *told["not_checked"]):
        assert tie(words).replace("\u00a0", " ")[1:] in read, words
    assert told["level"] is None or f'class="outcome {told["level"]}"' in answer.text


@pytest.mark.parametrize("name", ASKED)
def test_every_figure_is_one_tap_from_where_it_is_written(visitor, name):
    grounded(visitor, visitor.get(f"/{name}", **ASKED[name][0]).text)


def grounded(visitor, page):
    """Each figure has its link, each link leads somewhere."""
    figures = re.findall(r"<dt>.*?</dt>", page)
    assert figures and all('href="/grounds/' in f for f in figures)
    for path in sorted(set(re.findall(r'href="(/grounds/[^"]+)"', page))):
        assert visitor.get(path).status_code == 200, path


def test_a_rind_is_answered_with_its_picture_and_what_stops_it(visitor):
    assert visitor.get("/crackle").status_code == 200
    page = visitor.get("/crackle", **RIND)
    grounded(visitor, page.text)
    told, read = said("crackle --weight 180g --thickness 3mm --fridge 12h --oven 220C,20min --oven 180C,60min"), text(page.text).replace("\u00a0", " ")
    assert page.text.count("<svg") >= 2 and f"{round(20 * told['chance'])} of 20 such rinds puff" in read
    assert {"within": "Can crackle", "near": "May or may not crackle"}[told["level"]] in read
    assert all(c.partition(":")[0] in read for c in told["cautions"])
    assert "{:.0f} g".format(told["crackling_g"]["likely"]) in read


@pytest.mark.parametrize(("name", "change", "field"), [
    ("brine", {"salt": "500 g"}, "salt"), ("brine", {"strength": "30"}, "strength"), ("brine", {"volume": "a lot"}, "volume"),
    ("smoke", {"chamber_2": ""}, "chamber_2"), ("smoke", {"hours_1": "long"}, "hours_1"), ("bread", {"pieces": "0"}, "pieces"), ("bread", {"also_name": ""}, "also_name"),
    ("bread", {"also_name": "salt"}, "also"), ("formula", {"flour": ""}, "flour"), ("dough", {"tap": ""}, "tap"), ("dough", {"flour": ""}, "water"),
    ("proof", {"fridge": "20C"}, "fridge"), ("proof", {"piece": ""}, "fridge"), ("butter", {"fat": ""}, "fat"), ("butter", {"fat": "90"}, "fat"), ("butter", {"with_fat": "3.5"}, "standardise"), ("sauce", {"solids_1": ""}, "solids_1"),
    ("sauce", {"ph": "sour"}, "ph"), ("sauce", {"to": "3"}, "to"),
])  # fmt: skip
def test_what_is_wrong_stands_at_its_field_and_nothing_typed_is_lost(visitor, name, change, field):
    sent = ASKED[name][0] | change
    answer = visitor.get(f"/{name}", **sent)
    assert answer.status_code == 422 and "<title>Error:" in answer.text
    assert f'href="#{field}"' in answer.text, re.findall(r'href="#(\w+)"', answer.text)
    for key, value in sent.items():
        if value:
            assert f'value="{value}"' in answer.text, key
    assert "--" not in text(answer.text).partition("These")[0]


def test_a_decimal_comma_is_read_where_two_figures_stand_beside_each_other(visitor):
    page = visitor.get("/sauce", mass_1="1,5 kg", solids_1="6,5", to="30")
    assert page.status_code == 200 and "325 g" in text(page.text).replace("\u00a0", " ")


def test_nobody_slips_in_markup_by_a_name(visitor):
    page = visitor.get("/bread", flour="1 kg", also_name="<script>x", also="1")
    assert page.status_code == 200 and "<script>x" not in page.text.lower().replace("&lt;script&gt;x", "")


def test_a_house_of_fahrenheit_is_asked_and_answered_in_it(visitor):
    visitor.post("/house", name="Test kitchen", zone="Europe/London", mass="kg", temperature="F", use="sale", kit="home", scale="0.1g", prefix="TK")
    try:
        assert 'value="39 °F"' in visitor.get("/proof").text
        page = visitor.get("/dough", **ASKED["dough"][0])
        assert "72 °F" in text(page.text).replace("\u00a0", " ")
        assert re.search(r'name="use" value="sale" checked', visitor.get("/butter").text)
    finally:
        visitor.begin()


def test_the_bar_stays_five_and_the_drawer_gains_one_line(visitor):
    """Decision 0018: beside their neighbours, each reached by taps from the bar."""
    assert len(NAV) == 5
    near = {"/salt": {"/brine", "/mixed"}, "/heat": {"/smoke", "/crackle"}, "/frozen": {"/smoke", "/crackle"}, "/bread": {f"/{n}" for n in ("formula", "dough", "proof", "butter", "sauce")}}
    for place, paths in near.items():
        assert paths <= set(re.findall(r'href="(/\w+)"', visitor.get(place).text)), place
    assert {"/heat", "/bread"} <= {i.path for i in ITEMS} and not {f"/{n}" for n in FORMS if n != "bread"} & {i.path for i in ITEMS}


MIX = {"weight": "1 kg", "salt": "50", "curing": "2.5", "packet": "6.25", "thickness": "50", "days": "6", "temperature": "4C"}


def test_a_mix_already_made_is_judged_as_the_command_does_with_what_can_still_be_done(visitor):
    page = visitor.get("/mixed", **MIX)
    told, read = said("judge --weight 1kg --add salt=50g --add curing-salt@6.25%=2.5g --thickness 50mm --days 6 --temperature 4C"), text(page.text).replace("\u00a0", " ")
    assert page.status_code == 200 and f'class="outcome {told["level"]}"' in page.text
    assert f"{told['ingoing']['sodium_nitrite_mg_per_kg']:.0f} mg/kg" in read and "excess cure" in read
    assert all(tie(a["act"]).replace("\u00a0", " ").rstrip(".") in read for a in told["advice"]) and told["advice"]
    assert f"{told['forecast']['core_salt_g_per_100g']:.1f}" in read and "<svg" in page.text
    judged = [v for v in told["verdicts"] if v["kind"] != "advice" and v["level"] != "cannot_say"]
    assert judged and all(tie(v["clause"]).replace("\u00a0", " ") in read for v in judged)


def test_a_mix_on_a_piece_nobody_measured_promises_no_hours(visitor):
    page = visitor.get("/mixed", weight="1 kg", salt="25")
    assert page.status_code == 200 and "<table" not in page.text and "thickness not measured" in text(page.text)


def test_poison_is_no_slip_of_a_form(visitor):
    page = visitor.get("/mixed", **(MIX | {"curing": "250"}))
    read = text(page.text)
    assert page.status_code == 422 and "It can harm" in read and "Do not eat it" in read and "not right yet" not in read


@pytest.mark.parametrize(("change", "field"), [({"weight": ""}, "weight"), ({"packet": ""}, "packet"), ({"salt": "a lot"}, "salt"), ({"wish": "40"}, "wish"), ({"thickness": "2 m"}, "thickness"),
                                               ({"curing": "1 tsp"}, "curing"), ({"salt": "", "curing": ""}, "salt")])  # fmt: skip
def test_a_mix_is_asked_back_at_its_field(visitor, change, field):
    answer = visitor.get("/mixed", **(MIX | change))
    assert answer.status_code == 422 and f'href="#{field}"' in answer.text, re.findall(r'href="#(\w+)"', answer.text)
