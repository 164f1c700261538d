"""Runs of readings that no middle of food can show: holes and questions, neither believed nor dropped; what doors do to a core passes."""

import numpy as np
import pytest

from ingle.crafts.heat.forecast import forecast
from ingle.crafts.heat.joint import Joint
from ingle.crafts.heat.stage import Stage
from ingle.ground.errors import OutOfRange
from ingle.safety import cooling, lethality, probe_runs
from ingle.safety.growth_record import tidy
from ingle.safety.thermal_record import read

MIN = 60.0
LOG = np.arange(0.0, 20 * 3600.0, 5 * MIN)
SLOW = 3.0 + 69.0 * np.exp(-LOG / 12000.0)  # over the lines of cooked food
QUICK = 3.0 + 69.0 * np.exp(-LOG / 2500.0)


def levels(c, t=LOG, **more):
    return {(s.rule, s.segment): s.level for s in cooling.judge(t, c, countries=("us",), is_celsius=True, **more)}


# -- the bound ---------------------------------------------------------------------------------------------------------


def test_the_bound_is_the_steepest_moment_of_a_ball_in_the_closed_form():
    """Carslaw and Jaeger 9.3: middle of a ball after a step at its face, 1 + 2 sum (-1)^n exp(-n^2 pi^2 Fo)."""
    n, fo = np.arange(1, 200)[:, None], np.linspace(0.02, 0.3, 20000)[None]
    slope = np.gradient((1 + 2 * ((-1.0) ** n * np.exp(-(n**2) * np.pi**2 * fo)).sum(0)), fo[0])
    assert slope.max() == pytest.approx(probe_runs.BALL, rel=1e-4)


@pytest.mark.parametrize("thickness", [20.0, 40.0, 90.0])
def test_the_middle_of_any_shape_stays_below_the_bound(thickness):
    """Ice water on a hot piece and boiling water on a cold one, the strongest film a kitchen has: slab, round and ball by the forecast."""
    for shape, size in (("slab", {}), ("cylinder", {"length_mm": 200.0}), ("sphere", {})):
        joint = Joint("lean-pork", shape, None, thickness, None, **{"length_mm": None} | size, conductivity=0.5, density=1050.0, specific_heat=3500.0)
        told = forecast(joint, (Stage("ice-bath", 0.0, lasts_s=3 * 3600.0, film=500.0),), 95.0, members=1, quick=True).curves
        pace = np.abs(np.diff(told.core) / np.diff(told.seconds)).max()
        assert 0.02 * probe_runs.fastest_core(thickness) < pace < probe_runs.fastest_core(thickness), shape


def test_a_thickness_that_is_none_is_refused():
    with pytest.raises(OutOfRange, match="thickness"):
        cooling.judge(LOG, SLOW, thickness_mm=0.0)


# -- what is false -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("thickness", [None, 90.0])
@pytest.mark.parametrize("count", [2, 3, 6, 12])
@pytest.mark.parametrize("value", [4.0, 21.0, 85.0])
def test_a_false_run_turns_no_slow_cooling_into_a_quick_one(count, value, thickness):
    """From 45 C on: two or more readings in a row of a failed or moved probe."""
    c = SLOW.copy()
    at = int(np.argmax(c < 45.0))
    c[at : at + count] = value
    told = cooling.judge(LOG, c, countries=("us",), is_celsius=True, thickness_mm=thickness)
    plain = levels(SLOW)
    for s in told:
        assert s.level in (plain[(s.rule, s.segment)], "cannot_say"), (s.rule, s.segment)
        if s.allowed_s is not None and s.level != "within":
            assert any(f"{count} readings of {value:.1f} C" in n and "moved or failed" in n for n in s.not_checked)
    assert {s.level for s in told} & {"over", "cannot_say"}


def test_what_is_marked_can_be_seen_and_is_believed_when_it_is_said():
    c = SLOW.copy()
    c[40:43] = 4.0
    seen = probe_runs.marked(read(LOG, c, longest_gap_s=1800.0))
    (run,) = seen.runs
    assert (run.readings, run.from_s, run.to_s, run.lowest_c, run.highest_c) == (3, LOG[40], LOG[42], 4.0, 4.0)
    assert seen.record.celsius.size == c.size - 3 and seen.record.hole.sum() == 1 and not seen.torn
    believed = cooling.judge(LOG, c, countries=("us",), is_celsius=True, moved=False)
    assert not any("moved or failed" in n for s in believed for n in s.not_checked)
    assert levels(c, moved=False) != levels(c)


@pytest.mark.parametrize("flapping", [(85.0, 3.0), (85.0, 85.0, -10.0)])
def test_readings_that_flap_are_one_run(flapping):
    c = SLOW.copy()
    c[30 : 30 + 4 * len(flapping)] = np.tile(flapping, 4)
    seen = probe_runs.marked(read(LOG, c, longest_gap_s=1800.0), 90.0)
    assert [r.readings for r in seen.runs] == [4 * len(flapping)] and not seen.torn


@pytest.mark.parametrize(("thickness", "step"), [(90.0, 5 * MIN), (None, 30.0)])
def test_a_probe_pulled_out_half_way_leaves_nothing_proven(thickness, step):
    """At 50 C into the fridge's air, and there it stays: believed, it would meet every rule."""
    t = np.arange(0.0, 8 * 3600.0, step)
    c = 3.0 + 69.0 * np.exp(-t / 12000.0)
    c[t > 3 * 3600.0] = 3.5
    c[(c < 50.0)] = 3.5
    told = cooling.judge(t, c, countries=("us",), is_celsius=True, thickness_mm=thickness)
    assert {s.level for s in told} == {"cannot_say"} and all("which part is the food" in s.not_checked[0] for s in told)
    assert "within" in {s.level for s in cooling.judge(t, c, countries=("us",), is_celsius=True, moved=False)}


