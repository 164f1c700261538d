"""The kitchen: the form of docs/files.md, hours across nights and clock changes, places by kind or by key."""

from __future__ import annotations

import tomllib
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from ingle.ground.tables import data_path
from ingle.planning.kit import kit_from, places_of, read_kit
from ingle.planning.kit_words import dial_c, place_lines, place_words
from ingle.planning.kitchen_hours import hours_between

LONDON = ZoneInfo("Europe/London")
AS_WRITTEN = """
[[oven]]
key = "oven"
holds = 2
range = ["60C", "250C"]
heat_up = "15min"
offset = { mean = "0C", sd = "5C" }
[[fridge]]
key = "fridge"
litres = 60
temperature = "4C"
sd = "1C"
[[smoker]]
key = "smoker"
makes_smoke = "tray"
rails = 4
[[cook]]
key = "A"
hours = [{ days = "mon-fri", from = "18:00", to = "22:00" }, \
{ days = "sat-sun", from = "07:00", to = "22:00" }]
[scale]
steps = ["0.1g", "1g"]
"""


def kit(text: str = AS_WRITTEN):
    return kit_from(tomllib.loads(text))


def test_the_form_of_the_page_is_read():
    k = kit()
    oven, fridge, smoker = k.ovens[0], k.fridges[0], k.smokers[0]
    assert (oven.holds, oven.low_c, oven.high_c, oven.heat_up_min, oven.offset_sd_c) == (2, 60, 250, 15, 5)
    assert (fridge.litres, fridge.temperature_c, fridge.sd_c) == (60, 4, 1)
    assert (smoker.rails, smoker.makes_smoke) == (4, "tray")
    assert k.scale_steps_g == (0.1, 1.0)
    assert [s.days for s in k.cooks[0].shifts] == [(0, 1, 2, 3, 4), (5, 6)]


def test_a_spread_in_fahrenheit_has_no_zero_to_shift():
    k = kit(AS_WRITTEN.replace('temperature = "4C"\nsd = "1C"', 'temperature = "39.2F"\nsd = "1.8F"'))
    assert k.fridges[0].temperature_c == pytest.approx(4.0, abs=1e-9)
    assert k.fridges[0].sd_c == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize(
    ("said", "days"),
    [
        ("mon", (0,)),
        ("fri-mon", (0, 4, 5, 6)),
        ("mon, wed,fri", (0, 2, 4)),
        ("every day", tuple(range(7))),
        ("Sat-Sun", (5, 6)),
    ],
)
def test_days_are_read(said, days):
    assert kit(AS_WRITTEN.replace('"mon-fri"', f'"{said}"')).cooks[0].shifts[0].days == days


def windows(text, start, until):
    return hours_between(
        kit(text).cooks[0], LONDON, start.replace(tzinfo=LONDON), until.replace(tzinfo=LONDON)
    )


def test_hours_keep_to_the_wall_clock_over_the_change_of_clocks():
    # Great Britain: 25 October 2026, 02:00 BST becomes 01:00 GMT
    got = windows(AS_WRITTEN, datetime(2026, 10, 24), datetime(2026, 10, 26))
    assert got == (
        (datetime(2026, 10, 24, 6, tzinfo=UTC), datetime(2026, 10, 24, 21, tzinfo=UTC)),
        (datetime(2026, 10, 25, 7, tzinfo=UTC), datetime(2026, 10, 25, 22, tzinfo=UTC)),
    )


def test_a_night_shift_over_the_change_lasts_an_hour_longer():
    text = AS_WRITTEN.replace('{ days = "mon-fri", from = "18:00", to = "22:00" }, ', "").replace(
        'days = "sat-sun", from = "07:00", to = "22:00"', 'days = "sat", from = "22:00", to = "04:00"'
    )
    ((begin, end),) = windows(text, datetime(2026, 10, 24, 12), datetime(2026, 10, 25, 12))
    assert (end - begin).total_seconds() == 7 * 3600


def test_hours_are_cut_to_the_plan_and_days_away_left_out():
    got = windows(AS_WRITTEN, datetime(2026, 11, 27, 19), datetime(2026, 11, 28, 9))
    assert [(a.hour, b.hour) for a, b in got] == [(19, 22), (7, 9)]
    away = AS_WRITTEN.replace('[[cook]]\nkey = "A"', '[[cook]]\nkey = "A"\naway = [2026-11-27]')
    assert [
        (a.hour, b.hour) for a, b in windows(away, datetime(2026, 11, 27, 19), datetime(2026, 11, 28, 9))
    ] == [(7, 9)]
    assert kit(away).cooks[0].away == (date(2026, 11, 27),)


