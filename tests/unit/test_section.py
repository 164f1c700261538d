"""A drawn cut as cells: areas against plane geometry and against clipping by another method, wet faces."""

from __future__ import annotations

import math
import tomllib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pytest import approx

from ingle.crafts.cure import section_map as sm
from ingle.crafts.cure.section import (
    ARC,
    FAT,
    LEAN,
    RIND,
    Patch,
    Section,
    crossing,
    ellipse,
    inside,
    polygon_area,
    rectangle,
    strip,
    tissue_at,
)
from ingle.crafts.cure.section_cover import cover
from ingle.crafts.cure.section_file import section_of, shipped_section, shipped_sections
from ingle.ground.errors import OutOfRange
from ingle.ground.sources import SURE
from ingle.ground.tables import data_path, sources, toml_table

SHORT = 2 * math.pi**2 / (3 * ARC**2)  # what an inscribed polygon of n corners lacks of its ellipse: 2 pi^2 / 3 n^2


def lens(r: float, d: float) -> float:
    """Area common to two circles of radius r, d apart."""
    return 2 * r * r * math.acos(d / (2 * r)) - d / 2 * math.sqrt(4 * r * r - d * d)


def clipped(points, left, top, right, bottom):
    """Area of a closed line inside a rectangle, by cutting off one side after the other (Sutherland and Hodgman 1974)."""
    for axis, at, sign in ((0, left, 1), (0, right, -1), (1, top, 1), (1, bottom, -1)):
        kept = []
        for a, b in zip(points, points[1:] + points[:1], strict=True):
            da, db = sign * (a[axis] - at), sign * (b[axis] - at)
            if da >= 0:
                kept.append(a)
            if (da >= 0) != (db >= 0):
                t = da / (da - db)
                kept.append((a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])))
        points = kept
        if len(points) < 3:
            return 0.0
    return polygon_area(tuple(points))


@st.composite
def stars(draw):
    """Closed lines around a centre that do not cross themselves."""
    n = draw(st.integers(3, 14))
    radii = draw(st.lists(st.floats(0.004, 0.05), min_size=n, max_size=n))
    turn = draw(st.floats(0, 1))
    return tuple(
        (0.06 + r * math.cos(2 * math.pi * (i + turn) / n), 0.05 + r * math.sin(2 * math.pi * (i + turn) / n))
        for i, r in enumerate(radii)
    )


def belly():
    return tomllib.loads(data_path("sections", "belly.toml").read_text("utf-8"))


# -- areas -------------------------------------------------------------------------------------------------------------


def test_layers_have_their_width_times_their_thickness():
    found = sm.tissue_map(shipped_section("belly"), 37, 19)  # borders of cells that fit no layer
    assert sm.areas_m2(found) == approx({"lean": 0.120 * 0.020, "fat": 0.120 * 0.022, "rind": 0.120 * 0.003}, rel=1e-12)
    assert sm.fractions(found) == approx({"lean": 20 / 45, "fat": 22 / 45, "rind": 3 / 45}, rel=1e-12)


def test_ruling_tissues_are_within_a_row_of_cells_of_each_border():
    found = sm.tissue_map(shipped_section("belly"), 40, 30)
    row, drawn, celled = 0.120 * 0.045 / 30, sm.areas_m2(found), sm.celled_m2(found)
    borders = {"lean": 3, "fat": 3, "rind": 1}
    assert all(abs(celled[n] - drawn[n]) <= borders[n] * row / 2 * (1 + 1e-9) for n in borders)


def test_an_ellipse_has_pi_a_b_less_what_its_corners_lack():
    found = sm.tissue_map(shipped_section("collar"), 96, 48)
    whole = math.pi / 4 * 0.115 * 0.085
    assert sum(sm.areas_m2(found).values()) / whole == approx(1 - SHORT, abs=SHORT / 100)


def test_whole_cells_come_nearer_to_the_ellipse_as_they_shrink():
    section = Section("round", "ellipse", ellipse(0.1, 0.07))
    whole = math.pi / 4 * 0.1 * 0.07
    errors = [abs(sum(sm.celled_m2(sm.tissue_map(section, n)).values()) / whole - 1) for n in (16, 64, 256)]
    assert errors[0] > 2 * errors[1] > 4 * errors[2]  # the bound below falls by 4 each time, errors scatter
    for n, error in zip((16, 64, 256), errors, strict=True):
        assert error * whole < 0.27 * (0.1 / n) / 10  # no lean to one side: a tenth of a cell along the circumference


