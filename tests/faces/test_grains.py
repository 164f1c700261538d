"""Twenty grains: drawn, counted and said the same."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from tests.faces.sample_plan import tailed_forecast

from ingle.faces.grains import bin_hours, count_words, grains, grains_text
from ingle.ground.things import Forecast


@given(st.floats(1, 500), st.floats(1.05, 4), st.floats(0, 2000))
def test_picture_count_and_forecast_agree(median, ratio, planned):
    forecast = tailed_forecast("core holds its salt", median, ratio)
    before = sum(q <= planned for q in forecast.quantiles_h)
    assert sum(g.before for g in grains(forecast, planned)) == before
    assert count_words(forecast, planned) == f"{before} of 20 fall before the pull"
    picture = [
        line for line in grains_text(forecast, planned).split("\n") if line.startswith("  ") and set(line) <= set(" ox")
    ]
    assert (
        sum(line.count("o") for line in picture) == before and sum(line.count("x") for line in picture) == 20 - before
    )
    assert max(map(len, grains_text(forecast, planned).split("\n"))) <= 80


def test_grains_of_one_bin_stand_on_each_other_and_none_is_lost():
    forecast = Forecast("x", 10, 12, 16, tuple(10 + 0.1 * i for i in range(20)))
    stacked = grains(forecast, 11.05)
    assert len(stacked) == 20 and bin_hours(forecast) == 1.0
    assert sorted((g.bin, g.height) for g in stacked) == [(b, h) for b in (10, 11) for h in range(10)]


def test_bins_are_an_hour_within_a_day_and_four_over_some_days():
    assert bin_hours(Forecast("x", 1, 2, 3, (1.0, 20.0))) == 1.0
    assert bin_hours(Forecast("x", 1, 2, 3, (10.0, 90.0))) == 4.0


def test_known_uncertainty_outside_the_numbers_comes_first():
    text = grains_text(tailed_forecast("core holds its salt", 100, 2, ("how warm the fridge runs",)), 150)
    assert text.startswith("Not in these numbers: how warm the fridge runs.")


def test_a_forecast_without_quantiles_still_says_its_range():
    text = grains_text(Forecast("dough is ready", 10, 12, 16), 14)
    assert text == "dough is ready: between 10 h and 16 h, most likely 12 h."
