"""Every kind of paper at once: drawn by two renderers, in grey alone, tagged, with its title, and the same each time."""

from __future__ import annotations

import io
from datetime import date, datetime

import pytest
from PIL import Image, ImageChops, ImageFilter
from tests.faces.paper_pages import Printed
from tests.faces.sample_plan import day_of, sample_plan

from ingle.faces.paper import press
from ingle.faces.paper.day import day_sheet
from ingle.faces.paper.kitchen import minute_card, shopping_list, wall_plan
from ingle.faces.paper.labels import pack_labels, ruled_sheet
from ingle.faces.paper.record import recall_sheet, record
from ingle.faces.paper.tags import JarTag, jar_tags, piece_tags, tags_of
from ingle.jobs.dossier import Came, Dossier, Packed, Recall
from ingle.jobs.label import Ingredient, Pack, label

PLAN = sample_plan()
PRINTED = datetime(2026, 12, 17, 21, 5)
HOME = label(Pack("Loaf", "FH-261218-B", 800.0, (Ingredient("wheat flour", 500.0, ("gluten",)),)), home=True)
JOBS = {
    "day": lambda p: day_sheet(PLAN, day_of(PLAN, 22), printed=p),
    "card": lambda p: minute_card(PLAN, printed=p),
    "shopping": lambda p: shopping_list(PLAN, printed=p),
    "wall": lambda p: wall_plan(PLAN, printed=p),
    "tag": lambda p: piece_tags(tags_of(PLAN), printed=p),
    "jar": lambda p: jar_tags([JarTag("Relish")], printed=p),
    "label": lambda p: pack_labels([(HOME, 2)], printed=p),
    "ruled": lambda _: ruled_sheet(),
    "record": lambda p: record(Dossier("nothing yet", "Fernhollow", (), "table", ()), printed=p),
    "recall": lambda p: recall_sheet(
        Recall("FH-IN-1", "cream", "Fernhollow", "", (Came("FH-IN-1", "cream"),), (), (Packed("P1", "butter", 2, "250 g", 2, date(2026, 12, 24)),)), printed=p
    ),
}


@pytest.mark.parametrize("kind", sorted(JOBS))
def test_two_renderers_agree_and_nothing_is_coloured(kind):
    sheet = Printed(JOBS[kind](PRINTED))
    pictures = press.png(JOBS[kind](PRINTED), 100)
    assert len(pictures) == len(sheet.pages)
    for n, picture in enumerate(pictures):
        ours = Image.open(io.BytesIO(picture)).convert("L")
        theirs = sheet.picture(n, 100).convert("L").resize(ours.size)
        assert 0.001 < sheet.ink(n) < 0.5  # fails on any colour
        assert lost(ours, theirs) < 0.01 and lost(theirs, ours) < 0.01


def lost(one: Image.Image, other: Image.Image) -> float:
    """Share of the black of one picture that has no ink within a pixel in the other (two renderers smooth edges their own way)."""
    black = one.point(lambda v: 255 if v < 60 else 0)
    near = other.point(lambda v: 255 if v < 225 else 0).filter(ImageFilter.MaxFilter(3))
    return ImageChops.subtract(black, near).histogram()[255] / max(1, black.histogram()[255])


@pytest.mark.parametrize("kind", sorted(JOBS))
def test_every_paper_is_tagged_titled_and_the_same_each_time(kind):
    job = JOBS[kind](None)
    made = press.pdf(job)
    assert made == press.pdf(JOBS[kind](None)) and b"CreationDate" not in made and b"/StructTreeRoot" in made and b"pdfuaid" in made
    assert Printed(job).file.metadata["Title"] == job.title and "/Lang" in made.decode("latin-1")
    if kind != "ruled":
        assert b"pdfaid" in press.pdf(JOBS[kind](PRINTED))


@pytest.mark.parametrize("kind", ["day", "card", "shopping", "wall"])
def test_no_letter_of_a_kitchen_paper_is_under_three_millimetres(kind):
    sheet = Printed(JOBS[kind](PRINTED))
    first = 1 if kind == "wall" else 0  # the picture on the wall is drawn to the width of its paper
    assert min(s for i in range(first, len(sheet.pages)) for s in sheet.sizes(i)) >= 3.0
