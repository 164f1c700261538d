"""Cooling as a job of its own: clocks, facts of a cure, holes, reheating, bands, probe error, bad input."""

import numpy as np
import pytest

from ingle.ground import tables
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.safety import cooling

HOUR = 3600.0


def falling(start=72.0, air=3.0, tau=1.5 * HOUR, hours=10, step=300.0):
    t = np.arange(0, hours * HOUR + 1, step)
    return t, air + (start - air) * np.exp(-t / tau)


def rules(found):
    return {(s.rule, s.segment): s for s in found}


def test_stages_carry_what_a_page_needs():
    for s in cooling.judge(*falling()):
        assert s.source in tables.sources() and s.clause and s.not_checked
        told = s.as_dict()
        assert {"rule", "clause", "from_c", "to_c", "allowed_s", "taken_s", "level", "not_checked"} <= set(told)


def test_closed_form_of_the_time_taken():
    """Exponential fall: t = tau ln((a - air)/(b - air))."""
    s = rules(cooling.judge(*falling(step=60.0)))[("fsis-1-1", "a")]
    a, b = (130 - 32) * 5 / 9, (80 - 32) * 5 / 9
    assert s.taken_s == pytest.approx(1.5 * HOUR * np.log((a - 3) / (b - 3)), abs=2)
    assert s.must_reach_by_s == pytest.approx(s.start_s + 1.5 * HOUR)


def test_a_log_that_begins_below_cannot_prove_the_first_stage():
    t, c = falling(start=53.0, tau=0.6 * HOUR)
    found = rules(cooling.judge(t, c))
    assert found[("fsis-1-1", "a")].level == "cannot_say" and "begins at 53.0" in " ".join(found[("fsis-1-1", "a")].not_checked)
    assert found[("fsis-1-1", "b")].level == "within"
    assert found[("fda", "a")].level == "cannot_say"
    slow = rules(cooling.judge(*falling(start=53.0, tau=6 * HOUR, hours=40)))
    assert slow[("fsis-1-1", "a")].level == "over"  # too long already in what was seen


def test_the_clocks_start_where_their_rules_say():
    """FSIS at 130 F, Food Code at 135 F, UK at 63 C."""
    t, c = np.array([0.0, HOUR]), np.array([70.0, 10.0])
    found = rules(cooling.judge(t, c, longest_gap_s=7200.0))
    for key, start in ((("fsis-1-1", "a"), 130), (("fda", "a"), 135)):
        assert found[key].start_s == pytest.approx((70 - (start - 32) * 5 / 9) / 60 * HOUR)
    assert found[("gb-90min", "all")].start_s == pytest.approx(7 / 60 * HOUR)


def test_cured_ways_need_the_nitrite_fact():
    t, c = falling(tau=3 * HOUR, hours=16)
    plain = rules(cooling.judge(t, c, countries=("us",)))
    assert ("fsis-1-3", "a") not in plain
    assert "ingoing nitrite was not told; judged as uncured" in " ".join(plain[("fsis-1-1", "a")].not_checked)
    weak = rules(cooling.judge(t, c, countries=("us",), nitrite_mg_per_kg=99.0))
    assert ("fsis-1-3", "a") not in weak and "is 99 mg/kg" in " ".join(weak[("fsis-1-1", "a")].not_checked)
    cured = rules(cooling.judge(t, c, countries=("us",), nitrite_mg_per_kg=100.0))
    assert cured[("fsis-1-3", "a")].level == "within" and "ascorbate" in " ".join(cured[("fsis-1-3", "a")].not_checked)
    assert ("fsis-1-3", "a") not in rules(cooling.judge(t, c, nitrite_mg_per_kg=100.0, ascorbate=False))


@pytest.mark.parametrize(
    ("facts", "used"),
    [
        ({"nitrite_mg_per_kg": 120.0, "brine_pct": 3.5}, True), ({"nitrite_mg_per_kg": 119.0, "brine_pct": 3.5}, False),
        ({"nitrite_mg_per_kg": 120.0, "brine_pct": 3.4}, False), ({"nitrite_mg_per_kg": 40.0, "brine_pct": 6.0}, True),
        ({"nitrite_mg_per_kg": 39.0, "brine_pct": 6.0}, False), ({"aw": 0.92}, True), ({"aw": 0.921}, False), ({}, False),
    ],
)  # fmt: skip
def test_three_doors_of_the_20_hour_rule(facts, used):
    """Cal. Code Regs. tit. 3 s. 910.15(b)."""
    found = rules(cooling.judge(*falling(tau=4 * HOUR, hours=24), countries=("us",), **facts))
    assert (("fsis-1-4", "all") in found) == used


