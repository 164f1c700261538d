"""Heat, growth and keeping: input that looks harmless and once was answered too kindly."""

import json
from itertools import pairwise

import pytest

from ingle.crafts.heat.joint import Joint
from ingle.crafts.heat.stage import Stage
from ingle.faces.cli.main import main
from ingle.ground.errors import OutOfRange
from ingle.jobs.cook import BOIL_C, cook
from ingle.jobs.heat_rows import band
from ingle.safety import growth

COLLAR = Joint("collar", "box", 1300.0, 70.0)


def level(answer, rule):
    return next(v.level for v in answer.lethality if v.rule == rule)


def said(capsys, *words):
    code = main([*words, "--json"])
    return code, json.loads(capsys.readouterr().out)


def test_a_band_that_ends_beyond_growth_is_judged_in_between():
    """Fastest growth of these germs is at 37 to 46 C and none is at 60 C (ICMSF 1996): the hot end is not the worst."""
    for lowest, highest in ((40.0, 60.0), (3.0, 60.0), (-5.0, 55.0)):
        for g in growth.judge_band(24, lowest, highest, packed="vacuum"):
            assert g.level in ("cannot_say", "over"), g.text
            assert g.log10_high is None or g.log10_high >= g.log10 >= g.log10_low


def test_a_band_between_two_temperatures_that_grow_is_over():
    found = {g.key: g for g in growth.judge_band(24, 36.0, 42.0, aw=0.99, ph=6.0)}
    assert found["salmonella"].level == "over" and found["botulinum-1"].hard_stop


def test_no_germ_grows_slower_or_has_more_hours_for_being_warmer_up_to_25_c():
    order = {"within": 0, "near": 1, "cannot_say": 2, "over": 3}
    runs = [growth.judge([0, 36000], [c, c], packed="vacuum", gap_s=1e9, probe_error_c=0.0) for c in range(-2, int(growth.RISING_TO_C) + 1)]
    for colder, warmer in pairwise(runs):
        for a, b in zip(colder, warmer, strict=True):
            assert (b.log10 or 0.0) >= (a.log10 or 0.0) - 1e-9 and order[b.level] >= order[a.level], b.text


@pytest.mark.parametrize(("head", "unit", "number"), [("temperature_f", "F", 39.0), ("temperature_c", "F", 39.0), ("temperature_f", "C", 4.0)])
def test_a_scale_said_twice_is_applied_once(capsys, tmp_path, head, unit, number):
    """39 F is 3.9 C: read twice it is a freezer of -16 C."""
    log = tmp_path / "fridge.csv"
    log.write_text(f"time,{head}\n" + "\n".join(f"{i * 600},{number}" for i in range(300)), encoding="utf-8")
    _, twice = said(capsys, "keep", "--part", "bacon", "--record", str(log), "--unit", unit)
    plain = tmp_path / "plain.csv"
    plain.write_text("time,temperature_c\n" + "\n".join(f"{i * 600},{number if unit == 'C' else (number - 32) / 1.8}" for i in range(300)), encoding="utf-8")
    _, once = said(capsys, "keep", "--part", "bacon", "--record", str(plain))
    assert twice["use_by"] == pytest.approx(once["use_by"]) or twice["use_by"]["days"] == pytest.approx(once["use_by"]["days"], rel=1e-6)
    assert [g["log10"] for g in twice["growth"]] == pytest.approx([g["log10"] for g in once["growth"]])


@pytest.mark.parametrize(
    ("words", "field"),
    [
        (["--frozen", "--fridge", "3C..7C"], "fridge"),
        (["--fridge", "40C..60C"], "fridge"),
        (["--fridge", "100F"], "fridge"),
    ],
)
def test_a_place_that_keeps_nothing_is_asked(capsys, words, field):
    code, told = said(capsys, "keep", "--part", "bacon", *words)
    assert code == 2 and told["field"] == field


@pytest.mark.parametrize(("celsius", "unit"), [(39.0, "C"), (55.0, "C"), (277.0, "F")])
def test_a_log_of_no_fridge_is_asked(capsys, tmp_path, celsius, unit):
    log = tmp_path / "fridge.csv"
    log.write_text("time,temperature_c\n" + "\n".join(f"{i * 600},{celsius}" for i in range(300)), encoding="utf-8")
    code, told = said(capsys, "keep", "--part", "bacon", "--record", str(log), "--unit", unit)
    assert code == 2 and told["limit"]


