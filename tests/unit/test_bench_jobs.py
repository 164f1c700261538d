"""Brine, butter, bread, dough, sauce and smoke as they are answered: published examples come through, every figure leads to its record."""

import ast
import dataclasses
from pathlib import Path

import pytest

import ingle
from ingle.faces.cli.offered import OFFERED
from ingle.faces.web.pages.bench_forms import form_of
from ingle.ground.errors import BadBrief, IngleError, OutOfRange
from ingle.jobs.bread import bread, bread_made
from ingle.jobs.brine import brine
from ingle.jobs.butter import butter
from ingle.jobs.dough import Mixing, dough
from ingle.jobs.figures import BenchAnswer
from ingle.jobs.sauce import Titration, sauce
from ingle.jobs.smoke import smoke
from ingle.jobs.sources import records

MIX = Mixing(1000.0, 18.0, 650.0, 12.0, 24.0)


def answers() -> dict[str, BenchAnswer]:
    """One of each, with everything in it that can be asked."""
    return {
        "brine": brine(strength=0.10, volume_l=5.0, wanted=0.15), "brine, full": brine(salt_g=500.0, water_g=1000.0),
        "butter": butter(cream_g=1000.0, fat_per_cream=0.48, standardise_to=0.36, with_fat=0.035, salt=0.02, use="sale", cream_c=20.0, ripen_c=16.0, weighed_g=430.0),
        "bread": bread(loaf_g=800.0, pieces=2, preferment=0.2, others={"malt-powder": 0.01}, buttermilk=True, baked=(500.0, 440.0)),
        "bread, taken apart": bread_made(800.0, 500.0, 18.0, preferments=[(200.0, 1.0)], buttermilk_g=50.0, others={"butter": 40.0}),
        "dough": dough(dataclasses.replace(MIX, tap_c=26.0, preferment=(300.0, 24.0, 1.0), last=(27.0, 20.0)), piece_g=900.0, hours=[0.0, 1.0, 10.0], celsius=[24.0, 20.0, 6.0]),
        "sauce": sauce(parts=[(2000.0, 0.06), (200.0, 0.05)], to=0.3, vinegar=(200.0, 0.05), ph=3.9, titration=Titration(10.0, 12.0, 0.1), syrup=(500.0, 500.0), gravity=1.2),
        "smoke, meat": smoke("meat", [(8.0, 18.0), (6.0, 12.0)]), "smoke, fish": smoke("fish", [(8.0, 9.0)]), "smoke, butter": smoke("butter", [(2.0, 12.0)], fuel="tube"),
    }  # fmt: skip


@pytest.fixture(scope="module")
def all_answers():
    return answers()


def value(answer, key):
    return answer.as_dict()["figures"][key]["value"]


def test_every_figure_act_and_caution_rests_on_a_record_that_is_listed(all_answers):
    known = {r.key for r in records()}
    for name, answer in all_answers.items():
        grounds = [f.ground for g in answer.groups for f in g.figures.values()] + [a.ground for a in answer.acts] + [c.ground for c in answer.cautions if c.ground]
        assert grounds and set(grounds) <= known, (name, set(grounds) - known)


def test_keys_are_unique_and_spreads_hold_their_value(all_answers):
    for name, answer in all_answers.items():
        keys = [k for g in answer.groups for k in g.figures]
        assert len(keys) == len(set(keys)), name
        for group in answer.groups:
            for key, f in group.figures.items():
                assert (f.low is None) == (f.high is None), (name, key)
                assert f.low is None or f.low <= f.value + 1e-9 <= f.high + 2e-9, (name, key)


def test_what_is_only_reckoned_is_no_verdict():
    """A sum stands beside no line: it gets no level that could be read as one on germs."""
    assert bread(flour_g=1000.0).as_dict()["level"] is None
    assert brine(strength=0.10).as_dict()["level"] is None
    assert brine(salt_g=500.0, water_g=1000.0).level == "near"


def test_br_ten_percent_takes_111_g_per_kg_of_water():
    """Ten per cent by mass: 100 / 900 of the water. Litres: 1.0707 at 20 C (WNT 1974)."""
    made = brine(strength=0.10, water_g=1000.0)
    assert value(made, "salt_g") == pytest.approx(111.1, abs=0.05)
    assert value(made, "salt_g_per_l") == pytest.approx(107.1, abs=0.1)


def test_a_salometer_and_a_hydrometer_tell_the_same_brine():
    """Seventy degrees are 18.48 % salt: 0.70 of 26.395 %."""
    by_float = brine(salometer=70.0, water_g=1000.0)
    assert value(by_float, "salt_per_brine") == pytest.approx(18.48, abs=0.01)
    again = brine(density=value(by_float, "density"), water_g=1000.0)
    assert value(again, "salometer") == pytest.approx(70.0, abs=0.01)


