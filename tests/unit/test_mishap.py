"""Mishaps: order, published lines at their edges, hard stops, what is not known, what is kept for the record."""

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from ingle.crafts.cure.history import Record, Stage
from ingle.crafts.cure.history_nodes import nodes
from ingle.crafts.cure.mix import mix
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.things import Piece
from ingle.jobs import mishap as job
from ingle.jobs import mishap_air as air
from ingle.jobs.mishap import Accident, Food, mishap
from ingle.jobs.mishap_act import settles
from ingle.jobs.mishap_judge import NOT_TOLD, PIERCED, WHOLE_ASKED, judge
from ingle.jobs.mishap_lines import ORDER, Line, either, together
from ingle.jobs.thermal_log import read_log
from ingle.safety import germs
from ingle.safety.conditions import conditions
from ingle.safety.growth_record import GrowthRecord
from ingle.safety.hurdle_places import beyond, uncounted

PIECE = Piece(1380.0, 50.0, name="Collar A")
CURE = (Stage("rub", 192.0, add=mix({"salt": "32g", "curing-salt@6.25%": "2.6g"})), Stage("rest", 48.0))
SMOKED = (*CURE, Stage("smoke", 6.0, 10.0, humidity=0.75))
RAW, READY = Food("raw"), Food("ready", "uncooked")


@pytest.fixture(autouse=True, scope="module")
def few_members():
    """Fewer pieces are drawn: what is tested here is no band."""
    kept = job.MEMBERS, job.STEPS, job.WINDOW_MEMBERS
    job.MEMBERS, job.STEPS, job.WINDOW_MEMBERS = 16, 24, 24
    yield
    job.MEMBERS, job.STEPS, job.WINDOW_MEMBERS = kept


@cache
def cured(accident, eaten="cooked", packed="air"):
    return mishap(PIECE, accident, stages=CURE, food=Food("cure", eaten, packed))


@cache
def plain(accident, food=RAW, piece=PIECE):
    return mishap(piece, accident, food=food)


def line(answer, key):
    return next(x for x in answer.lines if x.key == key)


def rank(answer):
    return {"note": 0, "today": 1, "stop": 2}[answer.way.urgency], ORDER[answer.level]


# -- mild and severe ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("eaten", ["cooked", "uncooked"])
def test_a_mild_mishap_does_not_shout(eaten):
    told = cured(Accident("left-out", 2.0, 36.0, room_c=7.0), eaten)
    assert told.level == "within" and told.way.act == "Go on." and told.way.urgency == "note"
    assert not [x for x in told.failing if x.counts]


@pytest.mark.parametrize("eaten", ["cooked", "uncooked"])
def test_a_warm_day_on_the_second_day_is_a_hard_stop(eaten):
    told = cured(Accident("left-out", 24.0, 36.0, room_c=21.0), eaten)
    assert told.level == "over" and told.way.urgency == "stop" and told.way.choices == ()
    assert told.way.act.startswith("Do not taste it. Throw it away")
    assert line(told, "growth.botulinum-1").hard_stop
    assert told.settle == ""


def test_no_salt_in_the_file_or_cook_afterwards_talks_a_hard_stop_away():
    acts = {cured(Accident("left-out", 24.0, 36.0), eaten, packed).way.act for eaten, packed in (("cooked", "air"), ("uncooked", "air"), ("cooked", "vacuum"))}
    assert len(acts) == 1


def test_what_only_the_rest_of_the_plan_would_do_forbids_the_plan_not_the_piece():
    """Ten days in a bag without air are not over on the third day."""
    long_ = (CURE[0], Stage("rest", 144.0))
    told = mishap(PIECE, Accident("left-out", 2.0, 60.0, room_c=7.0), stages=long_, food=Food("cure", packed="vacuum"))
    assert line(told, "growth.botulinum-2").over_before and told.level == "over"
    assert told.way.act.startswith("Chill it now, at most 3 C, and cook it within 24 h")