def test_a_freezer_that_came_warm_is_judged_as_warm(capsys, tmp_path):
    """Twelve days at 8 C in a pack without air are beyond the ten days, whatever was ticked."""
    log = tmp_path / "freezer.csv"
    log.write_text("time,temperature_c\n" + "\n".join(f"{i * 3600},{8.0 if i > 24 else -18.0}" for i in range(13 * 24)), encoding="utf-8")
    code, told = said(capsys, "keep", "--part", "bacon", "--record", str(log), "--frozen", "--vacuum")
    assert code == 3 and told["use_by"] is None


def test_a_rest_is_credited_by_the_piece_that_climbs_least():
    """57 C and a rest: the likely piece climbs to about 67 C, one in twenty not to 64 C; 65 C for 10 min (FSA) is then not sure."""
    answer = cook(COLLAR, [Stage("oven", 160.0, until_c=57.0), Stage("rest", 21.0, lasts_s=1800.0)])
    low, likely = answer.heated.peak_c[:2]
    assert low < 65.0 < likely
    assert level(answer, "gb-70c-2min") == "near"


def test_a_climb_at_rest_beyond_what_was_measured_meets_no_rule_by_itself():
    """Lowe, Experimental Cookery: roasts climbed 1 to 5 C. Pulled at 60 C: 145 F is met by the model's climb, not by 1 C of it."""
    answer = cook(COLLAR, [Stage("oven", 140.0, until_c=60.0), Stage("rest", 21.0, lasts_s=3600.0)], members=48)
    assert answer.heated.peak_c[0] > 62.8
    by_climb = [v for v in answer.lethality if any("climbs at rest" in n for n in v.not_checked)]
    assert by_climb and {v.level for v in by_climb} == {"near"}
    without = cook(COLLAR, [Stage("oven", 140.0, until_c=60.0)], members=48)
    assert not any("climbs at rest" in n for v in without.lethality for n in v.not_checked)


def test_pulling_early_counts_on_no_more_than_was_measured():
    answer = cook(COLLAR, [Stage("oven", 180.0, until_c=71.0), Stage("rest", 21.0, lasts_s=1800.0)], members=48)
    assert answer.heated.peak_c[1] - 71.0 > 5.0  # what the model has
    assert answer.pull.core_c == pytest.approx(66.0)
    assert any("likely too high" in line for line in answer.not_in_it)


def test_a_time_in_the_oven_is_credited_by_the_piece_that_is_late():
    """90 min at 160 C: one piece in twenty does not reach 130 F, where every table begins; none of them is plainly met."""
    answer = cook(COLLAR, [Stage("oven", 160.0, lasts_s=5400.0)])
    assert answer.heated.peak_c[0] < 54.4 < answer.heated.peak_c[1]
    assert all(v.level != "within" for v in answer.lethality if "come-up" not in v.rule)


def test_members_leave_the_oven_at_the_core_that_was_asked():
    answer = cook(COLLAR, [Stage("oven", 160.0, until_c=71.0)])
    assert answer.heated.peak_c == pytest.approx((71.0, 71.0, 71.0), abs=0.05)
    for seconds, core in (answer.heated.fast, answer.heated.cool):
        assert core[-1] == pytest.approx(71.0, abs=0.05) and (seconds[1:] > seconds[:-1]).all()
    assert band(answer.heated.peak_c)


def test_a_core_past_boiling_is_answered_and_said():
    """Water holds a core at 100 C at kitchen pressure; heat above it is neither refused as a slip of the scale nor credited."""
    answer = cook(COLLAR, [Stage("oven", 200.0, lasts_s=18000.0)])
    assert any("boiling" in line for line in answer.not_in_it)
    assert max(v.value for v in answer.lethality if v.unit == "degC") <= BOIL_C


def test_a_usual_fridge_shows_the_end_of_the_us_rule(capsys):
    """The second stage ends at 40 F (FSIS-GD-2021-0014): a fridge of 4 C gets there, so the forecast has to be followed so far."""
    words = ("chill", "--part", "ham", "--weight", "60g", "--thickness", "10mm", "--start", "72C")
    stage = next(s for s in said(capsys, *words)[1]["stages"] if (s["rule"], s["segment"]) == ("fsis-1-1", "b"))
    assert stage["level"] in ("within", "near") and stage["taken_s"] > 0


def test_every_line_of_a_mishap_says_what_was_not_checked(capsys):
    _, told = said(capsys, "mishap", "--weight", "1.38kg", "--thickness", "52mm", "--fridge-off", "9h", "--found", "14C")
    assert told["lines"] and all(line["not_checked"] for line in told["lines"])


def test_a_room_that_cannot_be_is_refused():
    with pytest.raises(OutOfRange, match="room"):
        growth.judge([0, 5 * 86400.0], [4.0, 4.0], room_c=-300.0)
