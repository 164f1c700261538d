"""Lethality as a job of its own: traps, bands, probe error, holes, conditions, bad input."""

import numpy as np
import pytest

from ingle.ground import tables
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.safety import freezing, lethality
from ingle.safety.lethality_rules import all_rules
from ingle.safety.thermal_record import held, read, time_between

HOUR = 3600.0


def roast(top=65.0, tau=HOUR, hours=4, step=60.0):
    t = np.arange(0, hours * HOUR + 1, step)
    return t, 4 + (top - 4) * (1 - np.exp(-t / tau))


def by_rule(*args, **more):
    return {v.rule: v for v in lethality.judge(*args, **more)}


def steady(celsius, minutes, step=60.0):
    t = np.arange(0, minutes * 60 + 1, step)
    return t, np.full(t.size, float(celsius))


def test_named_rules_stand_side_by_side_and_the_strictest_is_marked():
    found = lethality.judge(*roast(), product="pork")
    assert {"fsis-meat-6-5-log", "us-whole-cut", "gb-70c-2min", "trichinae-heat", "come-up"} <= {v.rule for v in found}
    assert sum(v.more["strictest"] for v in found) == 1
    assert lethality.strictest(found).country == "gb"
    for v in found:
        assert v.not_checked and v.source in tables.sources() and v.clause and v.more["side"] in ("min", "max")


def test_an_interrupted_hold_is_not_added_together():
    """Two holds of 7 min at 60 C with a dip between: the table asks 12 in one stretch."""
    t = np.arange(0, 30 * 60 + 1, 30.0)
    c = np.where((t > 450) & (t < 900), 59.0, 60.0)
    c[t > 1300] = 50
    found = by_rule(t, c, rules=("fsis-meat-6-5-log",))
    assert found["fsis-meat-6-5-log"].level == "over" or found["fsis-meat-6-5-log"].more["at_c"] < 60
    assert held(read(t, c), 60.0) < 8 * 60


def test_below_the_first_row_nothing_is_credited():
    """54.4 C is the floor: a day at 54 C adds up to nothing."""
    found = by_rule(*steady(54.0, 24 * 60), rules=("fsis-meat-6-5-log",))
    assert found["fsis-meat-6-5-log-added-up"].value == 0.0
    assert found["fsis-meat-6-5-log"].level == "over" and found["fsis-meat-6-5-log"].more["held_s"] == 0


def test_probe_error_is_taken_off():
    """12 min at 60 C by a probe that may read 1 K high: near, and the figures are those of 59 C."""
    plain = by_rule(*steady(60.0, 12), rules=("fsis-meat-6-5-log",))
    off = by_rule(*steady(60.0, 12), rules=("fsis-meat-6-5-log",), probe_error_c=1.0)
    assert plain["fsis-meat-6-5-log"].level == "within" and off["fsis-meat-6-5-log"].level == "near"
    ratio = plain["fsis-meat-6-5-log-added-up"].value / off["fsis-meat-6-5-log-added-up"].value
    assert ratio == pytest.approx(10 ** (1 / 5.56), rel=1e-6)  # a factor of 1.51 for one kelvin
    assert by_rule(*steady(58.0, 12), rules=("fsis-meat-6-5-log",), probe_error_c=1.0)["fsis-meat-6-5-log"].level == "over"


def test_a_band_that_touches_the_line_is_near():
    t, c = steady(60.0, 12)
    for low, level in ((c, "within"), (c - 1, "near")):
        assert by_rule(t, c, celsius_low=low, celsius_high=c + 1, rules=("fsis-meat-6-5-log",))["fsis-meat-6-5-log"].level == level
    assert by_rule(t, c - 2, celsius_low=c - 3, celsius_high=c + 1, rules=("fsis-meat-6-5-log",))["fsis-meat-6-5-log"].level == "over"


