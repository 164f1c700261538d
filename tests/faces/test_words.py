"""How faces say things."""

from __future__ import annotations

import unicodedata
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.faces import words as w
from ingle.safety.verdict import Verdict


@given(st.text(max_size=200), st.integers(2, 90), st.integers(0, 20))
def test_wrapped_lines_fit_and_lose_nothing(text, width, indent):
    text = w.clean(text)
    lines = w.wrap(text, max(width, indent + 2), " " * indent)
    assert all(w.cells(line) <= max(width, indent + 2) for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


@given(st.text(max_size=80))
def test_plain_text_is_ascii_and_steers_nothing(text):
    plain = w.fit(text, False)
    assert plain.isascii() and plain.isprintable()
    assert not {unicodedata.category(c) for c in w.fit(text, True)} & {"Cc", "Cf", "Cs"}


def test_a_name_cannot_carry_terminal_codes():
    assert w.clean("loaf\x1b[31m red\u202e\n\tx") == "loaf[31m red x"


def test_units_stay_with_their_numbers():
    assert w.tie("core at least 96 C, 410 g, 1.30 to 1.35 kg, pH 4.6, 118 mg/kg") == (
        "core at least 96\u00a0°C, 410\u00a0g, 1.30 to 1.35\u00a0kg, pH\u00a04.6, 118\u00a0mg/kg"
    )
    assert w.tie("240 Carrots") == "240 Carrots"
    assert w.tie("above 40 F, at -18 C, stop at 29 degC, 0.1g or 20min") == "above 40\u00a0°F, at −18\u00a0°C, stop at 29\u00a0°C, 0.1\u00a0g or 20\u00a0min"
    assert w.tie("3-501.16(A)(2), 9 CFR 424.21(c), FH-261204-A, 2026-11-25") == "3-501.16(A)(2), 9 CFR 424.21(c), FH-261204-A, 2026-11-25"


@pytest.mark.parametrize(("minutes", "told"), [(0, "0 min"), (119, "119 min"), (120, "2 h"), (685, "11 h 25 min")])
def test_spans_are_minutes_only_under_two_hours(minutes, told):
    assert w.span(minutes) == told


def test_minutes_are_real_time_over_a_change_of_the_clocks():
    zone = ZoneInfo("Europe/London")
    assert (
        w.minutes_between(datetime(2026, 10, 25, 0, 30, tzinfo=zone), datetime(2026, 10, 25, 3, 30, tzinfo=zone)) == 240
    )


def test_ready_is_said_by_day_and_within_a_day_by_the_hour():
    at = datetime(2026, 12, 15, 8, 0)
    assert (
        w.ready_words((at, at + timedelta(days=1), at + timedelta(days=2)))
        == "Ready between Tue 15 and Thu 17, most likely Wed 16."
    )
    assert (
        w.ready_words((at, at + timedelta(hours=2), at + timedelta(hours=4)))
        == "Ready between 08:00 and 12:00 on Tue 15, most likely 10:00."
    )


@pytest.mark.parametrize(
    ("value", "told"),
    [(0, "0"), (1240, "1,240"), (118, "118"), (4.6, "4.6"), (0.125, "0.125"), (22.0, "22"), (100.4, "100")],
)
def test_figures(value, told):
    assert w.figure(value) == told


def _verdict(**more):
    told = {
        "rule": "r",
        "title": "t",
        "level": "within",
        "value": 1.0,
        "limit": 2.0,
        "unit": "°C",
        "clause": "c",
        "source": "s",
        "sure": "memory",
    }
    return Verdict(**(told | more))


def test_the_side_of_a_limit_follows_value_and_level():
    assert w.limit_words(_verdict()) == "at most 2 °C"
    assert w.limit_words(_verdict(value=80.0, limit=70.0)) == "at least 70 °C"
    assert w.limit_words(_verdict(value=60.0, limit=70.0, level="over")) == "at least 70 °C"
    assert w.limit_words(_verdict(value=75.0, limit=70.0, level="over")) == "at most 70 °C"
    assert w.limit_words(_verdict(more={"side": "min"})) == "at least 2 °C"
    assert w.limit_words(_verdict(limit=None)) == ""


def test_a_chance_is_counted_in_twenty():
    chance = _verdict(kind="plan", unit="", value=0.9, limit=0.95, level="near")
    assert w.value_words(chance) == "18 of 20" and w.limit_words(chance) == "at least 19 of 20"


def test_days_and_hours_are_said_as_a_cook_says_them():
    assert w.value_words(_verdict(value=13.4, limit=28.0, unit="d")) == "13 d 10 h"
    assert w.value_words(_verdict(value=0.25, limit=1.5, unit="d")) == "6 h"
    assert w.limit_words(_verdict(value=0.25, limit=1.5, unit="d")) == "at most 36 h"
    assert w.amount(1, "pieces") == "1 piece" and w.amount(3, "pieces") == "3 pieces"


def test_spread_and_missing_values_are_said():
    assert w.value_words(_verdict(value=4.6, low=3.6, high=5.6)) == "4.6 °C (3.6 to 5.6 °C)"
    assert w.value_words(_verdict(value=3.8, low=3.6, high=4.0, unit="pH")) == "pH 3.8 (3.6 to 4)"
    assert w.value_words(_verdict(value=None, level="cannot_say")) == "no value"


def test_a_piece_keeps_to_its_weight_and_its_bracket():
    assert w.tie("for 4: 945 g; Turn it over (4 to 12)") == "for 4:\u00a0945\u00a0g; Turn it over (4\u00a0to\u00a012)"