def test_overlapping_hours_are_one_stretch():
    text = AS_WRITTEN.replace(
        'to = "22:00" }]', 'to = "22:00" }, { days = "sat", from = "06:00", to = "08:00" }]'
    )
    ((begin, end),) = windows(text, datetime(2026, 11, 28), datetime(2026, 11, 29))
    assert (begin.hour, end.hour) == (6, 22)


def test_a_place_is_found_by_kind_or_by_key():
    two = AS_WRITTEN + '[[oven]]\nkey = "range"\nholds = 1\n'
    assert [o.key for o in places_of(kit(two), "oven")] == ["oven", "range"]
    assert [o.key for o in places_of(kit(two), "range")] == ["range"]
    assert places_of(kit(two), "freezer") == ()


def test_the_shipped_kits_are_read():
    assert read_kit() == read_kit(data_path("kit", "home.toml"))
    assert len(read_kit(data_path("kit", "smokehouse.toml")).cooks) == 2


def test_an_oven_of_which_nothing_is_said_has_no_offset_of_its_own():
    bare, mean, spread = (
        kit(AS_WRITTEN.replace("offset = { mean = \"0C\", sd = \"5C\" }\n", line)).ovens[0]
        for line in ("", 'offset = { mean = "10C" }\n', 'offset = { sd = "8C" }\nfan = true\n')
    )
    assert (bare.offset_mean_c, bare.offset_sd_c, bare.fan) == (None, None, None)
    assert (mean.offset_mean_c, mean.offset_sd_c) == (10.0, None)
    assert (spread.offset_mean_c, spread.offset_sd_c, spread.fan) == (0.0, 8.0, True)


NOON = datetime(2026, 3, 1, 12, 0, tzinfo=LONDON)


@pytest.mark.parametrize(
    ("mean", "true_c", "dial", "off", "words"),
    [
        ("10C", 180, 170, ": it runs 10 C warm, so that it is 180 C inside", "oven set to 170 C: it runs 10 C warm, 180 C inside"),
        ("-3C", 200, 203, ": it runs 3 C cold, so that it is 200 C inside", "oven set to 203 C: it runs 3 C cold, 200 C inside"),
        ("18F", 180, 170, ": it runs 10 C warm, so that it is 180 C inside", "oven set to 170 C: it runs 10 C warm, 180 C inside"),
        ("0C", 180, 180, "", "oven 180 C"),
    ],
)
def test_the_dial_takes_up_what_an_oven_is_off(mean, true_c, dial, off, words):
    oven = kit(AS_WRITTEN.replace('mean = "0C"', f'mean = "{mean}"')).ovens[0]
    assert dial_c(oven, true_c) == dial
    assert place_lines(oven, true_c, NOON, 1.0, False) == (f"Set the oven to {dial} C by 11:45{off}",)
    assert place_words(oven, 1, true_c) == words


def test_a_fan_is_named_and_a_time_that_knows_none_says_so():
    oven = kit(AS_WRITTEN.replace('heat_up = "15min"', 'heat_up = "0min"\nfan = true')).ovens[0]
    assert place_words(oven, 1, 180) == "oven 180 C, fan"
    assert place_lines(oven, 180, NOON, 1.0, False) == ("Set the oven to 180 C, fan on; look early, that time knows no fan",)
    assert place_lines(oven, 180, NOON, 1.0, True) == ("Set the oven to 180 C, fan on",)
    assert place_lines(oven, 180, NOON, 1.0, False, "Done after 20 to 30 min") == ("Set the oven to 180 C, fan on; done after 20 to 30 min; look early, that time knows no fan",)
    assert place_lines(oven, None, NOON, 1.0, False) == ()


@pytest.mark.parametrize(
    ("made", "hours", "line"),
    [
        ('"tray"', 8, "One fill of the tray, which burns 8 to 10 h"),
        ('"tray"', 9, "2 fills of the tray, each burns 8 to 10 h: fill it again before it goes out"),
        ('"tube"', 8, "4 fills of the tube, each burns 2 to 6 h: fill it again before it goes out"),
        ('"open fire"', 8, "An open fire warms the chamber as well: read it oftener."),
        ('"box with pipe"', 8, None),
    ],
)
def test_what_makes_the_smoke_says_how_often_it_is_filled(made, hours, line):
    smoker = kit(AS_WRITTEN.replace('makes_smoke = "tray"', f"makes_smoke = {made}")).smokers[0]
    assert place_lines(smoker, None, NOON, hours, False) == ((line,) if line else ())
    assert place_words(smoker, 2, None) == f"smoker, 2 rails, {made.strip(chr(34))}"
