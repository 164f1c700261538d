"""Growth along records: directions, worst place, four answers, unmeasured factors, bands, spread, speed of the counting."""

import math
import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.ground.errors import BadBrief, OutOfRange
from ingle.physics.growth_curve import LN10
from ingle.safety import germs, growth, growth_rate
from ingle.safety.conditions import conditions
from ingle.safety.growth_answer import ANSWERS, LEVEL_OF

DAY = 86400.0
EXACT = {"probe_error_c": 0.0, "aw_error": 0.0, "ph_error": 0.0}
BEST_C = {"listeria": 37.0, "salmonella": 38.0, "yersinia": 37.0, "staphylococcus": 40.0, "perfringens": 43.0}
DRAW = {"aw": st.floats(0.90, 0.995), "ph": st.floats(4.6, 6.6), "celsius": st.floats(-3.0, 34.0)}


def one(germ, seconds, celsius, **more):
    (found,) = growth.judge(seconds, celsius, organisms=[germ], gap_s=1e9, **(EXACT | more))
    return found


@given(germ=st.sampled_from(germs.FORECAST), warmer=st.floats(0.1, 8.0), **DRAW)
def test_warmer_is_never_less_growth_below_the_best_temperature(germ, warmer, celsius, aw, ph):
    high = min(celsius + warmer, BEST_C[germ])
    cold, warm = (one(germ, [0, DAY], [c, c], aw=aw, ph=ph) for c in (min(celsius, high), high))
    assert warm.log10 >= cold.log10 - 1e-9
    assert warm.log10_high >= cold.log10_high - 1e-9


@given(germ=st.sampled_from(germs.FORECAST), drier=st.floats(0.0005, 0.03), **DRAW)
def test_less_water_is_never_more_growth(germ, drier, celsius, aw, ph):
    wet, dry = (one(germ, [0, 4 * DAY], [celsius, celsius], aw=a, ph=ph) for a in (aw, aw - drier))
    assert dry.log10 <= wet.log10 + 1e-9


@given(germ=st.sampled_from(germs.FORECAST), salt=st.floats(0.0, 12.0), more=st.floats(0.1, 6.0), celsius=DRAW["celsius"])
def test_more_salt_is_never_more_growth(germ, salt, more, celsius):
    little, much = (one(germ, [0, 4 * DAY], [celsius, celsius], wps=w, ph=5.8) for w in (salt, salt + more))
    assert much.log10 <= little.log10 + 1e-9


@given(nitrite=st.floats(0.0, 200.0), more=st.floats(1.0, 200.0))
def test_more_nitrite_left_is_never_more_growth_of_listeria_and_nothing_to_staphylococcus(nitrite, more):
    for germ, same in (("listeria", False), ("staphylococcus", True)):
        a, b = (one(germ, [0, 5 * DAY], [12, 12], aw=0.98, ph=5.8, nitrite=n) for n in (nitrite, nitrite + more))
        assert b.log10 <= a.log10
        assert (a.log10 == b.log10) is same


@given(germ=st.sampled_from(germs.FORECAST), readings=st.lists(st.floats(-20.0, 45.0), min_size=3, max_size=12), cut=st.integers(1, 10))
def test_growth_work_adds_up_and_grows_with_time(germ, readings, cut):
    """Without a ceiling, the growth of two parts is the growth of the whole, to the error of the counting."""
    times = np.arange(len(readings)) * 6 * 3600.0
    at = min(cut, len(readings) - 2)
    free = {"aw": 0.985, "ph": 6.0, "start_log10": -200.0}
    whole = one(germ, times, readings, **free)
    parts = [one(germ, times[: at + 1], readings[: at + 1], **free), one(germ, times[at:], readings[at:], **free)]
    assert whole.log10 == pytest.approx(sum(p.log10 for p in parts), abs=2e-4)
    assert parts[0].log10 <= whole.log10 + 2e-4


def test_readings_put_on_straight_lines_change_nothing():
    t, c = np.array([0.0, 9, 20, 48]) * 3600, np.array([3.0, 14.0, 6.0, 5.0])
    fine = np.arange(0, 48 * 3600 + 1, 10.0)
    for germ in germs.FORECAST:
        a, b = one(germ, t, c, aw=0.98, ph=5.9), one(germ, fine, np.interp(fine, t, c), aw=0.98, ph=5.9)
        assert a.log10 == pytest.approx(b.log10, rel=2e-4, abs=1e-6)


