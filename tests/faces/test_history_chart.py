"""A history as one picture: names that do not touch, bands that hold their line, numbers all the way."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pytest import approx

from ingle.faces.drawing import png
from ingle.faces.history_chart import history_html, history_svg
from ingle.faces.history_panels import spread
from ingle.faces.setting import width as set_width
from ingle.faces.tokens import contrast, theme
from ingle.ground.errors import OutOfRange
from ingle.ground.things import Forecast

NS = "{http://www.w3.org/2000/svg}"
STAGES = [("rub", 0, 168), ("rinse", 168, 168.1), ("rest", 168.1, 504), ("smoke", 504, 512), ("dry", 512, 752)]
TURNS = [s for d in range(12) for s in (("turn", 48 * d, 48 * d), ("rub", 48 * d, 48 * d + 48))] + [("smoke", 576, 600)]
READY = Forecast("core holds 90 % of the wished salt", 67, 186, 416, tuple(range(60, 460, 20)), not_in_it=("fat",))
WIDTHS = [(1000, False), (1000, True), (390, False), (390, True), (280, False)]


@dataclass(frozen=True)
class Rows:
    """A made-up history: shapes like those of a dry cure, no forecast."""

    hours: np.ndarray
    core: tuple
    mean: tuple
    surface: tuple
    change_pct: tuple
    nitrite_core: tuple


def rows(end=752.0):
    h = np.linspace(0, end, 120)
    rise = 1 - np.exp(-h / 150)
    return Rows(
        h, tuple(k * rise for k in (2.0, 3.0, 4.5)), tuple(k * (1 - np.exp(-h / 10)) for k in (2.2, 2.4, 2.6)),
        tuple((h > 0) * (k * np.exp(-h / 60) + 1) for k in (15.0, 19.0, 20.0)), tuple(-k * h / end for k in (50.0, 30.0, 14.0)),
        tuple(k * rise * np.exp(-h / 600) for k in (40.0, 80.0, 120.0)),
    )  # fmt: skip


def draw(**more):
    given = {"title": "A piece 50 mm thick", "stages": STAGES, "forecast": READY} | more
    return history_svg(given.pop("told", rows()), **given)


def parts(svg, what):
    return [e for e in ET.fromstring(svg).iter() if e.get("class") == what]


def texts(svg):
    return list(ET.fromstring(svg).iter(f"{NS}text"))


def points(element):
    return np.array(re.findall(r"(-?[\d.]+) (-?[\d.]+)", element.get("d")), float)


def boxes(svg):
    """Where each text stands, by the widths of the house's own type: text, left, top, right, foot."""
    found = []
    for e in texts(svg):
        size, x, y = (float(e.get(k)) for k in ("font-size", "x", "y"))
        face = "figure" if "Barlow" in e.get("font-family") else "bold" if e.get("font-weight") == "700" else "text"
        wide = set_width(e.text.replace("\u2212", "-"), size, face)
        left = x - wide * {"start": 0, "middle": 0.5, "end": 1}[e.get("text-anchor")]
        found.append((e.text, left, y - 0.72 * size, left + wide, y + 0.2 * size))
    return found


# -- words -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("width", "dark"), WIDTHS)
@pytest.mark.parametrize("stages", [STAGES, TURNS, STAGES[:1]], ids=["five", "turns", "one"])
def test_no_two_texts_touch_and_all_stay_on_the_plate(width, dark, stages):
    svg = draw(width=width, dark=dark, stages=stages)
    found = boxes(svg)
    for text, left, top, right, foot in found:
        assert left >= 0 and right <= width and top >= 0 and foot <= float(ET.fromstring(svg).get("height")), text
    for (a, *one), (b, *other) in combinations(found, 2):
        apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
        assert apart, (a, b)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(["rub", "rinse", "turn", "smoke", "dry"]), st.sampled_from([0.0, 0.1, 8, 30, 200])),
        min_size=1,
        max_size=40,
    )
)
def test_names_of_any_stages_do_not_touch_and_leaders_do_not_cross(given):
    ends = np.cumsum([max(h, 0.0) for _, h in given])
    stages = [(n, e - h, e) for (n, h), e in zip(given, ends, strict=True)]
    svg = draw(told=rows(max(24.0, float(ends[-1]))), stages=stages, width=390, forecast=None)
    bar = float(parts(svg, "stage")[0].get("y"))
    names = [b for b in boxes(svg) if b[2] < bar + 30]
    for (a, *one), (b, *other) in combinations(names, 2):
        assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1], (a, b)
    lines = [points(e)[:, 0] for e in parts(svg, "leader")]
    for one, other in pairwise(sorted(lines, key=lambda x: x[0])):
        assert (one <= other).all()
    assert len(parts(svg, "stage")) == len(stages)
    assert all(float(e.get("width")) >= 3 for e in parts(svg, "stage"))


