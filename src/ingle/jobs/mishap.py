"""What-if for accidents: everything a mishap touches is worked out once more, beside what would have been.

The fridge failed, a piece was forgotten on the table, the cure began late, the smoker ran hot, a logger kept a power cut. What may
have been is told as two ends, a colder and a warmer; where they disagree about a line that can harm, the answer is "cannot say"
and the one reading that would decide.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from ingle.crafts.cure import history
from ingle.crafts.cure.history import Stage, Told
from ingle.crafts.cure.history_file import read_history
from ingle.crafts.cure.history_nodes import Nodes, nodes, places_of
from ingle.crafts.cure.late import even_dose, wish_of
from ingle.crafts.heat import outage
from ingle.ground.errors import BadBrief
from ingle.ground.things import Band, Piece
from ingle.jobs import mishap_air as air
from ingle.jobs.mishap_act import choose, settles
from ingle.jobs.mishap_air import Accident, Course
from ingle.jobs.mishap_judge import FOODS, NOT_TOLD, PIERCED, Food, Judged, gained, judge, power_out
from ingle.jobs.mishap_lines import Line, compare, either, worst
from ingle.jobs.mishap_told import MishapAnswer, Salt
from ingle.safety.conditions import ends

MEMBERS, STEPS = 256, 60  # fewer members stretch the ends to the side of growth (docs/models/mishap.md)
WINDOW_MEMBERS = 128
_DEPTHS = np.linspace(0.0, 1.0, 8)
_NOT_IN_IT = ("doors opened meanwhile", "what stood beside the piece", "vapour that cools its face")


def mishap_file(path: Path, accident: Accident, *, food: Food | None = None, wished_salt: float | None = None) -> MishapAnswer:
    """`mishap` for a file of stages."""
    piece, stages = read_history(path)
    return mishap(piece, accident, stages=stages, food=food or Food("cure"), wished_salt=wished_salt)


def mishap(
    piece: Piece, accident: Accident, *, stages: tuple[Stage, ...] = (), food: Food | None = None, wished_salt: float | None = None
) -> MishapAnswer:  # fmt: skip
    """Judge an accident.

    Parameters
    ----------
    piece : Piece
        With weight and thickness: how fast it warms hangs on them.
    accident : Accident
    stages : tuple of Stage
        A cure; empty for a piece of a kind that lies in the cold.
    food : Food
        What it is and how it is eaten. With stages it is a cure.
    wished_salt : float, optional
        Salt wished at the table, per green weight.

    Returns
    -------
    MishapAnswer
        ``level`` is that of the mishap: limits that failed without it are listed apart.

    Raises
    ------
    BadBrief, OutOfRange
        An accident that does not fit its stages, a room that is not warmer than the fridge, no thickness.
    """
    known = _known(food or Food("cure" if stages else "raw"), stages, accident)
    accident = air.placed(accident, stages)
    plan = air.lengthened(stages, accident) if stages and accident.kind != "started-late" else stages
    then = air.late(stages, accident) if accident.kind == "started-late" and stages else plan
    hours = air.grid(air.total_h(then, accident))
    cold = air.planned(then, hours) if then else np.full(hours.shape, min(known.start_c, 4.0))
    own_hours = air.grid(air.total_h(plan, accident)) if plan else hours
    before_air = air.planned(plan, own_hours) if plan else cold
    went = air.airs(accident, hours, cold)
    depths = places_of(piece) if plan else _DEPTHS
    film = air.FILM[accident.kind]
    start = known.start_c if not then else float(cold[0])
    before = air.course(piece, own_hours, before_air, depths, film, known.start_c if not plan else float(before_air[0]), True)
    held0, _ = _held(piece, plan, before)
    courses = [air.course(piece, hours, a, depths, film, start, w) for a, w in ((went[0], False), (went[1], True))]
    told = [_held(piece, then, c) for c in courses]
    held, notes = [h for h, _ in told], told[0][1]
    lines = _both(known, lambda food: _compared(food, accident, before, courses, held0, held, then, judge(food, before, accident, held0, plan)))
    cooked = _both(known, lambda food: _cooked(piece, food, accident, before, courses, held0, held, plan, then))
    salt = _salt(piece, plan, then, before, courses, accident, wished_salt) if plan else None
    way = choose(known, accident, lines, cooked, None if salt is None else salt.shift_h)
    level = worst(lines)
    unknown = tuple(line for line in lines if line.now and line.counts and line.level == "cannot_say")
    body = outage.shape_of(piece)[1]
    return MishapAnswer(
        piece, known, accident, way, level, lines, salt, (before, courses[0], courses[1]),
        settles(accident, unknown) if unknown and way.urgency != "stop" else "",
        tuple(dict.fromkeys((*went[2], *notes, *filter(None, (body,)), *_assumed(known, before, accident, held0, plan), *_packed(known, stages)))), _NOT_IN_IT,
    )  # fmt: skip


def _assumed(food: Food, before: Course, accident: Accident, held: Nodes | None, plan: tuple[Stage, ...]) -> tuple[str, ...]:
    said = judge(food, before, accident, held, plan).assumed
    return said if food.whole is not None or food.cools else tuple(NOT_TOLD if x == PIERCED else x for x in said)


def _known(food: Food, stages: tuple[Stage, ...], accident: Accident) -> Food:
    if food.kind not in FOODS or (food.kind == "cure") != bool(stages):
        raise BadBrief(
            f"food {food.kind!r} does not fit: a cure has stages, all else has none.", field="food", value=food.kind,
            limit="raw, ready", remedy="Give --stages FILE for a cure, or say --food raw or --food ready.",
        )  # fmt: skip
    if accident.kind == "started-late" and not stages:
        raise BadBrief(
            "A cure that began late needs its stages.", field="started-late", value="no stages", limit="--stages FILE",
            remedy="Give --stages FILE; for a raw piece that is not cured say --left-out TIME --room TEMPERATURE.",
        )  # fmt: skip
    if food.cools and accident.kind != "left-out":
        raise BadBrief(
            f"A piece that starts at {food.start_c:g} C cools from a cook.", field="start", value=f"{food.start_c:g} C", limit="--left-out",
            remedy="Give --left-out TIME and --room for it, or its temperature in the fridge.",
        )  # fmt: skip
    if food.whole and any(s.kind == "pump" for s in stages):
        raise BadBrief(
            "A pumped piece is not whole muscle: the needle takes germs inside.", field="whole", value="pump", limit="no stage that pumps",
            remedy="Leave --whole out.",
        )  # fmt: skip
    if food.whole is None and (food.kind == "ready" or any(s.kind == "pump" for s in stages)):
        food = replace(food, whole=False)  # cut and handled, or germs went in with the needle
    return food if food.aw is not None or food.kind != "raw" else replace(food, aw=ends("aw")[0])


def _held(piece: Piece, stages: tuple[Stage, ...], course: Course) -> tuple[Nodes | None, tuple[str, ...]]:
    if not stages:
        return None, ()
    warmed, notes = air.with_temperatures(stages, course)
    return nodes(piece, warmed, members=MEMBERS, steps=STEPS), notes


def _both(food: Food, lines_of: Callable[[Food], tuple[Line, ...]]) -> tuple[Line, ...]:
    """Lines of a food; of one that nobody told whether it is whole muscle as both."""
    if food.whole is not None or food.cools:
        return lines_of(food)
    return either(lines_of(replace(food, whole=False)), lines_of(replace(food, whole=True)))


def _compared(
    food: Food, accident: Accident, before: Course, courses: list[Course], held0: Nodes | None, held: list[Nodes | None],
    then: tuple[Stage, ...], first: Judged,
) -> tuple[Line, ...]:  # fmt: skip
    found = [judge(food, c, accident, h, then) for c, h in zip(courses, held, strict=True)]
    none = accident.kind == "started-late"  # in its hours the plan had no raw piece yet
    zero = {} if none else gained(food, before, accident, held0)
    gains = [gained(food, c, accident, h) for c, h in zip(courses, held, strict=True)]
    hours = power_out(food, accident)
    told = () if hours is None else (Line(hours.key, hours.level, None, hours, hours, hours.value, settle=False),)
    return (*compare(first, found[0], found[1], (zero, gains[0], gains[1])), *told)


def _cooked(
    piece: Piece, food: Food, accident: Accident, before: Course, courses: list[Course], held0: Nodes | None, held: list[Nodes | None],
    plan: tuple[Stage, ...], then: tuple[Stage, ...],
) -> tuple[Line, ...]:  # fmt: skip
    """The way of chilling it at once and cooking it within a day, at both ends."""
    until = accident.end_h + 24.0
    depths = places_of(piece) if then else _DEPTHS
    colder = [
        air.course(piece, c.hours, air.chilled_after(accident, c.air, c.hours), depths, air.FILM[accident.kind], float(c.places[0, 0]), w)
        for c, w in zip(courses, (False, True), strict=True)
    ]
    first = judge(food, before, accident, held0, plan, until, cooked_at_once=True)
    found = [judge(food, c, accident, h, then, until, cooked_at_once=True) for c, h in zip(colder, held, strict=True)]
    zero = {} if accident.kind == "started-late" else gained(food, before, accident, held0)
    gains = [gained(food, c, accident, h) for c, h in zip(colder, held, strict=True)]
    return compare(first, found[0], found[1], (zero, gains[0], gains[1]))


def _salt(
    piece: Piece, plan: tuple[Stage, ...], then: tuple[Stage, ...], before: Course, courses: list[Course], accident: Accident, wished: float | None,
) -> Salt:  # fmt: skip
    """The cure before and after, at the middle between the two ends."""
    wish, _ = wish_of(even_dose(piece, plan), wished)
    middle = Course(courses[0].hours, (courses[0].air + courses[1].air) / 2.0, (courses[0].places + courses[1].places) / 2.0)
    first, warmed = air.with_temperatures(plan, before)[0], air.with_temperatures(then, middle)[0]
    one, two = (history.run(piece, s, wished=wish, members=WINDOW_MEMBERS, steps=STEPS) for s in (first, warmed))
    hours = np.linspace(0.0, float(two.hours[-1]), 200)
    cores = [np.interp(hours, t.hours, t.core[1]) for t in (one, two)]
    return Salt(_ready(one), _ready(two), hours, cores[0], cores[1], _shift(one, two, accident))


def _ready(told: Told) -> Band:
    ranked = np.sort(told.ready_h)
    at = [float(ranked[min(ranked.size - 1, max(0, math.ceil(q * ranked.size) - 1))]) for q in (0.05, 0.5, 0.95)]
    return Band(*at)


def _shift(one: Told, two: Told, accident: Accident) -> float | None:
    """Hours by which the likely core is ahead once the piece is cold again; None where it hardly moves any more."""
    if accident.kind == "started-late":
        return -accident.hours
    at = min(accident.end_h + 12.0, float(two.hours[-1]))
    core = np.maximum.accumulate(one.core[1])
    now = float(np.interp(at, two.hours, two.core[1]))
    if now >= 0.97 * core[-1]:
        return None
    return float(np.interp(now, core, one.hours)) - at


def _packed(food: Food, stages: tuple[Stage, ...]) -> tuple[str, ...]:
    if food.packed == "air" and any(s.kind == "bag" for s in stages):
        return ("the bag holds air: for one without air say --packed vacuum",)
    return ()


__all__ = ["Accident", "Food", "MishapAnswer", "mishap", "mishap_file"]