# -- order -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("make", [
    lambda h: Accident("left-out", h, 36.0), lambda h: Accident("fridge-off", h, 36.0, found_c=18.0), lambda h: Accident("started-late", h, hot_c=12.0),
], ids=["left-out", "fridge-off", "late"])  # fmt: skip
def test_longer_is_never_better(make):
    told = [cured(make(h)) for h in (2.0, 9.0, 30.0)]
    ranks = [rank(t) for t in told]
    assert ranks == sorted(ranks) and ranks[0] < ranks[-1]
    for germ in ("listeria", "salmonella", "staphylococcus", "perfringens"):
        added = [line(t, f"growth.{germ}").added for t in told]
        assert all(b >= a - 1e-3 for a, b in pairwise(added)), germ


@pytest.mark.parametrize("kind", ["left-out", "fridge-off"])
@pytest.mark.parametrize("food", [RAW, READY], ids=lambda f: f.kind)
def test_longer_is_never_better_for_food_without_stages(kind, food):
    told = [plain(Accident(kind, h), food) for h in (1.0, 2.0, 3.0, 4.0, 5.0, 8.0, 12.0, 24.0, 48.0)]
    ranks = [rank(t) for t in told]
    assert ranks == sorted(ranks) and ranks[0][0] == 0 and told[-1].way.act.startswith("Do not taste it")


def test_warmer_is_never_better():
    told = [cured(Accident("left-out", 6.0, 36.0, room_c=c)) for c in (6.0, 16.0, 30.0)]
    assert [rank(t) for t in told] == sorted(rank(t) for t in told)
    added = [line(t, "growth.salmonella").added for t in told]
    assert added == sorted(added) and added[-1] > added[0] + 0.5
    assert [t.peak_c[1] for t in told] == sorted(t.peak_c[1] for t in told)


def test_a_thicker_piece_warms_later_and_chills_later():
    thin, thick = (plain(Accident("left-out", 3.0), RAW, Piece(2500.0, mm)) for mm in (30.0, 90.0))
    assert thick.courses[2].places[0].max() < thin.courses[2].places[0].max()
    assert thick.courses[2].places[0].argmax() > thin.courses[2].places[0].argmax()


def test_the_colder_end_is_colder_at_every_place_and_hour():
    _, cold, warm = cured(Accident("fridge-off", 9.0, 48.0)).courses
    assert (warm.places >= cold.places - 1e-9).all() and warm.places.max() > cold.places.max() + 5.0


# -- published lines at their edges ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("hours", "level"), [(1.75, "within"), (2.0, "within"), (2.25, "over")])
def test_two_hours_out_of_the_cold_at_the_edge(hours, level):
    assert line(plain(Accident("left-out", hours)), "exposure.out-two-hours").level == level


@pytest.mark.parametrize(("hours", "level"), [(3.75, "within"), (4.0, "within"), (4.25, "over")])
def test_four_hours_of_ready_food_at_the_edge(hours, level):
    assert line(plain(Accident("left-out", hours, room_c=25.0), READY), "exposure.out-four-hours").level == level


@pytest.mark.parametrize(("hours", "level"), [(3.75, "within"), (4.0, "within"), (4.25, "over")])
def test_four_hours_without_power_at_the_edge(hours, level):
    assert line(plain(Accident("fridge-off", hours)), "mishap.power-out").level == level
    assert not line(plain(Accident("fridge-off", hours, found_c=6.0)), "mishap.power-out").counts
    assert (plain(Accident("fridge-off", hours)).level == "over") == (level == "over")


@pytest.mark.parametrize(("hours", "worse"), [(1.75, False), (2.0, False), (2.25, True)])
def test_two_hours_above_forty_fahrenheit_while_the_core_is_raw(hours, worse):
    assert line(cured(Accident("left-out", hours, 36.0, room_c=9.0)), "hurdles.cure-cold").now == worse


