"""From a brief on disk to files a cook uses, by the command and by the library; checked by the independent verifier."""

import json
import shutil
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import jsonschema
import pytest
from tests.helpers import the
from tests.planning.verifier import verify

from ingle.faces.cli.main import main
from ingle.ground.tables import data_path
from ingle.jobs import plan as job
from ingle.planning import planfile
from ingle.planning.brief import read_brief
from ingle.planning.kit import read_kit
from ingle.planning.part_file import load_parts
from ingle.planning.schedule import solve

DEMO = data_path("examples", "fernhollow")


@pytest.fixture(scope="module")
def kitchen():
    brief = read_brief(DEMO / "fernhollow.toml")
    return brief, load_parts(brief.parts_dirs), read_kit(brief.kit_path)


@pytest.fixture(scope="module")
def seen():
    """Every problem and schedule that went through the job in this module."""
    return []


@pytest.fixture(scope="module", autouse=True)
def watch(seen):
    def watched(problem, **more):
        schedule = solve(problem, **more)
        seen.append((problem, schedule))
        return schedule

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(job, "solve", watched)
        yield


@pytest.fixture(scope="module")
def demo(kitchen):
    return job.plan_of(*kitchen, limit_s=6)


def test_the_demonstration_passes_the_independent_verifier(demo, seen):
    problem, schedule = seen[0]
    assert verify(problem, schedule) == []
    assert demo.steps


def test_every_part_of_the_dish_is_on_the_table(demo, kitchen):
    assert [p.key for p in demo.parts][: len(kitchen[0].serve)] == [s.part for s in kitchen[0].serve]
    assert demo.at == kitchen[0].at
    assert all(step.end <= demo.at for step in demo.steps)


def test_cautions_stand_where_the_step_is(demo):
    said = {step.id: " ".join(step.caution) for step in demo.steps}
    assert "poison" in said["collar.cure"]
    assert "botulinum" in said["collar.cure"].lower() or "Clostridium" in said["collar.cure"]
    assert "outdoors" in said["collar.smoke"]
    assert "71 C" in said["collar.cook"]
    assert "fat" in said["crackling.blister"].lower()
    assert any("llergen" in text for text in said.values())


def test_cold_smoke_ends_two_days_before_the_meal(demo):
    smoke = the(demo.steps, id="collar.smoke")
    assert demo.at - smoke.end >= timedelta(days=2)


def test_the_rind_does_not_wait_longer_than_it_keeps(demo):
    rind = next(f for f in demo.flows if f.item == "rind" and f.to_part)
    assert rind.way == "frozen" or rind.used - rind.made <= timedelta(days=3)


def test_buttermilk_reaches_the_dough_in_time(demo):
    flow = next(f for f in demo.flows if f.item == "buttermilk" and f.to_part)
    assert timedelta(0) <= flow.used - flow.made <= timedelta(days=7)


def test_the_cure_is_pulled_no_sooner_than_its_chance(demo):
    cure = the(demo.steps, id="collar.cure")
    hours = (cure.end - cure.start).total_seconds() / 3600
    assert hours >= cure.forecast.at_chance["0.95"] - 1e-6
    assert cure.ready[0] < cure.ready[1] < cure.ready[2] <= cure.end


def test_weighings_are_the_formula_for_the_box(demo):
    weighing = demo.weighings[0]
    grams = weighing.grams
    assert weighing.nitrite_mg_per_kg == pytest.approx(grams["curing_salt"] * 0.0625 / weighing.green_weight_g * 1e6)
    assert 110 <= weighing.nitrite_mg_per_kg <= 118
    assert weighing.salt_per_green_weight == pytest.approx(0.025, abs=2e-4)


def test_a_plan_goes_to_json_and_back(demo):
    told = json.loads(json.dumps(planfile.as_dict(demo)))
    assert planfile.from_dict(told) == demo
    step = told["steps"][0]
    assert {"id", "part", "name", "start", "end", "kit", "attended"} <= set(step)
    assert datetime.fromisoformat(step["start"]).utcoffset() is not None
    assert {"item", "amount", "unit"} <= set(told["shopping"][0])
    assert told["bound"] <= told["objective"]
    assert told["status"] in ("proven best", "feasible")


def test_the_json_keeps_its_documented_schema(demo):
    told = json.loads(json.dumps(planfile.as_dict(demo)))
    documented = json.loads((Path(__file__).parents[2] / "docs" / "schema" / "plan.schema.json").read_text())
    assert documented == json.loads(json.dumps(planfile.schema())), "run make schema"
    jsonschema.validate(told, documented)
    told["steps"][0]["start"] = 5
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(told, documented)


