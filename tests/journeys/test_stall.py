"""The shipped stall: twelve pieces in two boxes, nine to be laid in and three that lie already."""

from datetime import date

import pytest
from tests.faces.paper_pages import Printed

from ingle.faces.events import events
from ingle.faces.paper.day import day_sheet
from ingle.faces.paper.tags import piece_tags, tags_of
from ingle.ground.tables import data_path
from ingle.jobs import plan as job
from ingle.jobs.take_plan import batches_of
from ingle.planning.brief import read_brief
from ingle.planning.kit import read_kit
from ingle.planning.part_file import load_parts
from ingle.planning.pieces import called


@pytest.fixture(scope="module")
def stall():
    brief = read_brief(data_path("examples", "stall", "stall.toml"))
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
    day = date(2026, 11, 10)
    turns = [e for e in events(stall, day) if e.visit]
    assert {e.verb.partition(" (")[2] for e in turns} == {"4 to 12)", "1 to 3)"}
    assert all(bool(e.look) == (e.start >= e.step.ready[0]) for e in events(stall) if e.visit and e.step.ready)
    assert any(e.visit and e.look for e in events(stall))


def test_the_ladder_never_stands_on_a_side_without_its_day(stall):
    sheet = Printed(day_sheet(stall, date(2026, 11, 9)))
    side = next(p for p in sheet.pages if "otherwise" in (p.extract_text() or ""))
    assert "Monday" in side.extract_text()


@pytest.mark.parametrize(
    ("names", "said"),
    [((), ""), (("A",), "A"), (("A", "B"), "A and B"), (("A", "B", "C"), "A, B and C"), (("4", "5", "6"), "4 to 6"), (("4", "5"), "4 and 5"), (("4", "6", "7"), "4, 6 and 7")],
)
def test_names_are_said_as_one_says_them(names, said):
    assert called(names) == said
