"""One reading that stands alone is a moved probe: it meets no rule on heat, and neither ends nor restarts a clock of cooling."""

import numpy as np
import pytest

from ingle.ground.errors import OutOfRange
from ingle.safety import cooling, freezing, growth, lethality
from ingle.safety.thermal_record import read, without_spikes

MINUTES = np.arange(0.0, 3600.0, 60.0)
HOURS_20 = np.arange(0.0, 72000.0, 300.0)
SLOW = 3.0 + 69.0 * np.exp(-HOURS_20 / 12000.0)


def test_one_hot_reading_meets_no_rule_on_heat():
    core = np.full(60, 45.0)
    assert {v.level for v in lethality.judge(MINUTES, core, rules=("fsis-meat-6-5-log",)) if v.rule != "come-up"} == {"over"}
    core[30] = 75.0
    for v in lethality.judge(MINUTES, core, rules=("fsis-meat-6-5-log",)):
        if v.rule != "come-up":
            assert v.level == "cannot_say" and "alone" in v.not_checked[0]


def test_a_spike_takes_no_credit_from_a_core_that_was_held():
    core = np.full(60, 65.0)
    core[30] = 95.0
    assert all(v.level == "within" for v in lethality.judge(MINUTES, core, rules=("fsis-meat-6-5-log",)) if v.rule != "come-up")


@pytest.mark.parametrize(("at", "celsius"), [(18, 2.0), (5, 20.0), (60, 80.0), (100, 90.0)])
def test_one_false_reading_does_not_turn_a_slow_cooling_into_a_quick_one(at, celsius):
    plain = cooling.judge(HOURS_20, SLOW, countries=("us",))
    spiked = SLOW.copy()
    spiked[at] = celsius
    found = cooling.judge(HOURS_20, spiked, countries=("us",))
    assert [s.level for s in found] == [s.level for s in plain] and "over" in {s.level for s in found}
    assert [s.taken_s for s in found] == pytest.approx([s.taken_s for s in plain], rel=0.01)
    assert any("alone" in line for line in found[0].not_checked)


def test_what_a_core_does_is_no_spike():
    roast = np.concatenate([np.linspace(4, 71, 100), np.linspace(71, 78, 20), np.linspace(78, 40, 60)])
    record = read(np.arange(180) * 60.0, roast)
    assert without_spikes(record) is record


def test_a_hole_beside_a_spike_stays_a_hole():
    record = read([0.0, 60.0, 560.0, 620.0], [60.0, 60.0, 95.0, 60.0], longest_gap_s=300.0)
    assert not without_spikes(record).hole[0]
    assert without_spikes(record).hole[-1]


def test_no_table_is_said_and_never_an_empty_answer():
    """9 CFR 318.10 table 1 ends at pieces of 27 inches (686 mm)."""
    with pytest.raises(OutOfRange, match="thickness"):
        freezing.judge([0, 30 * 86400.0], [-20.0, -20.0], place="room", thickness_mm=1000.0, longest_gap_s=1e9)


def test_a_start_that_leaves_no_room_is_refused():
    with pytest.raises(OutOfRange, match="start_log10"):
        growth.judge([0, 86400.0], [20.0, 20.0], start_log10=9.0, gap_s=1e9)