def test_every_stage_is_named_where_it_is_or_listed_by_its_number():
    told = " ".join(e.text for e in texts(draw()))
    for words in ("rub 7 d", "rinse 6 min", "rest 14 d", "smoke 8 h", "dry 10 d"):
        assert words in told
    listed = " ".join(e.text for e in texts(draw(stages=TURNS, width=390))).replace("\u00a0", " ")
    assert (
        listed.count("turn") == 12
        and listed.count("rub 2 d") + listed.count("rub 48 h") == 12
        and "smoke 24 h" in listed
    )


def test_a_row_moves_as_little_as_can_be_and_says_when_it_has_no_room():
    assert spread([0, 50], [20, 20], 0, 100) == [0, 50]
    assert spread([40, 40], [20, 20], 0, 100, gap=4) == approx([28, 52])  # both by 12, not one by 24
    assert spread([90, 95], [20, 20], 0, 100) == approx([60, 80])
    assert spread([0, 0], [60, 60], 0, 100) is None


# -- lines -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("width", "dark"), WIDTHS)
def test_a_band_holds_its_line(width, dark):
    svg = draw(width=width, dark=dark)
    for name in ("core", "weight", "nitrite"):
        (line,), (band,) = parts(svg, name), parts(svg, f"{name}-band")
        middle, around = points(line), points(band)
        high, low = around[: len(middle)], around[len(middle) :][::-1]
        assert high[:, 0] == approx(middle[:, 0]) and low[:, 0] == approx(middle[:, 0])
        assert (high[:, 1] <= middle[:, 1] + 0.01).all() and (middle[:, 1] <= low[:, 1] + 0.01).all()
        assert low[-1, 1] - high[-1, 1] > 10  # it is seen
        assert band.get("opacity") == "0.16" and line.get("stroke-dasharray")


def test_lines_stand_where_their_axes_say():
    svg = draw()
    marks = {b[0]: (b[2] + b[4]) / 2 for b in boxes(svg) if b[0] in ("\u221220", "\u221240")}
    zero = float(parts(svg, "zero")[1].get("y1"))
    a_percent = (marks["\u221240"] - marks["\u221220"]) / 20
    (line,) = parts(svg, "weight")
    assert points(line)[-1, 1] - zero == approx(30 * a_percent, abs=0.5)
    days = {e.text: float(e.get("x")) for e in texts(svg) if e.get("text-anchor") == "middle"}
    starts = {e.get("x"): e for e in parts(svg, "stage")}
    smoke = min(starts, key=lambda x: abs(float(x) - (days["20"] + (days["25"] - days["20"]) / 5)))
    assert float(smoke) == approx(days["20"] + (days["25"] - days["20"]) / 5, abs=0.1)  # hour 504 is day 21


@pytest.mark.parametrize("width", [1000, 390])
def test_salt_at_the_surface_is_cut_at_the_top_and_its_height_is_told(width):
    told = rows()
    twice = replace(
        told, surface=tuple(np.where((told.hours > 300) & (told.hours < 340), 18.0, s) for s in told.surface)
    )
    top = min(float(e.get("y1")) for e in parts(draw(told=twice, width=width), "bound"))
    (line,) = parts(draw(told=twice, width=width), "surface")
    assert points(line)[:, 1].min() == approx(top, abs=0.01)
    assert line.get("d").count("M") == 3  # below at the start, between, after
    assert any("up to 18" in e.text for e in texts(draw(told=twice, width=width)))
    low = replace(told, surface=told.mean)
    assert not any("up to" in e.text for e in texts(draw(told=low, width=width)))


def test_no_path_holds_what_is_no_number():
    flat = rows()
    nothing = tuple(np.zeros(len(flat.hours)) for _ in range(3))
    bare = Rows(flat.hours, *[nothing] * 5)
    late = Forecast("core holds its salt", np.inf, np.inf, np.inf, (np.inf,) * 20)
    for told, ready in (
        (flat, READY),
        (bare, None),
        (bare, late),
        (flat, replace(READY, latest_h=np.inf, likely_h=np.inf)),
    ):
        for width in (1000, 390):
            svg = draw(told=told, forecast=ready, width=width)
            assert not re.search(r"\b(nan|inf)\b", svg.lower())


def test_without_nitrite_the_panel_is_left_out_and_that_is_said():
    told = rows()
    svg = draw(told=replace(told, nitrite_core=tuple(0 * r for r in told.nitrite_core)))
    assert not parts(svg, "nitrite") and any(e.text == "No nitrite in these stages." for e in texts(svg))
    assert parts(draw(), "nitrite") and "No nitrite" not in draw()