def test_what_is_added_makes_the_strength_that_was_wished():
    weak = brine(salt_g=500.0, water_g=4500.0, wanted=0.15)
    made = brine(salt_g=500.0 + value(weak, "add_salt_g"), water_g=4500.0)
    assert value(made, "salt_per_brine") == pytest.approx(15.0, abs=1e-9)
    strong = brine(salt_g=1000.0, water_g=4000.0, wanted=0.12)
    made = brine(salt_g=1000.0, water_g=4000.0 + value(strong, "add_water_g"))
    assert value(made, "salt_per_brine") == pytest.approx(12.0, abs=1e-9)
    assert not brine(strength=0.10, wanted=0.10).groups[-1].figures  # it has it already: nothing of nothing is shown


def test_butter_of_the_guelph_example():
    """8.9 kg of 40 % cream, butter of 81.5 %, buttermilk of 0.3 %: 4.35 kg; overrun 22.7 %."""
    made = butter(cream_g=8900.0, fat_per_cream=0.40, fat_per_butter=0.815, fat_per_buttermilk=0.003)
    assert value(made, "butter_g") == pytest.approx(4350.0, abs=5.0)
    assert value(made, "overrun") == pytest.approx(22.7, abs=0.05)
    assert made.as_dict()["figures"]["butter_g"]["low"] is None  # both fats were told: nothing is left to spread


def test_bands_of_practice_spread_the_yield_and_reverse_with_it():
    forward = butter(cream_g=1000.0, fat_per_cream=0.36, salt=0.02).as_dict()["figures"]["butter_g"]
    assert forward["low"] < forward["value"] < forward["high"]
    back = butter(butter_g=forward["value"], fat_per_cream=0.36, salt=0.02).as_dict()["figures"]["cream_g"]
    assert back["value"] == pytest.approx(1000.0, abs=1e-6)
    assert back["low"] < back["value"] < back["high"]


def test_composition_is_judged_of_butter_that_is_sold():
    """CXS 279, 3.3: at most 16 % water; 82 % fat with the plasma of cream leaves 16.5 %."""
    home, sold = (butter(cream_g=1000.0, fat_per_cream=0.36, use=use) for use in ("table", "sale"))
    assert home.as_dict()["level"] is None and "whether it may be sold as butter" in home.not_checked
    water = next(v for v in sold.verdicts if v.rule == "butter.water")
    assert (water.level, water.limit, water.unit) == ("over", 16.0, "%") and water.value == pytest.approx(100 * 0.18 * 0.916, abs=1e-9)
    assert value(sold, "work_out_g") > 0


def test_overrun_of_a_churning_by_weight():
    """Trade example: 50 of butter from 42 of fat gains 19 %."""
    made = butter(cream_g=700.0, fat_per_cream=0.06, weighed_g=50.0)
    assert value(made, "overrun_weighed") == pytest.approx(19.0, abs=0.1)


def test_a_cream_too_warm_to_churn_is_over_and_names_one_act():
    made = butter(cream_g=1000.0, fat_per_cream=0.36, cream_c=20.0)
    assert made.level == "over" and "Chill the cream" in made.acts[0].act


def test_bread_scales_to_what_is_put_into_the_bowl():
    made = bread(dough_g=1670.0, hydration=0.65, salt=0.02, preferment=0.3, share_of="weight")
    told = {k: f["value"] for k, f in made.as_dict()["figures"].items()}
    assert told["flour_g"] == pytest.approx(1000.0) and told["preferment_g"] == pytest.approx(300.0)
    assert told["mix_flour_g"] + told["preferment_flour_g"] == pytest.approx(told["flour_g"])
    assert told["mix_flour_g"] + told["mix_water_g"] + told["mix_salt_g"] + told["preferment_g"] == pytest.approx(1670.0)


def test_a_share_of_flour_and_a_share_of_weight_are_two_doughs():
    of_flour, of_weight = (value(bread(flour_g=1000.0, preferment=0.3, share_of=s), "preferment_g") for s in ("flour", "weight"))
    assert (of_flour, of_weight) == (pytest.approx(600.0), pytest.approx(300.0))


