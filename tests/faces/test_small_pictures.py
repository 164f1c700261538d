"""What stands at the ends of curves and twines on a phone is whole: no word is cut by the edge or lies on another."""

import itertools
import re

import pytest

from ingle.crafts.heat.joint import Joint
from ingle.crafts.heat.stage import Stage
from ingle.faces.drawing import Drawing, ticks
from ingle.faces.heat_chart import heat_svg
from ingle.faces.log_chart import log_svg
from ingle.faces.setting import width
from ingle.faces.timeline_rows import _knot_names
from ingle.faces.timeline_scale import Sizes
from ingle.jobs.cook import cook
from ingle.jobs.read import read

TEXT = re.compile(r'<text x="([\d.]+)" y="([\d.]+)"[^>]*?font-weight="(\d+)" font-size="([\d.]+)"[^>]*?text-anchor="(\w+)"[^>]*>([^<]*)</text>')
WIDE = re.compile(r'viewBox="0 0 ([\d.]+) ([\d.]+)"')
FACES = {"700": "bold", "400": "text", "500": "figure", "600": "figure"}


def boxes(svg: str) -> list[tuple[float, float, float, str]]:
    """Left, right and baseline of every text, and what it says."""
    found = []
    for x, y, weight, size, anchor, words in TEXT.findall(svg):
        wide = width(words, float(size), FACES[weight])
        left = float(x) - {"start": 0, "middle": wide / 2, "end": wide}[anchor]
        found.append((left, left + wide, float(y), words))
    return found


def inside(svg: str) -> list[str]:
    """Texts that leave the picture."""
    right, foot = map(float, WIDE.search(svg).groups())
    return [words for left, end, y, words in boxes(svg) if left < 0 or end > right or y > foot]


@pytest.mark.parametrize("narrow", [True, False], ids=["phone", "wide"])
def test_no_word_of_a_cook_is_cut_or_lies_on_another(narrow):
    told = cook(Joint("collar", "box", 1300.0, 70.0), [Stage("oven", 160.0, until_c=71.0), Stage("rest", 21.0, lasts_s=1200.0)], start_c=4.0, members=8)
    svg = heat_svg(told.heated, title="Pork collar", goal=71.0, narrow=narrow)
    assert not inside(svg)
    ends = sorted((y, words) for _, _, y, words in boxes(svg) if words.startswith(("core ", "surface ", "mean ", "hours", "minutes")))
    assert len(ends) == 4 and min(b[0] - a[0] for a, b in itertools.pairwise(ends)) >= 17, ends


@pytest.mark.parametrize("name", ["temperature", "Fühler oben", "t"])
def test_no_word_of_a_log_is_cut(name):
    rows = "\n".join(f"2026-11-25T{h:02d}:{m:02d}:00Z,{4 + 6 * (6 <= h <= 12)}" for h in range(20) for m in (0, 15, 30, 45))
    answer = read(f"time,{name} (°C)\n{rows}\n".encode(), place="fridge")
    assert not inside(log_svg(answer, title="warm.csv", narrow=True))


def test_twines_that_leave_at_one_lane_share_one_line():
    draw, size = Drawing(380, 200, key="t"), Sizes(380)
    _knot_names(draw, size, 100.0, [(300.0, "buttermilk of the churn"), (304.0, "cultured butter")], [])
    _knot_names(draw, size, 100.0, [(40.0, "collar rind")], [])
    said = boxes("".join(draw.parts))
    assert [words for *_, words in said] == ["buttermilk of the churn, cultured butter", "collar rind"]
    assert all(left >= 0 and right <= 380 for left, right, *_ in said)


@pytest.mark.parametrize(("low", "high"), [(-20.5, -14.7), (-3.2, 12.4), (0.0, 1.0), (-0.9, -0.1)])
def test_marks_of_an_axis_keep_to_its_range_also_below_nothing(low, high):
    found = ticks(low, high, 6)
    assert len(found) >= 3 and min(found) >= low - 1e-9 and max(found) <= high + 1e-9