@pytest.mark.parametrize(("hours", "celsius", "level"), [
    (10.75, 15.0, "within"), (11.0, 15.0, "within"), (11.25, 15.0, "over"), (1.75, 25.0, "within"), (2.0, 25.0, "within"), (2.25, 25.0, "over"), (30.0, 8.9, "within"),
])  # fmt: skip
def test_botulism_in_the_interior_at_the_edge(hours, celsius, level):
    """FDA Appendix 4, Table A-2: 11 h at 10 to 21 C, 2 h above; the whole piece at one temperature, 1 K of error below 10 C left."""
    t = air.grid(hours)
    course = air.Course(t, np.full(t.size, celsius), np.full((3, t.size), celsius))
    found = judge(Food("raw", aw=0.99, ph=5.8), course, Accident("left-out", hours), None, ()).found["growth.botulinum-1"]
    assert (found.level, found.hard_stop) == (level, level == "over")


def test_a_place_beyond_its_hurdle_does_not_count_its_hours():
    c = conditions(aw=[[0.99] * 4, [0.90] * 4], wps=[[1.0] * 4, [14.0] * 4], ph=5.8, readings=4)
    met = beyond("interior", c)
    assert met.tolist() == [[False] * 4, [True] * 4]
    record = GrowthRecord(np.arange(4.0) * 3600, np.full((2, 4), 15.0))
    assert uncounted(record, met).celsius.tolist() == [[15.0] * 4, [0.0] * 4]


def test_a_step_that_leaves_its_hurdle_counts_in_full():
    met = np.array([[True, True, False, True, True]])
    record = GrowthRecord(np.arange(5.0), np.full(5, 15.0))
    assert uncounted(record, met).celsius.tolist() == [[0.0, 15.0, 15.0, 15.0, 0.0]]


# -- what is not known -------------------------------------------------------------------------------------------------


def test_a_fridge_without_a_reading_asks_for_it_and_a_reading_settles_it():
    asked = cured(Accident("fridge-off", 9.0, 48.0))
    assert "what the thermometer in the fridge read" in asked.settle and asked.settle in asked.way.act
    assert asked.way.act.startswith("Chill it now") and "eat none of it" in asked.way.act
    assert line(asked, "growth.botulinum-1").level == "cannot_say"
    cool, hot = (cured(Accident("fridge-off", 9.0, 48.0, found_c=c)) for c in (8.0, 20.5))
    assert line(cool, "growth.botulinum-1").level == "within" and cool.settle == ""
    assert line(hot, "growth.botulinum-1").level in ("over", "cannot_say")


TWO_ENDS = {  # colder end: what comes out with a warmer end that is within, near, cannot_say, over
    "within": ("within", "near", "cannot_say", "cannot_say"),
    "near": ("near", "near", "cannot_say", "cannot_say"),
    "cannot_say": ("cannot_say", "cannot_say", "cannot_say", "cannot_say"),
    "over": ("over", "over", "over", "over"),
}


@pytest.mark.parametrize(("cold", "warm", "level"), [(c, w, row[i]) for c, row in TWO_ENDS.items() for i, w in enumerate(("within", "near", "cannot_say", "over"))])
def test_two_ends_make_one_level(cold, warm, level):
    """A spread that touches a line is near; ends on two sides of it are not known, and never near."""
    assert together(cold, warm) == level


@pytest.mark.parametrize("accident", [Accident("fridge-off", h, 48.0, found_c=f) for h in (4.0, 6.0, 9.0) for f in (None, 6.0, 9.0)], ids=str)
@pytest.mark.parametrize("food", [RAW, READY], ids=lambda f: f.kind)
def test_ends_on_two_sides_of_any_line_are_never_called_near(accident, food):
    """Hours out of the cold and hours in a germ's band as well as growth; and there is one reading to ask for."""
    told = mishap(PIECE, replace(accident, after_h=0.0), food=food)
    for found in told.lines:
        sides = {x.level for x in (found.cold, found.warm) if x is not None}
        if "over" in sides and len(sides) > 1 and not found.over_before:
            assert found.level in ("cannot_say", "over"), found.key
    if told.level == "cannot_say":
        assert told.settle


