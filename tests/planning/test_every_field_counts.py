"""Every key a kit or a part may have changes something a cook sees, or is refused: a field that does nothing is a silent wrong answer.

The meal is made up to where the hours are laid; there its steps are put one after another, since only the words and lengths matter here.
"""

from __future__ import annotations

import re
import tomllib
from copy import deepcopy
from datetime import datetime
from pathlib import Path

import pytest

from ingle.ground.errors import IngleError
from ingle.jobs.plan_ahead import doses_of, times_of
from ingle.jobs.plan_amounts import flows_of, weighings_of
from ingle.jobs.plan_steps import steps_of
from ingle.jobs.plan_verdicts import law_verdicts, not_checked, plan_verdicts
from ingle.planning import kit as kits
from ingle.planning import part_file, step_file
from ingle.planning.brief import brief_from
from ingle.planning.brief_piece import PIECE_KEYS
from ingle.planning.kit import kit_from
from ingle.planning.part_file import part_from
from ingle.planning.parts import without_skin
from ingle.planning.problem import Placed, Schedule
from ingle.planning.quantities import quantities
from ingle.planning.shopping import dated
from ingle.planning.spans import moment
from ingle.planning.tasks import to_problem

KIT = tomllib.loads("""
name = "a kitchen"
[[oven]]
key = "oven"
name = "old oven"
holds = 3
range = ["60C", "250C"]
heat_up = "15min"
offset = { mean = "2C", sd = "5C" }
fan = false
[[fridge]]
key = "fridge"
name = "white fridge"
litres = 60
temperature = "4C"
sd = "1C"
[[freezer]]
key = "freezer"
name = "chest"
litres = 30
temperature = "-18C"
sd = "0.1C"
[[smoker]]
key = "smoker"
name = "small smoker"
makes_smoke = "tray"
rails = 4
[[other]]
key = "hob"
name = "two rings"
holds = 2
[[cook]]
key = "A"
name = "cook A"
hours = [{ days = "every day", from = "07:00", to = "22:00" }]
away = [2026-03-12]
[scale]
steps = ["0.1g", "1g"]
""")

HAM = tomllib.loads("""
[part]
key = "ham"
name = "Roast ham"
short = "Ham"
allergens = ["mustard"]
[cure]
method = "equilibrium"
salt = "2.5%"
nitrite = "100 mg/kg"
curing_salt = "6.25%"
sugar = "1%"
eaten = "cooked"
product = "whole_muscle_dry"
[[takes]]
item = "leg"
name = "leg of pork"
bare = "leg, no rind"
per_kg_out = "1.25kg"
pieces = true
skinned = true
at = "trim"
buy_within = "3d"
allergens = ["celery"]
note = "from the butcher"
[[takes]]
item = "salt"
per_kg_out = "0.03kg"
packs = ["500g"]
at = "lie"
[[takes]]
item = "egg"
per_kg_out = "0.05kg"
each = "50g"
at = "roast"
[[takes]]
item = "milk"
per_kg_out = "0.05kg"
packs = ["200ml"]
kg_per_litre = 1.03
at = "roast"
[[takes]]
item = "water"
per_kg_out = "0.1kg"
tap = true
at = "roast"
[[gives]]
item = "ham"
name = "ham slices"
main = true
of = "leg"
yield = { low = 0.75, likely = 0.80, high = 0.85 }
keeps = { fridge = "3d" }
at = "roast"
[[gives]]
item = "skin"
name = "its skin"
of = "leg"
skin = true
yield = { low = 0.05, likely = 0.08, high = 0.10 }
keeps = { fridge = "2d", frozen = "60d", thaw = "10h", litres_per_kg = 3 }
at = "trim"
sure = "common practice"
source = "told"
[[step]]
key = "trim"
name = "Trim the leg"
say = ["Cut."]
bare = { name = "Wipe the leg", say = ["Wipe."] }
lasts = { low = "15min", likely = "30min", high = "40min", most = "45min" }
hands = { start = "10min", end = "5min", per_piece = "5min", per_plate = "20s" }
look_for = "a clean face"
if_not = [{ sign = "it tears", act = "chill it", adds = "20min" }]
caution = ["knife"]
sure = "common practice"
source = "told"
[[step]]
key = "lie"
after = [{ step = "trim", min = "1h", max = "4h" }]
lasts = { forecast = "cure" }
hands = { start = "15min" }
tend = { name = "Turn it", every = "24h", lasts = "5min", slack = "5h" }
kit = [{ use = "fridge", litres_per_kg = 2, of = "leg" }]
[[step]]
key = "smoke"
after = [{ step = "lie" }]
lasts = { likely = "9h" }
kit = [{ use = "smoker", rails_per_kg = 2 }]
[[step]]
key = "roast"
after = [{ step = "smoke", max = "6h" }]
lasts = { forecast = "cook", cut = "leg" }
core = "68C"
kit = [{ use = "oven", mode = "160C", shelves_per_kg = 1 }]
waits_in = [{ use = "hob", amount = 1 }]
fresh = { rest = "10min", best = "30min", last = "2h" }
""")

