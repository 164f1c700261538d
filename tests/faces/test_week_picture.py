"""The days ahead as a picture: what lies in them and nothing else, the same for a table and for a phone."""

import re
from datetime import timedelta

import pytest
from tests.faces.sample_plan import sample_plan

from ingle.faces.events import events
from ingle.faces.timeline_scale import Scale, Sizes
from ingle.faces.week import COUNT, week_svg

PLAN = sample_plan()
FIRST = PLAN.at.date() - timedelta(days=8)


def names(svg):
    return set(re.findall(r">([^<>]+)</text>", svg))


@pytest.mark.parametrize("width", [1200, 380])
def test_every_stretch_of_the_seven_days_is_a_bar_and_no_other(width):
    svg = week_svg(PLAN, FIRST, width=width)
    last = FIRST + timedelta(days=COUNT - 1)
    inside = [e for e in events(PLAN) if FIRST <= e.start.date() <= last]
    assert inside and svg.count('class="hands"') == len(inside)
    described = re.search(r"<desc[^>]*>(.*?)</desc>", svg, re.DOTALL)[1]
    assert all(e.verb.split(":")[0] in described for e in inside)
    rows = {p.short for p in PLAN.parts} & names(svg)
    working = {p.short for p in PLAN.parts if any(s.part == p.key and s.start.date() <= last and (max(s.end, s.ready[2]) if s.ready else s.end).date() >= FIRST for s in PLAN.steps)}
    assert rows == working and len(svg) < 200_000


def test_where_nothing_lies_there_is_no_picture():
    assert week_svg(PLAN, PLAN.at.date() + timedelta(days=400)) == ""


@pytest.mark.parametrize("width", [1200, 380])
def test_now_stands_where_its_hour_is_and_covers_no_key(width):
    at = PLAN.at.replace(hour=12, minute=0) - timedelta(days=6)
    svg = week_svg(PLAN, FIRST, now=at, width=width)
    size = Sizes(width)
    x = Scale([FIRST + timedelta(days=n) for n in range(COUNT)], size.left, float(width - size.right), PLAN.at).x(at)
    line = re.search(r'<line[^>]*class="now"[^>]*>', svg)[0]
    assert float(re.search(r'x1="([\d.]+)"', line)[1]) == pytest.approx(x, abs=0.1)
    texts = {word: float(re.search(r'\by="([\d.]+)"', tag)[1]) for tag, word in re.findall(r"<text([^>]*)>([^<]*)</text>", svg)}
    assert texts["hands"] - texts["now"] >= size.key  # a line of the key stands under it