def test_the_20_hour_rule_asks_for_a_continuous_drop():
    t, c = falling(tau=3 * HOUR, hours=20)
    facts = {"aw": 0.91, "countries": ("us",)}
    assert rules(cooling.judge(t, c, **facts))[("fsis-1-4", "all")].level == "within"
    bumped = c + np.where((t > 3 * HOUR) & (t < 4 * HOUR), 9.0, 0.0)
    broken = rules(cooling.judge(t, bumped, **facts))[("fsis-1-4", "all")]
    assert broken.level == "cannot_say" and "surface" in broken.not_checked[0]


def test_one_way_of_an_authority_is_enough():
    t, c = falling(tau=3 * HOUR, hours=20)
    uncured, cured = (cooling.judge(t, c, countries=("us",), **f) for f in ({}, {"nitrite_mg_per_kg": 150.0}))
    fsis = [s for s in cured if s.group == "us-fsis"]
    assert cooling.worst([s for s in uncured if s.group == "us-fsis"]) == "over"
    assert cooling.worst(fsis) == "within" and cooling.strictest(fsis) == "fsis-1-3"
    assert cooling.worst(cured) == "over"  # the Food Code has no cured way


def test_no_country_named_takes_the_strictest_and_says_so():
    found = cooling.judge(*falling())
    marked = {s.rule for s in found if s.strictest}
    assert marked == {cooling.strictest(found)} and "no country was named" in " ".join(found[0].not_checked)
    assert not any(s.strictest for s in cooling.judge(*falling(), countries=("us",)))
    assert {s.country for s in cooling.judge(*falling(), countries=("gb",))} == {"gb"}
    other = cooling.judge(*falling(), countries=("eu",))
    assert len(other) == len(found) and "none on cooling is carried" in " ".join(other[0].not_checked)


def test_probe_error_and_band_upwards():
    t, c = falling(tau=1.7 * HOUR, hours=14, step=60.0)
    key = ("fsis-1-1", "b")
    plain = rules(cooling.judge(t, c))[key]
    off = rules(cooling.judge(t, c, probe_error_c=0.8))[key]
    assert plain.level == "over" or off.taken_s > plain.taken_s
    edge = next(x for x in np.arange(0.5, 3, 0.01) if rules(cooling.judge(*falling(tau=x * HOUR)))[key].level == "over") - 0.011
    t, c = falling(tau=edge * HOUR)
    assert rules(cooling.judge(t, c))[key].level == "within"
    assert rules(cooling.judge(t, c, probe_error_c=0.5))[key].level == "near"
    assert rules(cooling.judge(t, c, celsius_low=c - 0.5, celsius_high=c + 0.5))[key].level == "near"


def test_a_record_that_ends_too_early():
    t, c = falling(hours=1)
    first = rules(cooling.judge(t, c))[("fsis-1-1", "a")]
    assert first.level == "cannot_say" and first.must_reach_by_s > t[-1] and "Bring the core to 26.7 C" in first.act
    warm = rules(cooling.judge(*falling(air=30.0, hours=4)))[("fsis-1-1", "a")]
    assert warm.level == "over" and warm.taken_s > 1.5 * HOUR


def test_holes_take_the_worst_end():
    t, c = falling(tau=0.9 * HOUR, step=60.0)
    key = ("fsis-1-1", "a")
    whole = rules(cooling.judge(t, c))[key]
    crossing = whole.start_s + whole.taken_s
    holed = (t < crossing - 900) | (t > crossing + 3000)
    v = rules(cooling.judge(t[holed], c[holed]))[key]
    assert whole.level == "within" and v.level in ("cannot_say", "within") and v.taken_s > whole.taken_s
    wide = (t < crossing - 600) | (t > whole.start_s + 1.6 * HOUR)
    assert rules(cooling.judge(t[wide], c[wide]))[key].level == "cannot_say"


def test_heated_again():
    """Only what follows the hottest reading is judged, and it is said that heat does not undo the first cooling."""
    t = np.arange(0, 14 * HOUR, 300.0)
    c = np.interp(t / HOUR, [0, 5, 6, 7, 8, 12, 14], [70, 20, 75, 50, 20, 3, 3])
    found = cooling.judge(t, c, countries=("us",))
    assert rules(found)[("fsis-1-1", "a")].level == "within"
    assert "does not undo" in " ".join(found[0].not_checked)
    c = np.interp(t / HOUR, [0, 1, 2, 3, 4, 12, 14], [75, 20, 60, 50, 20, 3, 3])
    again = cooling.judge(t, c, countries=("us",))
    assert "clocks ran on" in " ".join(again[0].not_checked)
    restarted = cooling.judge(t, c, countries=("us",), start_s=2 * HOUR)
    assert rules(restarted)[("fsis-1-1", "a")].start_s > 2 * HOUR > rules(again)[("fsis-1-1", "a")].start_s