RIND = tomllib.loads("""
[part]
key = "rind"
name = "Rind soup"
[[takes]]
item = "skin"
per_kg_out = "1kg"
from = "ham"
instead = { item = "lard", name = "lard", packs = ["250g"] }
[[gives]]
item = "rind"
yield = { low = 0.95, likely = 1.0, high = 1.02 }
[[step]]
key = "boil"
lasts = { likely = "30min" }
kit = [{ use = "hob" }]
waits_in = "same"
[[step]]
key = "serve"
after = [{ step = "boil" }]
lasts = { likely = "5min" }
hands = { start = "5min" }
""")

BRIEF = tomllib.loads("""
[meal]
name = "Supper"
at = 2026-03-28T19:00:00
zone = "Europe/London"
plates = 8
plan_from = 2026-03-01T08:00:00
[[serve]]
part = "ham"
grams_per_plate = "150g"
pieces = [
  { name = "A", weight = "1.1kg", thickness = "45mm", skin = "one-face" },
  { name = "B", weight = "0.9kg", thickness = "40mm", skin = "one-face" },
]
[[serve]]
part = "rind"
grams_per_plate = "40g"
""")


def told(kit=KIT, ham=HAM, rind=RIND, brief=BRIEF):
    """All a cook sees of the meal, or the refusal."""
    try:
        asked = brief_from(deepcopy(brief), Path())
        kitchen = kit_from(deepcopy(kit))
        parts = {p.key: p for p in (part_from(deepcopy(ham)), part_from(deepcopy(rind)))}
        if all(p.piece.skin == "none" for s in asked.serve for p in s.pieces):
            parts = {k: without_skin(p) for k, p in parts.items()}
        amounts = quantities(asked, parts)
        doses = doses_of(parts, kitchen, amounts)
        times = times_of(asked, parts, kitchen, amounts, doses)
        tasks = to_problem(asked, parts, kitchen, amounts, times)
        choices = dict.fromkeys(tasks.problem.choices, True)
        at, placed, cook = 0, [], kitchen.cooks[0].key
        for t in tasks.problem.tasks:
            if (t.only_if and not choices[t.only_if]) or (t.unless and choices[t.unless]):
                continue
            placed.append(Placed(t.id, at, at + t.least_min, cook if t.hands_start_min else None, cook if t.hands_end_min else None))
            at += t.least_min
        schedule = Schedule(tuple(placed), choices, (), "feasible", 0.0, 0.0)
        starts = {p.task.partition("@")[0]: moment(asked.plan_from, p.start_min) for p in placed}
        return repr((
            kitchen.name, [(c.key, c.name) for c in kitchen.cooks], [(p.name, p.short, p.allergens) for p in parts.values()], tasks.problem,
            steps_of(asked, parts, kitchen, amounts, doses, times, tasks, schedule), dated(amounts.shopping, amounts.wants, starts),
            weighings_of(parts, doses), flows_of(amounts, tasks, schedule, asked), law_verdicts(asked, parts, doses),
            plan_verdicts(asked, parts, doses, times, tasks, schedule, amounts, kitchen), not_checked(doses, amounts),
        ))  # fmt: skip
    except IngleError as why:
        return f"{type(why).__name__}: {why.text}"


def changed(file, path, value):
    """The file with the value at ``oven.offset.mean`` or ``step[1].kit[0].of`` in place of its own."""
    made = deepcopy(file)
    at = made
    *way, last = path.replace("[", ".").replace("]", "").split(".")
    for word in way:
        at = at[int(word)] if word.isdigit() else at[word]
        if isinstance(at, list) and not any(w.isdigit() for w in way[way.index(word) + 1 : way.index(word) + 2]):
            at = at[0]
    at[last] = value
    return made


