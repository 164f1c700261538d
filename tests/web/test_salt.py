"""The cure bench: its answers are the commands', its pictures the forecast's, and each slider moves it the way it must."""

import json
import random
import re

import numpy as np
import pytest
from click.testing import CliRunner
from tests.web.visitor import text

from ingle.crafts.cure.forecast import curves
from ingle.crafts.cure.front import front
from ingle.faces.cli.main import cli
from ingle.ground.things import Piece

_DRAW = random.Random(20261125)


def drawn():
    """What a cook might ask for; thickness between 20 and 90 mm, both kinds of cure, with and without nitrite and rind."""
    nitrite = _DRAW.choice([0, 60, 118, 149, 180])
    return {
        "weight": f"{_DRAW.uniform(0.4, 3.5):.3f}kg", "thickness": f"{_DRAW.uniform(20, 90):.1f}", "shape": _DRAW.choice(["slab", "slab", "cylinder", "sphere"]),
        "skin": _DRAW.choice(["none", "none", "one-face"]), "salt": f"{_DRAW.uniform(1.5, 6):.2f}", "nitrite": str(nitrite), "packet": _DRAW.choice(["6.25", "0.6"]) if nitrite < 100 else "6.25",
        "temperature": f"{_DRAW.uniform(1, 7):.1f}", "days": f"{_DRAW.uniform(2, 40):.1f}", "sugar": _DRAW.choice(["0", "1"]), "fat": "none", "width": "", "length": "",
    }  # fmt: skip


def command(*args):
    """What a command prints with --json."""
    told = CliRunner().invoke(cli, [*args, "--json"], catch_exceptions=False)
    return json.loads(told.stdout)


@pytest.mark.parametrize("given", [drawn() for _ in range(20)], ids=range(20))
def test_the_page_answers_what_the_commands_answer(visitor, given):
    visitor.begin(scale="0.01g")
    told = visitor.get("/salt.json", **given).json()
    piece = ["--weight", given["weight"], "--thickness", f"{given['thickness']}mm", "--shape", given["shape"], "--skin", given["skin"]]
    packet = ["--curing-salt", f"{given['packet']}%"] if given["nitrite"] != "0" else []
    weighed = command("weigh", *piece, "--salt", f"{given['salt']}%", "--nitrite", given["nitrite"], *packet, "--sugar", f"{given['sugar']}%", "--scale", "0.01g", "--on", told["weigh"]["on"])
    assert told["weigh"] == weighed
    names = {"salt": "salt", "curing_salt": f"curing-salt@{given['packet']}%", "sugar": "sugar"}
    added = [f"--add={names[k]}={g!r}g" for k, g in weighed["grams"].items() if g and k in names]
    cured = command("cure", *piece, *added, "--temperature", f"{given['temperature']}C", "--days", f"{given['days']}d")
    assert told["cure"]["window_h"] == pytest.approx(cured["window_h"], rel=1e-12)
    assert told["cure"] == cured


@pytest.mark.parametrize("piece", [Piece(1380, 50), Piece(1380, 50, skin="one-face"), Piece(1380, 60, shape="cylinder"), Piece(900, 80, shape="sphere")], ids=lambda p: f"{p.shape}-{p.skin}")
@pytest.mark.parametrize("dose", [0.025, 0.06])
@pytest.mark.parametrize("hours", [24.0, 96.0, 400.0])
def test_the_front_ends_at_the_forecasts_core_and_face(piece, dose, hours):
    told, beside = front(piece, dose, 4.0, hours), curves(piece, dose, 4.0, hours=np.array([hours]))
    middle = -1 if told.rind else len(told.depth_mm) // 2
    size = 0.03 * told.even  # of where it ends: less than a line's width on the chart
    assert told.even == pytest.approx(beside.left, rel=1e-2)
    assert told.likely[middle] == pytest.approx(beside.core[0], abs=size) and told.likely[0] == pytest.approx(beside.surface[0], abs=2 * size)
    assert told.low[middle] <= told.likely[middle] <= told.high[middle]
    assert told.depth_mm[0] == 0 and told.depth_mm[-1] == pytest.approx(piece.thickness_mm)
    if not told.rind:
        assert told.likely == pytest.approx(told.likely[::-1])


def test_a_block_with_measured_sides_has_no_single_line():
    assert front(Piece(1000, 50, 100, 200, shape="box"), 0.025, 4.0, 96.0) is None


def asked(visitor, **given):
    """Likely window in hours, chance by the day asked, level."""
    told = visitor.get("/salt.json", **given).json()
    return told["cure"]["window_h"]["likely"], told["cure"]["chance_by"]["chance"], told["weigh"]["level"]


def test_each_slider_moves_it_the_way_it_must(visitor):
    thin, thick = asked(visitor, thickness="40"), asked(visitor, thickness="60")
    assert thick[0] == pytest.approx(thin[0] * 2.25, rel=0.05)  # time goes with the square of the thickness
    assert asked(visitor, temperature="6")[0] < asked(visitor, temperature="2")[0]
    assert asked(visitor, days="20")[1] > asked(visitor, days="8")[1]
    levels = [asked(visitor, nitrite=n)[2] for n in ("100", "180")]
    assert levels == ["within", "over"]


def test_the_partial_is_the_answer_of_the_page(visitor):
    page, part = visitor.get("/salt", thickness="44"), visitor.get("/salt/answer", thickness="44")
    assert part.status_code == 200 and "<html" not in part.text
    said = re.search(r"Ready (.*?) Pull no sooner", text(part.text))[1]
    assert said in text(page.text)
    for words in ("Across the piece", "Along the days", "On the scale", "Against the limits", "A grain is one chance in twenty"):
        assert words in part.text, words
    assert part.text.count('class="grain"') == 20 and 'class="band"' in part.text


@pytest.mark.parametrize(("field", "value", "words"), [("thickness", "thick", "cannot be read"), ("salt", "90", "Salt is 90 %"), ("temperature", "30", "the forecast holds from"),
                                                       ("nitrite", "5000", "nitrite"), ("packet", "", "strength of the curing salt is missing"), ("days", "0", "nothing happens in no time"), ("weight", "-1kg", "weight")])  # fmt: skip
def test_what_cannot_be_is_said_at_its_field_with_all_that_was_typed(visitor, field, value, words):
    answer = visitor.get("/salt", **{"thickness": "44", "days": "9", field: value})
    assert answer.status_code == 422 and "<title>Error: " in answer.text and words in text(answer.text), text(answer.text)[:600]
    assert f'href="#{field}"' in answer.text and f'id="{field}"' in answer.text
    assert field == "days" or 'value="9"' in answer.text
    assert visitor.get("/salt/answer", **{field: value}).status_code == 422


def test_a_piece_that_was_not_measured_is_timed_by_its_weight_and_the_page_says_so(visitor):
    page = visitor.get("/salt", weight="1.38kg", thickness="")
    assert page.status_code == 200 and "Assumed: thickness not measured" in text(page.text) and "timed as 109 mm" in text(page.text)
    told, measured = (visitor.get("/salt.json", weight="1.38kg", thickness=mm).json()["cure"] for mm in ("", "50"))
    assert any("timed as 109 mm" in line for line in told["assumed"]) and not any("timed as" in line for line in measured["assumed"])
    assert told["window_h"]["earliest"] > measured["window_h"]["earliest"]
    assert visitor.client.post("/api/cure", json={"weight": ["1.38kg"], "add": ["salt=34g"]}).json()["assumed"][0].startswith("thickness not measured")
