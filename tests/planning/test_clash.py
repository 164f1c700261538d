"""Impossible meals: the reasons that clash, and remedies that each give a plan when carried out."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from benchmarks.problems_schedule import demo, hours
from tests.planning.test_schedule import FRIDGE, OVEN, D, H, kitchen, step
from tests.planning.tiny import tiny
from tests.planning.verifier import verify

from ingle.ground.errors import NoPlan
from ingle.planning.clash import clash, explain
from ingle.planning.problem import Link, Place, Problem, Use
from ingle.planning.problem_grain import on_grain
from ingle.planning.remedy import Remedy, apply, widen
from ingle.planning.schedule import solve
from ingle.planning.schedule_rules import build
from ingle.planning.schedule_search import Clock, run
from ingle.planning.spans import clock

SMOKER = Place("smoker", "smoker", "the smoker", 4)


def short_of_days() -> Problem:
    """A week of cure and two days of rest, six days before the table."""
    days = tuple((d * D, d * D + 16 * H) for d in range(7))
    return kitchen(
        step("collar.cure", 7 * D, start=20),
        step("collar.rest", 2 * D, start=5),
        hours=days,
        table=6 * D + 12 * H,
        links=(Link("collar.cure", "collar.rest", 0, 2 * H),),
    )


def short_of_litres() -> Problem:
    """Two dishes of 12 litres that must both stand in a fridge of 20 until the table."""
    return kitchen(
        *(step(f"{p}.set", 60, start=10, waits_in=(Use("fridge", 12),), rest_min=H) for p in ("cream", "jelly"))
    )


def too_large() -> Problem:
    """27 litres for a fridge of 20."""
    return kitchen(step("ham.chill", 60, uses=(Use("fridge", 27),)), step("loaf.mix", 30, start=30))


def short_of_shelves() -> Problem:
    """Three trays at one heat, all taken out at the table, on one shelf."""
    return kitchen(*(step(f"{p}.bake", 60, uses=(Use("oven", 1, 200),), last_min=0) for p in ("loaf", "rind", "pie")))


def two_heats() -> Problem:
    """Two bakes of 45 min at two heats, both taken out in the last half hour."""
    return kitchen(
        step("loaf.bake", 45, uses=(Use("oven", 1, 230),), last_min=30),
        step("rind.puff", 45, uses=(Use("oven", 1, 180),), last_min=30),
    )


def short_of_rails() -> Problem:
    """Three pieces of two rails, eight hours each, in a smoker of four, with time for one smoke."""
    return kitchen(
        *(step(f"{p}.smoke", 8 * H, uses=(Use("smoker", 2),)) for p in ("collar", "loin", "butter")), places=(SMOKER,)
    )


def nobody_there() -> Problem:
    """An hour of hands in the last two hours; the cook leaves four hours before the table."""
    return kitchen(step("loaf.slice", 60, start=60, last_min=H), hours=((0, 10 * H),))


def one_pair_of_hands() -> Problem:
    """Two hours of hands in the last hour."""
    return kitchen(*(step(f"{p}.slice", 60, start=60, last_min=0) for p in ("loaf", "collar")))


def too_late_for_the_date() -> Problem:
    """A delivery at noon and a step of two days that must be done by the evening."""
    days = tuple((d * D, d * D + 16 * H) for d in range(4))
    return kitchen(step("collar.cure", 2 * D, start=20, not_before_min=2 * D), hours=days, table=3 * D + 12 * H)


CASES = {
    short_of_days: ("The table stands at", {"start_earlier", "table_later"}),
    short_of_litres: ("the fridge has 20 litres.", {"litres", "leave_out"}),
    too_large: ("ham.chill takes 27 litres, the fridge has 20.", {"litres", "leave_out"}),
    short_of_shelves: ("the oven has 1 shelf.", {"shelves"}),
    two_heats: ("the oven has one heat at a time and takes 15 min to change.", {"oven", "leave_out"}),
    short_of_rails: ("the smoker has 4 rails.", {"rails", "start_earlier", "table_later", "leave_out"}),
    nobody_there: ("loaf.slice needs 60 min of hands within the hours in the kitchen.", {"hours"}),
    one_pair_of_hands: ("collar.slice needs 60 min of hands within the hours in the kitchen.", {"leave_out"}),
    too_late_for_the_date: ("collar.cure begins no sooner than", {"table_later"}),
}


@pytest.mark.parametrize("impossible", CASES, ids=lambda case: case.__name__)
def test_the_clash_is_named_and_each_remedy_gives_a_plan(impossible):
    problem = impossible()
    words, kinds = CASES[impossible]
    reasons, remedies = explain(problem)
    assert any(reason.startswith(words) for reason in reasons), reasons
    assert kinds <= {remedy.kind for remedy in remedies}, remedies
    for remedy in remedies:
        freed = apply(problem, remedy)
        assert verify(freed, solve(freed)) == [], remedy


@pytest.mark.parametrize(
    ("impossible", "kind", "amount"),
    [
        (short_of_days, "start_earlier", 3),  # 9 d of work, 6 d 12 h and one evening before: the third day frees it
        (short_of_days, "table_later", 3),
        (short_of_litres, "litres", 4),  # 12 + 12 - 20
        (too_large, "litres", 7),  # 27 - 20
        (short_of_shelves, "shelves", 2),  # 3 - 1
        (short_of_rails, "rails", 2),  # 6 - 4
        (nobody_there, "hours", 1),  # the hour of slicing
        (too_late_for_the_date, "table_later", 1),  # ready at 2 d + 2 d; the next table is at 4 d 12 h
    ],
)
def test_a_remedy_has_the_smallest_amount(impossible, kind, amount):
    remedy = next(r for r in explain(impossible())[1] if r.kind == kind)
    assert remedy.amount == amount
    if remedy.kind != "hours" and amount > 1:
        with pytest.raises(NoPlan):
            solve(apply(impossible(), replace(remedy, amount=amount - 1)))


def test_no_reason_of_a_clash_can_be_spared():
    reasons, _ = explain(two_heats())
    assert sorted(reasons) == [
        "The table stands at Mon 4 May 20:00.",
        "loaf.bake ends at most 30 min before the table.",
        "loaf.bake takes 45 min.",
        "rind.puff ends at most 30 min before the table.",
        "rind.puff takes 45 min.",
        "the oven has one heat at a time and takes 15 min to change.",
    ]


def test_the_reasons_clash_and_all_but_one_would_not():
    judged = 0
    for seed in range(120):
        problem = on_grain(tiny(seed))
        reasons = clash(problem, Clock(20)).reasons
        if not reasons:
            continue
        model = build(widen(problem, 9, 9), wide_days=9)
        judged += 1
        assert not can_hold(model, set(reasons)), seed
        for one in reasons:
            assert can_hold(model, set(reasons) - {one}), (seed, one)
    assert judged > 20


def can_hold(model, kept: set[str]) -> bool:
    """Do these reasons hold together, asked of the solver's plainest search with all others let go?"""
    asked = model.cp.clone()
    for words, literal in model.reasons.items():
        asked.add(asked.get_bool_var_from_proto_index(literal.index) == (words in kept))
    return run(asked, 20.0, first_only=True, plain=True).found