def test_objective_and_bound_agree_exactly_when_all_is_proven(demo):
    proven = all(w.proven for w in demo.wishes)
    assert (demo.objective == pytest.approx(demo.bound)) == (proven or all(w.value == w.bound for w in demo.wishes))
    for wish in demo.wishes:
        assert wish.bound <= wish.value


def starts(plan):
    return {s.id: s.start for s in plan.steps}


@pytest.mark.parametrize("change", ["oven", "litres", "hours", "meal", "plates", "chance"])
def test_what_is_changed_in_the_kitchen_changes_the_plan(demo, kitchen, seen, change):
    brief, parts, kit = kitchen
    if change == "oven":
        kit = replace(kit, ovens=(*kit.ovens, replace(kit.ovens[0], key="second", name="second oven")))
    elif change == "litres":
        kit = replace(kit, fridges=tuple(replace(f, litres=24) for f in kit.fridges))
    elif change == "hours":
        shifts = tuple(replace(s, from_min=s.from_min + 60) for s in kit.cooks[1].shifts)  # cook B comes an hour later
        kit = replace(kit, cooks=(kit.cooks[0], replace(kit.cooks[1], shifts=shifts)))
    elif change == "meal":
        brief = replace(brief, at=brief.at - timedelta(hours=5))
    elif change == "plates":
        brief = replace(brief, plates=12)
    else:
        brief = replace(brief, ready_chance=0.6)
    other = job.plan_of(brief, parts, kit, limit_s=3)
    assert verify(*seen[-1]) == []
    assert starts(other) != starts(demo) or [s.amount for s in other.shopping] != [s.amount for s in demo.shopping]


def test_a_part_taken_away_or_copied_changes_the_plan(demo, kitchen, tmp_path):
    brief, _, kit = kitchen
    folder = tmp_path / "parts"
    shutil.copytree(data_path("parts"), folder)
    changed = (folder / "onion.toml").read_text().replace('name = "Pickled red onion"', 'name = "Pickled shallot"')
    (folder / "onion.toml").write_text(changed)
    own = job.plan_of(replace(brief, parts_dirs=(folder,)), load_parts((folder,)), kit, limit_s=2)
    assert "Pickled shallot" in {p.name for p in own.parts}
    fewer = replace(brief, serve=tuple(s for s in brief.serve if s.part != "onion"))
    without = job.plan_of(fewer, load_parts(), kit, limit_s=2)
    assert not any(s.part == "onion" for s in without.steps)
    assert len(without.steps) < len(demo.steps)


THREE = {
    "flatbread": """
[part]
key = "flatbread"
name = "Barley flatbread"
allergens = ["gluten"]
[[takes]]
item = "barley-flour"
name = "barley flour"
per_kg_out = "0.7kg"
packs = ["500g"]
at = "mix"
[[takes]]
item = "whey"
name = "whey"
per_kg_out = "0.45kg"
from = "curd"
at = "mix"
instead = { item = "buttermilk-bought", name = "buttermilk", packs = ["500g"] }
[[gives]]
item = "flatbread"
name = "flatbread"
main = true
of = "all"
at = "bake"
yield = { low = 0.84, likely = 0.87, high = 0.9 }
sure = "common practice"
[[step]]
key = "mix"
name = "Mix the flatbread dough"
lasts = { likely = "20min" }
hands = { start = "20min" }
[[step]]
key = "bake"
name = "Bake the flatbread"
after = [{ step = "mix", min = "30min", max = "12h" }]
lasts = { likely = "20min" }
hands = { start = "5min", end = "5min" }
kit = [{ use = "oven", mode = "240C" }]
fresh = { best = "1h", last = "6h" }
""",
    "curd": """
[part]
key = "curd"
name = "Fresh curd"
allergens = ["milk"]
[[takes]]
item = "milk"
name = "whole milk"
per_kg_out = "5kg"
packs = ["1kg"]
at = "warm"
allergens = ["milk"]
[[gives]]
item = "curd"
name = "fresh curd"
main = true
of = "milk"
at = "drain"
yield = { low = 0.18, likely = 0.2, high = 0.22 }
sure = "common practice"
[[gives]]
item = "whey"
name = "whey"
of = "milk"
at = "drain"
yield = { low = 0.7, likely = 0.75, high = 0.8 }
keeps = { fridge = "3d" }
sure = "common practice"
[[step]]
key = "warm"
name = "Warm and sour the milk"
lasts = { likely = "40min" }
hands = { start = "10min", end = "5min" }
[[step]]
key = "drain"
name = "Drain the curd"
after = [{ step = "warm", min = "0h", max = "30min" }]
lasts = { likely = "4h" }
hands = { start = "5min", end = "5min" }
fresh = { best = "12h", last = "3d" }
""",
    "herbs": """
[part]
key = "herbs"
name = "Chopped herbs"
[[takes]]
item = "parsley"
name = "parsley"
per_kg_out = "1.25kg"
packs = ["30g"]
at = "chop"
[[gives]]
item = "herbs"
name = "chopped herbs"
main = true
of = "all"
at = "chop"
yield = { low = 0.7, likely = 0.8, high = 0.9 }
sure = "common practice"
[[step]]
key = "chop"
name = "Chop the herbs"
lasts = { likely = "10min" }
hands = { start = "10min" }
fresh = { best = "30min", last = "3h" }
""",
}
BRIEF = """
[meal]
name = "Three things"
at = 2026-06-07T13:00:00
zone = "Europe/London"
plates = 6
plan_from = 2026-06-04T07:00:00
[[serve]]
part = "flatbread"
grams_per_plate = "80g"
[[serve]]
part = "curd"
grams_per_plate = "60g"
[[serve]]
part = "herbs"
grams_per_plate = "5g"
[use]
parts = ["parts/"]
"""


