"""The shipped stall: twelve pieces in two boxes, nine to be laid in and three that lie already."""

import re
from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy import select
from tests.faces.paper_pages import Printed

from ingle.faces.events import events
from ingle.faces.paper.day import day_sheet
from ingle.faces.paper.tags import piece_tags, tags_of
from ingle.faces.web.pages.back import asked_rows
from ingle.ground.tables import data_path
from ingle.jobs import dossier_read, record
from ingle.jobs import plan as job
from ingle.jobs.judge_reading import reading_judged
from ingle.jobs.plan_kept import Value, take_back
from ingle.jobs.take_plan import batches_of, take_plan
from ingle.jobs.today import today
from ingle.jobs.visits import visit
from ingle.notebook.models import Batch
from ingle.notebook.store import open_notebook
from ingle.planning import planfile
from ingle.planning.brief import read_brief
from ingle.planning.kit import read_kit
from ingle.planning.part_file import load_parts
from ingle.planning.pieces import called

WRITTEN = date(2026, 11, 9)  # the plan's clock in the file
BEGINS = WRITTEN + timedelta(weeks=(datetime.now(UTC).date() - WRITTEN).days // 7 - 1)  # one to two weeks ago: the notebook takes nothing from the time to come


@pytest.fixture(scope="module")
def stall(tmp_path_factory):
    shipped, here = data_path("examples", "stall"), tmp_path_factory.mktemp("stall")
    moved = lambda m: (date.fromisoformat(m[0]) + (BEGINS - WRITTEN)).isoformat()  # noqa: E731
    (here / "stall.toml").write_text(re.sub(r"\d{4}-\d\d-\d\d(?=T)", moved, (shipped / "stall.toml").read_text()))
    (here / "kitchen.toml").write_text((shipped / "kitchen.toml").read_text())
    brief = read_brief(here / "stall.toml")
    return job.plan_of(brief, load_parts(brief.parts_dirs), read_kit(brief.kit_path), limit_s=3)


def test_the_stall_can_be_planned_with_the_forecasts_of_its_own_pieces(stall):
    cures = {s.id: s for s in stall.steps if s.id.startswith("collar.cure")}
    assert [len(cures[k].pieces) for k in ("collar.cure", "collar.cure@2")] == [9, 3]
    assert all(v.level == "within" for v in stall.verdicts if v.rule.startswith("ready@"))
    assert {v.title.partition(" ready")[0] for v in stall.verdicts if v.rule.startswith("ready@")} == {
        "Cured and cold-smoked pork collar 4 to 12", "Cured and cold-smoked pork collar 1 to 3",
    }  # fmt: skip


def test_each_box_has_a_tag_with_its_own_window(stall):
    cures = {s.id: s for s in stall.steps}
    new, begun = tags_of(stall, ["FH-1", "FH-2"])
    assert (new.name, new.lot, begun.name, begun.lot) == ("Collar 4 to 12", "FH-1", "Collar 1 to 3", "FH-2")
    assert new.ready == cures["collar.cure"].ready != cures["collar.cure@2"].ready == begun.ready
    assert "at most 150 mg/kg" in new.limit and "08.3.1" in new.limit
    assert begun.dose == "" and begun.green_weight_g == sum(p.weight_g for p in cures["collar.cure@2"].pieces)
    assert len(Printed(piece_tags([new, begun])).pages) == 2
    collar = next(b for b in batches_of(stall) if b.part == "collar")
    assert collar.forecast["step"] == "collar.cure"  # of the box that is weighed, not of the one that began first


def test_hands_are_told_which_box_they_turn_and_look_only_when_it_can_be_ready(stall):
    day = BEGINS + timedelta(days=1)
    turns = [e for e in events(stall, day) if e.visit]
    assert {e.verb.partition(" (")[2] for e in turns} == {"4 to 12)", "1 to 3)"}
    assert all(bool(e.look) == (e.start >= e.step.ready[0]) for e in events(stall) if e.visit and e.step.ready)
    assert any(e.visit and e.look for e in events(stall))


def test_the_ladder_never_stands_on_a_side_without_its_day(stall):
    sheet = Printed(day_sheet(stall, BEGINS))
    side = next(p for p in sheet.pages if "otherwise" in (p.extract_text() or ""))
    assert "Monday" in side.extract_text()


@pytest.fixture
def book(stall, tmp_path):
    (tmp_path / "stall.plan").mkdir()
    planfile.write(stall, tmp_path / "stall.plan")
    with open_notebook(str(tmp_path / "k.notebook")) as made:
        take_plan(made, tmp_path / "stall.plan")
        yield made


def test_what_lies_already_waits_and_is_not_to_be_laid_in(book, stall):
    told = today(book, now=stall.plan_from + timedelta(days=1))
    assert [w.key for w in told.waiting] == ["collar.cure@2"] and len(told.waiting[0].pieces) == 3
    assert "collar.cure" in {t.key for t in told.tasks} and not any(t.key == "collar.cure@2" and not t.visit for t in told.tasks[:4])


def test_a_turn_is_written_and_the_cure_goes_on(book, stall):
    now = stall.plan_from + timedelta(days=1, hours=4)
    turns = lambda: [t for t in today(book, now=now).tasks if t.visit]  # noqa: E731
    first = turns()[0]
    assert first.key == "collar.cure@2" and first.verb == "Turn the collar over (1 to 3)"
    row = visit(book, first.key, at=first.at, who="A")
    assert row.text.startswith(first.verb) and first.at not in [t.at for t in turns()]
    assert [w.key for w in today(book, now=now).waiting] == ["collar.cure@2"]


def test_the_sheets_box_of_a_turn_ends_nothing(book, stall):
    day = BEGINS + timedelta(days=1)
    boxes = [box for row in asked_rows(stall, day) for box in row.boxes]
    assert {b.goes_on for b in boxes if b.step.startswith("collar.cure")} == {"visit"}
    at = lambda b, n: Value(str(n), b.step, stall.plan_from + timedelta(days=1), b.label, done=True, goes_on=b.goes_on)  # noqa: E731
    take_back(book, stall, [at(b, n) for n, b in enumerate(boxes) if b.step == "collar.cure@2"], who="A")
    assert [w.key for w in today(book, now=stall.plan_from + timedelta(days=2)).waiting] == ["collar.cure@2"]
    laid = next(b for row in asked_rows(stall, BEGINS) for b in row.boxes if b.step == "collar.cure")
    assert laid.goes_on == "began"  # what was laid in is begun, not over


def test_a_temperature_of_what_lies_in_its_cure_stands_beside_its_line_and_no_other_does(book, stall):
    at = stall.plan_from + timedelta(days=1)
    judged = lambda row: reading_judged(book, row)  # noqa: E731
    with book.look() as session:
        code = session.scalar(select(Batch.code).where(Batch.part == "collar"))
    record.step(book, "collar.cure", began=at, who="A")
    warm, line = judged(record.reading(book, code, temperature_c=9.1, at=at + timedelta(hours=1), who="A"))
    assert (warm.level, line.value, line.country) == ("over", 8.0, "gb") and warm.act and "whether it was read in the warmest place" in warm.not_checked
    wrong = record.reading(book, None, place="cold room", temperature_c=41.0, at=at, who="A")
    right = record.correct(book, "reading", wrong.uid, temperature_c=4.1, who="A")
    assert judged(wrong)[0].level == "over" and judged(right)[0].level == "within"
    assert judged(record.reading(book, None, place="oven", temperature_c=180.0, at=at, who="A")) is None
    record.step(book, "collar.cure", ended=at + timedelta(days=2), who="A")
    assert judged(record.reading(book, code, temperature_c=71.0, at=at + timedelta(days=2, hours=1), who="A")) is None  # it lies there no more
    month = dossier_read.of_month(book, at.date())
    assert [r.level for r in month.kitchen_rows if r.value == "4.1 °C"] == ["within"] and line.title in {x.title for x in month.limits}
    record.reading(book, code, temperature_c=3.9, at=at + timedelta(days=1), who="A")
    told = dossier_read.of_lot(book, code)
    assert [x.title for x in told.limits].count(line.title) == 1  # read on two days
    assert not any("ready by its pull" in r.what for r in told.batches[0].rows) and not any("ready by its pull" in x.title for x in told.limits)  # no forecasts
    assert any(x.title == line.title and x.clause for x in told.limits)
    assert [r.level for r in told.batches[0].rows if r.value == "9.1 °C"] == ["over"]


@pytest.mark.parametrize(
    ("names", "said"),
    [((), ""), (("A",), "A"), (("A", "B"), "A and B"), (("A", "B", "C"), "A, B and C"), (("4", "5", "6"), "4 to 6"), (("4", "5"), "4 and 5"), (("4", "6", "7"), "4, 6 and 7")],
)
def test_names_are_said_as_one_says_them(names, said):
    assert called(names) == said


def test_a_pan_that_is_boiled_down_is_told_its_weight(stall):
    """85 plates of 15 g, left in a sauce that is made at its low yield: between that and what goes into the pan."""
    cook = next(s for s in stall.steps if s.id == "brown-sauce.cook")
    said = re.search(r"weighs about ([\d.]+) kg", cook.look_for)
    cut = next(s for s in stall.steps if s.id == "brown-sauce.cut")
    in_pan = sum(float(m[1]) * (1000 if m[2] == "kg" else 1) for a in cut.amounts for m in [re.search(r"([\d.]+) (kg|g)$", a)] if m)
    assert 85 * 15 <= float(said[1]) * 1000 < 0.9 * in_pan
