"""From files to the scheduling problem: times, hands, kit, links, choices; and the meal can be planned."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from tests.planning.conftest import KITCHEN

from ingle.ground.errors import BadBrief, NoPlan, OutOfRange
from ingle.ground.tables import data_path
from ingle.ground.things import Forecast
from ingle.planning.brief import read_brief
from ingle.planning.kit import read_kit
from ingle.planning.kit_use import use_of
from ingle.planning.masses import PartMass
from ingle.planning.part_file import load_parts, part_from
from ingle.planning.problem_check import check
from ingle.planning.quantities import quantities
from ingle.planning.schedule import solve
from ingle.planning.tasks import StepTime, forecast_needs, to_problem


def meal(folder=None, days=10.0, name="fernhollow", change=lambda b: b):
    path = folder / "brief.toml" if folder else data_path("examples", name, f"{name}.toml")
    brief = change(read_brief(path))
    kit, parts = read_kit(brief.kit_path), load_parts(brief.parts_dirs)
    q = quantities(brief, parts)
    times = {
        (n.part, n.step): StepTime(days * 24, days * 24 + 168, Forecast("core holds its salt", 1, 2, 3))
        for n in forecast_needs(parts, kit, q)
        if n.kind == "cure"
    }
    return to_problem(brief, parts, kit, q, times)


def by_id(tasks):
    return {t.id: t for t in tasks.problem.tasks}


def between(tasks, before, after):
    return next(x for x in tasks.problem.links if (x.before, x.after) == (before, after))


def test_steps_become_tasks_with_their_own_times(supper):
    t = by_id(meal(supper))
    assert set(t) == {
        "ham.trim", "ham.lie", "ham.boil", "gravy.stir", "dumpling.knead", "dumpling.fry",
        "dumpling.skin-keep", "dumpling.skin-freeze", "dumpling.skin-thaw",
    }  # fmt: skip
    boil = t["ham.boil"]
    assert (boil.least_min, boil.most_min) == (90, 90)
    assert (boil.hands_start_min, boil.hands_end_min) == (10 + 5, 10)  # half a minute for each of 10 plates
    assert (boil.best_min, boil.last_min) == (30, 120)
    assert (t["dumpling.knead"].least_min, t["dumpling.knead"].most_min) == (20, 720)


def test_the_length_of_a_cure_is_the_forecast_and_says_so(supper):
    cure = by_id(meal(supper, days=10.0))["ham.lie"]
    assert (cure.least_min, cure.most_min) == (10 * 1440, 17 * 1440)
    assert "core holds its salt after 10 d at a chance of 0.95" in cure.reason


def test_litres_and_shelves_follow_the_mass_and_are_rounded_up(supper):
    """2 l a kg of 2,100 g leg and its salt: 5 l. Dumplings, 842 g x 0.8 shelves a kg: 1; 40 plates: 3."""
    t = by_id(meal(supper))
    assert t["ham.lie"].uses[0].amount == 5
    assert (t["dumpling.fry"].uses[0].amount, t["dumpling.fry"].uses[0].mode) == (1, 200)
    more = by_id(meal(supper, change=lambda b: replace(b, plates=40)))
    assert more["dumpling.fry"].uses[0].amount == 3


def test_minutes_run_through_the_change_of_clocks():
    """A table at 19:00 the day after the clocks go forward is an hour nearer than the wall clock says."""
    b = read_brief(data_path("examples", "fernhollow", "fernhollow.toml"))
    spring = replace(
        b, plan_from=datetime(2027, 3, 8, 7, tzinfo=b.zone), at=datetime(2027, 3, 29, 19, tzinfo=b.zone)
    )
    p = meal(change=lambda _: spring).problem
    assert p.table_min == (21 * 24 + 12) * 60 - 60
    wall = [(p.start.astimezone(UTC) + timedelta(minutes=m)).astimezone(b.zone) for m, _ in p.nights]
    assert {w.hour for w in wall[1:]} == {22}
    assert {e - s for s, e in p.nights} == {8 * 60, 7 * 60}  # one night is an hour short
    # mornings from 07:00 on the first day, evenings until 19:00 on the last; no block holds 01:00 to 02:00
    assert [e - s for s, e in p.visit_blocks] == [300, 300, 300, *[360, 300, 300] * 20, 360, 300, 120]


def test_hours_of_the_cooks_are_minutes_of_the_plan():
    cooks = {c.key: c for c in meal().problem.cooks}
    # Friday 27 November 2026, 07:00: A comes at 18:00, eleven hours later
    assert cooks["A"].windows[:2] == ((660, 900), (1440, 2340))


def test_a_by_product_is_kept_or_frozen_never_both(supper):
    tasks = meal(supper)
    t = by_id(tasks)
    keep, freeze, thaw = t["dumpling.skin-keep"], t["dumpling.skin-freeze"], t["dumpling.skin-thaw"]
    assert tasks.problem.choices == ("dumpling.skin.frozen",)
    assert (keep.unless, freeze.only_if, thaw.only_if) == ("dumpling.skin.frozen",) * 3
    assert keep.most_min == 2 * 1440 and keep.uses[0].kit == "fridge"
    assert (freeze.waits_in[0].kit, freeze.next_id) == ("freezer", "dumpling.skin-thaw")
    assert thaw.least_min == 600
    fresh = between(tasks, "ham.trim", "dumpling.fry")
    assert (fresh.most_min, fresh.unless) == (2 * 1440, "dumpling.skin.frozen")
    assert between(tasks, "dumpling.skin-freeze", "dumpling.skin-thaw").most_min == 60 * 1440


def test_without_a_freezer_there_is_nothing_to_choose(supper, swap):
    swap(supper / "kitchen.toml", '[[freezer]]\nkey = "freezer"\nlitres = 30\n', "")
    p = meal(supper).problem
    assert p.choices == ()
    assert not any(t.only_if or t.unless for t in p.tasks)


def test_a_main_product_is_taken_after_it_is_made(supper):
    link = between(meal(supper), "ham.boil", "gravy.stir")
    assert (link.least_min, link.most_min) == (0, 3 * 1440)


def test_a_step_waits_for_a_step_of_another_part_only_when_that_is_served(supper, swap):
    swap(
        supper / "parts" / "dumpling.toml",
        'key = "knead"',
        'key = "knead"\nafter = [{ step = "gravy.stir", min = "1h" }]',
    )
    assert between(meal(supper), "gravy.stir", "dumpling.knead").least_min == 60
    text = (supper / "brief.toml").read_text()
    swap(supper / "brief.toml", '[[serve]]\npart = "gravy"\ngrams_per_plate = "50g"\n', "")
    assert not [x for x in meal(supper).problem.links if x.after == "dumpling.knead"]
    assert text != (supper / "brief.toml").read_text()


def test_pieces_begun_before_the_plan_keep_their_start_and_lose_their_first_steps():
    t = by_id(meal(name="stall", days=16))
    assert t["collar.cure@2"].fixed_start_min == -43 * 60  # 7 November 12:00 to 9 November 07:00
    assert "collar.skin@2" not in t and t["collar.cure"].fixed_start_min is None
    assert t["collar.skin"].hands_start_min == 20 + 8 * 10  # nine pieces are skinned
    assert t["collar.rinse"].hands_start_min == 15 + 11 * 5  # twelve are rinsed
    links = {(x.before, x.after) for x in meal(name="stall", days=16).problem.links}
    assert {
        ("collar.cure", "collar.rinse"),
        ("collar.cure@2", "collar.rinse"),
        ("collar.skin", "collar.cure"),
    } <= links
    assert ("collar.skin", "collar.cure@2") not in links


def test_a_piece_past_its_forecast_is_still_in_its_cure_now():
    cure = by_id(meal(name="stall", days=0.5))["collar.cure@2"]
    assert cure.least_min == 43 * 60


def test_forecasts_are_asked_for_box_by_box_with_the_pieces_as_they_lie():
    b = read_brief(data_path("examples", "stall", "stall.toml"))
    parts = load_parts()
    needs = {(n.part, n.step): n for n in forecast_needs(parts, read_kit(b.kit_path), quantities(b, parts))}
    assert len(needs["collar", "cure"].box.pieces) == 9 and len(needs["collar", "cure@2"].box.pieces) == 3
    assert {p.skin for p in needs["collar", "cure"].box.pieces} == {"none"}
    assert needs["collar", "cure@2"].box.begun[0].added_g["salt"] == 21.9
    assert needs["collar", "cure"].temperature_c == 3.0
    assert ("collar", "cook") not in needs  # slices under foil: their length is practice


def test_a_forecast_nobody_made_is_asked_for(supper):
    b = read_brief(supper / "brief.toml")
    parts = load_parts(b.parts_dirs)
    with pytest.raises(BadBrief, match="none was made") as why:
        to_problem(b, parts, read_kit(b.kit_path), quantities(b, parts), {})
    assert why.value.field == "ham.lie"


def test_an_oven_too_cool_or_missing_is_refused(supper, swap):
    swap(supper / "kitchen.toml", '"250C"', '"190C"')
    with pytest.raises(OutOfRange, match="200 C") as why:
        meal(supper)
    assert why.value.field == "dumpling.fry.kit" and "190" in why.value.limit
    swap(supper / "kitchen.toml", "[[oven]]", "[[other]]")
    swap(supper / "kitchen.toml", 'holds = 2\nrange = ["60C", "190C"]\nheat_up = "15min"', "holds = 2")
    swap(supper / "kitchen.toml", 'key = "oven"', 'key = "hob"')
    with pytest.raises(BadBrief, match="'oven' is not in"):
        meal(supper)


def test_every_oven_that_gets_hot_enough_will_do(supper, swap):
    oven = '[[oven]]\nkey = "{}"\nholds = 1\nrange = ["50C", "{}C"]\n'
    more = oven.format("cool", 150) + oven.format("hot", 270) + "[[oven]]"
    swap(supper / "kitchen.toml", "[[oven]]", more)
    use = by_id(meal(supper))["dumpling.fry"].uses[0]
    assert (use.kit, use.or_kit) == ("hot", ("oven",))


@pytest.mark.parametrize(("name", "days"), [("fernhollow", 12.5), ("stall", 25.0)])
def test_the_shipped_examples_can_be_planned(name, days):
    tasks = meal(name=name, days=days)
    check(tasks.problem)
    assert set(tasks.steps) == {t.id for t in tasks.problem.tasks}
    plan = solve(tasks.problem, limit_s=8)
    end = {p.task: p.end_min for p in plan.placed}
    last_smoke = end["collar.smoke"]
    assert tasks.problem.table_min - last_smoke >= 2 * 1440  # smoke rests two days or more before the table
    assert plan.wishes[0].value == 0  # nobody gets up at night


def test_a_meal_written_in_the_test_is_planned_until_its_cure_takes_too_long(supper):
    """From 10 March, 08:00, to 28 March, 19:00: 18 d 9.6 h of cure and 90 min of boiling end at 19:26."""
    assert solve(meal(supper).problem, limit_s=5).placed
    with pytest.raises(NoPlan):
        solve(meal(supper, days=18.4).problem, limit_s=5)


def kitchen(folder, text):
    """The supper's kitchen written anew, and the meal as a problem in it."""
    (folder / "kitchen.toml").write_text(text, encoding="utf-8")
    return read_kit(folder / "kitchen.toml")


