"""Printed times at temperature, every row: FSIS-GD-2021-0014 (Tables 2, 3, 4, 6), 9 CFR 318.10(c), Food Standards Agency 70 C for
2 min, ACMSF 2007 burgers, FSA vacuum packing 90 C for 10 min, USDA advice, older Food Code; held just at, over and under.

Tolerance: none but arithmetic; a printed table is a step.
"""

import numpy as np
import pytest
from tests.published.steady import fahrenheit, printed_s, rows, steady, touch

from ingle.safety import freezing, lethality
from ingle.safety.lethality_rules import all_rules, rows_of, rule

KEYS = {
    "FSIS_meat_6.5log": ("fsis-meat-6-5-log", "meat"),
    "FSIS_meat_7.0log": ("fsis-meat-7-log", "meat"),
    "FSIS_meat_5.0log": ("fsis-meat-5-log", "meat"),
    "FSIS_meat_note": ("fda-roast-older", "meat"),
    "FSIS_whole_cut_consumer": ("us-whole-cut", "meat"),
    "FSIS_poultry_12pctfat_7log": ("fsis-poultry-7-log", "poultry"),
    "FSIS_chicken_12pctfat_7log": ("fsis-chicken-7-log", "chicken"),
    "CFR_318.10_heating": ("trichinae-heat", "pork"),
    "UK_70C_2min": ("gb-70c-2min", "meat"),
    "UK_burgers_z6": ("gb-burgers-z6", "burger"),
}
FREEZING = {
    "CFR_318.10_freezing_T1_group1": ("trichinae-freeze-thin", "room", 100.0),
    "CFR_318.10_freezing_T1_group2": ("trichinae-freeze-thick", "room", 300.0),
    "CFR_318.10_freezing_T2": ("trichinae-freeze-core", "core", None),
}
ROWS = rows("lethality_tables.csv")
HEAT = [r for r in ROWS if r["table_id"] in KEYS]
TIMED = [r for r in HEAT if "rest" in r["time_unit"] or printed_s(r) > 0]
INSTANT = [r for r in HEAT if "rest" not in r["time_unit"] and printed_s(r) == 0]
COLD = [r for r in ROWS if r["table_id"] in FREEZING]


def name(row):
    return f"{row['table_id']}-{row['T_F']}F"


def celsius(row):
    return float(row["T_C"]) if row["table_id"].startswith("UK") else fahrenheit(row["T_F"])


def seconds(row):
    return 180.0 if "rest" in row["time_unit"] else printed_s(row)


def verdict(row, record):
    key, product = KEYS[row["table_id"]]
    return next(v for v in lethality.judge(*record, product=product, rules=(key,)) if v.rule == key)


def test_every_row_that_states_a_time_is_used():
    assert {r["table_id"] for r in ROWS} == set(KEYS) | set(FREEZING)
    assert len(TIMED) + len(INSTANT) + len(COLD) == len(ROWS) >= 180


@pytest.mark.parametrize("row", TIMED, ids=name)
def test_held_at_just_over_and_just_under(row):
    T, asked = celsius(row), seconds(row)
    at, over, under = (verdict(row, steady(T, asked * f)) for f in (1.0, 1.001, 0.999))
    assert (at.level, over.level, under.level) == ("within", "within", "over")
    assert at.more["held_s"] == pytest.approx(asked) and at.more["required_s"] == pytest.approx(asked)
    assert at.more["at_c"] == pytest.approx(T, abs=1e-9)


@pytest.mark.parametrize("row", TIMED, ids=name)
def test_a_tenth_colder_asks_the_cooler_row(row):
    T, asked = celsius(row), seconds(row)
    table = sorted((celsius(r), seconds(r)) for r in HEAT if r["table_id"] == row["table_id"])
    cooler = [s for t, s in table if t < T - 0.01]
    level = "within" if cooler and cooler[-1] <= asked else "over"
    assert verdict(row, steady(T - 0.1, asked)).level == level
    if row["table_id"] not in ("FSIS_meat_note",):
        assert lethality.hold_time(KEYS[row["table_id"]][0], T - 0.1) == (pytest.approx(cooler[-1]) if cooler else None)
        warmer = [t for t, _ in table if t > T + 0.01]
        between = (T + warmer[0]) / 2 if warmer else T + 5
        assert lethality.hold_time(KEYS[row["table_id"]][0], between) == pytest.approx(asked)


@pytest.mark.parametrize("row", INSTANT, ids=name)
def test_zero_seconds_means_reached(row):
    T = celsius(row)
    first = min(celsius(r) for r in INSTANT if r["table_id"] == row["table_id"])
    reached = verdict(row, touch(T, 20.0))
    assert reached.level == "within" and reached.unit == "degC" and reached.value == pytest.approx(T)
    assert verdict(row, touch(first - 0.01, 20.0)).level == "over"
    assert lethality.hold_time(KEYS[row["table_id"]][0], T) == 0.0


