"""From brief, parts, kit and masses to the scheduling problem.

`forecast_needs` says which lengths somebody has to forecast; `to_problem` takes the answers and gives every
step its time, hands, kit and links. Both are pure.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from ingle.ground.errors import OutOfRange
from ingle.ground.things import Forecast, Piece
from ingle.ground.units import minutes, show_hours
from ingle.planning import by_products
from ingle.planning.brief import Brief
from ingle.planning.fields import refuse
from ingle.planning.kit import Kit
from ingle.planning.kit_use import places, temperature_of, use_of
from ingle.planning.kitchen_hours import cook_of, minute_of, nights, visit_blocks
from ingle.planning.parts import After, Part, StepSpec
from ingle.planning.pieces import Box, cure_step, steps_before
from ingle.planning.problem import Link, Problem, Task, Tend
from ingle.planning.quantities import PartMass, Quantities
from ingle.planning.spans import span


@dataclass(frozen=True)
class StepTime:
    """How long a step lasts, from a forecast made elsewhere."""

    least_h: float  # for a cure: the hour at which the wished chance of being ready is met
    most_h: float
    forecast: Forecast | None = None
    each: tuple[tuple[Piece, Forecast], ...] = ()  # pieces that lie together, each with its own window


@dataclass(frozen=True)
class ForecastNeed:
    """One length to forecast; the answer goes under ``(part, step)``."""

    part: str
    step: str  # key of the step, with "@2" for a second box
    kind: str  # cure | cook | dough
    spec: StepSpec
    box: Box | None  # the pieces, where the brief names them
    mass_g: float  # all that goes in
    temperature_c: float | None  # of the fridge or the oven the step is held in


@dataclass(frozen=True)
class Tasks:
    """The problem, and what each of its tasks is in the words of the part files."""

    problem: Problem
    steps: dict[str, StepSpec]  # by task id
    boxes: dict[str, Box]  # by task id, for the tasks of one box


Forecasts = Mapping[tuple[str, str], StepTime]


def forecast_needs(parts: Mapping[str, Part], kit: Kit, quantities: Quantities) -> tuple[ForecastNeed, ...]:
    """Every step of the meal whose length is a forecast."""
    needs = []
    for key, mass in quantities.parts.items():
        for step in parts[key].steps:
            if step.forecast is None:
                continue
            for box in _boxes_at(parts[key], step, mass):
                suffix = box.suffix if box else ""
                needs.append(
                    ForecastNeed(
                        key,
                        step.key + suffix,
                        step.forecast,
                        step,
                        box,
                        mass.batch_g,
                        temperature_of(step, kit),
                    )
                )
    return tuple(needs)


def to_problem(
    brief: Brief, parts: Mapping[str, Part], kit: Kit, quantities: Quantities, forecasts: Forecasts
) -> Tasks:
    """The meal as a scheduling problem; minute 0 is ``brief.plan_from``.

    Parameters
    ----------
    forecasts : mapping of (part, step) to StepTime
        Lengths of the steps `forecast_needs` lists.

    Raises
    ------
    BadBrief
        A step needs kit that is not there, or a forecast that was not made.
    OutOfRange
        No oven reaches the heat of a step.
    """
    laid = _Laid({}, {}, {}, [])
    for key, mass in quantities.parts.items():
        _lay_part(laid, parts[key], mass, _Setting(brief, kit, forecasts))
    _link_parts(laid, parts, quantities)
    moves, choices = by_products.moves(parts, quantities, kit)
    for move in moves:
        if all(end in laid.tasks for end in (move.made, move.taken)):
            laid.tasks |= {t.id: t for t in move.tasks}
            laid.steps |= move.steps
            laid.links += move.links
    choices = tuple(c for c in choices if any(t.only_if == c for t in laid.tasks.values()))
    problem = Problem(
        start=brief.plan_from,
        table_min=minute_of(brief.plan_from, brief.at),
        tasks=tuple(laid.tasks.values()),
        links=tuple(laid.links),
        places=places(kit),
        cooks=tuple(cook_of(c, brief) for c in kit.cooks),
        nights=nights(brief),
        choices=choices,
        choice_cost=dict.fromkeys(choices, 1),
        wishes=brief.wishes,
        visit_blocks=visit_blocks(brief),
    )
    return Tasks(problem, laid.steps, laid.boxes)


@dataclass(frozen=True)
class _Setting:
    """What every step of the meal shares."""

    brief: Brief
    kit: Kit
    forecasts: Forecasts


@dataclass
class _Laid:
    """The problem being put together."""

    tasks: dict[str, Task]
    steps: dict[str, StepSpec]
    boxes: dict[str, Box]
    links: list[Link]


def _boxes_at(part: Part, step: StepSpec, mass: PartMass) -> tuple[Box | None, ...]:
    """The boxes that have a task of their own at a step.

    Several boxes go separate ways until their cure is over; a begun one has no steps before its cure.
    """
    cure = cure_step(part)
    before = steps_before(part, cure)
    if not mass.boxes or (step.key != cure and step.key not in before):
        return (mass.boxes[0] if len(mass.boxes) == 1 else None,)
    return tuple(b for b in mass.boxes if b.started is None or step.key == cure)


def _lay_part(laid: _Laid, part: Part, mass: PartMass, setting: _Setting) -> None:
    ids: dict[str, list[str]] = {}
    for step in part.steps:
        own_box = step.key == cure_step(part) or step.key in steps_before(part, cure_step(part))
        for box in _boxes_at(part, step, mass):
            task = _task(part, step, mass, box if own_box else None, setting)
            laid.tasks[task.id] = task
            laid.steps[task.id] = step
            if box is not None:
                laid.boxes[task.id] = box
            ids.setdefault(step.key, []).append(task.id)
    for step in part.steps:
        for after in step.after:
            if "." in after.step:
                continue
            for before_id, after_id in _pairs(ids.get(after.step, []), ids.get(step.key, [])):
                laid.links.append(_link(laid, after, before_id, after_id))
                waiting = laid.tasks[before_id]
                if waiting.waits_in:
                    laid.tasks[before_id] = replace(waiting, next_id=after_id)


def _pairs(before: list[str], after: list[str]) -> list[tuple[str, str]]:
    """Tasks of the same box belong together; where boxes meet, each leads to the one that follows."""
    return [
        (b, a) for b in before for a in after if len(after) == 1 or b.partition("@")[2] == a.partition("@")[2]
    ]


def _lag_words(laid: _Laid, before: str, after: str, most: int | None) -> str:
    first, second = laid.tasks[before].name, laid.tasks[after].name
    return f"{second}: follows {first}" if most is None else f"{second}: at most {span(most)} after {first}"


def _task(part: Part, step: StepSpec, mass: PartMass, box: Box | None, setting: _Setting) -> Task:
    brief, kit = setting.brief, setting.kit
    suffix = box.suffix if box else ""
    least, most, reason = _length(part, step, step.key + suffix, setting)
    pieces = len(box.pieces) if box else sum(len(b.pieces) for b in mass.boxes)
    hands_start = (
        step.hands_start_min
        + step.hands_per_piece_min * max(0, pieces - 1)
        + math.ceil(step.hands_per_plate_min * brief.plates)
    )
    least = max(least, hands_start + step.hands_end_min)
    fixed = None
    if box is not None and box.started is not None and step.key == cure_step(part):
        fixed = minute_of(brief.plan_from, box.started)
        least = max(least, -fixed)  # it lies there still, so it is not over before now
    where = f"{part.key}.{step.key}"
    share = _box_share(mass, box)
    tend = (
        None
        if step.tend is None
        else Tend(step.tend.name, step.tend.every_min, step.tend.lasts_min, step.tend.slack_min)
    )
    return Task(
        id=where + suffix,
        part=part.key,
        name=step.name,
        least_min=least,
        most_min=max(least, most),
        hands_start_min=hands_start,
        hands_end_min=step.hands_end_min,
        tend=tend,
        uses=tuple(use_of(u, mass, kit, where, share) for u in step.kit),
        waits_in=tuple(use_of(u, mass, kit, where, share) for u in step.waits_in),
        rest_min=step.fresh.rest_min,
        best_min=step.fresh.best_min,
        last_min=step.fresh.last_min,
        fixed_start_min=fixed,
        reason=reason,
    )


def _length(part: Part, step: StepSpec, key: str, setting: _Setting) -> tuple[int, int, str]:
    """Least and most minutes, and the words for them."""
    given = setting.forecasts.get((part.key, key)) if step.forecast else None
    if given is not None:
        if not 0 <= given.least_h <= given.most_h:
            refuse(
                f"{part.key}.{key}",
                f"is forecast to last {given.least_h:g} h to {given.most_h:g} h.",
                value=given.least_h,
                limit="0 h <= least <= most",
                remedy="Give the shorter time first.",
                kind=OutOfRange,
            )
        what = given.forecast.what if given.forecast else "it is ready"
        sure = f" at a chance of {setting.brief.ready_chance:g}" if step.forecast == "cure" else ""
        return (
            math.ceil(given.least_h * 60 - 1e-6),
            minutes(given.most_h),
            f"{step.name}: {what} after {show_hours(given.least_h)}{sure}",
        )
    if step.lasts is None:
        refuse(
            f"{part.key}.{key}",
            "lasts as long as a forecast says, and none was made.",
            value=step.forecast,
            limit=f"a {step.forecast} forecast",
            remedy="Measure weight and thickness, or write lasts = { likely = ... } in the part file.",
        )
    likely = int(step.lasts.likely)
    return likely, max(likely, step.most_min or 0), f"{step.name} takes {span(likely)}"


def _box_share(mass: PartMass, box: Box | None) -> float:
    """The share of the batch that lies in one box."""
    if box is None or len(mass.boxes) < 2:
        return 1.0
    return sum(p.weight_g for p in box.pieces) / sum(p.weight_g for b in mass.boxes for p in b.pieces)


def _link_parts(laid: _Laid, parts: Mapping[str, Part], quantities: Quantities) -> None:
    """Steps that wait for a step of another part, where that part is in the meal."""

    def tasks_of(step: str) -> list[str]:
        return [t for t in laid.tasks if t.partition("@")[0] == step]

    for key in quantities.parts:
        for step in parts[key].steps:
            for after in step.after:
                if "." not in after.step:
                    continue
                for before_id in tasks_of(after.step):
                    for after_id in tasks_of(f"{key}.{step.key}"):
                        laid.links.append(_link(laid, after, before_id, after_id))


def _link(laid: _Laid, after: After, before_id: str, after_id: str) -> Link:
    words = _lag_words(laid, before_id, after_id, after.most_min)
    return Link(before_id, after_id, after.least_min, after.most_min, words)