def test_the_error_names_the_clash_and_the_smallest_remedy():
    with pytest.raises(NoPlan) as error:
        solve(too_large())
    assert error.value.message == "No plan meets all of this. ham.chill takes 27 litres, the fridge has 20."
    assert error.value.remedy == "Make room for 7 litres more in the fridge: 27 in all."
    assert error.value.as_dict()["remedies"][0]["amount"] == 7


def test_a_possible_problem_has_no_clash():
    assert explain(kitchen(step("a.mix", 30, start=30))) == ((), ())


def test_what_has_begun_cannot_begin_earlier():
    begun = kitchen(step("c.cure", 2 * D, fixed_start_min=-60), table=D)
    kinds = {remedy.kind for remedy in explain(begun)[1]}
    assert "start_earlier" not in kinds
    assert "table_later" in kinds


def test_a_remedy_moves_dates_with_the_start():
    problem = kitchen(
        step("a.mix", 30, not_before_min=2 * H, fixed_start_min=3 * H), table=2 * D + 12 * H, hours=((0, H), (D, D + H))
    )
    earlier = apply(problem, Remedy("", "start_earlier", "", 3, "d"))
    assert clock(earlier, earlier.tasks[0].not_before_min) == clock(problem, 2 * H)
    assert clock(earlier, earlier.tasks[0].fixed_start_min) == clock(problem, 3 * H)
    assert clock(earlier, earlier.table_min) == clock(problem, problem.table_min)
    assert earlier.start == datetime(2026, 5, 1, 6, 0, tzinfo=UTC)
    # hours before the old start repeat its first whole days; those after it stay
    assert earlier.cooks[0].windows[-2:] == ((3 * D, 3 * D + H), (4 * D, 4 * D + H))
    assert (D, D + H) in earlier.cooks[0].windows


def test_tiny_impossible_problems_are_freed_by_each_remedy_told():
    freed = 0
    for seed in range(40):
        problem = tiny(seed)
        reasons, remedies = explain(problem)
        assert bool(reasons) or not remedies, seed
        for remedy in remedies:
            better = apply(problem, remedy)
            assert verify(better, solve(better)) == [], (seed, remedy)
            freed += 1
    assert freed >= 10


def test_a_demo_size_meal_with_too_few_hours_is_explained():
    problem = demo()
    early = replace(problem.cooks[1], windows=hours(22, (6.5, 9), (9, 20)))
    problem = replace(problem, cooks=(problem.cooks[0], early))
    reasons, remedies = explain(problem, limit_s=60)
    assert any("of hands within the hours in the kitchen" in reason for reason in reasons)
    assert not any("collar" in reason for reason in reasons)  # the loaf clashes, nothing else is named
    assert remedies[0].kind == "hours"
    assert verify(apply(problem, remedies[0]), solve(apply(problem, remedies[0]), limit_s=60)) == []


assert FRIDGE.capacity == 20 and OVEN.capacity == 1  # the cases above count on these