def test_the_counting_against_a_plain_sum_of_a_noisy_record():
    """30 days of 10 s steps: the sum over temperatures is within 1e-5 of Simpson's rule over every reading."""
    t = np.arange(0, 30 * DAY, 10.0)
    c = 5 + 1.5 * np.sin(t / 860) + np.random.default_rng(4).normal(0, 0.2, t.size)
    place = conditions(aw=0.98, ph=5.8)
    for germ in ("listeria", "salmonella", "yersinia"):
        mu, middle = (growth_rate.rate(germ, x, place) for x in (c, (c[1:] + c[:-1]) / 2))
        plain = float((np.diff(t) * (mu[1:] + 4 * middle + mu[:-1]) / 6).sum()) / LN10
        told = one(germ, t, c, aw=0.98, ph=5.8, start_log10=-500.0).log10
        assert told == pytest.approx(plain, rel=1e-5)


def test_worst_place_is_named_and_is_not_the_mean():
    """Core raw, surface salted: the mean of both is below the line, the core is above it, and the core is printed."""
    t, c = [0, 5 * DAY], [6.0, 6.0]
    place = {"aw": [0.935, 0.990], "ph": [5.6, 5.9], "places": ["surface", "core"]}
    found = one("listeria", t, c, **place)
    mean = one("listeria", t, c, aw=np.mean(place["aw"]), ph=np.mean(place["ph"]))
    assert found.place == "core" and "at the core" in found.text
    assert (found.level, mean.level) == ("over", "near")
    assert found.log10 > 1.0 > mean.log10
    assert found.log10 == one("listeria", t, c, aw=0.990, ph=5.9).log10


def test_worst_place_by_its_own_temperature():
    found = one("salmonella", [0, DAY], [[4.0, 4.0], [15.0, 15.0], [8.0, 8.0]], aw=0.985, ph=5.8, places=["core", "surface", "rind"])
    assert found.place == "surface"


def test_conditions_that_move_along_the_record():
    """A core that takes its salt: growth stands still once the water activity is too low, and lies between the two ends."""
    t = np.linspace(0, 6 * DAY, 200)
    falling = np.interp(t, [0, 3 * DAY], [0.992, 0.93])
    c = np.full(t.size, 8.0)
    told = one("listeria", t, c, aw=falling[None, :], ph=5.8)
    raw, salted = (one("listeria", t, c, aw=a, ph=5.8) for a in (0.992, 0.93))
    assert salted.log10 < told.log10 < raw.log10
    steady = one("listeria", t, c, aw=np.full((1, t.size), 0.985), ph=5.8)
    assert steady.log10 == pytest.approx(one("listeria", t, c, aw=0.985, ph=5.8).log10, rel=1e-6)


@pytest.mark.parametrize(
    ("celsius", "aw", "answer", "level"),
    [(-10.0, 0.98, "outside_range", "within"), (4.0, 0.90, "outside_range", "within"), (3.0, 0.95, "below", "within"), (7.0, 0.985, "above", "over")],
)
def test_answers(celsius, aw, answer, level):
    found = one("listeria", [0, 5 * DAY], [celsius, celsius], aw=aw, ph=5.8)
    assert (found.answer, found.level) == (answer, level)
    assert LEVEL_OF[answer] == level


def test_spread_that_touches_the_line_is_near():
    found = one("listeria", [0, 5 * DAY], [3.5, 3.5], aw=0.975, ph=5.8)
    assert found.log10 < found.line < found.log10_high
    assert (found.answer, found.level) == ("below", "near")


def test_spread_is_one_and_a_half_at_one_sigma():
    found = one("listeria", [0, DAY], [5.0, 5.0], aw=0.98, ph=5.8, start_log10=-100)
    assert found.log10_high / found.log10 == pytest.approx(1.5**1.6449, rel=1e-4)
    assert found.log10 / found.log10_low == pytest.approx(1.5**1.6449, rel=1e-4)


def test_errors_of_readings_widen_the_spread_as_drawing_them_does():
    """20,000 draws of rate, water activity, pH and thermometer against the sum over their few points."""
    rng = np.random.default_rng(3)
    n, sd = 20_000, 1 / 1.6449
    aw, ph, off = 0.965 + 0.01 * sd * rng.normal(size=n), 5.8 + 0.2 * sd * rng.normal(size=n), sd * rng.normal(size=n)
    place = conditions(aw=np.clip(aw, 0.5, 1), ph=ph)
    drawn = growth_rate.rate("listeria", 6.0 + off, place) * 3 * DAY / LN10 * 1.5 ** rng.normal(size=n)
    (found,) = growth.judge([0, 3 * DAY], [6.0, 6.0], aw=0.965, ph=5.8, organisms=["listeria"], gap_s=1e9, start_log10=-100,
                            aw_error=0.01, ph_error=0.2, probe_error_c=1.0)  # fmt: skip
    low, high = np.quantile(drawn, (0.05, 0.95))
    assert found.log10_low == pytest.approx(low, rel=0.05)
    assert found.log10_high == pytest.approx(high, rel=0.03)