def test_every_act_is_one_act_with_its_time_or_a_go_on():
    for h in (1.0, 3.0, 6.0, 12.0, 30.0):
        for food in (RAW, READY):
            act = plain(Accident("left-out", h), food).way.act
            assert act.startswith(("Go on", "Bring it back", "Chill it now", "Cook it now", "Throw it away", "Do not taste it")), act


# -- salt, stages ------------------------------------------------------------------------------------------------------


def test_a_late_start_shifts_the_core_by_its_hours():
    told = cured(Accident("started-late", 20.0, hot_c=4.0))
    assert told.salt.shift_h == -20.0
    assert told.salt.ready_after.likely - told.salt.ready_before.likely == pytest.approx(20.0, abs=2.0)


def test_warmth_moves_salt_faster():
    told = cured(Accident("left-out", 12.0, 36.0))
    assert told.salt.shift_h > 1.0 and told.salt.ready_after.likely < told.salt.ready_before.likely


def test_splitting_a_stage_changes_nothing():
    first, second = replace(CURE[0], lasts_h=96.0), Stage("turn", 96.0)
    one = cured(Accident("left-out", 6.0, 36.0))
    two = mishap(PIECE, Accident("left-out", 6.0, 36.0), stages=(first, second, *CURE[1:]), food=Food("cure"))
    assert two.level == one.level and two.way.act.split(" The core")[0] == one.way.act.split(" The core")[0]
    for germ in germs.FORECAST:
        a, b = (line(t, f"growth.{germ}").warm.value for t in (one, two))
        assert b == pytest.approx(a, abs=0.05), germ


def test_the_smoker_that_ran_hot_stands_in_the_smoke():
    told = mishap(PIECE, Accident("smoker", 1.0, hot_c=30.0), stages=SMOKED)
    assert told.accident.after_h == 240.0 and 11.0 < told.peak_c[1] < 30.0


def test_places_hold_what_nineteen_of_twenty_hold():
    held = nodes(PIECE, CURE, members=64)
    assert (held.salt_phase_low <= held.salt_phase + 1e-12).all() and (held.aw_high >= held.aw - 1e-12).all()
    assert held.names[0] == "core" and held.names[-1] == "surface"
    mid = held.hours.size // 3
    assert held.salt_phase[0, mid] < held.salt_phase[-2, mid]
    between = held.at((held.hours[:-1] + held.hours[1:]) / 2)
    assert (between.aw_high >= np.maximum(held.aw_high[:, :-1], held.aw_high[:, 1:]) - 1e-12).all()


# -- a power cut from its log ------------------------------------------------------------------------------------------


