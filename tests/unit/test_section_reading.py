"""A drawing as a cook writes it, read strictly: junk in any place is an answer, with place, value, limit and remedy."""

from __future__ import annotations

import tomllib

import pytest
from pytest import approx
from tests.helpers import spoilt

from ingle.crafts.cure import section_map as sm
from ingle.crafts.cure.section_file import read_section, section_of, shipped_section, shipped_sections
from ingle.ground.errors import BadBrief, IngleError, OutOfRange
from ingle.ground.tables import data_path

# -- reading -----------------------------------------------------------------------------------------------------------


def belly():
    return tomllib.loads(data_path("sections", "belly.toml").read_text("utf-8"))


def test_shipped_drawings_are_read_and_named():
    assert {shipped_section(n).shape for n in shipped_sections()} == {"layers", "ellipse"}
    assert shipped_sections() == ("belly", "collar", "loin")
    with pytest.raises(BadBrief, match="'bely'") as why:
        shipped_section("bely")
    assert why.value.remedy == "Did you mean belly?"


def test_units_are_read_and_the_height_may_be_left_out():
    given = belly()
    given["section"]["width"] = "12cm"
    del given["section"]["height"]
    assert section_of(given) == shipped_section("belly")


def test_a_polygon_with_a_region_and_a_seam(tmp_path):
    path = tmp_path / "cut.toml"
    path.write_text(
        "[section]\nname = 'Leg'\nshape = 'polygon'\npoints_mm = [[10, 0], [110, 0], [110, 60.5], [10, 60.5]]\n"
        "regions = [{ tissue = 'rind', points_mm = [[0, 57.5], [120, 57.5], [120, 70], [0, 70]] }]\n"
        "seams = [{ from_mm = [60, -5], to_mm = [60, 30], thick = '2mm' }]\n"
    )
    areas = sm.areas_m2(sm.tissue_map(read_section(path), 41))
    assert areas == approx({"lean": 0.1 * 0.0605 - 0.0003 - 6e-5, "fat": 6e-5, "rind": 0.0003}, rel=1e-10)