def test_a_fat_cap_is_a_circle_less_a_lens_stretched():
    found = sm.tissue_map(shipped_section("loin"), 96)
    a, b, cap = 0.055, 0.0375, 0.009
    expected = math.pi * a * b - lens(a, cap * a / b) * b / a
    assert sm.areas_m2(found)["fat"] == approx(expected, rel=2 * SHORT * (math.pi * a * b) / expected)


def test_the_cap_is_as_thick_as_said_at_the_top():
    section, cap = shipped_section("loin"), 0.009
    under = tissue_at(section, [0.055] * 2, [cap * 0.999, cap * 1.001])
    assert under.tolist() == [FAT, LEAN]


def test_a_seam_is_its_length_times_its_thickness():
    seam = strip((0.03, 0.02), (0.06, 0.06), 0.003)
    section = Section("one seam", "ellipse", ellipse(0.115, 0.085), (Patch(FAT, seam),))
    assert sm.areas_m2(sm.tissue_map(section, 50))["fat"] == approx(0.05 * 0.003, rel=1e-12)


@settings(max_examples=40, deadline=None)
@given(stars(), stars())
def test_every_cell_is_covered_as_clipping_says(outline, patch):
    x, y = np.linspace(0.0, 0.12, 8), np.linspace(-0.01, 0.11, 6)
    section = Section("s", "polygon", outline, (Patch(FAT, patch),))
    found = cover(section, x, y)
    told = [[clipped(list(outline), x[j], y[i], x[j + 1], y[i + 1]) for j in range(7)] for i in range(5)]
    assert found.sum(axis=0) == approx(np.array(told), abs=1e-15)
    assert found.sum() == approx(polygon_area(outline), rel=1e-10)
    assert (found >= 0).all() and found[RIND - 1].sum() == 0


@settings(max_examples=30, deadline=None)
@given(stars(), st.floats(0.01, 0.11), st.floats(0.0, 0.1), st.floats(0.005, 0.05), st.floats(0.005, 0.05))
def test_a_patch_is_cut_off_at_the_outline(outline, left, top, wide, high):
    section = Section("s", "polygon", outline, (Patch(RIND, rectangle(left, top, left + wide, top + high)),))
    found = cover(section, np.array([0.0, 0.12]), np.array([-0.01, 0.11]))
    expected = clipped(list(outline), left, top, left + wide, top + high)
    assert found[RIND - 1].sum() == approx(expected, rel=1e-9, abs=1e-15)


def test_the_last_patch_lies_on_top():
    low, high = Patch(FAT, rectangle(0, 0, 0.02, 0.02)), Patch(RIND, rectangle(0.01, 0, 0.03, 0.02))
    square = rectangle(0, 0, 0.04, 0.02)
    one, other = (sm.areas_m2(sm.tissue_map(Section("s", "polygon", square, p), 9)) for p in ((low, high), (high, low)))
    assert one == approx({"lean": 2e-4, "fat": 2e-4, "rind": 4e-4}, rel=1e-12)
    assert other == approx({"lean": 2e-4, "fat": 4e-4, "rind": 2e-4}, rel=1e-12)


@pytest.mark.parametrize("name", shipped_sections())
def test_the_map_and_the_drawing_agree_in_each_cell_of_one_tissue(name):
    found = sm.tissue_map(shipped_section(name), 31)
    x, y = (found.x_m[1:] + found.x_m[:-1]) / 2, (found.y_m[1:] + found.y_m[:-1]) / 2
    told = tissue_at(found.section, *np.meshgrid(x, y))
    pure = found.share.max(axis=0) > 1 - 1e-9
    assert pure.sum() > 0.4 * pure.size
    assert (found.tissue[pure] == told[pure]).all()
    assert sum(sm.fractions(found).values()) == approx(1.0, rel=1e-14)


@settings(max_examples=30, deadline=None)
@given(stars(), st.floats(0, 0.12), st.floats(0, 0.1))
def test_inside_is_where_the_line_turns_once_around(points, x, y):
    turns = np.angle(np.roll(z := np.array([complex(a - x, b - y) for a, b in points]), -1) / z).sum() / (2 * np.pi)
    if abs(abs(turns) - round(abs(turns))) < 1e-6:
        assert bool(inside(points, x, y)) == (round(abs(turns)) == 1)


# -- faces -------------------------------------------------------------------------------------------------------------


def looking(found, axis, end):
    return int(((found.wet.axis == axis) & (found.wet.end == end)).sum())