def written(path, celsius, minutes=15, lost=()):
    begun = datetime(2026, 11, 30, 21, 0, tzinfo=UTC)
    rows = [f"{(begun + timedelta(minutes=minutes * i)).isoformat()},{'' if i in lost else c}" for i, c in enumerate(celsius)]
    path.write_text("time,temperature_c\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return read_log(path)


def test_a_log_of_the_room_is_as_the_piece_left_out(tmp_path):
    log = written(tmp_path / "log.csv", [18.0] * 25)
    told = mishap(PIECE, Accident("record", 6.0, log=log), food=READY)
    other = plain(Accident("left-out", 6.0, room_c=18.0), READY)
    assert told.peak_c[1] == pytest.approx(other.peak_c[1], abs=0.2)


def test_a_hole_in_the_log_is_filled_with_the_room_where_that_is_warmer_and_said(tmp_path):
    log = written(tmp_path / "log.csv", [4.0] * 8 + [15.0] * 16 + [4.0] * 8, lost=range(9, 23))
    told = mishap(PIECE, Accident("record", 7.75, log=log), food=READY)
    assert any("pause" in x for x in told.assumed)
    assert told.courses[2].air.max() == pytest.approx(21.0)


def test_a_log_in_fahrenheit_is_asked(tmp_path):
    log = written(tmp_path / "log.csv", [39.0] * 20)
    with pytest.raises(OutOfRange, match="Fahrenheit"):
        mishap(PIECE, Accident("record", 4.75, log=log), food=READY)


# -- cooling of a cooked piece -----------------------------------------------------------------------------------------


def test_a_hot_piece_is_judged_by_the_rules_on_cooling():
    food = Food("ready", "uncooked", start_c=70.0)
    short, long_ = (plain(Accident("left-out", h), food) for h in (1.0, 8.0))
    assert line(long_, "cooling").level == "over" and long_.way.act.startswith("Throw it away")
    assert line(long_, "growth.perfringens").warm.value > line(short, "growth.perfringens").warm.value
    assert not [x for x in long_.lines if x.key.startswith(("exposure", "growth.listeria"))]


# -- refused, kept -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("call", "field"), [
    (lambda: mishap(PIECE, Accident("left-out", 3.0, 300.0), stages=CURE), "after"),
    (lambda: mishap(PIECE, Accident("smoker", 3.0, hot_c=30.0), stages=CURE), "smoker"),
    (lambda: mishap(PIECE, Accident("started-late", 3.0)), "started-late"),
    (lambda: mishap(Piece(1000.0), Accident("left-out", 3.0)), "thickness"),
    (lambda: mishap(PIECE, Accident("fridge-off", 3.0, room_c=3.0)), "room"),
    (lambda: mishap(PIECE, Accident("fridge-off", 3.0, found_c=30.0)), "found"),
    (lambda: mishap(PIECE, Accident("left-out", 3.0), food=Food("cure")), "food"),
    (lambda: mishap(PIECE, Accident("fridge-off", 3.0), food=Food("ready", start_c=70.0)), "start"),
    (lambda: Accident("left-out", 0.0), "left-out"),
    (lambda: Accident("flood", 3.0), "kind"),
])  # fmt: skip
def test_refused_with_its_field(call, field):
    with pytest.raises((BadBrief, OutOfRange)) as why:
        call()
    assert why.value.field == field and why.value.remedy


def test_the_deviation_is_what_a_notebook_takes():
    told = cured(Accident("left-out", 24.0, 36.0)).deviation()
    assert told["level"] == "stop" and told["began_h"] == 36.0 and told["ended_h"] == 60.0 and told["lasted_h"] == 24.0
    assert told["rule"] and told["clause"] and told["source"] and told["act"] and told["peak_c"] > 20.0
    assert told["deadline_h"] == 60.0
    assert cured(Accident("left-out", 2.0, 36.0, room_c=7.0)).deviation()["level"] == "note"


def test_json_holds_no_number_without_end():
    told = json.loads(json.dumps(cured(Accident("fridge-off", 9.0, 48.0)).as_dict(), allow_nan=False))
    assert {"level", "act", "lines", "failing", "deviation", "cure", "curve", "settle", "choices"} <= set(told)
    assert all(x["clause"] and x["source"] for x in told["lines"])


def test_times_are_taken_in_quarter_hours_up():
    placed = air.placed(Accident("left-out", 2.1, 36.1), CURE)
    assert (placed.hours, placed.after_h) == (2.25, 36.0)
    assert air.placed(Accident("left-out", 2.0, 36.0), CURE).hours == 2.0


def test_planned_air_follows_its_stages():
    stages = (Stage("rub", 2.0, 4.0), Stage("rest", 2.0, record=Record(np.array([0.0, 2.0]), np.array([5.0, 7.0]))))
    assert air.planned(stages, np.array([0.0, 1.0, 2.0, 3.0, 9.0])).tolist() == [4.0, 4.0, 5.0, 6.0, 7.0]