@pytest.fixture
def three(tmp_path, monkeypatch):
    (tmp_path / "parts").mkdir()
    for name, text in THREE.items():
        (tmp_path / "parts" / f"{name}.toml").write_text(text)
    (tmp_path / "three.toml").write_text(BRIEF)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_meal_of_three_parts_written_here(three, seen):
    plan = job.plan(three / "three.toml", limit_s=3)
    assert verify(*seen[-1]) == []
    whey = next(f for f in plan.flows if f.item == "whey" and f.to_part == "flatbread")
    assert whey.amount_g > 0
    assert {s.part for s in plan.steps} == {"flatbread", "curd", "herbs"}
    assert (
        plan.allergens == {"gluten": ("Barley flatbread",), "milk": ("Barley flatbread", "Fresh curd")}
        or "milk" in plan.allergens
    )


def test_the_command_writes_a_folder_and_counts_up(three, capsys):
    assert main(["plan", "three.toml", "--longest", "2s"]) == 0
    out = capsys.readouterr().out
    assert all(len(line) <= 80 for line in out.splitlines())
    folder = three / "three.plan"
    names = {p.name for p in folder.iterdir()}
    assert {"plan.json", "plan.txt", "calendar.ics", "timeline.svg", "timeline.png"} <= names
    assert sum(n.startswith("sheet-") for n in names) >= 1
    assert (folder / "timeline.png").read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"
    assert planfile.read(folder).number == 1
    assert main(["plan", "three.toml", "--longest", "2s"]) == 0
    assert planfile.read(folder).number == 2
    day = planfile.read(folder).steps[0].start.date().isoformat()
    capsys.readouterr()
    assert main(["sheet", "three.plan", "--day", day]) == 0
    assert "Chop" in capsys.readouterr().out or day
    assert main(["sheet", "three.plan", "--day", "2031-01-01"]) == 2


def test_the_json_of_the_command_is_the_library_answer(three, capsys):
    assert main(["plan", "three.toml", "--longest", "2s", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    again = planfile.as_dict(job.plan(Path("three.toml"), limit_s=2))
    for key in ("steps", "shopping", "verdicts", "flows", "parts"):
        assert told[key] == json.loads(json.dumps(again[key]))
    assert not (three / "three.plan").exists()


def test_an_impossible_meal_is_answered_with_clash_and_tried_remedies(three, capsys):
    late = (
        (three / "three.toml").read_text().replace("plan_from = 2026-06-04T07:00:00", "plan_from = 2026-06-07T10:00:00")
    )
    (three / "late.toml").write_text(late)
    assert main(["plan", "late.toml", "--longest", "3s", "--json"]) == 5
    told = json.loads(capsys.readouterr().out)
    assert told["error"] == "NoPlan"
    assert told["clash"]
    assert not [why for why in told["clash"] if why.partition(" (")[2].startswith(why.partition(" comes ")[0].partition(" takes ")[0])]  # no reason says itself twice
    assert told["remedies"]
    assert not (three / "late.plan").exists()
    assert main(["plan", "late.toml", "--longest", "3s"]) == 5
    assert "frees a plan" in capsys.readouterr().out


def test_a_broken_plan_file_is_said_and_left_alone(three, capsys):
    folder = three / "three.plan"
    folder.mkdir()
    (folder / "plan.json").write_text("{broken")
    assert main(["plan", "three.toml", "--longest", "2s"]) == 2
    assert (folder / "plan.json").read_text() == "{broken"
    assert "not a plan" in capsys.readouterr().err