def test_brine_touches_the_top_and_both_ends_of_a_belly_and_not_its_rind():
    found = sm.tissue_map(shipped_section("belly"), 60, 45)  # rows of 1 mm: three of rind
    assert (looking(found, 0, -1), looking(found, 0, 1)) == (60, 0)
    assert looking(found, 1, -1) == looking(found, 1, 1) == 42
    assert found.wet_m == approx(0.120 + 2 * 0.042, abs=0.330 / 4000)  # a piece of the outline
    assert not (found.tissue[found.wet.row, found.wet.column] == RIND).any()


def test_an_open_rind_is_wet():
    found = sm.tissue_map(shipped_section("belly"), 60, 45, sealed_rind=False)
    assert looking(found, 0, 1) == 60 and looking(found, 1, 1) == 45
    assert found.wet_m == approx(0.330, rel=1e-9)


def test_nothing_passes_where_the_piece_goes_on():
    given = belly()
    given["section"]["goes_on"] = ["left", "right"]
    found = sm.tissue_map(section_of(given), 60, 45)
    assert (looking(found, 0, -1), looking(found, 1, -1), looking(found, 1, 1)) == (60, 0, 0)
    assert found.wet_m == approx(0.120, rel=1e-9)


@pytest.mark.parametrize("degrees", [17, 30, 61])
def test_a_rind_aslant_and_thinner_than_two_cells_seals_all_its_length(degrees):
    turn = np.exp(1j * math.radians(degrees))

    def turned(*box):
        return tuple((z.real + 0.1, z.imag) for z in (complex(*p) * turn for p in rectangle(*box)))

    section = Section("aslant", "polygon", turned(0, 0, 0.1, 0.04), (Patch(RIND, turned(0, 0, 0.1, 0.002)),))
    found = sm.tissue_map(section, 80)
    step = found.x_m[1] - found.x_m[0]
    at_x = (found.x_m[1:] + found.x_m[:-1])[found.wet.column] / 2 - 0.1
    at_y = (found.y_m[1:] + found.y_m[:-1])[found.wet.row] / 2
    back = (at_x + 1j * at_y) / turn  # as if it lay flat
    along = (back.real > 3 * step) & (back.real < 0.1 - 3 * step)
    assert back.imag[along].min() > 0.03  # only the far face is wet
    assert along.sum() > 0.8 * 0.1 / step


def test_the_wet_length_of_an_ellipse_is_its_circumference():
    found = sm.tissue_map(shipped_section("collar"), 40)
    a, b = 0.0575, 0.0425
    h = ((a - b) / (a + b)) ** 2
    ramanujan = math.pi * (a + b) * (1 + 3 * h / (10 + math.sqrt(4 - 3 * h)))  # 1914; exact to 1e-8 here
    assert found.wet_m == approx(ramanujan, rel=3 * SHORT)


# -- what the cells hold -----------------------------------------------------------------------------------------------


def test_mass_and_water_of_a_belly_by_hand():
    found, known = sm.tissue_map(shipped_section("belly"), 50, 20), sm.tissues()
    mass = sm.mass_per_metre(found, known)
    assert mass == approx({"lean": 0.0024 * 1070, "fat": 0.00264 * 940, "rind": 0.00036 * 1050}, rel=1e-12)
    meat = (20 * 1070 * 0.74 + 22 * 940 * 0.08) / (20 * 1070 + 22 * 940)
    assert sm.mean_water(found, known) == approx(meat, rel=1e-12)
    assert sm.mean_water(found, known, rind=True) == approx(
        (20 * 1070 * 0.74 + 22 * 940 * 0.08 + 3 * 1050 * 0.48) / (20 * 1070 + 22 * 940 + 3 * 1050), rel=1e-12
    )


def test_a_belly_of_these_layers_holds_the_water_of_the_food_table():
    """USDA SR26, NDB 10005, belly: 36.7 g water per 100 g; this drawing has somewhat more lean, a fifth more at most."""
    assert 0.367 < sm.mean_water(sm.tissue_map(shipped_section("belly")), sm.tissues(), rind=True) < 0.367 * 1.2


def test_mixed_cells_keep_the_water_of_the_drawing():
    found, known = sm.tissue_map(shipped_section("belly"), 10, 17), sm.tissues()
    drawn = sum(m * known[n].water for n, m in sm.mass_per_metre(found, known).items())
    assert sm.storage(found, known, mixed=True).sum() * found.cell_m2 == approx(drawn, rel=1e-12)
    assert sm.storage(found, known).sum() * found.cell_m2 != approx(drawn, rel=1e-3)


