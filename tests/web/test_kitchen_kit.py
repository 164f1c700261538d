"""The house's own kit on its pages: which oven, its fan and its dial; what makes the smoke."""

import json

import pytest
from tests.web.visitor import text

from ingle.faces.cli.main import main

KIT = b"""
name = "ours"
[[oven]]
key = "old"
name = "old oven"
holds = 2
offset = { mean = "10C", sd = "4C" }
fan = true
[[oven]]
key = "new"
name = "new oven"
holds = 2
[[fridge]]
key = "fridge"
litres = 60
temperature = "2.5C"
[[smoker]]
key = "cabinet"
name = "cabinet"
rails = 4
makes_smoke = false
[[cook]]
key = "A"
hours = [{ days = "every day", from = "08:00", to = "20:00" }]
"""
COOK = {"do": "cook", "part": "collar", "weight": "1.3kg", "thickness": "70mm", "place": "oven", "dial": "160C", "core": "71C"}


@pytest.fixture
def own(visitor):
    said = {"name": "Test kitchen", "zone": "Europe/London", "mass": "kg", "temperature": "C", "use": "table", "kit": "own", "scale": "0.1g"}
    visitor.post("/house", files={"kit_file": ("kitchen.toml", KIT, "application/toml")}, **said)
    return visitor


def test_the_house_tells_what_its_kit_says_of_ovens_and_smokers(own):
    told = text(own.get("/house").text)
    assert "old oven, fan, runs 10 °C warm" in told and "cabinet, no smoke of its own" in told


def test_a_cook_is_asked_for_in_the_oven_of_the_house_and_the_chamber_is_told(own):
    form = own.get("/heat").text
    assert 'name="in"' in form and "old oven, fan, runs 10" in form and ">new oven" not in form  # of the new one nothing is said
    mine, bare = (text(own.get("/heat", **COOK, **more).text) for more in ({"in": "old"}, {}))
    assert "In the chamber 170 °C, fan on" in mine and "In the chamber" not in bare
    assert own.get("/heat", **COOK, **{"in": "gas"}).status_code == 422


def test_a_rind_is_asked_for_in_the_oven_of_the_house(own, capsys, tmp_path):
    rind = {"weight": "180 g", "fridge": "12 h", "oven_1": "200C", "time_1": "20 min"}
    form = own.get("/crackle").text
    assert 'name="which" value="old" checked' in form and "runs 10" in form
    kit = tmp_path / "kitchen.toml"
    kit.write_bytes(KIT)
    code = main(["crackle", "--weight", "180g", "--fridge", "12h", "--oven", "200C,20min", "--kit", str(kit), "--which", "old", "--json"])
    told = json.loads(capsys.readouterr().out)
    assert code in (0, 3, 4) and f"{round(20 * told['chance'])} of 20 such rinds puff" in text(own.get("/crackle", **rind, which="old").text)
    assert own.get("/crackle", **rind, which="gas").status_code == 422


def test_before_there_is_a_house_no_oven_is_offered(visitor):
    assert 'name="in"' not in visitor.get("/heat").text  # the shipped kit says nothing of its oven


def test_what_lies_in_the_cure_already_is_asked_with_the_fridge_of_the_house(own, visitor):
    asked = lambda page: page.text.split('id="temperature" name="temperature" value="')[1].partition('"')[0]  # noqa: E731
    assert asked(own.get("/book/begun")) == "2.5"
    said = {"name": "Test kitchen", "zone": "Europe/London", "mass": "kg", "temperature": "F", "use": "table", "scale": "0.1g"}
    visitor.post("/house", kit="own", **said)
    assert asked(visitor.get("/book/begun")) == "36"
    visitor.post("/house", kit="home", **said)
    assert asked(visitor.get("/book/begun")) == "39"