def test_holes_are_not_credited():
    t, c = steady(60.0, 13)
    kept = (t < 200) | (t > 700)
    found = by_rule(t[kept], c[kept], rules=("fsis-meat-6-5-log",), longest_gap_s=300.0)
    v = found["fsis-meat-6-5-log"]
    assert v.level == "cannot_say" and "hole" in " ".join(v.not_checked)
    assert v.more["held_s"] <= 200 and found["fsis-meat-6-5-log-added-up"].level == "cannot_say"
    lost = c.copy()
    lost[5:12] = np.nan
    assert "lost" in " ".join(by_rule(t, lost, rules=("fsis-meat-6-5-log",))["fsis-meat-6-5-log"].not_checked)


def test_a_dried_surface_cooked_dry_gets_no_credit():
    cook, rules = roast(75.0), ("fsis-meat-6-5-log",)
    said = {"dried_before": True}
    assert by_rule(*cook, rules=rules, **said)["fsis-meat-6-5-log"].level == "cannot_say"
    assert by_rule(*cook, rules=rules, moist="dry", **said)["fsis-meat-6-5-log-added-up"].level == "cannot_say"
    assert by_rule(*cook, rules=rules, moist="sealed", **said)["fsis-meat-6-5-log"].level == "cannot_say"
    assert by_rule(*cook, rules=rules, moist="humid", **said)["fsis-meat-6-5-log"].level == "within"
    assert by_rule(*cook, rules=rules, moist="dry", surface_aw=0.97)["fsis-meat-6-5-log"].level == "within"
    assert by_rule(*cook, rules=rules, moist="dry", surface_aw=0.959)["fsis-meat-6-5-log"].level == "cannot_say"
    asked = " ".join(by_rule(*cook, rules=rules)["fsis-meat-6-5-log"].not_checked)
    assert "dried" in asked and "moist" in asked


@pytest.mark.parametrize(("hours", "level"), [(5.9, "within"), (6.0, "within"), (6.1, "over")])
def test_come_up_from_50_to_130_fahrenheit(hours, level):
    """FSIS-GD-2021-0014 pp. 23-24."""
    t = np.union1d(np.linspace(0, (hours + 1) * HOUR, 200), [0.5 * HOUR, (hours + 0.5) * HOUR])
    c = np.interp(t, [0, 0.5 * HOUR, (hours + 0.5) * HOUR, (hours + 1) * HOUR], [4, 10.0, (130 - 32) * 5 / 9, 65])
    v = by_rule(t, c)["come-up"]
    assert v.level == level and v.value == pytest.approx(hours, rel=1e-6)


def test_come_up_that_the_record_does_not_show():
    assert by_rule(*steady(60.0, 30))["come-up"].level == "cannot_say"
    t, c = roast(50.0)
    assert by_rule(t, c)["come-up"].level == "cannot_say"
    assert by_rule(*roast(50.0, hours=9))["come-up"].level == "over"


def test_trichinae_come_up_is_waived_for_cured_pork():
    slow = roast(62.0, tau=3 * HOUR, hours=20)
    assert by_rule(*slow)["trichinae-come-up"].level == "over"
    assert "trichinae-come-up" not in by_rule(*slow, cured=True)
    assert by_rule(*slow)["trichinae-heat"].kind == "advice" and "Reserved" in by_rule(*slow)["trichinae-heat"].doubt


def test_cured_birds_only_when_told():
    cook = steady(69.0, 5)
    assert by_rule(*cook, product="poultry", rules=("fsis-poultry-cured-smoked",))["fsis-poultry-cured-smoked"].level == "cannot_say"
    assert by_rule(*cook, product="poultry", rules=("fsis-poultry-cured-smoked",), cured=True)["fsis-poultry-cured-smoked"].level == "within"


def test_the_meat_table_is_refused_for_poultry():
    with pytest.raises(BadBrief, match="not for poultry"):
        lethality.judge(*roast(), product="poultry", rules=("fsis-meat-6-5-log",))


def test_hotter_or_longer_is_never_worse():
    order = {"over": 0, "cannot_say": 1, "near": 2, "within": 3}
    t = np.arange(0, 3 * HOUR, 60.0)
    for product in ("pork", "burger", "poultry"):
        last = None
        for top in np.arange(50, 80, 1.5):
            now = {v.rule: order[v.level] for v in lethality.judge(t, 4 + (top - 4) * (1 - np.exp(-t / 2000)), product=product)}
            if last:
                assert all(now[k] >= last[k] for k in last if "come-up" not in k)
            last = now


