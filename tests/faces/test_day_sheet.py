"""The day sheet, as text and as a page."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.faces.sample_plan import day_of, sample_plan

from ingle.faces.benchrow import blocks, rows
from ingle.faces.boxes import boxes_of, stops
from ingle.faces.events import days, events
from ingle.faces.sheet import ROWS_A_PAGE, day_html, day_text, pages
from ingle.safety.verdict import Verdict

PLAN = sample_plan()


class _Page(HTMLParser):
    """Text of the page by class, and everything the page would fetch."""

    def __init__(self, text: str):
        super().__init__()
        self.found: list[tuple[str, str]] = []
        self.fetched: list[str] = []
        self._open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        told = dict(attrs)
        self.fetched += [told[k] for k in ("src", "href") if k in told]
        if tag not in ("meta", "link", "br"):
            self._open.append(told.get("class", tag))

    def handle_endtag(self, _tag):
        self._open.pop()

    def handle_data(self, data):
        if data.strip() and self._open and "style" not in self._open:
            self.found.append((self._open[-1], data.strip()))

    def of(self, name: str) -> list[str]:
        return [text for where, text in self.found if where == name]


@pytest.mark.parametrize("before", range(23))
def test_the_page_holds_every_stretch_of_its_day_and_no_other(before):
    day = day_of(PLAN, before)
    page = _Page(day_html(PLAN, day))
    todays = events(PLAN, day)
    assert page.of("time") == [f"{r.start:%H:%M}" for r in rows(PLAN, day)]
    told = " ".join(page.of("verb")).replace("\u00a0", " ")
    assert all(e.verb in told for e in todays)
    assert page.fetched == []
    assert ("Nothing to do by hand this day." in page.of("none")) == (not todays)


def test_visits_at_the_same_minute_share_a_row_and_each_is_named():
    (row,) = rows(PLAN, day_of(PLAN, 19))
    assert row.verb == "Turn collar A, rub the liquid back in; Turn collar B, rub the liquid back in"
    assert row.who == "6\u00a0min, A"
    other = next(s for s in PLAN.steps if s.id == "collar.b.cure")
    same = replace(
        other,
        part="onion",
        tends=tuple((a, b, c, "Turn collar A, rub the liquid back in") for a, b, c, _ in other.tends),
    )
    (row,) = rows(replace(PLAN, steps=tuple(same if s is other else s for s in PLAN.steps)), day_of(PLAN, 19))
    assert "(Cold-smoked pork collar); " in row.verb and row.verb.endswith("(Pickled red onion)")


@pytest.mark.parametrize("before", range(23))
def test_at_most_nine_rows_a_side_and_fewer_than_ten_a_block(before):
    day = day_of(PLAN, before)
    sides = pages(PLAN, day)
    assert all(sum(len(b.rows) for b in side.blocks) <= ROWS_A_PAGE for side in sides)
    assert [r for side in sides for b in side.blocks for r in b.rows] == rows(PLAN, day)
    assert all(len(b.rows) < 10 for b in blocks(rows(PLAN, day)))


def test_a_crowded_day_runs_over_to_more_sides_and_loses_nothing():
    crowd = tuple(replace(PLAN.steps[0], id=f"collar.x{i}") for i in range(25))
    day = PLAN.steps[0].start.date()
    sides = pages(replace(PLAN, steps=crowd), day)
    counts = [sum(len(b.rows) for b in side.blocks) for side in sides]
    assert sum(counts) == 25 and max(counts) <= ROWS_A_PAGE and min(counts) > 1


def test_short_rows_keep_to_nine_a_side_though_ten_would_fit():
    step = replace(PLAN.steps[0], name="Turn", amounts=(), say=(), caution=(), look_for="", kit_kind="")
    crowd = []
    for hour, count in ((8, 9), (12, 5), (16, 5)):
        at = step.start.replace(hour=hour, minute=0)
        end = at.replace(minute=5)
        crowd += [
            replace(step, id=f"collar.x{hour}-{i}", start=at, end=end, attended=((at, end, "A"),)) for i in range(count)
        ]
    sides = pages(replace(PLAN, steps=tuple(crowd)), step.start.date())
    assert [sum(len(b.rows) for b in side.blocks) for side in sides] == [9, 5, 5]


def test_stops_are_at_most_three_and_name_act_and_clause():
    for day in days(PLAN):
        top = stops(PLAN, day)
        assert len(top) <= 3 and all(s.head and s.act and s.clause for s in top)
    smoke_day = [s.head for s in stops(PLAN, day_of(PLAN, 6))]
    assert smoke_day == ["Smoker with butter in it over 18\u00a0°C", "Chamber over 22\u00a0°C"]
    cure_day = stops(PLAN, day_of(PLAN, 18))[0]
    assert (cure_day.head, cure_day.clause) == ("Fridge over 5\u00a0°C", "FDA Food Code 3-501.16(A)(2)")


def _boxes(step_id: str, which: int = 0):
    event = [e for e in events(PLAN) if e.step.id == step_id][which]
    return [(b.label.replace("\u00a0", " "), b.unit, b.limit, b.count) for b in boxes_of(PLAN, event)]


def test_boxes_ask_for_a_value_with_its_unit():
    assert _boxes("collar.rinse") == [("Collar A and collar B", "kg", False, 2)]
    assert _boxes("collar.weigh") == [("Curing salt, as weighed", "g", False, 2)]
    assert _boxes("collar.smoke") == [("Chamber, at most 22 °C", "°C", True, 1)]
    assert _boxes("loaf.mix") == [("Dough, aim 26 °C", "°C", False, 1)]
    assert _boxes("loaf.bake", 0) == [("Done at", ":", False, 1)]
    assert _boxes("loaf.bake", 2) == [("Core, at least 96 °C", "°C", True, 1)]
    assert _boxes("relish.test") == [("At most pH 4.6", "pH", True, 1)]
    assert _boxes("crackling.thaw") == [("In the fridge at", ":", False, 1)]


def test_a_verdict_names_its_step_by_its_rule_and_stops_only_on_its_day():
    chamber = Verdict(
        "chamber@smoked.smoke", "Cold-smoke half of the butter: chamber temperature at which butter slumps", "cannot_say",
        None, 20.0, "C", "hard stop for shape", "own", "common practice", kind="practice", act="Set ice under it."
    )  # fmt: skip
    plan = replace(PLAN, verdicts=(chamber,))
    (stop,) = [s for s in stops(plan, day_of(PLAN, 6)) if "20" in s.head]
    assert (stop.head, stop.act) == (
        "Chamber temperature over 20\u00a0°C",
        "Cold-smoke half of the butter: Set ice under it.",
    )
    assert not [s for s in stops(plan, day_of(PLAN, 7)) if "20" in s.head]


def test_pieces_and_curing_salt_are_weighed_where_the_step_says_so():
    step = next(s for s in PLAN.steps if s.id == "collar.skin")
    told = replace(step, say=("Trim it; weigh each piece without its rind.",))
    event = next(e for e in events(replace(PLAN, steps=(told,))))
    assert [(b.label, b.unit) for b in boxes_of(PLAN, event)] == [("Collar A and collar B", "kg")]
    told = replace(step, amounts=("curing salt, 6.25 % sodium nitrite 3.5 g",))
    event = next(e for e in events(replace(PLAN, steps=(told,))))
    assert [(b.label, b.unit) for b in boxes_of(PLAN, event)] == [("Curing salt, as weighed", "g")]


def test_a_caution_that_returns_in_a_day_points_back_to_where_it_stands():
    steps = tuple(replace(s, caution=("Hot fat: no water near it.",)) for s in PLAN.steps)
    first, *others = rows(replace(PLAN, steps=steps), day_of(PLAN, 2))
    assert first.cautions == ("Hot fat: no water near it.",)
    assert {r.cautions for r in others if r.verb in ("Mix the dough", "Shape two loaves")} == {("Care as at 18:30.",)}


def test_limits_are_heavy_boxes_on_the_page():
    page = day_html(PLAN, day_of(PLAN, 13))
    assert len(re.findall(r'class="box heavy">', page)) == 2  # pH of the relish, fridge beside the collars
    assert "Heavy boxes are limits" in page and "Heavy boxes are limits" not in day_html(PLAN, day_of(PLAN, 2))


def test_cautions_stand_at_their_step_and_signs_are_said_once_a_day():
    day_rows = rows(PLAN, day_of(PLAN, 6))
    assert [bool(r.cautions) for r in day_rows] == [True] + [False] * (len(day_rows) - 1)
    looks = [r for r in day_rows if r.verb == "Look at the fire and the chamber"]
    assert looks[0].signs and not looks[1].signs and looks[1].look == "Signs as at 09:00."


def test_a_sign_seen_later_says_when():
    row = next(r for r in rows(PLAN, day_of(PLAN, 7)) if r.verb.startswith("Hang"))
    assert row.look == "By Sun 13, 07:00: dry and tacky, not wet."


@given(st.text(max_size=60))
@settings(max_examples=40, deadline=None)
def test_whatever_a_brief_says_stays_text(text):
    evil = text + "<script>alert(1)</script>&\"'"
    steps = tuple(
        replace(s, name=evil, amounts=(evil,), say=(evil,), look_for=evil, caution=(evil,)) for s in PLAN.steps
    )
    plan = replace(PLAN, name=evil, steps=steps)
    assert "<script" not in day_html(plan, day_of(PLAN, 2))
    assert all(len(line) <= 80 for line in day_text(plan, day_of(PLAN, 2)).split("\n"))


def test_the_page_is_black_on_white_and_prints_a4():
    page = day_html(PLAN, day_of(PLAN, 0))
    assert "@page { size: A4 portrait; margin: 0 }" in page
    colours = {c.lower() for c in re.findall(r"#[0-9a-fA-F]{3,6}\b", page.partition("@page")[2])}
    assert colours <= {
        "#111",
        "#fff",
        "#777",
        "#d9dad3",
    }  # black, white, grey rules, and the desk around the paper on a screen
    assert page.count("font/woff2;base64") == 3


def test_the_text_sheet_has_the_same_rows_and_plan_number():
    text = day_text(PLAN, day_of(PLAN, 6))
    assert re.findall(r"^ (\d\d:\d\d)  ", text, re.MULTILINE) == [r.time for r in rows(PLAN, day_of(PLAN, 6))]
    assert text.isascii() and text.endswith("Plan 1\n") and "[[         C ]]" in text
    assert max(map(len, text.split("\n"))) <= 80
