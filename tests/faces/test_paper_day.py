"""The day sheet on paper: its rows, its sizes, its ladder, read back from the PDF."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from pytest import approx
from tests.faces.paper_pages import MM, Printed
from tests.faces.sample_plan import day_of, sample_plan

from ingle.faces.benchrow import rows
from ingle.faces.paper import press
from ingle.faces.paper.day import day_sheet
from ingle.ground.errors import BadBrief
from ingle.jobs.dose_ladder import ladder

PLAN = sample_plan()
PRINTED = datetime(2026, 12, 17, 21, 5)
CAP = 0.7  # height of a capital of both faces, of its size (700 of 1000 units in their OS/2 tables)


@pytest.mark.parametrize("before", range(23))
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_row_of_the_day_is_on_it_and_nothing_runs_off(before, paper):
    day = day_of(PLAN, before)
    sheet = Printed(day_sheet(PLAN, day, on=paper))
    wanted = rows(PLAN, day)
    times = "".join(c["text"] for i in range(len(sheet.pages)) for c in sheet.chars(i, 20))
    assert times == "".join(r.time for r in wanted)
    said = sheet.letters
    assert all(r.verb.replace(" ", "").replace("\u00a0", "") in said for r in wanted)
    for i in range(len(sheet.pages)):
        assert sheet.size_mm(i) == ((210, 297) if paper == "a4" else (215.9, 279.4))
        assert len(sheet.chars(i, 20)) <= 9 * 5  # at most nine rows a side, five letters a time
        assert sheet.inside(18, 9, 10, 7, i)
    assert len(sheet.pages) <= 1 + (len(wanted) > 4)


def test_sizes_are_those_to_be_read_from_three_metres():
    sheet = Printed(day_sheet(PLAN, day_of(PLAN, 6), printed=PRINTED))
    time = sheet.chars(0, 20)[0]
    assert "BarlowCondensed-SemiBold" in time["fontname"] and time["size"] * MM * CAP == approx(14, abs=0.1)
    assert {20.0, 8.4, 15.0, 10.0, 7.0, 6.0, 4.2} <= sheet.sizes()
    assert min(sheet.sizes()) >= 3.0
    boxes = [(round(w, 1), round(h, 1), round(line, 2)) for w, h, line, *_ in sheet.rects() if h > 9]
    assert (36.0, 11.5, 0.9) in boxes and (13.0, 11.5, 0.35) in boxes  # a limit is heavy, initials are not
    holes = sorted(r[4] + r[1] / 2 for r in sheet.rects() if r[0] == approx(5.5, abs=0.1) and r[3] < 10)
    assert holes[1] - holes[0] == approx(80, abs=0.1)
    assert "printed Thu 17 Dec 2026, 21:05" in sheet.text and "Plan 1, side 1 of" in sheet.text


def test_a_day_of_twelve_rows_takes_two_sides():
    day = day_of(PLAN, 0)
    first = next(s for s in PLAN.steps if s.start.date() == day and s.attended)
    more = []
    for n in range(12):
        start = first.start.replace(hour=6, minute=0) + timedelta(minutes=20 * n)
        more.append(replace(first, id=f"loaf.x{n}", name=f"Turn the tray for the {n + 1}th time", start=start, end=start + timedelta(minutes=5),
                            attended=((start, start + timedelta(minutes=5), "A"),), tends=(), look_for="", if_not=()))  # fmt: skip
    plan = replace(PLAN, steps=tuple(more))
    sheet = Printed(day_sheet(plan, day))
    assert len(sheet.pages) == 2
    counts = [len(sheet.chars(i, 20)) // 5 for i in range(2)]
    assert sum(counts) == 12 and max(counts) <= 9


def test_the_same_plan_gives_the_same_bytes_and_no_time_of_its_own():
    job = day_sheet(PLAN, day_of(PLAN, 6))
    assert press.pdf(job) == press.pdf(day_sheet(PLAN, day_of(PLAN, 6)))
    assert b"CreationDate" not in press.pdf(job) and b"pdfuaid" in press.pdf(job)
    dated = press.pdf(day_sheet(PLAN, day_of(PLAN, 6), printed=PRINTED))
    assert dated == press.pdf(day_sheet(PLAN, day_of(PLAN, 6), printed=PRINTED)) and b"pdfaid" in dated and b"20261217210500" in dated


@pytest.mark.parametrize("name", ["#panic()", "$x^2$", "*bold* _it_", "\\u{41} \\", "@ref <label>", "= Head", "#let a = 1; a", "`raw` ~ --- // c /* d */", "Żółć Ärger"])
def test_markup_in_a_name_is_printed_as_it_is(name):
    day = day_of(PLAN, 22)
    step = next(s for s in PLAN.steps if s.start.date() == day and s.attended)
    plan = replace(PLAN, name=name, steps=tuple(replace(s, name=name, say=(name,), amounts=(name,)) if s is step else s for s in PLAN.steps))
    sheet = Printed(day_sheet(plan, day))
    if name.isascii():
        assert sheet.letters.count(name.replace(" ", "")) >= 4
    assert sheet.ink() > 0.01


def test_a_letter_that_no_typeface_has_is_refused():
    with pytest.raises(BadBrief, match="no typeface"):
        press.pdf(day_sheet(replace(PLAN, name="Table \U0010fffd"), day_of(PLAN, 6)))


def test_the_ladder_stands_on_the_day_of_weighing_and_on_no_other():
    told = Printed(day_sheet(PLAN, day_of(PLAN, 22))).text
    assert "collar A: if it weighs otherwise" in told and "1.38 kg 2.6 g 29.4 g 13.8 g planned" in told
    assert "otherwise" not in Printed(day_sheet(PLAN, day_of(PLAN, 6))).text


@pytest.mark.parametrize("weighing", PLAN.weighings, ids=lambda w: w.piece)
def test_no_rung_of_the_ladder_holds_more_nitrite_or_less_salt_than_planned(weighing):
    """By hand: nitrite = curing salt x its strength; salt = plain salt + curing salt less its nitrite. Scale step 0.1 g."""
    told = ladder(weighing)
    strength = weighing.nitrite_mg_per_kg * 1e-6 * weighing.green_weight_g / weighing.grams["curing_salt"]
    assert sum(r.planned for r in told.rungs) == 1 and len(told.rungs) >= 8
    weights = [r.green_weight_g for r in told.rungs]
    assert weights == sorted(set(weights)) and weights[0] < 0.85 * weighing.green_weight_g and weights[-1] > 1.15 * weighing.green_weight_g
    for rung in told.rungs:
        curing = math.floor(weighing.nitrite_mg_per_kg * 1e-6 * rung.green_weight_g / strength / 0.1 + 1e-6) * 0.1
        assert rung.grams["curing_salt"] == approx(curing, abs=1e-6)
        salt = (rung.grams["salt"] + rung.grams["curing_salt"] * (1 - strength)) / rung.green_weight_g
        if not rung.planned:
            assert weighing.salt_per_green_weight - 1e-9 <= salt <= weighing.salt_per_green_weight + 0.2 / rung.green_weight_g


def test_sides_hold_nine_rows_at_most_and_blocks_are_cut_only_where_they_must():
    from ingle.faces.benchrow import block_of
    from ingle.faces.paper.day import fill

    some = rows(PLAN, day_of(PLAN, 0))
    plain = [replace(some[0], start=some[0].start + timedelta(minutes=n)) for n in range(20)]
    two = [block_of(plain[:6]), block_of(plain[6:11])]
    counts = lambda sides: [[len(b.rows) for b in side] for side in sides]  # noqa: E731
    assert counts(fill(two, [20.0] * 11, 9.0, 250.0, 262.0)) == [[6], [5]]  # 238 mm would fit one side, eleven rows may not
    assert counts(fill([block_of(plain[:9])], [20.0] * 9, 9.0, 250.0, 262.0)) == [[9]]
    assert counts(fill([block_of(plain[:8])], [40.0] * 8, 9.0, 250.0, 262.0)) == [[4], [4]]  # evenly, where it must be cut
    assert counts(fill([block_of(plain[:2])], [300.0, 20.0], 9.0, 250.0, 262.0)) == [[1], [1]]  # too high for a side: alone on one
    assert fill([], [], 9.0, 250.0, 262.0) == [[]]
    three = [block_of(plain[:3])]
    assert counts(fill(three, [60.0] * 3, 9.0, 250.0, 262.0, 50.0)) == [[3]]  # the ladder below them
    assert counts(fill(three, [60.0] * 3, 9.0, 250.0, 262.0, 100.0)) == [[2], [1]]  # stays with the row it is for
    assert counts(fill(three, [200.0, 20.0, 230.0], 9.0, 250.0, 262.0, 100.0)) == [[2], [1], []]  # on a side of its own, with its head


def test_a_long_day_stands_on_one_line_beside_the_date_of_the_table():
    sheet = Printed(day_sheet(PLAN, day_of(PLAN, 22)))
    head = [c for i, c in enumerate(sheet.chars(0)) if 9 <= c["size"] * MM <= 15 and c["top"] * MM < 25]
    assert len({round(c["matrix"][5], 1) for c in head}) == 1  # the day and the table sit on one line