def test_a_dough_put_together_and_taken_apart_is_the_same():
    made = bread(flour_g=1000.0, hydration=0.70, salt=0.02, preferment=0.2, others={"butter": 0.04})
    told = {k: f["value"] for k, f in made.as_dict()["figures"].items()}
    back = bread_made(told["mix_flour_g"], told["mix_water_g"], told["mix_salt_g"], preferments=[(told["preferment_g"], 1.0)], others={"butter": told["mix_butter_g"]})
    assert [value(back, k) for k in ("hydration", "salt_per_flour", "butter_per_flour", "prefermented_per_flour")] == [pytest.approx(x) for x in (70.0, 2.0, 4.0, 20.0)]
    assert value(back, "dough_g") == pytest.approx(1760.0)


def test_buttermilk_brings_the_water_it_stands_for():
    """USDA: 90.13 % water."""
    made = bread(flour_g=1000.0, hydration=0.65, buttermilk=True)
    assert value(made, "buttermilk_g") * 0.9013 == pytest.approx(650.0)
    assert value(made, "mix_water_g") == 0.0 and "71 g heavier" in made.groups[0].note


def test_ones_own_loss_stands_beside_the_band():
    made = bread(loaf_g=800.0, baked=(550.0, 500.0))
    assert value(made, "own_loss") == pytest.approx(9.09, abs=0.005)
    assert value(made, "own_piece_g") == pytest.approx(880.0)


def test_water_by_the_bakers_rule():
    """Baking school's example: 75 F wished, flour and room 65 F, friction 8 F: water of 87 F."""
    c = lambda f: (f - 32.0) / 1.8  # noqa: E731
    made = dough(Mixing(1000.0, c(65), 650.0, c(65), c(75), room_c=c(65), friction_k=8 / 1.8))
    assert value(made, "water_by_rule_c") == pytest.approx(c(87), abs=1e-9)
    own = dough(Mixing(1000.0, c(65), 650.0, c(65), c(75), room_c=c(65), friction_k=8 / 1.8, last=(c(75), c(87))))
    assert value(own, "friction_k") == pytest.approx(8 / 1.8, abs=1e-9)


def test_water_by_the_balance_of_heat_with_a_third_of_the_friction():
    """By hand: 1800 and 4180 J/kg K; 6 K of friction are 2 K of the whole dough."""
    made = dough(dataclasses.replace(MIX, friction_k=6.0))
    flour, water = 1.0 * 1800.0, 0.65 * 4180.0
    needed = 24.0 + (flour * (24.0 - 18.0) - 2.0 * (flour + water)) / water
    assert value(made, "water_c") == pytest.approx(needed, abs=1e-9)
    assert made.as_dict()["figures"]["water_c"]["low"] is None
    guessed = dough(MIX).as_dict()["figures"]["water_c"]
    assert guessed["low"] < guessed["value"] < guessed["high"] and any("fit your own" in a for a in dough(MIX).assumed)


def test_a_tap_too_warm_takes_ice_of_the_same_water():
    made = dough(dataclasses.replace(MIX, flour_c=26.0, tap_c=26.0))
    assert value(made, "pour_g") + value(made, "ice_g") == pytest.approx(650.0)
    assert "ice_g" not in dough(MIX).as_dict()["figures"]


def test_the_usual_proof_gives_back_its_own_hours_and_a_warm_fridge_is_said():
    usual = dough(piece_g=900.0)
    told = usual.as_dict()["figures"]["best_h"]
    assert (told["low"], told["value"], told["high"]) == (pytest.approx(12.0, abs=0.1), pytest.approx(18.0, abs=0.1), pytest.approx(48.0, abs=0.3))
    warm = dough(piece_g=900.0, fridge_c=7.0)
    assert usual.level == "within" and warm.level == "near" and value(warm, "best_h") < value(usual, "best_h")


@pytest.mark.parametrize(("hours", "level", "word"), [(2.0, "within", "Not ready"), (3.2, "within", "can be baked"), (4.5, "within", "soon"), (7.0, "over", "now")])
def test_a_record_of_the_dough_is_placed_on_its_way(hours, level, word):
    """At 24 C an hour of record is an hour of work; the usual proof ends between 2.9, 3.3 and 5.5 of them."""
    made = dough(hours=[0.0, hours], celsius=[24.0, 24.0])
    assert value(made, "done_h") == pytest.approx(hours, abs=1e-6)
    assert made.level == level and word in made.acts[0].act


def test_tomatoes_to_paste():
    """USDA SR26: 94.52 % water in tomato, 73.5 % in paste."""
    made = sauce(parts=[(1000.0, 0.0548)], to=0.265)
    assert value(made, "left_g") == pytest.approx(54.8 / 0.265, abs=0.01)
    assert made.as_dict()["level"] is None and "pH" in made.not_checked[0]


