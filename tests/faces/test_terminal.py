"""The plan in 80 columns."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.faces.sample_plan import sample_plan

from ingle.faces.events import days, events
from ingle.faces.strip import strip
from ingle.faces.terminal import plan_plain, plan_text, verdict_lines
from ingle.faces.words import cells, clock, day_month, span


@pytest.fixture(scope="module")
def plan():
    return sample_plan()


@pytest.fixture(scope="module")
def text(plan):
    return plan_text(plan)


def test_no_line_is_over_80_columns_and_all_is_ascii(text):
    assert text.isascii()
    assert max(map(len, text.split("\n"))) <= 80


@given(st.text(max_size=120), st.text(max_size=40), st.sampled_from([60, 80, 100]), st.booleans())
@settings(max_examples=40, deadline=None)
def test_any_name_fits_and_steers_nothing(name, act, width, unicode):
    steps = tuple(replace(s, name=name, amounts=(act,), look_for=act) for s in sample_plan().steps[-8:])
    told = plan_text(replace(sample_plan(), name=name, steps=steps), width=width, unicode=unicode)
    assert all(cells(line) <= width for line in told.split("\n"))
    assert "\x1b" not in told and (unicode or told.isascii())


def test_what_matters_most_comes_last_then_one_command(text):
    order = [
        text.index(t)
        for t in (
            "\nBuy",
            "\nWeigh",
            "\nThe days",
            "\nWishes",
            " within ",
            " cannot say ",
            " NEAR ",
            " OVER ",
            "\nNext: ",
        )
    ]
    assert order == sorted(order)
    tail = text.rstrip("\n").split("\n")
    assert tail[-2] == "Next: Fri 27 Nov 19:30 Weigh the cure into two bags 20 min"
    assert tail[-1] == "      ingle sheet fernhollow.plan --day 2026-11-27"


def test_next_follows_the_clock_that_is_given(plan):
    later = plan_text(plan, now=plan.at - timedelta(hours=1)).rstrip("\n").split("\n")
    assert later[-2] == "Next: Sat 19 Dec 17:30 Cut the loaf 15 min"
    assert "serve Fernhollow" in plan_text(plan, now=plan.at + timedelta(hours=1)).split("\n")[-3]


def test_every_attended_stretch_stands_in_the_list_of_its_day(plan, text):
    listed = re.findall(r"^  (\d\d:\d\d) +(\d+) min", text, re.MULTILINE)
    assert listed == [(clock(e.start), str(e.minutes)) for e in events(plan)]


def test_every_verdict_shows_value_limit_and_clause_and_never_a_bare_pass(plan):
    for verdict in plan.verdicts:
        told = " ".join(" ".join(verdict_lines(verdict, unicode=True)).split())
        assert verdict.clause in told and (verdict.value is None or "at most" in told or "at least" in told)
        assert re.match(r"(within|NEAR|OVER|cannot say) ", told)
        if verdict.level != "within" and verdict.act:
            assert verdict.act in told


def test_a_caution_is_said_in_full_once_and_pointed_to_afterwards(plan):
    steps = tuple(replace(s, caution=("Hot fat: no water near it.",)) for s in plan.steps)
    told = plan_text(replace(plan, steps=steps, cautions=()))
    assert told.count("Hot fat: no water near it.") == 1
    assert told.count("care as on Fri 27 Nov 19:30") == len([e for e in events(plan) if e.first]) - 1


def test_long_names_of_cooks_keep_their_column(plan):
    steps = tuple(replace(s, attended=tuple((a, b, "cook A") for a, b, _ in s.attended)) for s in plan.steps)
    assert re.search(r"^  19:30     20 min  cook A Weigh the cure", plan_text(replace(plan, steps=steps)), re.MULTILINE)


def test_colour_only_repeats_a_word(plan, text):
    coloured = plan_text(plan, colour=True)
    assert re.sub(r"\x1b\[[\d;]*m", "", coloured) == text
    assert set(re.findall(r"\x1b\[[\d;]+m(.*?)\x1b\[0m", coloured)) == {"within", "NEAR", "OVER", "cannot say"}


def test_unproven_shows_the_gap_and_proven_says_so(plan, text):
    assert "not proven, no plan can be below 24 h" in " ".join(text.split())
    assert "No plan can meet them better: proven." in plan_text(replace(plan, status="proven best"))


def test_no_word_that_promises(text):
    assert not re.search(r"\b(safe|guaranteed|perfect|OK|please|thanks)\b|!", text, re.IGNORECASE)


# -- the strip ---------------------------------------------------------------------------------------------------------


def _rows(drawn: str) -> list[str]:
    key = next(i for i, line in enumerate(drawn.split("\n")) if line.startswith(" # hands"))
    lines = drawn.split("\n")[:key]
    heads = re.compile(r"night|\^|(Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d")
    return [line[11:] for line in lines if line and not heads.search(line)]


def _begun(drawn: str) -> int:
    """Stretches told by the strip: digits count, a run of # counts at least once."""
    return sum(sum(int(c) for c in row if c.isdigit()) + len(re.findall(r"#", row)) for row in _rows(drawn))


