"""The plan as a picture: what is drawn is counted against the plan."""

from __future__ import annotations

import struct
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise

import pytest
from pytest import approx
from tests.faces.sample_plan import sample_plan, tailed_forecast

from ingle.faces.events import days, events
from ingle.faces.timeline import chart_html, cure_chart_svg, timeline_png, timeline_svg
from ingle.faces.tokens import DARK, LIGHT

NS = "{http://www.w3.org/2000/svg}"
PLAN = sample_plan()


def _parts(svg: str, what: str) -> list[ET.Element]:
    return [e for e in ET.fromstring(svg).iter() if e.get("class") == what]


@pytest.fixture(scope="module", params=[(1600, False), (1600, True), (390, False)], ids=["wide", "dark", "phone"])
def svg(request):
    return timeline_svg(PLAN, width=request.param[0], dark=request.param[1])


def test_every_attended_stretch_is_its_own_bar_of_3_px_and_none_touch(svg):
    bars = [tuple(float(e.get(k)) for k in ("x", "y", "width")) for e in _parts(svg, "hands")]
    assert len(bars) == len(events(PLAN))
    assert min(w for *_, w in bars) >= 3
    for y in {b[1] for b in bars}:
        row = sorted((x, w) for x, row_y, w in bars if row_y == y)
        assert all(a + w + 1 <= b for (a, w), (b, _) in pairwise(row))


def test_bars_stand_where_their_time_is():
    """A day is a day: the bar of each turning stands two days' width after the one before, within the pixel it may move."""
    svg = timeline_svg(PLAN)
    day = 4 * float(_parts(svg, "night")[0].get("width"))  # 00 to 06 is a quarter of it
    rows: dict[str, list[float]] = {}
    for bar in _parts(svg, "hands"):
        rows.setdefault(bar.get("y"), []).append(float(bar.get("x")))
    turns = list(rows.values())[1][2:8]  # collar B: rubbed, laid, turned six times
    start = min(float(n.get("x")) for n in _parts(svg, "night"))
    rubbed = start + day * (1 + (9 * 60 + 52) / 1440)  # 09:52 on the second day; the bar after it is the one that moves
    assert list(rows.values())[1][0] == approx(rubbed, abs=0.05)
    assert [b - a for a, b in pairwise(turns)] == approx([2 * day] * 5, abs=0.05)


def test_long_plans_have_one_break_and_short_ones_none():
    assert len(_parts(timeline_svg(PLAN), "break")) == 2  # above and below
    week = replace(PLAN, steps=tuple(s for s in PLAN.steps if s.start.date() >= days(PLAN)[-6]))
    assert not _parts(timeline_svg(week), "break")
    assert "3 times as wide" in timeline_svg(PLAN) and "times as wide" not in timeline_svg(week)


def test_smoker_haze_brackets_twine_and_table(svg):
    assert len(_parts(svg, "smoke")) == 2 and len(_parts(svg, "table")) == 1
    assert len(_parts(svg, "bracket")) == 4 and len(_parts(svg, "likely")) == 2
    text = [e.text for e in ET.fromstring(svg).iter(f"{NS}text")]
    assert all(p.short in text for p in PLAN.parts)
    assert text.count("rind") == 1 and "buttermilk" in text and "ends of the loaf" not in text
    assert not _parts(svg, "now")


def test_the_haze_is_clear_at_both_ends_and_thickest_where_likely():
    svg = timeline_svg(PLAN)
    step = next(s for s in PLAN.steps if s.id == "collar.a.cure")
    early, likely, late = (t.timestamp() for t in step.ready)
    stops = [
        (float(s.get("offset")), float(s.get("stop-opacity")))
        for s in next(ET.fromstring(svg).iter(f"{NS}linearGradient"))
    ]
    assert [o for _, o in stops] == [0, 0.62, 0]
    assert stops[1][0] == approx((likely - early) / (late - early), abs=0.01)


def test_now_is_drawn_when_it_is_told():
    assert len(_parts(timeline_svg(PLAN, now=PLAN.plan_from), "now")) == 1


def test_the_description_lists_every_step(svg):
    root = ET.fromstring(svg)
    title, told = root.find(f"{NS}title"), root.find(f"{NS}desc")
    assert root.get("role") == "img" and {title.get("id"), told.get("id")} == set(root.get("aria-labelledby").split())
    assert "Fernhollow midwinter table" in title.text
    assert told.text.count(";") == len(events(PLAN)) - 1 and all(e.verb in told.text for e in events(PLAN))