@pytest.mark.parametrize(("ph", "level"), [(None, "cannot_say"), (3.9, "within"), (4.4, "over"), (4.7, "over")])
def test_acid_is_judged_once_it_is_asked(ph, level):
    assert sauce(vinegar=(200.0, 0.05), sauce_g=1000.0, ph=ph).level == level


def test_acid_counts_on_what_is_left_in_the_pot():
    made = sauce(parts=[(1000.0, 0.10)], to=0.20, vinegar=(100.0, 0.05))
    assert value(made, "acid_per_sauce") == pytest.approx(1.0)


def test_titration_by_the_printed_factor():
    """12 ml of 0.1 normal on 10 g, acetic at 0.060 g/meq: 0.72 %."""
    assert value(sauce(titration=Titration(10.0, 12.0, 0.1)), "titratable_acidity") == pytest.approx(0.72)


def test_runs_of_a_smoker_add_up_and_fuel_is_counted_run_by_run():
    made = smoke("meat", [(9.0, 9.0), (9.0, 9.0)])
    assert value(made, "smoked_h") == 18.0 and value(made, "longest_run_h") == 9.0
    assert value(made, "fills") == 4.0  # a tray burns 8 h at least: two for each run, not three for both
    assert made.level == "within"


def test_fish_by_the_rule_of_maine():
    """90 F for 20 h, or 50 F for 24 h."""
    assert smoke("fish", [(24.0, 10.0)], interior_barred=True).level in ("within", "near")
    assert smoke("fish", [(21.0, 20.0)], interior_barred=True).level == "over"


def test_no_hour_has_a_spread_below_none():
    assert all(v.low is None or v.low >= 0 for v in smoke("meat", [(2.0, 5.0)]).verdicts if v.unit == "h")


@pytest.mark.parametrize(("ask", "kind", "field"), [
    (brine, BadBrief, "salt"), (lambda: brine(salt_g=1.0, strength=0.1), BadBrief, "salt"), (lambda: brine(salt_g=1.0), BadBrief, "water"),
    (lambda: brine(strength=0.1, water_g=1.0, volume_l=1.0), BadBrief, "volume"), (lambda: brine(strength=0.3), OutOfRange, "strength"),
    (lambda: butter(fat_per_cream=0.36), BadBrief, "cream"), (lambda: butter(fat_per_cream=0.36, cream_g=1.0, butter_g=1.0), BadBrief, "cream"),
    (lambda: butter(fat_per_cream=0.36, cream_g=1.0, with_fat=0.03), BadBrief, "standardise-to"), (lambda: butter(fat_per_cream=0.9, cream_g=1.0), OutOfRange, "fat of cream"),
    (bread, BadBrief, "loaf"), (lambda: bread(loaf_g=1.0, dough_g=1.0), BadBrief, "loaf"), (lambda: bread(flour_g=1.0, preferment=0.9, hydration=0.5), OutOfRange, "preferment"),
    (lambda: dough(piece_g=900.0, fridge_c=20.0), OutOfRange, "fridge"), (sauce, BadBrief, "part"), (lambda: sauce(vinegar=(1.0, 0.05)), BadBrief, "sauce"),
    (lambda: sauce(parts=[(1.0, 0.3)], to=0.2), OutOfRange, "solids wanted"), (lambda: smoke("meat", []), BadBrief, "run"), (lambda: smoke("cheese", [(1.0, 5.0)]), OutOfRange, "kind"),
])  # fmt: skip
def test_refused_with_its_field_and_what_to_do(ask, kind, field):
    with pytest.raises(kind) as told:
        ask()
    assert told.value.field == field and isinstance(told.value, IngleError) and told.value.remedy


@pytest.mark.parametrize("name", ["bread", "brine", "butter", "dough", "sauce", "smoke"])
def test_nothing_a_small_craft_can_answer_stays_without_a_face(name):
    """Each public function is asked by its job, or by another of its craft; each job is asked by a command and by a page."""
    src = Path(ingle.__file__).parent
    craft, job = (ast.parse((src / folder / f"{name}.py").read_text("utf-8")) for folder in ("crafts", "jobs"))
    public = {n.name for n in craft.body if isinstance(n, ast.FunctionDef) and not n.name.startswith("_")}
    asked = {n.attr for n in ast.walk(job) if isinstance(n, ast.Attribute) and isinstance(n.value, ast.Name) and n.value.id == "craft"}
    within = {n.func.id for f in craft.body for n in ast.walk(f) if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)}
    assert public and not public - asked - within
    assert name in OFFERED.reckon and form_of({"bread": "formula"}.get(name, name)).command == name