def test_every_attended_stretch_is_in_the_strip(plan):
    # every # of the sample is one beginning: no stretch of it covers a second column without another beginning in it
    assert _begun(strip(plan)) >= len(events(plan))


def test_taking_one_stretch_away_changes_the_strip(plan):
    whole = strip(plan)
    for step in plan.steps:
        for i in range(len(step.attended)):
            less = replace(step, attended=step.attended[:i] + step.attended[i + 1 :])
            assert strip(replace(plan, steps=tuple(less if s is step else s for s in plan.steps))) != whole, step.id


def test_all_days_are_named_and_all_parts_have_a_row(plan):
    drawn = strip(plan)
    assert len(re.findall(r"(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d+", drawn)) == len(days(plan)) == 23
    for part in plan.parts:
        assert part.short in drawn
    assert all(len(line) <= 80 for line in drawn.split("\n"))


def test_a_week_is_one_strip_with_the_parts_in_serving_order(plan):
    drawn = strip(plan, first=days(plan)[-6])
    assert drawn.count("night") == 1
    places = [drawn.index(f"{p.short} ") for p in plan.parts]
    assert places == sorted(places)
    assert "table ^" in drawn and drawn.count("|") >= 7


def test_a_stretch_covers_the_columns_it_lasts(plan):
    step = plan.steps[-1]
    at = step.start.replace(hour=10, minute=0)
    drawn = []
    for hours in (2, 3):
        long = replace(
            step, start=at, end=at + timedelta(hours=hours), attended=((at, at + timedelta(hours=hours), "A"),)
        )
        week = replace(plan, steps=(replace(long, id="onion.x"),), parts=plan.parts[-1:])
        (row,) = _rows(strip(week))
        drawn.append(row)
    assert [row.count("#") for row in drawn] == [1, 2] and drawn[0].index("#") == 10 // 2


def test_hours_of_a_day_are_summed(plan, text):
    for day in days(plan):
        todays = events(plan, day)
        if todays:
            assert re.search(rf"^{day_month(day)} +hands {span(sum(e.minutes for e in todays))}, ", text, re.MULTILINE)


def test_now_is_marked(plan):
    drawn = strip(plan, now=plan.plan_from + timedelta(days=3))
    line = next(line for line in drawn.split("\n") if "^ now" in line)
    assert line.index("^") == 11 + 7 * 12 // 24  # Mon 30 Nov opens its strip; 07:00 in columns of two hours


# -- one record a line -------------------------------------------------------------------------------------------------


def test_plain_is_one_record_a_line_with_a_fixed_number_of_fields(plan):
    lines = plan_plain(replace(plan, name="tab\there\nand there")).rstrip("\n").split("\n")
    fields: dict[str, set[int]] = {}
    for line in lines:
        kind, *rest = line.split("\t")
        fields.setdefault(kind, set()).add(len(rest))
    assert all(len(n) == 1 for n in fields.values()), fields
    assert len([line for line in lines if line.startswith("hands\t")]) == len(events(plan))
    assert lines[0].split("\t")[1] == "tab here and there"
    assert "2026-12-19T18:30+00:00" in lines[0]
