"""Code of Maine Rules 01-001 ch. 359 s. 2: cold-smoked fish.

90 F or less for up to 20 h, or 50 F or less for up to 24 h.
"""

import pytest

from ingle.crafts import smoke


def celsius(fahrenheit):
    return (fahrenheit - 32.0) / 1.8


@pytest.mark.parametrize(
    ("fahrenheit", "hours", "rule", "kept"),
    [
        (50, 24, "smoke.fish_cold_hours", True),
        (50, 24.01, "smoke.fish_cold_hours", False),
        (51, 20, "smoke.fish_warm_hours", True),
        (51, 20.01, "smoke.fish_warm_hours", False),
        (90, 1, "smoke.fish_warm", True),
        (90.1, 1, "smoke.fish_warm", False),
    ],
)
def test_fish(fahrenheit, hours, rule, kept):
    check = smoke.check("fish", [smoke.steady(hours, celsius(fahrenheit))])
    (verdict,) = (v for v in check.verdicts if v.rule == rule)
    assert (verdict.level != "over") == kept


def test_hours_of_all_sessions_add_up():
    twice = smoke.check("fish", [smoke.steady(11.0, celsius(60)), smoke.steady(11.0, celsius(60))])
    (verdict,) = (v for v in twice.verdicts if v.rule == "smoke.fish_warm_hours")
    assert (verdict.value, verdict.level) == (pytest.approx(22.0), "over")
