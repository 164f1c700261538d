"""The cut as a picture: lines where the field says, patterns for tissues, words for those who do not see it."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import numpy as np
import pytest
from pytest import approx

from ingle.crafts.cure.section import polygon_area
from ingle.crafts.cure.section_file import shipped_section, shipped_sections
from ingle.crafts.cure.section_map import tissue_map
from ingle.faces.contours import cividis, filled, rings
from ingle.faces.drawing import png
from ingle.faces.section_picture import front_svg, section_svg
from ingle.faces.tokens import contrast, luminance, theme
from ingle.ground.errors import OutOfRange

MAPS = {n: tissue_map(shipped_section(n), 48) for n in shipped_sections()}


def parts(svg, what):
    return [e for e in ET.fromstring(svg).iter() if e.get("class") == what]


def texts(svg):
    return [e.text for e in ET.fromstring(svg).iter() if e.tag.endswith("text")]


def depth(found):
    """mm from the top, as a field."""
    y = (found.y_m[1:] + found.y_m[:-1]) / 2 * 1000
    return np.repeat(y[:, None], found.shape[1], axis=1)


# -- lines -------------------------------------------------------------------------------------------------------------


def test_rings_of_a_cone_are_circles_and_the_error_falls_with_the_square_of_the_cell():
    errors = []
    for n in (40, 80, 160):
        x = (np.arange(n) + 0.5) * 2 / n - 1
        (ring,) = rings(x, x, 1 - np.hypot(*np.meshgrid(x, x)), 0.5)
        errors.append(abs(polygon_area(tuple(map(tuple, ring))) / (math.pi * 0.25) - 1))
    assert errors[0] / errors[2] == approx(16, rel=0.3)


def test_a_straight_field_has_its_line_where_it_says():
    x, y = np.arange(12.0), np.arange(9.0)
    (ring,) = rings(x, y, np.repeat(x[None], 9, axis=0), 4.3)
    on = ring[(ring[:, 1] >= 0) & (ring[:, 1] <= 8) & (ring[:, 0] < 11)]
    assert len(on) == 9 and on[:, 0] == approx(4.3)


def test_two_hills_are_two_rings_and_a_hollow_is_a_second():
    x = np.linspace(-2, 2, 81)
    gx, gy = np.meshgrid(x, x)
    hills = np.exp(-8 * ((gx - 1) ** 2 + gy**2)) + np.exp(-8 * ((gx + 1) ** 2 + gy**2))
    assert len(rings(x, x, hills, 0.5)) == 2
    assert len(rings(x, x, np.exp(-4 * (np.hypot(gx, gy) - 1) ** 2), 0.5)) == 2
    assert rings(x, x, hills, 2.0) == []


@pytest.mark.parametrize("seed", range(20))
def test_rings_part_what_is_above_from_what_is_below_on_any_field(seed):
    """Even and odd crossings of the rings tell each node's side, saddles included."""
    values = np.random.default_rng(seed).uniform(0, 4, (7, 8))
    found = rings(np.arange(8.0), np.arange(7.0), values, 2.0)
    for i in range(7):
        for j in range(8):
            hits = 0
            for ring in found:
                (x0, y0), (x1, y1) = ring.T, np.roll(ring, -1, axis=0).T
                slant = (y0 > i + 1e-7) != (y1 > i + 1e-7)
                at = x0[slant] + (i + 1e-7 - y0[slant]) / (y1 - y0)[slant] * (x1 - x0)[slant]
                hits += int((at > j + 1e-8).sum())
            assert (hits % 2 == 1) == (values[i, j] >= 2.0)


@pytest.mark.parametrize("seed", range(20))
def test_rings_close_where_many_values_are_the_level_itself(seed):
    values = np.random.default_rng(seed).integers(0, 4, (7, 8)).astype(float)
    found = rings(np.arange(8.0), np.arange(7.0), values, 2.0)
    assert all(len(r) >= 3 and np.isfinite(r).all() for r in found)
    for ring in found:
        step = np.hypot(*(ring - np.roll(ring, 1, axis=0)).T)
        assert step.max() <= math.sqrt(2) + 1e-9  # each side of a ring lies within one cell


def test_holes_are_filled_from_beside():
    field = np.full((5, 6), np.nan)
    field[2, 3] = 7.0
    assert (filled(field) == 7.0).all()
    field[2, 2] = 1.0
    assert filled(field)[1, 2] == approx(4.0) and filled(field)[2, 4] == 7.0
    with pytest.raises(ValueError, match="without a single number"):
        filled(np.full((2, 2), np.nan))


def test_the_scale_of_colours_only_gets_lighter():
    lights = [luminance(cividis(v)) for v in np.linspace(0, 1, 101)]
    assert all(b > a for a, b in pairwise(lights))
    assert (cividis(0), cividis(1), cividis(119 / 255)) == ("#00224E", "#FEE838", "#757575")