def test_sealed_rind_takes_nothing_and_fat_is_slower():
    found, known = sm.tissue_map(shipped_section("belly"), 60, 45), sm.tissues()
    pace = sm.pace(found, known)
    assert (pace[found.tissue == RIND] == 0).all() and (pace[found.tissue == LEAN] == 1).all()
    assert (pace[found.tissue == FAT] == known["fat"].pace).all()


def test_grid_of_the_map_is_the_box_of_the_drawing():
    found = sm.tissue_map(shipped_section("loin"), 96)
    assert found.shape == (65, 96)
    assert found.size_m == approx((0.075, 0.110), rel=1e-12)
    assert found.inside.sum() * found.cell_m2 == approx(sum(sm.celled_m2(found).values()), rel=1e-12)


@pytest.mark.parametrize("across", [1, 0, -3, 1001, 9.5, True])
def test_impossible_grids_are_refused(across):
    with pytest.raises(OutOfRange) as why:
        sm.tissue_map(shipped_section("loin"), across, 20)
    assert why.value.field == "across" and why.value.remedy


def test_cells_wider_than_the_rind_are_refused_and_the_remedy_helps():
    section = shipped_section("belly")
    with pytest.raises(OutOfRange, match="no cell is rind") as why:
        sm.tissue_map(section, 16, 6)
    assert why.value.remedy == "Take 32 by 12 cells."
    assert (sm.tissue_map(section, 32, 12).tissue == RIND).any()


# -- data --------------------------------------------------------------------------------------------------------------


def test_tissues_have_ends_in_order_and_sources():
    law = toml_table("laws", "tissues.toml")
    plausible = {"water": (0.0, 0.8), "pace": (0.0, 1.0), "density": (900.0, 1100.0)}
    for name in ("lean", "fat", "rind"):
        for kind, (low, high) in plausible.items():
            said = law[name][kind]
            assert low < said["low"] <= said["likely"] <= said["high"] <= high
            assert said["sure"] in SURE and said["clause"]
            assert said["sure"] == "derived" or said["doubt"]
    assert {said["source"] for kinds in law.values() for said in kinds.values()} <= set(sources())
    assert set(sm.tissue_sources()) == {f"{n}.{k}" for n, kinds in law.items() for k in kinds}


def test_densities_are_the_sum_of_their_components():
    """Choi and Okos 1986, 5 C: water 997.1, protein 1327.3, fat 923.5, ash 2422 kg/m3; compositions USDA SR26 and data."""
    parts = np.array([997.1, 1327.3, 923.5, 2422.4])
    for name, shares, slack in (
        ("fat", (0.0769, 0.0292, 0.8869, 0.0070), 5.0),  # NDB 10004, back fat; rounded to 10 kg/m3
        ("rind", (0.4803, 0.2568, 0.2547, 0.0064), 5.0),
    ):
        volume = (np.array(shares) / parts).sum()
        assert sm.tissues()[name].density == approx(sum(shares) / volume, abs=slack)


def test_ends_of_the_bands_and_an_unknown_end():
    assert sm.tissues("low")["fat"].water < sm.tissues()["fat"].water < sm.tissues("high")["fat"].water
    with pytest.raises(OutOfRange, match="low, likely or high"):
        sm.tissues("middle")


def test_a_line_that_crosses_or_touches_itself_is_found_and_a_wavy_one_is_not():
    assert crossing(((0, 0), (2, 2), (2, 0), (0, 2))) is not None
    assert crossing(((0, 0), (4, 0), (4, 4), (2, 0), (0, 4))) is not None  # a corner on another side
    assert crossing(((0, 0), (4, 0), (4, 4), (2, 0.1), (0, 4))) is None
    assert crossing(ellipse(0.1, 0.07)) is None


def test_of_two_halves_the_outer_tissue_rules():
    rows = Patch(LEAN, rectangle(0, 0, 0.03, 0.0315)), Patch(FAT, rectangle(0, 0.0315, 0.03, 0.0345))
    section = Section("halves", "layers", rectangle(0, 0, 0.03, 0.036), (*rows, Patch(RIND, rectangle(0, 0.0345, 0.03, 0.036))))
    assert sm.tissue_map(section, 10, 12).tissue[:, 0].tolist() == [LEAN] * 10 + [FAT, RIND]
