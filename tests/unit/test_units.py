"""The converter against pint (an independent library), and what it asks instead of guessing."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.ground import units, units_written
from ingle.ground.errors import BadBrief, IngleError, OutOfRange, Refused

REGISTRY = pint.UnitRegistry()
PINT_NAMES = {
    "mass": ({"kilo": "kg", "kilos": "kg", "gr": "gram", "lbs": "lb", "t": "tonne"}, "gram"),
    "length": ({'"': "inch"}, "millimeter"),
    "time": (
        {
            "d": "day",
            "mins": "minute",
            "hrs": "hour",
            "w": "week",
            "h": "hour",
            "min": "minute",
            "s": "second",
        },
        "hour",
    ),
    "volume": ({"cl": "centiliter", "dl": "deciliter"}, "liter"),
}


@pytest.mark.parametrize("kind", PINT_NAMES)
def test_every_unit_of_the_table_agrees_with_pint(kind):
    names, base = PINT_NAMES[kind]
    for unit, factor in units_written.KINDS[kind][0].items():
        assert factor == pytest.approx(REGISTRY.Quantity(1, names.get(unit, unit)).to(base).magnitude, rel=1e-12), unit


@pytest.mark.parametrize(
    ("text", "grams"),
    [("1.38kg", 1380), ("1,38 kg", 1380), ("3 lb 1 oz", 1389.126633125), ("850 g", 850), ("1/2 lb", 226.796185), ("1 1/2 kg", 1500),
     ("1 380 g", 1380), ("1,380.5 g", 1380.5), ("1.380,5 g", 1380.5), ("½ lb", 226.796185), ("1.284kg", 1284), ("2 stone", 12700.58636)],
)  # fmt: skip
def test_masses_cooks_write(text, grams):
    assert units.mass_g(text) == pytest.approx(grams, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "hours"),
    [("5d", 120), ("1h30", 1.5), ("1h30min", 1.5), ("45min", 0.75), ("2 weeks", 336), ("1d 12h", 36)],
)
def test_durations_cooks_write(text, hours):
    assert units.duration_h(text) == pytest.approx(hours)


@pytest.mark.parametrize(
    ("text", "celsius"),
    [("38F", 10 / 3), ("4C", 4), ("4 °C", 4), ("-18C", -18), ("277.15K", 4), ("165 F", 73.888889)],
)
def test_temperatures_cooks_write(text, celsius):
    assert units.temperature_c(text) == pytest.approx(celsius, abs=1e-6)


def test_shares_and_contents():
    assert units.fraction("2.5%") == pytest.approx(units.fraction("25 g/kg")) == pytest.approx(0.025)
    assert units.mg_per_kg("118") == units.mg_per_kg("118 ppm") == units.mg_per_kg("0.118 g/kg") == 118


@pytest.mark.parametrize("text", ["1,380 g", "1.380 g", "2.500g", "1,250 mm"])
def test_one_separator_before_three_digits_is_asked_never_guessed(text):
    with pytest.raises(BadBrief, match="can be read as"):
        (units.length_mm if "mm" in text else units.mass_g)(text)


@pytest.mark.parametrize("text", ["1/4 tsp", "1 teaspoon", "2 tbsp", "half a cup", "1 pinch"])
def test_curing_salt_by_the_spoon_is_refused_with_the_reason(text):
    with pytest.raises(Refused, match="grain and packing"):
        units.curing_salt_g(text)


@pytest.mark.parametrize(
    "text",
    [
        "5",
        "",
        "  ",
        "kg",
        "abc",
        "1kg-200g",
        "1..2kg",
        "5 mm",
        "1/0 kg",
        "--5kg",
        "5kg5",
        "0x10kg",
        "nan g",
        "inf kg",
    ],
)
def test_what_is_no_mass_is_refused(text):
    with pytest.raises(BadBrief) as caught:
        units.mass_g(text, "weight")
    assert caught.value.field == "weight"


@pytest.mark.parametrize("text", ["0g", "-5g", "1e300kg", "99 t"])
def test_masses_out_of_range(text):
    with pytest.raises(OutOfRange) as caught:
        units.mass_g(text, "weight")
    assert caught.value.field == "weight"


@pytest.mark.parametrize("given_value", [None, True, ["1kg"], {"a": 1}, b"1kg"])
def test_what_is_no_text_is_refused(given_value):
    with pytest.raises(BadBrief):
        units.mass_g(given_value)


@given(st.text(max_size=30))
def test_no_text_is_a_traceback(text):
    for reader in (
        units.mass_g,
        units.length_mm,
        units.duration_h,
        units.temperature_c,
        units.fraction,
        units.mg_per_kg,
        units.curing_salt_g,
    ):
        try:
            assert math.isfinite(reader(text))
        except IngleError as error:
            assert error.field


@given(st.floats(0.1, 1e5))
def test_what_is_shown_can_be_read_back(grams):
    shown = units.show_mass(grams)
    step = 0.05 if grams < 10 else 0.5 if grams < 999.5 else 5
    assert units.mass_g(shown, zero=True) == pytest.approx(grams, abs=step * 1.001)


def test_hours_are_shown_as_a_cook_says_them():
    assert units.show_hours(0.75) == "45 min"
    assert units.show_hours(36) == "36 h" and units.show_hours(32.75) == "1 d 9 h"  # a limit as printed; a forecast without minutes
    assert units.show_hours(119) == "4 d 23 h"
    assert [units.show_hours(s / 3600) for s in (0, 30, 60, 90, 119, 120, 7199, 7200)] == ["0 min", "30 s", "1 min", "90 s", "119 s", "2 min", "2 h", "2 h"]


@pytest.mark.parametrize(("hours", "other"), [(7.999, 8), (1.9999, 2), (479.8, 480), (2.98 / 60, 3 / 60), (35.2, 35)])
def test_two_times_that_differ_by_a_minute_never_read_the_same(hours, other):
    """Beside each other a time over its line cannot read as the line itself."""
    a, b = units.show_two(hours, other)
    assert a != b or abs(hours - other) < 1 / 60
    assert units.show_two(other, other)[0] == units.show_hours(other)


def test_a_share_without_digits_keeps_its_zeros():
    assert [units.show_fraction(x, 0) for x in (0.9, 0.07, 1.0, 0.0)] == ["90 %", "7 %", "100 %", "0 %"]