SQUARE = "points_mm = [[0, 0], [50, 0], [50, 50], [0, 50]]"
POLYGON = "name = 'p'\nshape = 'polygon'\n"
ROUND = "name = 'e'\nshape = 'ellipse'\nwidth = '80mm'\nheight = '60mm'\n"
LAYERS = "name = 'l'\nshape = 'layers'\nwidth = '80mm'\n"
REFUSED = [
    ("", BadBrief, "section.shape"),
    ("name = 'x'\nshape = 'elipse'", BadBrief, "section.shape"),
    ("shape = 'polygon'\n" + SQUARE, BadBrief, "section.name"),
    ("name = ' '\nshape = 'polygon'\n" + SQUARE, BadBrief, "section.name"),
    (ROUND + "fatcap = '3mm'", BadBrief, "section.fatcap"),
    (ROUND + "layers = []", BadBrief, "section.layers"),
    (ROUND + "fat_cap = 9", BadBrief, "section.fat_cap"),
    (ROUND + "fat_cap = '9'", BadBrief, "section.fat_cap"),
    (ROUND + "fat_cap = '9g'", BadBrief, "section.fat_cap"),
    (ROUND + "fat_cap = '31mm'", OutOfRange, "section.fat_cap"),
    (ROUND + "fat_cap = '-3mm'", OutOfRange, "section.fat_cap"),
    (ROUND.replace("80mm", "1mm"), OutOfRange, "section.width"),
    (ROUND.replace("80mm", "1.1m"), OutOfRange, "section.width"),
    (ROUND.replace("height", "hight"), BadBrief, "section.hight"),
    (ROUND + "seams = [{ from_mm = [1, 2], to_mm = [1, 2], thick = '2mm' }]", OutOfRange, "section.seams[0]"),
    (ROUND + "seams = [{ from_mm = [1, 2], to_mm = [9, '2'], thick = '2mm' }]", BadBrief, "section.seams[0].to_mm"),
    (ROUND + "seams = [{ from_mm = [1, inf], to_mm = [9, 2], thick = '2mm' }]", BadBrief, "section.seams[0].from_mm"),
    (ROUND + "seams = [{ from_mm = [1, 2000], to_mm = [9, 2], thick = '2mm' }]", OutOfRange, "section.seams[0].from_mm"),
    (ROUND + "seams = [{ to_mm = [9, 2], thick = '2mm' }]", BadBrief, "section.seams[0].from_mm"),
    (ROUND + "seams = [{ from_mm = [90, 2], to_mm = [95, 9], thick = '2mm' }]", OutOfRange, "section.seams[0]"),
    (ROUND + "seams = [{ from_mm = [1, 2], to_mm = [9, 9], thick = '2mm', tissue = 'bone' }]", BadBrief,
     "section.seams[0].tissue"),
    (ROUND + "seams = 3", BadBrief, "section.seams"),
    (ROUND + "seams = [3]", BadBrief, "section.seams[0]"),
    (LAYERS, BadBrief, "section.layers"),
    (LAYERS + "layers = []", BadBrief, "section.layers"),
    (LAYERS + "layers = [{ tissue = 'lean' }]", BadBrief, "section.layers[0].thick"),
    (LAYERS + "layers = [{ tissue = 'lean', thick = '0mm' }]", OutOfRange, "section.layers[0].thick"),
    (LAYERS + "layers = [{ tissue = 'lean', thick = '1mm' }]", OutOfRange, "section.layers"),
    (LAYERS + "height = '46mm'\nlayers = [{ tissue = 'lean', thick = '45mm' }]", BadBrief, "section.height"),
    (LAYERS + "goes_on = ['left', 'up']\nlayers = [{ tissue = 'lean', thick = '45mm' }]", BadBrief, "section.goes_on[1]"),
    (LAYERS + "goes_on = ['left', 'right', 'top', 'bottom']\nlayers = [{ tissue = 'lean', thick = '45mm' }]", OutOfRange,
     "section.goes_on"),
    (LAYERS + "layers = [" + "{ tissue = 'lean', thick = '1mm' }," * 41 + "]", OutOfRange, "section.layers"),
    (POLYGON, BadBrief, "section.points_mm"),
    (POLYGON + "points_mm = [[0, 0], [50, 0]]", BadBrief, "section.points_mm"),
    (POLYGON + "points_mm = [[0, 0], [50, 0], [50]]", BadBrief, "section.points_mm[2]"),
    (POLYGON + "points_mm = [[0, 0], [50, 0], [50, 0], [0, 50]]", OutOfRange, "section.points_mm[1]"),
    (POLYGON + "points_mm = [[0, 0], [50, 50], [50, 0], [0, 50]]", OutOfRange, "section.points_mm"),
    (POLYGON + "points_mm = [[0, 0], [50, 0], [50, 1], [0, 1]]", OutOfRange, "section.points_mm"),
    (POLYGON + "points_mm = [[0, 0], [50, 0], [25, 0]]", OutOfRange, "section.points_mm"),
    (POLYGON + SQUARE + "\nwidth = '50mm'", BadBrief, "section.width"),
    (POLYGON + SQUARE + "\nregions = [{ points_mm = [[0, 0], [50, 0], [50, 50]] }]", BadBrief,
     "section.regions[0].tissue"),
    (POLYGON + SQUARE + "\nregions = [{ tissue = 'fat', points_mm = [[60, 0], [70, 0], [70, 9]] }]", OutOfRange,
     "section.regions[0]"),
    (POLYGON + f"points_mm = {[[i, i * i % 7] for i in range(401)]}", OutOfRange, "section.points_mm"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "kind", "field"), REFUSED)
def test_refused_with_place_value_limit_and_remedy(text, kind, field):
    with pytest.raises(IngleError) as why:
        section_of(tomllib.loads("[section]\n" + text))
    assert type(why.value) is kind and why.value.field == field
    assert why.value.limit and why.value.remedy and field in why.value.message
    assert why.value.value is not None or "is missing" in why.value.message


@pytest.mark.parametrize("given", [{}, {"section": 3}, {"sektion": {}}, {"section": {}, "more": 1}, []])
def test_refused_when_the_table_itself_is_wrong(given):
    with pytest.raises(BadBrief) as why:
        section_of(given)
    assert why.value.remedy


@pytest.mark.parametrize("name", shipped_sections())
def test_junk_in_any_place_is_an_answer_and_never_a_crash(name):
    whole = tomllib.loads(data_path("sections", f"{name}.toml").read_text("utf-8"))
    read = asked = 0
    for _, _, drawing in spoilt(whole):
        asked += 1
        try:
            sm.tissue_map(section_of(drawing), 40)
            read += 1
        except IngleError as why:
            assert why.field and why.remedy
    assert read < asked / 5  # a place at -1 or 0 mm, a name "x", no seams: these are drawings
