"""A step that ends at its core: its length by this kitchen's ovens, and what is said where no forecast carries a thing."""

from __future__ import annotations

import re
import tomllib
from datetime import UTC, datetime
from pathlib import Path

import pytest
from tests.planning.test_every_field_counts import BRIEF, HAM, KIT, changed, told

from ingle.crafts.heat.joint import Joint
from ingle.crafts.heat.stage import Stage
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.things import Band, Piece
from ingle.jobs.cook import cook
from ingle.jobs.plan_cook import roast
from ingle.jobs.plan_steps import steps_of
from ingle.planning.brief import brief_from
from ingle.planning.kit import kit_from
from ingle.planning.kit_use import places
from ingle.planning.part_file import part_from
from ingle.planning.parts import StepSpec
from ingle.planning.problem import Placed, Problem, Schedule, Task, Use
from ingle.planning.quantities import Quantities
from ingle.planning.tasks import ForecastNeed, Tasks

AT = datetime(2026, 3, 1, 8, 0, tzinfo=UTC)
PIECE = Piece(1300.0, 70.0, name="A")
COOK = '[[cook]]\nkey = "A"\nhours = [{ days = "every day", from = "07:00", to = "22:00" }]\n'


def length(*ovens, step=HAM["step"][3], pieces=(PIECE,)):
    """The roast's length in a kitchen with these ovens."""
    kit = kit_from(tomllib.loads(COOK + "".join(f'[[oven]]\nkey = "oven-{i}"\nholds = 2\n{oven}\n' for i, oven in enumerate(ovens))))
    spec = part_from(HAM | {"step": [*HAM["step"][:3], step]}).steps[3]
    return roast(ForecastNeed("ham", "roast", "cook", spec, None, 1300.0, 160.0), pieces, kit)


def test_the_length_is_the_one_the_heat_tells_of_the_same_piece_and_oven():
    by_plan = length('fan = true\noffset = { mean = "0C", sd = "5C" }').forecast
    asked = Stage("oven", 160.0, until_c=68.0, fan=True, offset_c=0.0)
    by_cook = cook(Joint("leg", weight_g=1300.0, thickness_mm=70.0), (asked,)).time_to_core
    for mine, theirs in zip((by_plan.earliest_h, by_plan.likely_h, by_plan.latest_h), by_cook, strict=True):
        assert mine == pytest.approx(theirs / 3600, rel=0.05)  # 64 members beside 256, coarser cells: 1 % of time, and the scatter of an end


def test_a_fan_heats_faster_by_the_film_of_the_law_and_not_knowing_lies_between():
    still, fan, unknown = (length(f'{f}offset = {{ mean = "0C", sd = "5C" }}').forecast for f in ("fan = false\n", "fan = true\n", ""))
    assert fan.likely_h < 0.9 * still.likely_h
    assert fan.likely_h < unknown.likely_h < still.likely_h
    assert "fan on" in fan.basis and "no fan" in still.basis and "fan" not in unknown.basis


def test_a_dial_that_is_off_and_set_takes_no_more_time_and_one_nobody_checked_takes_a_wider_band():
    true, warm, swings, unknown = (length(f"fan = false\n{o}").forecast for o in (
        'offset = { mean = "0C", sd = "5C" }', 'offset = { mean = "10C", sd = "5C" }', 'offset = { mean = "0C", sd = "15C" }', ""))  # fmt: skip
    assert warm == true  # 150 on the dial are 160 in the chamber
    assert swings.latest_h - swings.earliest_h > true.latest_h - true.earliest_h
    assert unknown.latest_h - unknown.earliest_h > true.latest_h - true.earliest_h


def test_where_several_ovens_would_do_the_slowest_counts_and_of_several_pieces_the_last():
    still, fan = 'fan = false\noffset = { mean = "0C" }', 'fan = true\noffset = { mean = "0C" }'
    assert length(fan, still).least_h == length(still).least_h > length(fan).least_h
    both = length(fan, pieces=(PIECE, Piece(900.0, 45.0, name="B")))
    assert both.least_h == length(fan).least_h and [p.name for p, _ in both.each] == ["A", "B"]
    assert both.each[1][1].latest_h < both.each[0][1].earliest_h