def test_colours_are_the_themes_own():
    light, dark = timeline_svg(PLAN), timeline_svg(PLAN, dark=True)
    assert LIGHT["ember"] in light and DARK["ember"] in dark and LIGHT["smoke"] not in dark
    ids = {e.get("id") for e in ET.fromstring(light).iter() if e.get("id")} & {
        e.get("id") for e in ET.fromstring(dark).iter() if e.get("id")
    }
    assert not ids  # both may stand in one page


def test_names_cannot_break_the_drawing():
    steps = tuple(replace(s, name='<b>&"\x07') for s in PLAN.steps)
    ET.fromstring(timeline_svg(replace(PLAN, name="<x>&\x00", steps=steps)))


def test_same_plan_same_picture():
    assert timeline_svg(PLAN) == timeline_svg(sample_plan())


def test_png_has_two_pixels_to_one_and_uses_the_house_faces():
    svg = timeline_svg(PLAN)
    root = ET.fromstring(svg)
    made = timeline_png(svg)
    assert made[:8] == b"\x89PNG\r\n\x1a\n"
    wide, high = struct.unpack(">II", made[16:24])
    assert (wide, high) == (approx(2 * 1600, abs=2), approx(2 * float(root.get("height")), abs=2))
    other = timeline_png(svg.replace("Barlow Condensed, Barlow", "Public Sans"))
    assert other != made  # the condensed face was found: another one draws another picture


# -- a cure as curves --------------------------------------------------------------------------------------------------

HOURS = [0.0, 24, 48, 96, 144, 240]
CURVES = {
    "core": [0, 0.2, 0.6, 1.4, 1.9, 2.2], "mean": [0, 0.9, 1.3, 1.9, 2.1, 2.3], "surface": [4.7, 3.9, 3.2, 2.7, 2.5, 2.4],
    "band_low": [0, 0.1, 0.3, 0.8, 1.3, 1.8], "band_high": [0, 0.5, 1.2, 2.0, 2.2, 2.3],
}  # fmt: skip


def _ys(svg: str, what: str) -> list[float]:
    (path,) = _parts(svg, what)
    return [float(p.split()[1]) for p in path.get("d")[1:].rstrip("Z").split("L")]


def test_curves_are_drawn_to_one_scale_and_stay_in_their_band():
    svg = cure_chart_svg(
        HOURS, **CURVES, target=2.0, forecast=tailed_forecast("core", 150, 2), title="Salt in collar B", planned_h=300
    )
    core, mean = _ys(svg, "core"), _ys(svg, "mean")
    scale = (core[0] - core[-1]) / 2.2
    assert (mean[0] - mean[-1]) / 2.3 == approx(scale, rel=1e-3)
    band = _ys(svg, "band")
    high, low = band[: len(HOURS)], band[len(HOURS) :][::-1]
    assert all(h - 0.01 <= c <= lo + 0.01 for h, c, lo in zip(high, core, low, strict=True))
    (target,) = _parts(svg, "target")
    assert (core[0] - float(target.get("y1"))) / scale == approx(2.0, abs=0.01)


def test_twenty_grains_and_the_same_count_in_words():
    svg = cure_chart_svg(HOURS, **CURVES, forecast=tailed_forecast("core", 150, 2), planned_h=240)
    dots = _parts(svg, "grain")
    full = [d for d in dots if d.get("fill") != "none"]
    assert len(dots) == 20 and f"{len(full)} of 20 fall before the pull" in svg


def test_title_unit_and_values_are_told_to_those_who_do_not_see_it():
    root = ET.fromstring(cure_chart_svg(HOURS, **CURVES, target=2.0, unit="g/100 g", title="Salt"))
    assert root.find(f"{NS}title").text == "Salt, g/100 g, against days in the cure"
    assert "10 d: core 2.2, mean 2.3, surface 2.4 g/100 g" in root.find(f"{NS}desc").text


def test_lists_of_different_length_are_refused():
    with pytest.raises(ValueError, match="6 times, but core 5"):
        cure_chart_svg(HOURS, **(CURVES | {"core": CURVES["core"][:5]}))


def test_a_chart_page_stands_alone_with_its_table():
    page = chart_html(
        cure_chart_svg(HOURS, **CURVES),
        title="Salt <in> collar B",
        head=("hours", "core"),
        rows=[(0, "0 g"), (24, "0.2 g")],
    )
    assert "Salt &lt;in&gt; collar B" in page and page.count("<tr>") == 3 and "<svg" in page
    assert "http" not in page.replace("http://www.w3.org/2000/svg", "")