@pytest.mark.parametrize("row", COLD, ids=name)
def test_frozen_at_just_over_and_just_under(row):
    key, place, thick = FREEZING[row["table_id"]]
    T, asked = fahrenheit(row["T_F"]), printed_s(row)

    def level(celsius, span):
        found = freezing.judge(*steady(celsius, span, step=3600.0), place=place, thickness_mm=thick)
        return next(v for v in found if v.rule == key).level

    assert [level(T, asked * f) for f in (1.0, 1.001, 0.999)] == ["within", "within", "over"]
    assert level(T + 0.1, asked) == "over"  # a warmer row asks longer
    assert freezing.hold_time(key, T) == pytest.approx(asked)
    assert freezing.hold_time(key, T - 0.1) == pytest.approx(asked)


@pytest.mark.parametrize("row", rows("spore_times.csv"), ids=lambda r: f"{r['temperature_c']}C")
def test_spores_of_non_proteolytic_botulinum(row):
    T, asked = float(row["temperature_c"]), float(row["minutes"]) * 60
    for factor, level in ((1.0, "within"), (0.999, "over")):
        found = lethality.judge(*steady(T, asked * factor), rules=("spores-90c-10min",))
        assert found[0].rule == "spores-90c-10min" and found[0].level == level


@pytest.mark.parametrize(("f", "minutes"), [(130, 121), (132, 77), (134, 47), (136, 32), (138, 19), (140, 12), (142, 8), (144, 5), (145, 3)])
def test_older_food_code_stands_as_history(f, minutes):
    """Food Code 3-401.11(B)(2) as printed before 2005."""
    assert lethality.hold_time("fda-roast-older", fahrenheit(f)) == minutes * 60
    assert rule("fda-roast-older").kind == "advice" and not rule("fda-roast-older").default


def test_minutes_turn_to_seconds_between_145_and_146_fahrenheit():
    """A trap of the table: 4 min, then 169 s."""
    by_f = {round(r.celsius * 9 / 5 + 32): r.seconds for r in rows_of("fsis-meat-6-5-log")}
    assert by_f[145] == 240.0 and by_f[146] == 169.0
    assert all(a >= b for a, b in zip(list(by_f.values())[:-1], list(by_f.values())[1:], strict=True))


def test_rounded_celsius_of_the_trichinae_table_is_not_used():
    """120 and 128 F are printed as 49.0 and 53.4 C; they are 48.9 and 53.3."""
    cold = {r.printed: r.celsius for r in rows_of("trichinae-heat")}
    assert cold["120 F"] == pytest.approx(48.8889, abs=1e-4) and cold["128 F"] == pytest.approx(53.3333, abs=1e-4)


def test_kotula_1990_line_lies_under_its_own_upper_limits():
    """log10 t(h) = 5.98 + 0.40 T; the carried rows are the 99 % limits: 48 min, 63 h, 266 d."""
    for row, (T, hours) in zip(rows_of("kotula-freeze-core"), ((-20, 0.8), (-15, 63), (-10, 266 * 24)), strict=True):
        assert (row.celsius, row.seconds) == (T, pytest.approx(hours * 3600))
        assert hours > 10 ** (5.98 + 0.40 * T)


def test_pork_for_whom_no_rest_is_recorded_and_with_it():
    """USDA: 145 F when it leaves the heat, then 3 min, however it cools."""
    t = np.arange(0, 601, 30.0)
    c = np.where(t <= 300, 62.9, 62.9 - (t - 300) / 60)
    short = np.where(t <= 300, 61 + (t / 300) * 1.9, 62.9 - (t - 300) / 60)
    whole = {v.rule: v.level for v in lethality.judge(t, c, rules=("us-whole-cut",), heat_ends_s=300.0)}
    assert whole["us-whole-cut"] == "within"
    assert lethality.judge(t, short, rules=("us-whole-cut",))[0].level == "over"
    assert lethality.judge(t, short, rules=("us-whole-cut",), heat_ends_s=300.0)[0].level == "within"
    assert lethality.judge(t[:14], short[:14], rules=("us-whole-cut",), heat_ends_s=300.0)[0].level == "over"


@pytest.mark.parametrize(
    ("product", "key", "celsius"),
    [("burger", "us-ground", 71.1111), ("poultry", "us-poultry", 73.8889), ("reheated", "scotland-reheat", 82.0),
     ("poultry", "fsis-poultry-reached", 71.1111)],
)  # fmt: skip
def test_core_reached(product, key, celsius):
    levels = [
        lethality.judge(*touch(celsius + d, 20.0), product=product, rules=(key,))[0].level for d in (0.001, -0.01)
    ]
    assert levels == ["within", "over"]


def test_lard_170_fahrenheit_for_30_minutes():
    """9 CFR 315.1."""
    T = fahrenheit(170)
    assert lethality.judge(*steady(T, 1800), product="fat", rules=("lard",))[0].level == "within"
    assert lethality.judge(*steady(T, 1790), product="fat", rules=("lard",))[0].level == "over"


def test_every_rule_has_rows_or_a_law():
    for r in all_rules():
        assert r.rows or r.law, r.key
        assert all(a.celsius < b.celsius for a, b in zip(r.rows[:-1], r.rows[1:], strict=True))
        assert all(row.sure in ("quoted", "memory", "derived") for row in r.rows)
