"""A kitchen's own oven in the commands that reckon with heat: its fan and its dial count as if they had been said."""

import json

import pytest

KITCHEN = """
name = "two ovens"
[[oven]]
key = "old"
name = "old oven"
holds = 2
offset = { mean = "10C" }
fan = true
[[oven]]
key = "new"
holds = 2
[[cook]]
key = "A"
hours = [{ days = "every day", from = "08:00", to = "20:00" }]
"""
COOK = "cook --part collar --weight 1.3kg --thickness 70mm --oven 160C --core 71C --json"
CRACKLE = "crackle --weight 180g --fridge 12h --oven 220C,20min --oven 180C,60min --json"


@pytest.fixture
def kit(tmp_path):
    path = tmp_path / "kitchen.toml"
    path.write_text(KITCHEN, encoding="utf-8")
    return path


def told(call, line):
    code, out, err = call(line)
    assert code in (0, 3, 4), err
    return json.loads(out)


def test_cook_takes_fan_and_dial_from_the_kitchen_as_if_they_were_said(call, kit):
    mine = told(call, f"{COOK} --kit {kit} --which old")
    said = told(call, f"{COOK} --fan --offset 10C")
    bare = told(call, COOK)
    assert mine == said and mine["time_to_core_s"] < bare["time_to_core_s"]
    assert (mine["stages"][0]["air_c"], mine["stages"][0]["chamber_c"], mine["stages"][0]["fan"]) == (160.0, 170.0, True)
    assert told(call, f"{COOK} --kit {kit} --which new") == bare  # of which nothing is said
    assert told(call, f"{COOK} --kit {kit} --which old --still")["stages"][0]["fan"] is False  # what is said beside it counts before


def test_the_first_lines_tell_the_chamber_and_the_fan(call, kit):
    _, out, _ = call(f"{COOK.removesuffix(' --json')} --kit {kit} --which old")
    assert "oven 160 C on the dial, 170 C in the chamber, fan on, to 71 C inside" in out


def test_a_core_is_held_beside_the_chamber_and_not_beside_the_dial(call, kit):
    line = "cook --part collar --thickness 70mm --weight 1.3kg --oven 66C --core 71C"
    assert call(line)[0] == 2 and call(f"{line} --kit {kit} --which old")[0] != 2


def test_crackle_takes_them_as_well(call, kit):
    mine = told(call, f"{CRACKLE} --kit {kit} --which old")
    assert mine == told(call, f"{CRACKLE} --fan --oven-offset 10K") and mine != told(call, CRACKLE)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ("--kit {kit}", "two ovens has 2 ovens. Name the one it is in: old or new."),
        ("--kit {kit} --which gas", "two ovens has no oven 'gas'. Name the one it is in: old or new."),
        ("--which old", "names an oven of no kitchen"),
    ],
)
def test_which_oven_is_asked_and_never_guessed(call, kit, more, words):
    code, _, err = call(f"{COOK} {more.format(kit=kit)}")
    assert code == 2 and words in " ".join(err.split())