# -- pictures ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("width", [280, 390, 720, 1600])
@pytest.mark.parametrize("name", sorted(MAPS))
def test_every_cut_is_a_picture_that_stays_on_its_plate(name, width, dark):
    svg = section_svg(MAPS[name], width=width, dark=dark)
    root = ET.fromstring(svg)
    assert float(root.get("width")) == width and "nan" not in svg.lower()
    ids = re.findall(r' id="([^"]+)"', svg)
    assert len(ids) == len(set(ids)) and set(re.findall(r"url\(#([^)]+)\)", svg)) <= set(ids)
    for e in root.iter():
        if e.tag.endswith("text") and e.get("text-anchor") == "start":
            assert float(e.get("x")) + 0.42 * float(e.get("font-size")) * len(e.text) < width


def test_tissues_are_told_by_pattern_share_and_word():
    svg = section_svg(MAPS["belly"])
    assert {f"url(#cutl720-{t})" for t in ("lean", "fat", "rind")} <= {e.get("fill") for e in parts(svg, "swatch")}
    assert {"lean 44.4 %", "fat 48.9 %", "rind 6.7 %", "brine touches", "nothing passes", "20 mm"} <= set(texts(svg))
    assert len(parts(svg, "wet")) == 1
    assert "rind 7" not in section_svg(MAPS["loin"]) and "nothing passes" not in texts(section_svg(MAPS["loin"]))


def test_the_ruler_is_to_scale():
    svg = section_svg(MAPS["belly"])
    start, end = (float(v) for v in re.match(r"M([\d.]+) .*M([\d.]+) [\d.]+v10$", parts(svg, "ruler")[0].get("d")).groups())
    assert (end - start) / 20 == approx((720 - 48) / 120, rel=1e-3)


def test_lines_and_their_numbers_are_those_asked_for():
    svg = section_svg(MAPS["belly"], values=depth(MAPS["belly"]), unit="mm deep", levels=[10, 20.5, 30])
    assert len(parts(svg, "band")) == 4 and len(parts(svg, "step")) == 4
    frame = parts(svg, "frame")[0]
    assert [e.text for e in frame if e.tag.endswith("text")] == ["10", "20.5", "30"]
    heights = {e.text: float(e.get("y")) - 5 for e in frame if e.tag.endswith("text")}
    scale = (720 - 48) / 120
    assert heights == approx({"10": 10 * scale, "20.5": 20.5 * scale, "30": 30 * scale}, abs=0.05)
    assert "mm deep" in texts(svg)


def test_values_of_rind_and_of_the_outside_do_not_set_the_scale():
    found = MAPS["belly"]
    field = depth(found)
    spoilt = np.where(found.tissue == 3, 1e6, field)
    assert section_svg(found, values=spoilt) == section_svg(found, values=np.where(found.tissue == 3, np.nan, field))


def test_frames_share_one_scale_and_each_has_its_label():
    found = MAPS["loin"]
    frames = [(f"day {d}", depth(found) * d) for d in (1, 2, 4)]
    svg = front_svg(found, frames, unit="mm")
    assert len(parts(svg, "frame")) == 3
    assert {"day 1", "day 2", "day 4"} <= set(texts(svg))
    few = [len([e for e in f.iter() if e.get("class") == "band"]) for f in parts(svg, "frame")]
    assert few == sorted(few) and few[0] < few[2] == len(parts(svg, "step"))
    assert "day 1: 0.587 to 74.4 mm" not in svg and re.search(r"day 1: [\d.]+ to [\d.]+ mm; day 2:", svg)


def test_a_field_of_one_value_and_a_small_one_are_drawn():
    found = MAPS["loin"]
    assert len(parts(section_svg(found, values=np.full(found.shape, 3.0)), "step")) == 2
    small = section_svg(found, values=depth(found) * 1e-7)
    assert 4 <= len(parts(small, "step")) <= 9


@pytest.mark.parametrize(
    ("ask", "field"),
    [
        (lambda m: section_svg(m, width=200), "width"),
        (lambda m: section_svg(m, values=np.ones((3, 3))), "values"),
        (lambda m: section_svg(m, values=np.full(m.shape, np.nan)), "values"),
        (lambda m: section_svg(m, values=depth(m), levels=[2, 1]), "levels"),
        (lambda m: section_svg(m, values=depth(m), levels=[]), "levels"),
        (lambda m: front_svg(m, []), "frames"),
        (lambda m: front_svg(m, [("day 3", np.ones(2))]), "day 3"),
    ],
)
def test_what_cannot_be_drawn_is_refused(ask, field):
    with pytest.raises(OutOfRange) as why:
        ask(MAPS["loin"])
    assert why.value.field == field and why.value.remedy and why.value.limit


@pytest.mark.parametrize("dark", [False, True])
def test_marks_stand_out_from_their_ground(dark):
    """3 for lines that mean something (WCAG 2.2, 1.4.11): the dots of fat on paper, the bars of rind on smoke."""
    ink = theme(dark)
    assert contrast(ink["ash"], ink["paper"]) >= 3 and contrast(ink["plate"], ink["smoke"]) >= 3
    assert contrast(ink["brine"], ink["plate"]) >= 3


def test_names_with_signs_of_markup_do_no_harm():
    svg = section_svg(MAPS["loin"], title='<script> & "cut"')
    assert "<script>" not in svg and '<script> & "cut"' in " ".join(texts(svg))


def test_the_picture_becomes_png():
    assert png(front_svg(MAPS["belly"], [("day 1", depth(MAPS["belly"]))]), scale=0.5).startswith(b"\x89PNG")
