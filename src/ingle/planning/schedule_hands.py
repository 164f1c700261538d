"""Rules of hands: who opens, tends and closes a step, and nobody in two places at once."""

from __future__ import annotations

from typing import Any

from ortools.sat.python import cp_model

from ingle.planning.problem import Cook, Task, Tend
from ingle.planning.schedule_model import HANDS, Laid, Model, Stretch
from ingle.planning.spans import span


def hands_open_and_close_a_step(m: Model) -> None:
    """A step that needs hands has them at its very start and up to its very end."""
    for laid in m.tasks.values():
        task, bounds, g = laid.task, m.bounds[laid.task.id], m.grain
        opening, closing = task.hands_start_min // g, task.hands_end_min // g
        if opening and not _past(task, 0):
            m.stretches.append(
                Stretch(
                    task, "start", laid.start, opening, laid.here, bounds.earliest_start // g, bounds.latest_start // g
                )
            )
        if closing and not _past(task, task.most_min - task.hands_end_min):
            m.stretches.append(
                Stretch(
                    task,
                    "end",
                    laid.end - closing,
                    closing,
                    laid.here,
                    bounds.earliest_end // g - closing,
                    bounds.latest_end // g - closing,
                )
            )


def _past(task: Task, after_min: int) -> bool:
    """Did this part of a task that was already begun lie before now?"""
    return task.fixed_start_min is not None and task.fixed_start_min + after_min < 0


def long_waits_are_tended(m: Model) -> None:
    """What must be turned or looked after is, regularly, for as long as the step still runs.

    Visit k belongs to the hour start + k times the interval, and may be off it by the slack. It is due
    when even its latest hour is over before the closing hands begin; none can meet the opening hands.
    """
    for laid in m.tasks.values():
        task, tend, g = laid.task, laid.task.tend, m.grain
        if tend is None:
            continue
        because = m.reason(
            f"{tend.name} every {span(tend.every_min)}, within {span(tend.slack_min)} either way.",
            HANDS,
            task,
            key="hands",
        )
        shortest = 0 if m.explaining else task.least_min
        k = 0
        while True:
            k += 1
            needs = k * tend.every_min + tend.slack_min + tend.lasts_min + task.hands_end_min
            if needs > task.most_min:
                break
            if _past(task, k * tend.every_min):
                continue
            due = laid.here
            if needs > shortest:
                longer = m.cp.new_bool_var("")
                m.cp.add(laid.end - laid.start >= -(-needs // g)).only_enforce_if(longer)
                m.cp.add(laid.end - laid.start < -(-needs // g)).only_enforce_if(~longer)
                due = m.both(laid.here, longer)
            _add_visit(m, laid, tend, k, m.both(due, because))


def _add_visit(m: Model, laid: Laid, tend: Tend, k: int, here: Any) -> None:
    task, g = laid.task, m.grain
    early = -(-(k * tend.every_min - tend.slack_min) // g)
    late = max((k * tend.every_min + tend.slack_min) // g, early)
    bounds = m.bounds[task.id]
    first, last = bounds.earliest_start // g + early, bounds.latest_start // g + late
    first = first if m.explaining else max(first, 0)
    begin = m.moment(first, last, here)
    m.say(m.cp.add(begin >= laid.start + early), here)
    m.say(m.cp.add(begin <= laid.start + late), here)
    m.stretches.append(Stretch(task, "tend", begin, tend.lasts_min // g, here, first, max(first, last)))


def each_stretch_has_one_cook_throughout(m: Model) -> None:
    """One cook sees a stretch through, within one of their spells in the kitchen."""
    for stretch in m.stretches:
        task = stretch.task
        words = task.tend.name if task.tend and stretch.kind == "tend" else task.name
        because = m.reason(
            f"{words} needs {span(stretch.length * m.grain)} of hands within the hours in the kitchen.",
            HANDS,
            task,
            key="hands",
        )
        domains = {cook.key: _spells(m, cook, stretch) for cook in m.problem.cooks}
        anyone = cp_model.Domain.from_values([])
        for domain in domains.values():
            anyone = anyone.union_with(domain)
        m.say(m.cp.add_linear_expression_in_domain(stretch.begin, anyone), because, stretch.here)
        stretch.by = _one_of(m, stretch, {key: d for key, d in domains.items() if not d.is_empty()}, anyone, because)


def _spells(m: Model, cook: Cook, stretch: Stretch) -> cp_model.Domain:
    """All begins at which the cook can see the stretch through."""
    g = m.grain
    spells = [[a // g, b // g - stretch.length] for a, b in cook.windows if b - a >= stretch.length * g]
    return cp_model.Domain.from_intervals(spells).intersection_with(cp_model.Domain(stretch.first, stretch.last))


def _same(one: cp_model.Domain, other: cp_model.Domain) -> bool:
    return one.flattened_intervals() == other.flattened_intervals()


def _one_of(
    m: Model, stretch: Stretch, domains: dict[str, cp_model.Domain], anyone: cp_model.Domain, because: Any
) -> dict[str, Any]:
    """A literal for each cook, exactly one true; a cook limits the begin to their own spells."""
    here = stretch.here
    if len(domains) == 1 and not m.explaining:
        return dict.fromkeys(domains, here)
    by = {key: m.cp.new_bool_var("") for key in domains}
    for key, domain in domains.items():
        if not _same(domain, anyone):
            m.cp.add_linear_expression_in_domain(stretch.begin, domain).only_enforce_if(by[key])
        if here is not True:
            m.cp.add_implication(by[key], here)
    m.cp.add_at_most_one(by.values())
    m.say(m.cp.add_bool_or(by.values()), because, here)
    return by


def a_cook_does_one_thing_at_a_time(m: Model) -> None:
    """No cook has hands in two stretches at once."""
    for cook in m.problem.cooks:
        m.cp.add_no_overlap(
            [m.interval(s.begin, s.length, None, s.by[cook.key]) for s in m.stretches if cook.key in s.by]
        )
