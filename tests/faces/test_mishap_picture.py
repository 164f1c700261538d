"""A mishap drawn for a table and for a phone: the same curves and bars, each named, nothing beyond its edges."""

import re

import pytest

from ingle.faces import setting
from ingle.faces.mishap_chart import mishap_svg
from ingle.ground.things import Piece
from ingle.jobs.mishap import Accident, Food, mishap

ANSWER = mishap(Piece(1300, 50), Accident("fridge-off", 9.0, 0.0, 21.0, None, None), food=Food("raw", eaten="cooked", packed="air"))


def shape(svg):
    """Width and height, and every place that a text or a bar takes."""
    width, height = (float(n) for n in re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg).groups())
    texts = []
    for tag, word in re.findall(r"<text([^>]*)>(.*?)</text>", svg):
        said = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        face = "figure" if "Condensed" in said["font-family"] else "bold" if float(said.get("font-weight", 400)) >= 600 else "text"
        told = re.sub(r"<[^>]+>", "", word)
        texts.append((float(said["x"]), float(said["y"]), float(said["font-size"]), said["text-anchor"], told, setting.width(told, float(said["font-size"]), face)))
    return width, height, texts


@pytest.mark.parametrize(("narrow", "width"), [(False, 1000.0), (True, 380.0)])
def test_nothing_lies_beyond_the_edges(narrow, width):
    svg = mishap_svg(ANSWER, narrow=narrow)
    wide, high, texts = shape(svg)
    assert wide == width and texts
    for x, y, _, anchor, word, long in texts:
        left = x - long if anchor == "end" else x - long / 2 if anchor == "middle" else x
        assert left >= 0 and left + long <= wide + 1 and 0 < y <= high, (word, x, y)
    assert not narrow or min(size for _, _, size, *_ in texts) >= 14


def test_the_phones_picture_says_what_the_tables_says():
    wide, narrow = mishap_svg(ANSWER), mishap_svg(ANSWER, narrow=True)
    for what in ("accident", "limit", "core-band", "core", "growth", "line"):
        assert wide.count(f'class="{what}"') == narrow.count(f'class="{what}"') > 0, what
    words = {word for *_, word, _ in shape(narrow)[2]}
    assert {"5 °C, cold holding", "core, warmer end", "air, warmer end", "as planned", "Listeria monocytogenes"} <= words
    assert {w for w in words if " log, " in w} == {w for *_, w, _ in shape(wide)[2] if " log, " in w}
    assert len(narrow) < 40_000
