"""Zimmermann 1985, J. Food Prot. 48:196: boxed trichinous pork stayed infective for 56 d at -9.4 C, lost it in 6 to 10 d at -17.8 C."""

import numpy as np
import pytest

from ingle.jobs.freeze import freeze
from ingle.safety import freezing

DAY = 86400.0


def test_days_in_which_larvae_were_seen_to_live_are_credited_by_no_rule():
    """The air at -9.4 C for 56 d, and the middle of a piece."""
    found = freezing.judge([0.0, 56 * DAY], [-9.4, -9.4], place="core", longest_gap_s=1e9, moved=False)
    assert {v.level for v in found} == {"over"}
    assert freeze(-9.4, 56.0, thickness_mm=150.0).level == "over"


@pytest.mark.parametrize("thickness", [50.0, 150.0, 151.0, 400.0])
def test_no_rule_is_met_before_the_last_day_they_were_seen_to_live(thickness):
    """At -17.8 C the latest infective sample was under 10 d."""
    met = [d for d in np.arange(1.0, 40.0) if freeze(-17.8, float(d), thickness_mm=thickness).level == "within"]
    assert min(met) == (20.0 if thickness <= 150.0 else 30.0)
