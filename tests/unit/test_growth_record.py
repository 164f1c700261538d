"""Records of fridges and smokers as they come: lost readings, pauses, doubles, clocks set back, other units."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.ground.errors import BadBrief, IngleError, OutOfRange
from ingle.safety.growth_record import tidy, time_in

HOUR = 3600.0


def test_a_pause_is_filled_with_the_warmer_end_and_said():
    record = tidy([0, HOUR, 11 * HOUR, 12 * HOUR], [4.0, 4.0, 9.0, 5.0])
    assert float(time_in(record, 8.99, 50)) == pytest.approx(10 * HOUR, rel=1e-3)
    assert record.notes == ("a pause of 10 h was filled with the warmer of its two ends",)


def test_a_pause_in_a_warm_room_is_filled_with_the_room():
    record = tidy([0, HOUR, 11 * HOUR], [4.0, 4.0, 5.0], room_c=21.0)
    assert float(time_in(record, 20.9, 50)) == pytest.approx(10 * HOUR, rel=1e-3)
    assert "room" in record.notes[0]


def test_a_pause_never_lowers_growth():
    from ingle.safety import growth

    t = np.arange(0, 48.1, 0.5) * HOUR
    c = 5 + 3 * np.sin(t / 9000)
    keep = (t < 10 * HOUR) | (t > 20 * HOUR)
    for whole, holed in zip(growth.judge(t, np.maximum(c, 5), aw=0.98, ph=5.8), growth.judge(t[keep], np.maximum(c, 5)[keep], aw=0.98, ph=5.8, room_c=8.0), strict=True):
        if whole.log10 is not None:
            assert holed.log10 >= whole.log10 - 1e-9


def test_lost_readings_are_left_out_and_said():
    record = tidy([0, 60, 120, 180], [4.0, np.nan, 4.2, 4.1])
    assert record.seconds.size == 3 and record.notes == ("1 of 4 readings were lost and left out",)


def test_an_equal_double_is_left_out_another_is_asked():
    assert tidy([0, 60, 60, 120], [4, 4.1, 4.1, 4]).seconds.size == 3
    with pytest.raises(BadBrief, match="Which one holds"):
        tidy([0, 60, 60, 120], [4, 4.1, 9.1, 4])


@pytest.mark.parametrize(
    ("seconds", "celsius", "expect", "kind", "words"),
    [
        ([0, 120, 60], [4, 4, 4], "any", BadBrief, "clock set back"),
        ([0, 60, 120], [39, 40, 38], "fridge", OutOfRange, "Fahrenheit"),
        ([0, 60, 120], [277, 278, 277], "any", OutOfRange, "kelvin"),
        ([0, 60, 120], [-280, 4, 4], "any", OutOfRange, "absolute zero"),
        ([0, 60, 120], [4, -127, 4], "any", OutOfRange, "lost probe"),
        ([0, 60, 120], [4, np.inf, 4], "any", BadBrief, "without end"),
        ([0, np.nan, 120], [4, 4, 4], "any", BadBrief, "no time"),
        ([0, 60], [np.nan, np.nan], "any", BadBrief, "0 readings"),
        ([0], [4], "any", BadBrief, "1 readings"),
        ([0, 60, 120], [4, 4], "any", BadBrief, "celsius 2"),
        (["a", "b"], [4, 4], "any", BadBrief, "no number"),
        ([60, 60], [4, 4], "any", BadBrief, "one time"),
    ],
)
def test_asked_with_the_field_and_what_to_do(seconds, celsius, expect, kind, words):
    with pytest.raises(kind, match=words) as why:
        tidy(seconds, celsius, expect=expect)
    assert why.value.field in ("seconds", "celsius") and why.value.remedy


def test_a_failed_fridge_is_not_taken_for_fahrenheit():
    assert tidy(np.arange(10) * 600.0, np.linspace(4, 24, 10), expect="fridge").hours == pytest.approx(1.5)


@given(st.lists(st.floats(-20, 40), min_size=2, max_size=20), st.floats(-10, 30))
def test_times_in_bands_add_up_to_the_whole(values, line):
    record = tidy(np.arange(len(values)) * 600.0, values)
    whole = float(time_in(record, -100, line)) + float(time_in(record, line, 200))
    assert whole == pytest.approx(record.seconds[-1], abs=1e-6)


@given(st.lists(st.one_of(st.floats(), st.none(), st.text(max_size=3)), max_size=8))
def test_anything_at_all_is_a_record_or_a_clear_error(values):
    try:
        tidy(range(len(values)), values)
    except IngleError as why:
        assert why.message and why.field