KIT_CASES = {
    "name": "another kitchen", "oven.key": "stove", "oven.name": "new oven", "oven.holds": 4, "oven.range": ["60C", "150C"], "oven.heat_up": "20min",
    "oven.offset.mean": "10C", "oven.offset.sd": "15C", "oven.fan": True, "fridge.key": "cool", "fridge.name": "cold room", "fridge.litres": 70,
    "fridge.temperature": "2C", "fridge.sd": "2C", "freezer.key": "deep", "freezer.name": "drawer", "freezer.litres": 31, "freezer.temperature": "-12C",
    "freezer.sd": "3C", "smoker.key": "shed", "smoker.name": "big smoker", "smoker.rails": 5, "smoker.makes_smoke": "tube", "other.key": "plate",
    "other.name": "three rings", "other.holds": 3, "cook.key": "B", "cook.name": "cook B",
    "cook.hours": [{"days": "every day", "from": "08:00", "to": "22:00"}], "cook.away": [], "scale.steps": ["1g"],
}  # fmt: skip
PART_CASES = {
    "part.key": "joint", "part.name": "Ham", "part.short": "H", "part.allergens": [], "cure.method": "excess", "cure.salt": "3%", "cure.nitrite": "60 mg/kg",
    "cure.curing_salt": "0.6%", "cure.sugar": "2%", "cure.eaten": "uncooked", "cure.product": "pumped_bacon",
    "takes[0].item": "shoulder", "takes[0].name": "a leg", "takes[0].per_kg_out": "1.26kg", "takes[0].pieces": False, "takes[0].skinned": False,
    "takes[0].at": "lie", "takes[0].buy_within": "1d", "takes[0].allergens": [], "takes[0].note": "", "takes[1].packs": ["1kg"], "takes[2].each": "60g",
    "takes[3].kg_per_litre": 1.2, "takes[4].tap": False, "gives[0].item": "slices", "gives[0].name": "slices", "gives[0].main": False, "gives[0].of": "all",
    "gives[0].yield": {"low": 0.5, "likely": 0.8, "high": 0.85}, "gives[1].at": "lie", "gives[1].skin": False,
    "gives[1].keeps": {"fridge": "1d", "frozen": "60d", "thaw": "10h", "litres_per_kg": 3},
    "step[0].key": "pare", "step[0].name": "Pare it", "step[0].say": ["Pare."], "step[0].lasts.low": "20min", "step[0].lasts.likely": "32min",
    "step[0].lasts.high": "50min", "step[0].lasts.most": "60min", "step[0].hands.start": "11min", "step[0].hands.end": "6min", "step[0].hands.per_piece": "6min",
    "step[0].hands.per_plate": "30s", "step[0].look_for": "clean", "step[0].if_not[0].sign": "it rips", "step[0].if_not[0].act": "freeze it",
    "step[0].if_not[0].adds": "25min", "step[0].caution": [], "step[0].sure": "derived", "step[0].source": "seen", "step[1].after[0].step": "roast",
    "step[1].after[0].min": "2h", "step[1].after[0].max": "5h", "step[1].lasts.forecast": "dough", "step[1].tend.name": "Turn", "step[1].tend.every": "48h",
    "step[1].tend.lasts": "10min", "step[1].tend.slack": "4h", "step[1].kit[0].use": "freezer", "step[1].kit[0].of": "salt", "step[1].kit[0].litres_per_kg": 4,
    "step[2].kit[0].rails_per_kg": 1, "step[3].lasts.cut": "belly", "step[3].lasts.thickness": "20mm", "step[3].core": "72C", "step[3].kit[0].mode": "170C",
    "step[3].kit[0].shelves_per_kg": 2, "step[3].waits_in[0].amount": 2, "step[3].waits_in": [], "step[3].fresh.rest": "15min", "step[3].fresh.best": "20min",
    "step[3].fresh.last": "1h",
}  # fmt: skip
BRIEF_CASES = {
    "serve[0].pieces[0].fat": "thick", "serve[0].pieces[0].thickness": "50mm", "serve[0].pieces[0].width": "120mm", "serve[0].pieces[0].length": "240mm",
    "serve[0].pieces[0].weight": "1.2kg", "serve[0].pieces[0].shape": "cylinder", "serve[0].pieces[0].skin": "none", "serve[0].pieces[0].skin_weight": "200g",
    "serve[0].pieces[0].name": "C", "serve[0].pieces[0].started": datetime(2026, 2, 27, 9, 0),
}  # fmt: skip
BEGUN_CASES = {"box": False, "liquid": "poured off", "added": {"salt": "40g"}, "started": datetime(2026, 2, 26, 9, 0)}


@pytest.fixture(scope="module")
def as_written():
    made = told()
    assert made.startswith("("), made
    return made


@pytest.mark.parametrize(("path", "value"), KIT_CASES.items(), ids=KIT_CASES)
def test_a_key_of_the_kit_counts(as_written, path, value):
    assert told(kit=changed(KIT, path, value)) != as_written


@pytest.mark.parametrize(("path", "value"), PART_CASES.items(), ids=PART_CASES)
def test_a_key_of_a_part_counts(as_written, path, value):
    assert told(ham=changed(HAM, path, value)) != as_written


@pytest.mark.parametrize(("path", "value"), BRIEF_CASES.items(), ids=BRIEF_CASES)
def test_a_key_of_a_piece_counts(as_written, path, value):
    assert told(brief=changed(BRIEF, path, value)) != as_written