def test_at_the_boundary_no_zero_is_told():
    """psi 0.9 to 1.1: near, whatever the rate says, and the sentence says so."""
    for aw in np.arange(0.93, 0.98, 0.0005):
        found = one("listeria", [0, DAY], [1.0, 1.0], aw=aw, ph=5.4)
        if 0.9 <= found.psi < 1.1:
            assert found.interface == "at the boundary" and found.level == "near"
            assert "At the boundary" in found.text or found.log10_high < 1e-6
            break
    else:
        pytest.fail("no water activity at the boundary")


def test_no_layer_overrides_a_worse_answer():
    """A made-up line of nothing: growth that the model tells outside the published range still counts."""
    found = one("staphylococcus", [0, 300 * DAY], [30.0, 30.0], aw=0.82, ph=6.5)
    assert found.ruled_out_by == "water activity beyond 0.83"
    assert found.log10 > found.line
    assert (found.answer, found.level) == ("above", "over")


def test_unmeasured_factors_take_the_end_that_favours_growth_and_are_named():
    found = one("listeria", [0, 6 * DAY], [5.0, 5.0])
    worst = one("listeria", [0, 6 * DAY], [5.0, 5.0], aw=0.995, ph=6.0)
    assert found.log10 == pytest.approx(worst.log10)
    assert any("water activity not known" in a for a in found.assumed) and any("pH not known" in a for a in found.assumed)
    assert any("nitrite" in a and "not counted" in a for a in found.assumed)


def test_cannot_say_names_the_one_reading_that_settles_it():
    found = one("listeria", [0, 6 * DAY], [5.0, 5.0], ph=5.8)
    assert (found.answer, found.level) == ("cannot_say", "cannot_say")
    assert "water activity" in found.settle and found.settle in found.act
    assert one("listeria", [0, 6 * DAY], [5.0, 5.0], ph=5.8, aw=0.95).answer == "below"
    hopeless = one("listeria", [0, 60 * DAY], [9.0, 9.0], ph=5.8)
    assert hopeless.level == "over"  # above at either end: no reading would help


def test_dark_meat_is_stricter():
    assert one("yersinia", [0, DAY], [5, 5], aw=0.99, dark=True).log10 > one("yersinia", [0, DAY], [5, 5], aw=0.99).log10


def test_a_band_of_a_hand_thermometer():
    found = {g.key: g for g in growth.judge_band(72, 3.0, 12.0, aw=0.98, ph=5.8)}
    listeria = found["listeria"]
    assert listeria.level == "cannot_say" and "logger" in listeria.settle
    ends = [{g.key: g for g in growth.judge_band(72, c, c, aw=0.98, ph=5.8)}["listeria"] for c in (3.0, 12.0)]
    assert listeria.log10_low == pytest.approx(ends[0].log10_low) and listeria.log10_high == pytest.approx(ends[1].log10_high)
    assert {g.key: g for g in growth.judge_band(24, 2.0, 3.0, aw=0.975, ph=5.7)}["listeria"].level == "within"
    assert {g.key: g for g in growth.judge_band(72, 12.0, 15.0, aw=0.98, ph=5.8)}["salmonella"].level == "over"
    for bad in ((72, 12.0, 3.0), (0, 3.0, 4.0), (math.nan, 3.0, 4.0)):
        with pytest.raises(OutOfRange):
            growth.judge_band(*bad, aw=0.98)


def test_warm_beyond_the_model_counts_at_the_fastest_rate_known_and_says_so():
    found = one("listeria", [0, 3600, 7200], [30.0, 36.0, 36.0], aw=0.98, ph=5.8)
    assert any("outside range of the model" in n for n in found.notes)
    at_30 = one("listeria", [0, 3600, 7200], [30.0, 30.0, 30.0], aw=0.98, ph=5.8)
    assert found.log10 > at_30.log10
    assert one("listeria", [0, 7200], [46.0, 46.0], aw=0.98, ph=5.8).log10 == 0.0  # beyond the highest published


def test_lag_is_told_beside_and_never_judged():
    found = one("listeria", [0, 5 * DAY], [7.0, 7.0], aw=0.985, ph=5.8)
    assert found.log10_with_lag < found.log10
    assert found.level == "over"


def test_time_to_the_line():
    found = one("salmonella", [0, 4 * DAY], [15.0, 15.0], aw=0.99, ph=5.8, start_log10=-100)
    again = one("salmonella", [0, found.hours_to_line * 3600], [15.0, 15.0], aw=0.99, ph=5.8, start_log10=-100)
    assert again.log10 == pytest.approx(1.0, abs=1e-3)


