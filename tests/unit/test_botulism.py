"""Botulism rules: the core of a cure, cold smoke as hours, hard stops; exposure rules with a cook at the end."""

import numpy as np
import pytest

from ingle.safety import botulism, exposure, growth
from ingle.safety.conditions import conditions
from ingle.safety.growth_record import GrowthRecord, time_in

HOUR = 3600.0


def steady(celsius, hours):
    return GrowthRecord(np.array([0.0, hours * HOUR]), np.full(2, float(celsius)))


BACON = {"wps": 3.6, "ph": 5.8}


@pytest.mark.parametrize(("celsius", "hours", "level"), [(9.0, 200, "within"), (15, 10.9, "within"), (15, 11.1, "over"), (24, 1.9, "within"), (24, 2.1, "over")])
def test_cold_smoke_is_hours_of_the_interior(celsius, hours, level):
    found = botulism.proteolytic(steady(celsius, hours), conditions(**BACON))
    assert found.level == level
    assert found.hard_stop is (level == "over")


def test_smokes_add_up():
    """Two runs of 6 h with a rest in the cold between: twelve hours, one too many."""
    t = np.array([0, 6, 6.1, 30, 30.1, 36.1]) * HOUR
    record = GrowthRecord(t, np.array([16.0, 16, 4, 4, 16, 16]))
    assert float(time_in(record, 10, 21)) / HOUR > 11
    assert botulism.proteolytic(record, conditions(**BACON)).hard_stop


def test_two_bands_that_add_up_past_one_are_near():
    t = np.array([0, 9, 9.0001, 10.5]) * HOUR
    record = GrowthRecord(t, np.array([15.0, 15, 24, 24]))
    assert botulism.proteolytic(record, conditions(**BACON)).level == "near"


@pytest.mark.parametrize(
    ("place", "barred"),
    [({"wps": 10.0, "ph": 5.8}, True), ({"wps": 9.9, "ph": 5.8}, False), ({"aw": 0.92, "ph": 5.8}, True), ({"aw": 0.93, "ph": 5.8}, False),
     ({"aw": 0.99, "ph": 4.4}, True), ({"aw": 0.99, "ph": 4.5}, False)],
)  # fmt: skip
def test_barred_only_with_the_errors_on_the_far_side_everywhere(place, barred):
    found = botulism.proteolytic(steady(20, 40), conditions(**place))
    assert (found.answer == "outside_range") is barred
    several = {k: [v, 5.8 if k == "ph" else 2.0 if k == "wps" else 0.99] for k, v in place.items()}
    assert botulism.proteolytic(steady(20, 40), conditions(**several)).hard_stop


def test_an_unmeasured_factor_bars_nothing():
    assert botulism.proteolytic(steady(20, 40), conditions()).hard_stop


def test_a_raw_core_has_only_the_cold():
    """A day at 7 C in day two: over, because the core held no salt yet; the same day after the salt has come: no matter."""
    t = np.arange(0, 10 * 24 + 1) * HOUR
    salt = np.interp(t, [0, 7 * 24 * HOUR], [0.3, 3.8])
    warm = lambda day: np.where((t >= day * 24 * HOUR) & (t < (day + 1) * 24 * HOUR), 7.0, 3.0)  # noqa: E731
    early = botulism.raw_core(GrowthRecord(t, warm(1)), salt)
    late = botulism.raw_core(GrowthRecord(t, warm(8)), salt)
    assert early.level == "over" and early.value >= 24
    assert late.level == "within" and late.value == 0
    assert botulism.raw_core(GrowthRecord(t, np.full(t.size, 4.0)), salt, packed="vacuum").level == "over"
    assert botulism.raw_core(GrowthRecord(t, np.full(t.size, 4.0)), salt).level == "within"


def test_hard_stops_are_the_same_through_the_front_door():
    found = {g.key: g for g in growth.judge([0, 12 * 86400], [5.0, 5.0], wps=2.5, ph=5.8, packed="vacuum", gap_s=1e9)}
    assert found["botulinum-2"].hard_stop and found["botulinum-2"].log10 is None
    assert "botulinum-2" not in {g.key for g in growth.judge([0, 86400], [5.0, 5.0], packed="air", gap_s=1e9)}


def test_what_ends_cooked_counts_only_poison():
    record, place = steady(15, 13), conditions(aw=0.985, ph=5.8)
    raw = exposure.judge(record, place, ["salmonella", "staphylococcus"])
    cooked = exposure.judge(record, place, ["salmonella", "staphylococcus"], cooked=True)
    assert [v.kind for v in raw] == ["practice", "practice"]
    assert [v.kind for v in cooked] == ["advice", "practice"]
    assert [v.level for v in cooked] == ["over", "over"]
    assert exposure.judge(record, conditions(aw=0.80, ph=5.8), ["salmonella", "staphylococcus"]) == ()


def test_out_of_the_cold():
    found = {v.rule.removeprefix("exposure."): v.level for v in exposure.judge_rule(steady(18, 5), "out")}
    assert found == {"out-four-hours": "over", "out-six-hours": "within", "out-two-hours": "over", "out-one-hour-hot": "within"}
    assert "out-six-hours" not in {v.rule.removeprefix("exposure.") for v in exposure.judge_rule(steady(24, 1), "out")}


@pytest.mark.parametrize(("hours", "level"), [(5.9, "within"), (6.1, "over")])
def test_come_up_of_a_warm_smoke(hours, level):
    (found,) = exposure.judge_rule(steady(30, hours), "come-up")
    assert found.level == level
