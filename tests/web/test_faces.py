"""Small faces: units and figures in one form, a name on its own ground, a date where a weekday is not enough."""

import re
from datetime import date, datetime

import pytest
from tests.faces.sample_plan import sample_plan
from tests.web.test_forecasts import ago, warm_log
from tests.web.test_places import keep
from tests.web.visitor import text

from ingle.faces.timeline_rows import _free, _over
from ingle.faces.words import meal_at, with_unit
from ingle.jobs.plan_kept import lots_of
from ingle.jobs.take_plan import batches_of
from ingle.notebook import plans
from ingle.notebook.rows import only_kitchen
from ingle.notebook.store import open_notebook


def test_a_log_speaks_of_degrees_in_one_way(visitor):
    page = text(keep(visitor, visitor.lay_in(date=ago(4)), warm_log(80)).text)
    assert "degC" not in page and "12 °C" in page
    assert with_unit(4.0, "degC") == with_unit(4.0, "°C") == "4 °C"


@pytest.mark.parametrize("path", ["/heat?do=cool&part=ham&weight=2kg&thickness=90mm&start=72C&cold=fridge&air=4C", "/heat?do=cook&part=collar&weight=1.3kg&thickness=70mm&place=oven&dial=160C&core=71C",
                                  "/frozen?freezer=-20C&days=20&thickness=50", "/amiss?went=fridge-off&hours=9h&found=14C&room=21C&weight=1.3kg&thickness=50&eaten=cooked&packed=air",
                                  "/grounds?find=fridge", "/grounds/holding.gb-advice", "/grounds/mishap.chill-to"])  # fmt: skip
def test_pages_say_times_and_units_as_people_do(visitor, path):
    said = text(visitor.get(path).text).replace("\u00a0", " ")
    assert len(said) > 300 and re.findall(r"degC|log10|\d[.,]\d+ (?:h|min)\b", said) == []


def test_how_sure_a_line_is_stands_once(visitor):
    for path in ("/salt", "/keeping?part=collar&fridge=4C"):
        said = text(visitor.get(path).text)
        for sure in ("memory", "derived", "common practice"):
            assert f"[{sure}] ({sure})" not in said


def test_the_bench_says_once_that_a_cure_is_kept_cold(visitor):
    assert text(visitor.get("/salt").text).count("germs outrun the cure") == 1


@pytest.mark.parametrize(("today", "told"), [(date(2026, 12, 19), "Sat 18:30"), (date(2026, 12, 13), "Sat 18:30"), (date(2026, 12, 12), "Sat 19 Dec, 18:30"), (date(2026, 11, 28), "Sat 19 Dec, 18:30")])
def test_a_meal_that_is_more_than_a_week_off_has_its_date(today, told):
    assert meal_at(today, datetime(2026, 12, 19, 18, 30)) == told


def test_a_tag_carries_the_code_of_the_batch_it_hangs_on(visitor):
    plan = sample_plan()
    with open_notebook(visitor.config.notebook) as book:
        assert lots_of(book, plan) == ("",) * len(plan.weighings)
        taken = book.write(lambda s: plans.take_plan(s, only_kitchen(s), plan.name, 1, {"at": plan.at.isoformat(), "plates": 2}, batches_of(plan), []))
        codes = {b.part: b.code for b in taken.batches}
        assert plan.weighings and lots_of(book, plan) == tuple(codes[w.part] for w in plan.weighings)


def test_a_name_on_the_picture_lies_on_no_bar_and_on_no_other_name():
    bars = [(0.0, 90.0, 400.0, 110.0)]
    taken = list(bars)
    first = _free("buttermilk", 100, 104, "start", 16, taken)  # begins on the bar
    _free("cultured butter", 120, first, "start", 16, taken)  # begins on the other name
    assert len(taken) == 3
    assert not any(_over(a, b) for i, a in enumerate(taken) for b in taken[i + 1 :])
    assert abs(first - 104) < 30  # no further than it must
