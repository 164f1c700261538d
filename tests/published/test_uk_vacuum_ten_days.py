"""UK guidance on chilled packs without air and non-proteolytic C. botulinum: ten days at 3 to 8 C, and the hurdles."""

import numpy as np
import pytest
from tests.published.growth_rows import ROWS, VALUE, number

from ingle.ground.tables import toml_table
from ingle.safety import botulism
from ingle.safety.conditions import conditions
from ingle.safety.growth_record import GrowthRecord

FRESH = {"aw": 0.99, "ph": 6.0, "aw_error": 0.0, "ph_error": 0.0}


def kept(days, celsius, heated=False, **place):
    record = GrowthRecord(np.array([0.0, days * 86400.0]), np.full(2, float(celsius)))
    return botulism.non_proteolytic(record, conditions(**(FRESH | place)), heated=heated)


def test_fs_01_ten_days():
    assert toml_table("limits", "hurdles.toml")["vacuum-days"]["limit"]["max"] == number("FS-01")
    assert kept(9.9, 3.2).level == "within"
    late = kept(10.1, 3.2)
    assert (late.level, late.answer, late.hard_stop) == ("over", "above", True)
    assert "Throw it away" in late.act


def test_fs_02_no_growth_below_3():
    assert kept(60, number("FS-02") - 0.1).answer == "outside_range"
    assert kept(60, number("FS-02") + 0.1).level == "over"


@pytest.mark.parametrize(
    ("key", "place", "met"),
    [("FS-04", {"ph": 5.0}, True), ("FS-04", {"ph": 5.05}, False), ("FS-05", {"wps": 3.5}, True), ("FS-05", {"wps": 3.4}, False),
     ("FS-06", {"aw": 0.97}, True), ("FS-06", {"aw": 0.975}, False)],
)  # fmt: skip
def test_hurdles_for_longer(key, place, met):
    assert key in ROWS
    assert (kept(20, 4.0, **place).level == "within") is met


def test_fs_03_heat_in_the_slowest_place():
    assert ROWS["FS-03"][VALUE] == "90 C for 10 min"
    assert kept(20, 4.0, heated=True).level == "within"


def test_a_hurdle_must_hold_at_every_place():
    record = GrowthRecord(np.array([0.0, 20 * 86400.0]), np.full(2, 4.0))
    c = conditions(wps=[2.1, 4.0, 4.0], ph=6.0, aw_error=0.0)
    assert botulism.non_proteolytic(record, c).level == "over"


def test_a_hurdle_is_never_turned_into_another():
    """3.5 % salt in the water is a water activity of 0.980, above the 0.97 of the other hurdle: salt passes, that water activity does not."""
    assert kept(20, 4.0, wps=3.5).level == "within"
    assert kept(20, 4.0, aw=0.980).level == "over"


def test_above_eight_degrees_the_ten_days_do_not_hold():
    assert kept(2.5, 9.0).level == "over"


def test_the_shortest_lag_stops_a_pack_within_the_ten_days():
    """At 5 C the shortest lag is 8.6 days: half of it used is near, all of it a hard stop, though ten days are not over."""
    assert kept(4.0, 5.0).level == "within"
    assert kept(4.5, 5.0).level == "near"
    stopped = kept(8.8, 5.0)
    assert stopped.hard_stop and "8.8 of 10 days" in stopped.text