def test_cook_end_is_asked_where_the_record_does_not_show_it():
    t = np.arange(0, 12 * HOUR, 300.0)
    c = np.interp(t / HOUR, [0, 3, 3.5, 5, 12], [4, 68, 69, 30, 3])
    key = ("ccfra-uncured-most", "a")
    assert "when the heat was turned off" in " ".join(rules(cooling.judge(t, c))[key].not_checked)
    assert rules(cooling.judge(t, c))[key].level == "cannot_say"
    told = rules(cooling.judge(t, c, cook_end_s=3 * HOUR))[key]
    assert told.level == "within" and told.start_s == 3 * HOUR


def test_a_cook_below_the_rules_first_temperature_starts_with_the_end_of_the_heat():
    t = np.arange(0, 14 * HOUR, 300.0)
    c = np.interp(t / HOUR, [0, 2, 6, 7, 11, 14], [4, 58, 58, 20, 3, 3])
    assert rules(cooling.judge(t, c, cook_end_s=6 * HOUR))[("anz", "a")].start_s == 6 * HOUR
    assert rules(cooling.judge(t, c))[("anz", "a")].level == "cannot_say"


@pytest.mark.parametrize("start", [5.0, 12.0, 20.0, 40.0])
def test_what_was_never_heated_starts_no_clock_of_cooked_food(start):
    """54.4 C and the others were never met: not within after 0 h, not over by the hours from 20 to 4 C."""
    t, c = falling(start=start, tau=4 * HOUR, hours=40)
    found = cooling.judge(t, c)
    clocks = [s for s in found if s.allowed_s is not None]
    assert {s.level for s in clocks} == {"cannot_say"} and all(s.taken_s is None and s.start_s is None for s in clocks)
    assert all("does not begin" in s.not_checked[0] for s in clocks) and cooling.NOT_COOKED in found[0].not_checked
    assert cooling.worst(found) == "cannot_say"


def test_a_cooked_piece_that_stands_at_20_c_has_its_seen_hours_counted():
    t, c = falling(start=20.0, tau=4 * HOUR, hours=40)
    found = rules(cooling.judge(t, c, cooked=True))
    assert found[("fsis-1-1", "b")].level == "over" and found[("fsis-1-1", "a")].level == "cannot_say"


def test_never_cooked_goes_by_the_rule_for_such_food_alone():
    """Food Code 3-501.14(B): 4 h to 41 F from ingredients at the temperature of the room."""
    t, c = falling(start=20.0, tau=4 * HOUR, hours=40)
    found = cooling.judge(t, c, cooked=False)
    assert {s.rule for s in found} == {"fda-b", "gb-8c"} and cooling.worst(found) == "over"
    assert cooling.worst(cooling.judge(*falling(start=20.0, tau=HOUR, hours=40), cooked=False)) == "within"


def test_a_cook_that_ended_below_the_first_temperature_says_from_when_it_counts():
    t = np.arange(0, 14 * HOUR, 300.0)
    c = np.interp(t / HOUR, [0, 6, 7, 11, 14], [50, 50, 20, 3, 3])
    found = rules(cooling.judge(t, c, cook_end_s=6 * HOUR))[("fsis-1-1", "a")]
    assert found.start_s == 6 * HOUR and "never stood at 54.4 C" in found.not_checked[0]


def test_slower_is_never_better():
    order = {"within": 0, "cannot_say": 1, "near": 1, "over": 2}
    last = None
    for tau in np.arange(0.3, 4, 0.3):
        now = {k: order[s.level] for k, s in rules(cooling.judge(*falling(tau=tau * HOUR, hours=40, step=600.0))).items()}
        assert last is None or all(now[k] >= last[k] for k in last if k[0] != "gb-8c")
        last = now


def test_a_fridge_at_39_is_fahrenheit():
    t = np.arange(0, 12 * HOUR, 300.0)
    f = 39 + 76 * np.exp(-t / HOUR)
    with pytest.raises(BadBrief, match="a fridge at 39 is Fahrenheit"):
        cooling.judge(t, f)
    assert cooling.judge(t, f, is_celsius=True)


def test_what_cannot_be_is_refused():
    t, c = falling()
    for more, error in (
        ({"probe_error_c": -0.5}, OutOfRange), ({"aw": 1.5}, OutOfRange), ({"brine_pct": 80.0}, OutOfRange),
        ({"nitrite_mg_per_kg": -5.0}, OutOfRange), ({"countries": ("mars",)}, BadBrief), ({"start_s": 1e9}, BadBrief),
    ):  # fmt: skip
        with pytest.raises(error):
            cooling.judge(t, c, **more)
    with pytest.raises(OutOfRange, match="absolute zero"):
        cooling.judge(t, c - 400)
    with pytest.raises(OutOfRange, match="Fahrenheit"):
        cooling.judge(t, c * 9 / 5 + 32)