def test_whole_muscle_is_counted_at_its_face_and_botulism_inside():
    """Inside whole muscle germs are few: the salted face tells; spore formers and their hours stay where they were."""
    accident = Accident("left-out", 9.0, 48.0, 21.0)
    anywhere, whole = (mishap(PIECE, accident, stages=CURE, food=Food("cure", whole=w)) for w in (False, True))
    one, other = ({line.key: line for line in told.lines} for told in (anywhere, whole))
    for germ in ("listeria", "salmonella", "yersinia"):
        assert other[f"growth.{germ}"].warm.value < one[f"growth.{germ}"].warm.value
        assert other[f"growth.{germ}"].warm.place == "surface"
    for key in ("growth.perfringens", "growth.botulinum-1"):
        assert (other[key].warm.value, other[key].level) == (one[key].warm.value, one[key].level)
    assert any("whole muscle" in said for said in whole.assumed)
    assert PIERCED in anywhere.assumed and NOT_TOLD not in anywhere.assumed + whole.assumed


def levels(told):
    return {line.key: line.level for line in told.lines}


def test_a_cure_by_the_book_reads_as_no_harm_where_nobody_said_it_was_pierced():
    """A week at 4 C lets Yersinia grow over its line at an unsalted core, if it is there: inside whole muscle it is not (Gill 1979)."""
    mild = Accident("left-out", 1.0, 60.0, room_c=7.0)
    asked, pierced, whole = (mishap(PIECE, mild, stages=CURE, food=Food("cure", whole=w)) for w in (None, False, True))
    assert line(pierced, "growth.yersinia").over_before
    assert not any(x.over_before for x in asked.lines if x.key.startswith("growth."))
    assert line(asked, "growth.yersinia").inside_before and not line(asked, "growth.yersinia").now
    assert NOT_TOLD in asked.assumed and asked.level == whole.level == pierced.level
    assert asked.as_dict()["over_before"] == whole.as_dict()["over_before"]


def test_not_told_is_never_milder_than_whole_nor_graver_than_pierced():
    for accident in (Accident("left-out", 9.0, 48.0, 21.0), Accident("fridge-off", 9.0, 72.0, found_c=14.0), Accident("left-out", 24.0, 36.0)):
        asked, pierced, whole = (mishap(PIECE, accident, stages=CURE, food=Food("cure", whole=w)) for w in (None, False, True))
        for key, level in levels(asked).items():
            ends = (levels(whole).get(key, "within"), levels(pierced)[key])
            assert level in ends or (level == "cannot_say" and "over" in ends), key
        assert (asked.way.urgency == "stop") == (pierced.way.urgency == "stop" and whole.way.urgency == "stop")


def test_what_only_the_inside_passes_is_asked_by_its_name():
    p = Line("growth.listeria", "over", None, None, line(cured(Accident("left-out", 9.0, 48.0)), "growth.listeria").warm, 4.0, settle=False)
    (found,) = either((p,), (replace(p, level="within"),))
    assert (found.level, found.inside_only, found.now) == ("cannot_say", True, True)
    assert settles(Accident("left-out", 9.0, 48.0), (found,)) == WHOLE_ASKED
    assert [x.level for x in either((p,), (p,))] == ["over"]
    assert found.as_dict()["if_whole"]["level"] == "within" and found.as_dict()["inside_only"]


def test_a_pumped_piece_gets_no_credit_unasked():
    pumped = (Stage("pump", 1.0, add=mix({"salt": "20g"})), *CURE)
    told = mishap(PIECE, Accident("left-out", 1.0, 60.0, room_c=7.0), stages=pumped, food=Food("cure"))
    assert told.food.whole is False and PIERCED in told.assumed and line(told, "growth.yersinia").whole is None


def test_a_pumped_piece_is_no_whole_muscle():
    with pytest.raises(BadBrief, match="not whole muscle"):
        mishap(PIECE, Accident("left-out", 5.0, 48.0, 21.0), stages=(Stage("pump", 1.0, add=mix({"salt": "20g"})), *CURE), food=Food("cure", whole=True))