# -- when it is ready --------------------------------------------------------------------------------------------------


def test_the_window_stands_under_the_salt_and_in_words():
    svg = draw()
    assert len(parts(svg, "bracket")) == 2 and len(parts(svg, "likely")) == 1 and len(parts(svg, "haze")) == 1
    told = " ".join(e.text for e in texts(svg)).replace("\u00a0", " ")
    assert "Core holds 90 % of the wished salt between 2 d 19 h and 17 d 8 h, most likely after 7 d 18 h." in told
    assert told.index("Not in these numbers: fat.") < told.index("Core holds")


def test_a_window_that_does_not_close_is_no_promise():
    grains = tuple(range(300, 800, 50)) + (np.inf,) * 10
    svg = draw(forecast=replace(READY, earliest_h=300, likely_h=np.inf, latest_h=np.inf, quantiles_h=grains))
    told = " ".join(e.text for e in texts(svg)).replace("\u00a0", " ")
    assert len(parts(svg, "bracket")) == 1 and not parts(svg, "haze") and not parts(svg, "likely")
    assert "after 12 d 12 h at the earliest (5 %). By the end of these stages 10 of 20 do." in told
    never = Forecast("core holds its salt", np.inf, np.inf, np.inf)
    assert "Core holds its salt: not within these stages." in draw(forecast=never)
    assert not parts(draw(forecast=never), "bracket")


# -- for everybody -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("dark", [False, True])
def test_words_stand_out_from_what_is_under_them(dark):
    """4.5 for text, 3 for lines that mean something (WCAG 2.2)."""
    svg = draw(dark=dark, stages=[("rub", 0, 168), ("rinse", 168, 400), ("smoke", 400, 752)])
    bars = [(e, *(float(e.get(k)) for k in ("x", "y", "width", "height"))) for e in parts(svg, "stage")]
    plate = theme(dark)["plate"]
    seen = set()
    for e in texts(svg):
        x, y = float(e.get("x")), float(e.get("y"))
        under = [b.get("fill") for b, x0, y0, w, h in bars if x0 <= x <= x0 + w and y0 <= y <= y0 + h]
        assert contrast(e.get("fill"), under[-1] if under else plate) >= 4.5, e.text
        seen |= set(under)
    assert len(seen) == 3
    for name in ("core", "whole", "surface", "weight", "nitrite"):
        assert contrast(parts(svg, name)[0].get("stroke"), plate) >= 3
    assert min(float(e.get("font-size")) for e in texts(draw(dark=dark, width=390))) >= 14


def test_title_and_description_say_what_each_stage_leaves():
    root = ET.fromstring(draw(title="<b>&\x00"))
    title, told = root.find(f"{NS}title"), root.find(f"{NS}desc")
    assert root.get("role") == "img" and {title.get("id"), told.get("id")} == set(root.get("aria-labelledby").split())
    assert title.text.startswith("<b>&:")
    assert "after smoke, 21 d 8 h: core 2.9 (1.9 to 4.4)" in told.text and "after dry, 31 d 8 h" in told.text
    assert "weight \u221230 %" in told.text


@pytest.mark.parametrize("width", [280, 390, 1000, 1600])
def test_the_picture_is_as_wide_as_asked(width):
    root = ET.fromstring(draw(width=width))
    assert float(root.get("width")) == width and root.get("viewBox").split()[2] == str(width)
    for name in ("core", "whole", "surface", "weight", "nitrite"):
        at = points(parts(draw(width=width), name)[0])[:, 0]
        assert at.min() >= 0 and at.max() <= width


def test_it_is_drawn_as_png_and_as_a_page_for_wall_and_phone():
    svg = draw(width=390)
    made = png(svg, scale=1)
    assert made.startswith(b"\x89PNG") and int.from_bytes(made[16:20]) == 390
    page = history_html(rows(), title="A piece", stages=STAGES, forecast=READY)
    assert page.count("<svg") == 2 and 'width="390"' in page and "max-width:700px" in page
    ids = re.findall(r' id="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    assert page.count("<tr>") == 1 + len(STAGES) and "\u221230 (\u221250 to \u221214)" in page


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"width": 200}, "width"),
        ({"told": replace(rows(), hours=np.zeros(120))}, "hours"),
        ({"told": replace(rows(), hours=np.arange(5.0))}, "core"),
        ({"told": replace(rows(), nitrite_core=tuple(np.full((3, 120), np.nan)))}, "nitrite_core"),
        ({"stages": [("rub", 5, 4)]}, "stage[0]"),
    ],
)
def test_what_cannot_be_drawn_is_refused_with_its_field(more, field):
    with pytest.raises(OutOfRange) as refused:
        draw(**more)
    assert refused.value.field == field and refused.value.remedy