@pytest.mark.parametrize(
    ("seconds", "celsius", "error", "says"),
    [
        ([0, 60], [60.0], BadBrief, "1"),
        ([0, 60, 60], [60, 60, 60], BadBrief, "do not rise"),
        ([0, 60, 30], [60, 60, 60], BadBrief, "do not rise"),
        ([0, np.nan], [60, 60], BadBrief, "no time"),
        ([0, 60], [np.nan, 60], BadBrief, "two or more"),
        ([0, 60], [60, -300], OutOfRange, "absolute zero"),
        ([0, 60], [60, -127], OutOfRange, "freezer"),
        ([0, 60], [60, 333.15], OutOfRange, "kelvin"),
        ([0, 60], [60, 150], OutOfRange, "Fahrenheit"),
        ([0, 60], [60, np.inf], OutOfRange, "celsius reads inf"),
        ([[0, 60]], [[60, 60]], BadBrief, "dimensions"),
        (["a", "b"], [60, 60], BadBrief, "no number"),
    ],
)
def test_what_cannot_be_a_record_is_refused(seconds, celsius, error, says):
    with pytest.raises(error, match=says) as caught:
        lethality.judge(seconds, celsius)
    assert caught.value.field in ("seconds", "celsius")


def test_words_that_are_not_known_are_refused():
    for more in ({"product": "tofu"}, {"rules": ("nice",)}, {"moist": "damp"}, {"countries": ("mars",)}):
        with pytest.raises(BadBrief):
            lethality.judge(*roast(), **more)
    for more in ({"probe_error_c": -1.0}, {"probe_error_c": 40.0}, {"surface_aw": 1.2}):
        with pytest.raises(OutOfRange):
            lethality.judge(*roast(), **more)
    t, c = roast()
    with pytest.raises(BadBrief, match="turned over"):
        lethality.judge(t, c, celsius_low=c + 1)


def test_a_jump_is_named():
    t, c = roast()
    c[100] = 10.0
    assert "jump" in " ".join(lethality.judge(t, c)[0].not_checked)


def test_freezing_of_game_is_never_credited_and_thin_needs_its_thickness():
    t = np.arange(0, 31 * 86400.0, HOUR)
    c = np.full(t.size, -18.0)
    assert {v.level for v in freezing.judge(t, c, place="core", game=True)} == {"cannot_say"}
    assert [v.rule for v in freezing.judge(t, c, place="room", countries=("us",))] == ["trichinae-freeze-thick"]
    assert [v.rule for v in freezing.judge(t, c, place="room", countries=("us",), thickness_mm=60)] == ["trichinae-freeze-thin"]
    with pytest.raises(BadBrief):
        freezing.judge(t, c, place="fridge")


def test_time_between_counts_crossings_both_ways():
    record = read([0, 100, 200, 300], [0, 20, 0, 20], longest_gap_s=1000)
    assert time_between(record, 5, 15) == pytest.approx(150)


def test_all_rules_can_be_asked_for():
    t, c = roast(95.0)
    for rule in all_rules():
        found = lethality.judge(t, c, product=rule.products[0], rules=(rule.key,), cured=True)
        assert rule.key in found[0].rule and found[0].level in ("within", "over")


def test_freezing_takes_the_probe_error_upwards():
    """106 h at exactly 0 F by a probe that may read 1 K low is near; at -3 C it is over either way."""
    t = np.linspace(0, 106 * HOUR, 200)
    zero_f = np.full(t.size, -32 * 5 / 9)

    def level(c, **more):
        return next(v for v in freezing.judge(t, c, place="core", **more) if v.rule == "trichinae-freeze-core").level

    assert (level(zero_f), level(zero_f, probe_error_c=1.0)) == ("within", "near")
    assert level(zero_f + 15, probe_error_c=1.0) == "over"


def test_a_country_without_rules_is_told():
    found = lethality.judge(*roast(), countries=("ca",))
    assert {v.country for v in found} >= {"us", "gb"} and "none on heat is carried" in found[0].not_checked[0]
    assert {v.country for v in lethality.judge(*roast(), countries=("gb",)) if v.rule != "come-up"} == {"gb"}
