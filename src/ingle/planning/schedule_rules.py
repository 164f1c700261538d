"""The rules of the kitchen as constraints: the table of contents.

One function per rule, whose docstring says it in a cook's words: rules of time in `schedule_time`, of hands
in `schedule_hands`, of places in `schedule_places`.
"""

from __future__ import annotations

from ingle.planning.problem import Problem
from ingle.planning.schedule_hands import (
    a_cook_does_one_thing_at_a_time,
    each_stretch_has_one_cook_throughout,
    hands_open_and_close_a_step,
    long_waits_are_tended,
)
from ingle.planning.schedule_model import Model
from ingle.planning.schedule_places import (
    an_oven_has_one_heat_at_a_time,
    food_keeps_its_place_between_steps,
    kit_is_held_while_in_use,
    no_place_is_overfull,
)
from ingle.planning.schedule_time import (
    all_is_done_by_the_table,
    dates_are_kept,
    nothing_begins_before_the_start,
    nothing_is_kept_too_long,
    steps_take_their_time,
    steps_wait_for_each_other,
)


def build(problem: Problem, wide_days: int = 0) -> Model:
    """All rules of one problem, without any wish. The problem must be checked and on its grain.

    With `wide_days`, an explaining model that looks so far before the start and beyond the table.
    """
    m = Model(problem, wide_days)
    steps_take_their_time(m)
    nothing_begins_before_the_start(m)
    steps_wait_for_each_other(m)
    all_is_done_by_the_table(m)
    nothing_is_kept_too_long(m)
    dates_are_kept(m)
    hands_open_and_close_a_step(m)
    long_waits_are_tended(m)
    each_stretch_has_one_cook_throughout(m)
    a_cook_does_one_thing_at_a_time(m)
    kit_is_held_while_in_use(m)
    food_keeps_its_place_between_steps(m)
    no_place_is_overfull(m)
    an_oven_has_one_heat_at_a_time(m)
    return m