WEEK = {"aw": 0.995, "ph": 6.0}  # a raw core: about 2 log of Listeria in five days at 5 C


def test_a_callers_line_may_be_stricter():
    found = one("listeria", [0, DAY], [5, 5], **WEEK, lines={"listeria": 0.1}, why="asked by the cook")
    assert one("listeria", [0, DAY], [5, 5], **WEEK).level != "over"
    assert found.level == "over" and found.line == 0.1 and "asked by the cook" in found.line_clause and found.notes == ()


@pytest.mark.parametrize(("germ", "cooked", "most"), [("listeria", False, 1.0), ("listeria", True, 3.0), ("staphylococcus", False, 2.0), ("staphylococcus", True, 2.0)])
def test_a_callers_line_is_never_laxer_than_the_one_in_force(germ, cooked, most):
    """The display lines, and where a cook comes before the table 3 log; never for a germ whose poison outlasts the cook."""
    found = one(germ, [0, 8 * DAY], [12, 12], **WEEK, cooked=cooked, lines={germ: 9.0}, why="a wish")
    assert (found.line, found.level) == (most, "over")
    assert any("9 log was asked" in note for note in found.notes) and "wish" not in found.line_clause + found.text


@pytest.mark.parametrize("cooked", [False, True])
def test_a_cook_to_come_moves_no_line_by_itself(cooked):
    assert one("listeria", [0, DAY], [5, 5], **WEEK, cooked=cooked).line == 1.0


@pytest.mark.parametrize("lines", [{"listeria": 0.0}, {"listeria": float("nan")}, {"yeast": 1.0}, {"botulinum-2": 1.0}])
def test_a_line_that_is_none_is_refused(lines):
    with pytest.raises(BadBrief if set(lines) - {"listeria"} else OutOfRange):
        one("listeria", [0, DAY], [5, 5], **WEEK, lines=lines)


@pytest.mark.parametrize("kw", [{"organisms": ["yeast"]}, {"packed": "jar"}, {"meat": "dodo"}, {"places": ["a", "b"], "aw": [0.9, 0.9, 0.9]}])
def test_refused_by_name(kw):
    with pytest.raises(BadBrief) as why:
        growth.judge([0, 3600], [4, 4], **kw)
    assert why.value.field and why.value.remedy


@pytest.mark.parametrize("kw", [{"aw": 1.2}, {"ph": 58}, {"nitrite": -5}, {"wps": 40}, {"probe_error_c": -1}])
def test_values_out_of_range(kw):
    with pytest.raises(OutOfRange):
        growth.judge([0, 3600], [4, 4], **kw)


def every_sentence():
    t = np.arange(0, 6 * DAY, 600.0)
    for c in (t * 0 - 18.0, 4 + 2 * np.sin(t / 3000), t * 0 + 9.0, t * 0 + 24.0, t * 0 + 38.0):
        for kw in ({}, {"aw": 0.91, "ph": 5.5}, {"aw": [0.95, 0.985], "ph": 5.8, "places": ["core", "surface"]}, {"wps": 3.6, "ph": 5.2}):
            for packed in growth.PACKS:
                for g in growth.judge(t, c, packed=packed, organisms=(*germs.NAMES,), **kw):
                    yield g, (g.text, g.act, g.settle, *g.assumed, *g.notes, *g.not_checked, g.doubt)


NOT_SAID = re.compile(r"\b(safe|safely|risk.free|kills?|passes|guarantee\w*|harmless|sterile|all.clear)\b|\bOK\b", re.IGNORECASE)


def test_every_sentence_keeps_to_what_may_be_said():
    seen = set()
    for g, sentences in every_sentence():
        seen.add((g.key, g.answer))
        for text in sentences:
            assert not NOT_SAID.search(text), text
            assert "!" not in text and "  " not in text and "%s" not in text, text
        assert g.answer in ANSWERS and g.not_checked
        if "no growth" in g.text:
            assert g.organism in g.text and "model" in g.text
        assert g.text.startswith(f"{g.organism}: ") and g.text.endswith(".")
        if g.log10 is not None and g.answer in ("below", "above") and g.log10_high > 1e-6 and g.interface != "no growth in that model":
            assert re.search(r"predicted gain .*\(95 %: .*\) over .* at .* C.*(pH|water activity).*Compared with the", g.text), g.text
        if g.answer == "cannot_say":
            assert g.settle and g.act
        if g.hard_stop:
            assert g.level == "over" and "Do not taste" in g.act
    assert {a for _, a in seen} == set(ANSWERS)