SMOKED = """
[part]
key = "cheese"
name = "Smoked cheese"
[[takes]]
item = "cheese"
per_kg_out = "1kg"
[[gives]]
item = "cheese"
yield = { likely = 1.0 }
[[step]]
key = "smoke"
lasts = { likely = "3h" }
kit = [{ use = "smoker", rails = 1 }]
"""


def test_a_smoker_that_makes_no_smoke_takes_no_step(supper):
    part = part_from(tomllib.loads(SMOKED))
    mass = PartMass("cheese", 500.0, 500.0, {"cheese": 500.0}, {"cheese": 500.0}, {})
    dry = 'makes_smoke = false\nrails = 4\n'
    cold = kitchen(supper, KITCHEN.replace('makes_smoke = "tray"\nrails = 4\n', dry))
    with pytest.raises(BadBrief, match=r"needs smoke; nothing in the kitchen makes any \(smoker: makes_smoke = false\)") as why:
        use_of(part.steps[0].kit[0], mass, cold, "cheese.smoke")
    assert why.value.field == "cheese.smoke.kit" and 'makes_smoke = "tray"' in why.value.remedy
    two = kitchen(supper, KITCHEN.replace('makes_smoke = "tray"\nrails = 4\n', f'{dry}[[smoker]]\nkey = "shed"\nrails = 3\nmakes_smoke = "tube"\n'))
    use = use_of(part.steps[0].kit[0], mass, two, "cheese.smoke")
    assert (use.kit, use.or_kit) == ("shed", ())


def test_an_oven_reaches_a_heat_where_its_dial_goes_there(supper):
    part = part_from(tomllib.loads(SMOKED.replace('use = "smoker", rails = 1', 'use = "oven", mode = "250C"')))
    mass = PartMass("cheese", 500.0, 500.0, {"cheese": 500.0}, {"cheese": 500.0}, {})
    warm, cold = (kitchen(supper, KITCHEN.replace('heat_up = "15min"', f'heat_up = "15min"\noffset = {{ mean = "{m}" }}')) for m in ("10C", "-10C"))
    assert use_of(part.steps[0].kit[0], mass, warm, "x").mode == 250
    with pytest.raises(OutOfRange, match="needs 250 C; no oven here gives that") as why:
        use_of(part.steps[0].kit[0], mass, cold, "x")
    assert "its dial at 260 C for it: it runs 10 C cold" in why.value.limit