@pytest.mark.parametrize(("key", "value"), BEGUN_CASES.items(), ids=BEGUN_CASES)
def test_a_key_of_a_piece_that_is_begun_counts(key, value):
    begun = deepcopy(BRIEF)
    for piece in begun["serve"][0]["pieces"]:
        piece |= {"started": datetime(2026, 2, 27, 9, 0), "added": {"salt": "30g"}, "box": True, "liquid": "kept"}
    other = deepcopy(begun)
    for piece in other["serve"][0]["pieces"]:
        piece[key] = value
    assert told(brief=begun).startswith("(") and told(brief=other) != told(brief=begun)


def test_names_for_a_piece_without_skin_count():
    bare = changed(changed(BRIEF, "serve[0].pieces[0].skin", "none"), "serve[0].pieces[1].skin", "none")
    ham = changed(HAM, "gives[1].skin", False)
    made = told(ham=ham, brief=bare)
    assert made.startswith("("), made
    for path, value in (("takes[0].bare", "bare leg"), ("step[0].bare.name", "Rub the leg"), ("step[0].bare.say", ["Rub."])):
        assert told(ham=changed(ham, path, value), brief=bare) != made, path


@pytest.mark.parametrize(
    ("path", "value"),
    [("takes[0].from", "salami"), ("takes[0].instead", "dripping"), ("step[0].kit[0].use", "oven"), ("step[0].waits_in", []), ("step[1].after[0].step", "serve")],
)  # fmt: skip
def test_a_key_of_a_part_made_from_another_counts(as_written, path, value):
    assert told(rind=changed(RIND, path, value)) != as_written


@pytest.mark.parametrize("amount", ["litres", "shelves", "shelves_per_kg", "rails", "rails_per_kg", "amount", "litres_per_kg"])
def test_every_way_to_say_an_amount_counts(amount):
    place = "fridge" if amount.startswith("litres") else "oven" if amount.startswith("shelves") else "smoker" if amount.startswith("rails") else "hob"
    made = [told(rind=changed(RIND, "step[0].kit", [{"use": place, "mode": "90C", amount: n} if place == "oven" else {"use": place, amount: n}])) for n in (2, 9)]
    assert all(m.startswith("(") for m in made) and made[0] != made[1]


@pytest.mark.parametrize(("key", "value"), [("sure", "quoted"), ("source", "weighed ten times")])
def test_how_sure_a_yield_is_stands_beside_what_is_short(key, value):
    short = changed(BRIEF, "serve[0].grams_per_plate", "250g")
    made = told(brief=short)
    assert "enough@" in made and told(ham=changed(HAM, f"gives[0].{key}", value), brief=short) != made


DECLARED = {
    "": kits.KIT_KEYS, "oven": kits.OVEN_KEYS, "oven.offset": kits.OFFSET_KEYS, "fridge": kits.COLD_KEYS, "freezer": kits.COLD_KEYS, "smoker": kits.SMOKER_KEYS,
    "other": kits.OTHER_KEYS, "cook": kits.COOK_KEYS, "scale": kits.SCALE_KEYS,
}  # fmt: skip
IN_PARTS = {
    "part": part_file.KNOWN["part"], "cure": part_file.KNOWN["cure"], "takes": part_file.KNOWN["takes"], "gives": part_file.KNOWN["gives"],
    "step": step_file.STEP_KEYS, "step.lasts": step_file.LASTS_KEYS, "step.hands": step_file.HANDS_KEYS, "step.after": step_file.AFTER_KEYS,
    "step.tend": step_file.TEND_KEYS, "step.fresh": step_file.FRESH_KEYS, "step.if_not": step_file.SIGN_KEYS, "step.kit": step_file.KIT_KEYS,
}  # fmt: skip
ELSEWHERE = {  # asked by the tests above this line
    "takes.bare", "takes.from", "takes.instead", "gives.sure", "gives.source", "step.bare", "step.kit.litres", "step.kit.shelves", "step.kit.rails", "step.kit.amount",
}  # fmt: skip


def test_every_key_that_may_be_written_is_asked_about():
    """A key that is declared anew fails here until a case shows what it changes."""
    asked = {re.sub(r"\[\d+\]", "", path) for path in (*KIT_CASES, *PART_CASES)} | ELSEWHERE
    asked |= {path.rpartition(".")[0] for path in asked}
    declared = {f"{table}.{key}".lstrip(".") for table, keys in (DECLARED | IN_PARTS).items() for key in keys}
    assert sorted(declared - asked) == []


def test_the_keys_of_a_brief_s_piece_are_asked_about():
    asked = {path.rpartition(".")[2] for path in BRIEF_CASES} | set(BEGUN_CASES)
    assert sorted(set(PIECE_KEYS) - asked) == []