def test_a_core_that_the_oven_cannot_give_is_refused():
    with pytest.raises(OutOfRange, match="it would never get there"):
        length("fan = true", step=changed(HAM, "step[3].kit[0].mode", "65C")["step"][3])


@pytest.mark.parametrize(
    ("path", "value", "field"),
    [("step[3].core", None, "step[3].core"), ("step[3].kit", [], "step[3].kit"), ("step[3].lasts.cut", None, "step[3].lasts.cut"),
     ("step[0].lasts.cut", "leg", "step[0].lasts.cut")],
)  # fmt: skip
def test_a_forecast_of_the_core_asks_for_what_it_needs(path, value, field):
    made = changed(HAM, path, value)
    if value is None:
        *_, last = path.split(".")
        del (made["step"][3]["lasts"] if "lasts" in path else made["step"][3])[last]
    with pytest.raises(BadBrief) as why:
        part_from(made)
    assert why.value.field == field


def test_the_step_says_from_when_to_read_the_middle_and_names_the_core():
    made = told()
    assert "most often done after" in made and "read the middle from" in made and "look_for='68 C in the middle'" in made
    assert re.search(r"Set the old oven to 158 C by \d\d:\d\d: it runs 2 C warm, so that it is 160 C inside", made)


@pytest.mark.parametrize(
    ("temperature", "sd", "level"), [("-20C", "1C", "within"), ("-18C", "0.1C", "within"), ("-18C", "2C", "near"), ("-12C", "1C", "over")]
)
def test_a_freezer_is_held_beside_the_line_its_days_were_told_for(temperature, sd, level):
    made = told(kit=changed(changed(KIT, "freezer.temperature", temperature), "freezer.sd", sd))
    assert f"title='chest: cold enough for the days that part files give', level='{level}'" in made


def test_meat_eaten_uncooked_is_not_called_ready_to_eat():
    made = told(ham=changed(HAM, "cure.eaten", "uncooked"))
    assert "eaten uncooked: not heated or not packed, aw below 0.88, pH above 5.0', level='cannot_say'" in made and "uncooked@" not in told()


def test_a_box_whose_brine_was_poured_off_is_not_promised():
    begun = [p | {"started": datetime(2026, 2, 27, 9, 0), "added": {"salt": "30g"}, "liquid": "poured off"} for p in BRIEF["serve"][0]["pieces"]]
    made = told(brief=changed(BRIEF, "serve[0].pieces", begun))
    assert "level='cannot_say', value=" in made and "how much salt went with the liquid that was poured off" in made


def test_a_step_names_the_oven_the_schedule_chose_and_sets_its_dial():
    two = kit_from(tomllib.loads(COOK + """
[[oven]]
key = "left"
name = "left oven"
holds = 1
offset = { mean = "2C" }
[[oven]]
key = "right"
name = "right oven"
holds = 1
offset = { mean = "-3C" }
"""))
    task = Task("x.bake", "x", "Bake it", 30, 30, uses=(Use("left", 1, 200, ("right",)),))
    spec = StepSpec("bake", "Bake it", Band(30, 30, 30))
    for chosen, words in (("left", "left oven set to 198 C: it runs 2 C warm, 200 C inside"), ("right", "right oven set to 203 C: it runs 3 C cold, 200 C inside")):
        tasks = Tasks(Problem(AT, 600, (task,), (), places(two), (), ()), {"x.bake": spec}, {})
        schedule = Schedule((Placed("x.bake", 60, 90, None, None, (), (chosen,)),), {}, (), "feasible", 0.0, 0.0)
        (step,) = steps_of(brief_from(BRIEF, Path()), {}, two, Quantities({}, (), ()), {}, {}, tasks, schedule)
        assert step.kit == (words,)