def test_a_probe_taken_out_at_the_end_costs_nothing_but_its_end():
    c = QUICK.copy()
    c[-6:] = 21.0
    told = cooling.judge(LOG, c, countries=("us",), is_celsius=True, thickness_mm=90.0)
    assert {(s.rule, s.segment): s.level for s in told} == levels(QUICK)
    assert any("6 readings of 21.0 C" in n for n in told[0].not_checked)


def test_a_false_run_of_heat_meets_no_rule():
    t, core = np.arange(0.0, 2 * 3600.0, 60.0), np.full(120, 50.0)
    core[40:60] = 75.0
    told = [v for v in lethality.judge(t, core, rules=("fsis-meat-6-5-log", "gb-70c-2min")) if "come-up" not in v.rule]
    assert {v.level for v in told} == {"cannot_say"} and all("20 readings of 75.0 C" in v.not_checked[0] for v in told)
    assert {v.level for v in lethality.judge(t, core, rules=("gb-70c-2min",), moved=False) if "come-up" not in v.rule} == {"within"}
    core[:] = 66.0
    core[40:43] = 20.0
    held = next(v for v in lethality.judge(t, core, rules=("gb-70c-2min",)) if v.rule == "gb-70c-2min")
    assert held.level == "within" and any("3 readings of 20.0 C" in n for n in held.not_checked)


def test_one_column_says_that_swapped_probes_are_not_seen_and_a_core_that_swings_is_asked():
    assert probe_runs.ONE_COLUMN in cooling.judge(LOG, SLOW)[0].not_checked
    air = 4.0 + 1.5 * np.sin(LOG / 900.0) + 68.0 * np.exp(-LOG / 1500.0)
    assert cooling.SWINGS in cooling.judge(LOG, air, is_celsius=True)[0].not_checked
    assert cooling.SWINGS not in cooling.judge(LOG, SLOW)[0].not_checked


# -- what is true ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("told_thickness", [True, False])
@pytest.mark.parametrize(("thickness", "interval"), [(25.0, 5.0), (25.0, 60.0), (70.0, 60.0), (70.0, 300.0), (120.0, 300.0)])
def test_what_an_oven_door_and_an_ice_bath_do_to_a_core_passes(thickness, interval, told_thickness):
    """Roasted, the door open for five minutes, roasted on, rested, into ice water, into the fridge: forecast core, read as a logger reads."""
    joint = Joint("lean-pork", "slab", None, thickness, None, None, conductivity=0.5, density=1050.0, specific_heat=3500.0)
    way = (
        Stage("oven", 200.0, lasts_s=1800.0, film=30.0), Stage("rest", 21.0, lasts_s=300.0, film=10.0), Stage("oven", 200.0, lasts_s=1800.0, film=30.0),
        Stage("rest", 21.0, lasts_s=900.0, film=10.0), Stage("ice-bath", 0.0, lasts_s=3600.0, film=300.0), Stage("fridge", 4.0, lasts_s=7200.0, film=8.0),
    )  # fmt: skip
    told = forecast(joint, way, 4.0, members=1, quick=True).curves
    t = np.arange(0.0, told.seconds[-1], interval)
    core = np.round(np.minimum(np.interp(t, told.seconds, told.core), 100.0), 1)
    seen = probe_runs.marked(read(t, core, longest_gap_s=1800.0), thickness if told_thickness else None)
    assert seen == probe_runs.Marked(seen.record) and seen.record.celsius.size == core.size


def test_the_doors_of_a_fridge_and_its_defrost_pass():
    t = np.arange(0.0, 5 * 86400.0, 300.0)
    c = 4.0 + 0.8 * np.sin(t / 1200.0)
    c[100:103] = (11.0, 9.0, 6.0)  # a door
    c[500:506] = (9.0, 14.0, 16.0, 12.0, 8.0, 5.0)  # a defrost
    c[800:830] = 24.0  # out on the table for two and a half hours
    record = tidy(t, c, expect="fridge")
    assert record.notes == () and (record.celsius == c).all()


@pytest.mark.parametrize(("false", "count"), [(85.0, 2), (85.0, 9), (-127.0 + 100.0, 4), (-18.0, 3), (-18.0, 40)])
def test_air_that_no_fridge_has_is_taken_as_the_warmer_of_its_neighbours_and_asked(false, count):
    t = np.arange(0.0, 5 * 86400.0, 300.0)
    c = np.full(t.size, 6.0)
    c[300 + count] = 7.0
    c[300 : 300 + count] = false
    record = tidy(t, c, expect="fridge")
    assert record.celsius.min() == 6.0 and (record.celsius[300 : 300 + count] == 7.0).all()
    assert any(f"{count} readings" in n and "did the logger fail" in n for n in record.notes)
    assert tidy(t, c, expect="any").notes == ()


def test_a_freezer_is_no_failed_fridge():
    t = np.arange(0.0, 5 * 86400.0, 300.0)
    assert tidy(t, np.full(t.size, -28.0), expect="fridge").notes == ()
