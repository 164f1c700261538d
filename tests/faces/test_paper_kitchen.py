"""Tags, minute card, shopping list and the plan on the wall, read back from the PDF."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from pytest import approx
from tests.faces.paper_pages import MM, Printed
from tests.faces.sample_plan import sample_plan

from ingle.faces.events import events
from ingle.faces.paper import press
from ingle.faces.paper.kitchen import in_ink, minute_card, shopping_list, wall_plan
from ingle.faces.paper.tags import JarTag, PieceTag, jar_tags, piece_tags, tags_of
from ingle.faces.timeline import timeline_svg
from ingle.ground.errors import BadBrief, OutOfRange

PLAN = sample_plan()
CAP = 0.7
MARKUP = "#let *a* _b_ $c$ @d <e> \\f"


def band(sheet: Printed, text: str, size: float) -> tuple[float, float, float]:
    """Top and bottom of the capitals of a run [mm], and its height: the glyphs sit on their baseline, 0.7 of the size high."""
    first = next(c for c in sheet.chars(0, size) if c["text"] == text[0])
    base = sheet.size_mm()[1] - first["matrix"][5] * MM
    return base - first["size"] * MM * CAP, base, first["size"] * MM * CAP


def test_a_piece_tag_has_each_thing_at_its_place():
    tag = replace(tags_of(PLAN, ["FH-261127-A"])[0], expected_g=(1300.0, 1350.0))
    sheet = Printed(piece_tags([tag]))
    assert sheet.size_mm() == (62, 90)
    top, foot, high = band(sheet, "FH", 10.0)
    assert high == approx(7, abs=0.05) and top >= 10 and foot <= 18
    top, foot, high = band(sheet, "Collar", 6.0)
    assert high == approx(4.2, abs=0.05) and top >= 20 and foot <= 26
    top, foot, high = band(sheet, "Pull", 12.86)
    assert high == approx(9, abs=0.05) and top >= 29
    second = max(sheet.size_mm()[1] - c["matrix"][5] * MM for c in sheet.chars(0, 12.86))
    assert second <= 51 and "PullSat1208:00" in sheet.letters
    boxes = [r for r in sheet.rects() if r[0] == approx(18, abs=0.1) and r[1] == approx(11, abs=0.1)]
    assert len(boxes) == 3 and all(r[4] + 0.01 >= 72 and r[4] + r[1] <= 83.1 for r in boxes)
    hole = next(r for r in sheet.rects() if r[0] == approx(5, abs=0.05) and r[4] < 10)
    assert hole[4] == approx(4, abs=0.05) and hole[3] + hole[0] / 2 == approx(31, abs=0.05)
    dots = [r for r in sheet.rects() if r[0] == approx(1.1, abs=0.02) and r[1] == approx(1.1, abs=0.02)]
    assert len(dots) == 20 and all(52 <= r[4] <= 62 for r in dots)  # a grain is one chance in twenty
    assert "for 1.38 kg; weigh, then dose; expected 1.30 to 1.35 kg" in sheet.text and "of 20 before" in sheet.text
    assert all(c["x0"] * MM >= 2 - 0.05 and c["x1"] * MM <= 60.05 for c in sheet.chars())
    dose = [c for c in sheet.chars() if c["top"] * MM > 83]
    assert dose and max(sheet.size_mm()[1] - c["matrix"][5] * MM for c in dose) <= 89.5
    assert "at most 150 mg/kg, assimilated (EC) 1333/2008" in sheet.text
    assert 0.03 < sheet.ink() < 0.4


def test_grains_on_a_tag_count_as_the_forecast_does():
    tag = tags_of(PLAN)[1]
    pull = (tag.pull - tag.started).total_seconds() / 3600
    before = sum(h <= pull for h in tag.forecast.quantiles_h)
    assert f"{before} of 20 before" in Printed(piece_tags([tag])).text and 0 < before < 20


def test_a_tag_without_lot_or_pull_has_lines_to_write_on():
    sheet = Printed(piece_tags([PieceTag("Belly", 950.0)]))
    assert "lot" in sheet.text and "green 950 g" in sheet.text and "of 20" not in sheet.text
    wide = [ln for ln in sheet.pages[0].lines if ln["width"] * MM > 45]
    assert len(wide) >= 2
    with pytest.raises(BadBrief):
        piece_tags([])


def test_long_names_shrink_and_what_cannot_fit_is_refused():
    long = "Cold-smoked pork collar with juniper and bay, second piece"
    sheet = Printed(piece_tags([PieceTag(long, 12345.0, "FERN-261127-AA-12")]))
    assert long.replace(" ", "") in sheet.letters and "12.35kg" in sheet.letters.replace("\u00a0", "")
    assert all(c["x1"] * MM <= 60.05 for c in sheet.chars())
    with pytest.raises(OutOfRange, match="needs"):
        press.pdf(piece_tags([PieceTag(long * 8, 950.0)]))


def test_jar_tags_hold_their_words():
    sheet = Printed(jar_tags([JarTag("Apple and mustard relish", "FH-261206-B", date(2026, 12, 6), date(2027, 1, 20), 210, "keep at 4 C", ("mustard",)), JarTag(MARKUP)]))
    assert sheet.size_mm() == (62, 40) and len(sheet.pages) == 2
    assert "Sun 6 Dec" in sheet.text and "Wed 20 Jan" in sheet.text and "holds mustard" in sheet.text
    assert MARKUP.replace(" ", "") in sheet.letters


def test_the_minute_card_counts_down_every_stretch_of_its_hours():
    sheet = Printed(minute_card(PLAN, hours=3))
    assert sheet.size_mm() == (148.5, 210)
    wanted = [e for e in events(PLAN) if PLAN.at - timedelta(hours=3) <= e.start <= PLAN.at]
    clocks = "".join(c["text"] for i in range(len(sheet.pages)) for c in sheet.chars(i, 5.0))
    assert all(f"{e.start:%H:%M}" in clocks for e in wanted) and len(wanted) > 5
    assert "−15" in sheet.text and "−1:00" in sheet.text and "14:00" not in clocks
    assert min(sheet.sizes()) >= 3.0 and sheet.inside(8, 8, 8, 4)
    assert Printed(minute_card(PLAN, on="letter", hours=3)).size_mm() == (139.7, 215.9)


def test_the_shopping_list_holds_every_line_with_its_packs():
    sheet = Printed(shopping_list(PLAN, printed=datetime(2026, 11, 20, 9)))
    said = sheet.letters.replace("\u00a0", "")
    for line in PLAN.shopping:
        assert line.name.replace(" ", "") in said
    assert "3×600ml" in said and "80mlleft" in said and "Haveitby" in said and "1.38kg+1.61kg" in said
    assert "milk" in sheet.text and "gluten" in sheet.text and "printed Fri 20 Nov 2026" in sheet.text
    ticks = [r for r in sheet.rects() if r[0] == approx(5, abs=0.05) and r[1] == approx(5, abs=0.05)]
    assert len(ticks) == len(PLAN.shopping) and min(sheet.sizes()) >= 3.0
    assert "NotMarkup" not in said and MARKUP.replace(" ", "") in Printed(shopping_list(replace(PLAN, shopping=(replace(PLAN.shopping[0], name=MARKUP),)))).letters


@pytest.mark.parametrize(("paper", "size"), [("a4", (297, 210)), ("a3", (420, 297)), ("letter", (279.4, 215.9)), ("tabloid", (431.8, 279.4))])
def test_the_wall_shows_the_picture_and_the_list_says_the_same(paper, size):
    sheet = Printed(wall_plan(PLAN, on=paper))
    assert sheet.size_mm() == size and len(sheet.pages) >= 2
    assert 0.02 < sheet.ink(0) < 0.5  # in ink alone: no colour on the paper
    told = "".join(c["text"] for p in sheet.pages[1:] for c in p.chars if c["text"].strip()).replace("\u00a0", "")
    assert all(e.verb.replace(" ", "") in told for e in events(PLAN))
    assert b"/Alt" in sheet.pdf or b"pdfuaid" in sheet.pdf


def test_the_picture_in_ink_keeps_every_shape_and_no_colour():
    light = timeline_svg(PLAN)
    ink = in_ink(light)
    assert ink.count("<rect") == light.count("<rect") + 2 and ink.count('class="hands"') == light.count('class="hands"')
    import re

    for colour in set(re.findall(r"#[0-9A-Fa-f]{6}", ink)):
        assert len({colour[i : i + 2].lower() for i in (1, 3, 5)}) == 1, colour
    assert ink.count("url(#hatch)") >= 2


@pytest.mark.parametrize("make", [lambda: piece_tags(tags_of(PLAN)), lambda: minute_card(PLAN), lambda: shopping_list(PLAN), lambda: wall_plan(PLAN)])
def test_the_same_plan_gives_the_same_bytes(make):
    assert press.pdf(make()) == press.pdf(make()) and b"CreationDate" not in press.pdf(make())


def test_pictures_and_drawings_of_a_job():
    job = piece_tags(tags_of(PLAN))
    pages = press.png(job, 100)
    assert len(pages) == 2 and all(p.startswith(b"\x89PNG") for p in pages)
    assert all(s.startswith("<svg") for s in press.svg(job))


@pytest.mark.parametrize("first", [1, 3, 5])
def test_a_short_group_of_the_shopping_list_is_never_cut(first):
    line = PLAN.shopping[0]
    lines = [replace(line, name=f"thing {g}{n}", buy_by=PLAN.at - timedelta(days=g), note="", packs=("1 x 600ml",)) for g in range(1, 8) for n in range(first if g == 7 else 5)]
    sheet = Printed(shopping_list(replace(PLAN, shopping=tuple(lines)), on="letter"))
    sides = ["".join(c["text"] for c in page.chars) for page in sheet.pages]
    assert len(sides) > 1
    assert all(len({i for i, side in enumerate(sides) for n in range(5) if f"thing {g}{n}" in side.replace("\u00a0", " ")}) == 1 for g in range(1, 8))


def test_an_abbreviation_made_for_charts_is_spelled_out_on_the_shopping_list():
    part = replace(PLAN.parts[0], name="Cold-smoked butter", short="Smoked b.")
    flow = replace(PLAN.flows[0], from_part=part.key, to_part=None)
    said = Printed(shopping_list(replace(PLAN, parts=(part, *PLAN.parts[1:]), flows=(flow,)))).letters
    assert "fromCold-smokedbutter" in said and "Smokedb." not in said


def test_the_list_on_the_wall_keeps_a_day_together_and_takes_one_side_where_it_can():
    sheet = Printed(wall_plan(PLAN))
    assert len(sheet.pages) == 2 and min(sheet.sizes(1)) >= 3.0
