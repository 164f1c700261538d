"""The calendar, read back by vobject (an iCalendar reader with its own parser) and held against RFC 5545."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import vobject
from tests.faces.sample_plan import day_of, sample_plan

from ingle.faces.calendar import calendar_bytes
from ingle.faces.events import events


@pytest.fixture(scope="module")
def plan():
    return sample_plan(name="Fernhollow — midwinter table, Äpfel; jam", dropped=("loaf.old", "collar.a.cure/v9"))


@pytest.fixture(scope="module")
def told(plan):
    return vobject.readOne(calendar_bytes(plan).decode("utf-8"))


def _utc(value):
    return value.astimezone(UTC)


def _hands(told):
    return [e for e in told.vevent_list if hasattr(e, "categories")]


def test_every_attended_stretch_is_an_event_and_nothing_else_blocks_time(plan, told):
    ours = sorted((_utc(e.start), _utc(e.end), e.verb) for e in events(plan))
    theirs = sorted((_utc(e.dtstart.value), _utc(e.dtend.value), e.summary.value) for e in _hands(told))
    assert theirs == ours
    others = [e for e in told.vevent_list if not hasattr(e, "categories")]
    assert all(not hasattr(e, "valarm") for e in others)
    assert all(
        e.transp.value == "TRANSPARENT"
        for e in others
        if isinstance(e.dtstart.value, date) and not isinstance(e.dtstart.value, datetime)
    )


def test_descriptions_hold_amounts_signs_window_and_plan_number(plan, told):
    texts = {e.uid.value: e.description.value for e in _hands(told)}
    for event in events(plan):
        text = next(t for u, t in texts.items() if u.startswith(event.id.replace("/", "-") + "@"))
        assert f"plan {plan.number}" in text
        assert all(a in text for a in event.step.amounts if event.first)
        if event.last and event.step.look_for:
            assert event.step.look_for in text


def test_the_window_is_told(plan):
    step = next(s for s in plan.steps if s.id == "relish.test")
    moved = replace(step, window=(step.start - timedelta(hours=2), step.start + timedelta(hours=26)))
    changed = replace(plan, steps=tuple(moved if s is step else s for s in plan.steps))
    assert "May start between Sun 6, 10:30 and Mon 7, 14:30." in calendar_bytes(changed).decode().replace(
        "\r\n ", ""
    ).replace("\\,", ",")


def test_identities_are_unique_and_stay_when_the_plan_moves(plan, told):
    uids = [e.uid.value for e in told.vevent_list]
    assert len(set(uids)) == len(uids)
    later = sample_plan(meal=datetime(2026, 12, 20, 19, 0), name=plan.name, number=2)
    again = vobject.readOne(calendar_bytes(later).decode())
    assert {e.uid.value for e in _hands(again)} == {e.uid.value for e in _hands(told)}
    assert {e.sequence.value for e in told.vevent_list} == {"1"} and {e.sequence.value for e in again.vevent_list} == {
        "2"
    }


def test_dropped_steps_are_cancelled_and_a_step_that_is_still_there_is_not(plan, told):
    gone = {
        e.uid.value.partition("@")[0]
        for e in told.vevent_list
        if getattr(e, "status", None) and e.status.value == "CANCELLED"
    }
    assert gone == {"loaf.old-1", "collar.a.cure-v9"}
    kept = vobject.readOne(calendar_bytes(replace(plan, dropped=("loaf.bake",))).decode())
    assert not any(getattr(e, "status", None) and e.status.value == "CANCELLED" for e in kept.vevent_list)


def test_the_meal_is_one_event_without_alarm(plan, told):
    (meal,) = [e for e in told.vevent_list if e.uid.value.startswith("table@")]
    assert _utc(meal.dtstart.value) == _utc(plan.at) and not hasattr(meal, "valarm")


@pytest.mark.parametrize("shift_min", [0, 11 * 60, -3 * 60 + 7, 5 * 60 + 31])
def test_alarms_ring_before_and_never_at_night_unless_the_step_is_then(plan, shift_min):
    by = timedelta(minutes=shift_min)
    steps = tuple(
        replace(s, start=s.start + by, end=s.end + by, attended=tuple((a + by, b + by, c) for a, b, c in s.attended),
                tends=tuple((a + by, b + by, c, n) for a, b, c, n in s.tends)) for s in plan.steps
    )  # fmt: skip
    rung = 0
    for event in _hands(vobject.readOne(calendar_bytes(replace(plan, steps=steps)).decode())):
        assert event.valarm.action.value == "DISPLAY" and event.valarm.description.value == event.summary.value
        start = event.dtstart.value
        rings = start + event.valarm.trigger.value
        assert timedelta(0) <= start - rings <= timedelta(minutes=10)
        at_night = start.hour >= 22 or start.hour < 6
        assert at_night or 6 <= rings.hour < 22
        rung += 1
    assert rung == len(events(plan))


def test_same_plan_same_bytes_and_stamp_is_the_plans_own_clock(plan, told):
    assert calendar_bytes(plan) == calendar_bytes(sample_plan(name=plan.name, dropped=plan.dropped))
    assert {_utc(e.dtstamp.value) for e in told.vevent_list} == {_utc(plan.plan_from)}


def test_lines_are_folded_at_75_octets_and_end_with_crlf(plan):
    raw = calendar_bytes(plan)
    assert raw.endswith(b"\r\n") and b"\n" not in raw.replace(b"\r\n", b"")
    assert max(len(line) for line in raw.split(b"\r\n")) <= 75
    for line in raw.split(b"\r\n"):
        line.decode("utf-8")  # a fold never cuts a letter in two
    assert "Äpfel" in raw.replace(b"\r\n ", b"").decode()


@pytest.mark.parametrize(("meal", "onset", "offsets"), [
    (datetime(2026, 10, 31, 18, 30), "20261025T020000", ("+0100", "+0000")),  # clocks back, 25 October 2026, 02:00 to 01:00
    (datetime(2027, 4, 3, 18, 30), "20270328T010000", ("+0000", "+0100")),  # clocks forward, 28 March 2027, 01:00 to 02:00
])  # fmt: skip
def test_over_a_change_of_the_clocks_hours_stay_on_the_wall(meal, onset, offsets):
    """Dates: Directive 2000/84/EC, last Sundays of March and October at 01:00 UTC; London follows the same dates."""
    plan = sample_plan(meal=meal)
    text = calendar_bytes(plan).decode()
    rule = f"DTSTART:{onset}\r\nTZNAME:{'GMT' if offsets[1] == '+0000' else 'BST'}\r\nTZOFFSETFROM:{offsets[0]}\r\nTZOFFSETTO:{offsets[1]}"
    assert rule in text and text.count("BEGIN:STANDARD") + text.count("BEGIN:DAYLIGHT") == 2
    told = vobject.readOne(text)
    ours = sorted((_utc(e.start), e.verb) for e in events(plan))
    assert sorted((_utc(e.dtstart.value), e.summary.value) for e in _hands(told)) == ours
    turns = [e for e in _hands(told) if e.summary.value.startswith("Turn collar A")]
    assert {(e.dtstart.value.hour, e.dtstart.value.minute) for e in turns} == {(18, 30)}
    smoke = [e for e in events(plan, day_of(plan, 6)) if e.step.id == "collar.smoke" and e.first]
    assert smoke[0].start.hour == 7


def test_a_far_zone_without_daylight_time():
    plan = sample_plan(zone="Asia/Kolkata")
    told = vobject.readOne(calendar_bytes(plan).decode())
    first = events(plan)[0]
    assert min(_utc(e.dtstart.value) for e in _hands(told)) == _utc(first.start)
    assert first.start.replace(tzinfo=ZoneInfo("UTC")) - _utc(first.start) == timedelta(hours=5, minutes=30)
