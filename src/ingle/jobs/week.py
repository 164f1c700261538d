"""What lies in the days ahead, as a plan that can be drawn: the coming meal's steps as they were begun, and batches begun by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from ingle.jobs.at_hand import Ahead
from ingle.jobs.today_things import Today, Waiting
from ingle.planning import planfile
from ingle.planning.plan import Plan, PlanPart, PlanStep

MOST = 8  # batches begun by hand that get a row, the first to end first
_LATER = timedelta(days=400)  # no table stands in a week without a meal
_NAME = 10  # letters that a row has room for


def week(told: Today, beside: Ahead) -> Plan | None:
    """The plan to draw; None where nothing is planned and nothing lies by itself. Nothing is read anew."""
    by_hand = [w for w in told.waiting if not w.key][:MOST]
    plan = planfile.from_dict(dict(beside.coming)) if beside.coming else None
    if plan is None and not by_hand:
        return None
    base = plan or _empty(told)
    begun = {w.key: w for w in told.waiting if w.key and w.plan in ("", base.name)}
    steps = tuple(_as_begun(s, begun.get(s.id)) for s in base.steps)
    return replace(base, parts=(*base.parts, *(_part(w) for w in by_hand)), steps=(*steps, *(_step(w) for w in by_hand)))


def _as_begun(step: PlanStep, row: Waiting | None) -> PlanStep:
    """A step that goes on lies where it was begun, with its forecast as it stands; what hands did at its begin is over."""
    if row is None:
        return step
    ready = (row.ready[0], row.ready[1], row.ready[2]) if len(row.ready) == 3 else step.ready
    return replace(step, start=row.since, end=max(row.until, row.since), ready=ready, attended=step.attended[1:])


def _part(row: Waiting) -> PlanPart:
    return PlanPart(row.batch, row.name, row.name[:_NAME], 0.0)


def _step(row: Waiting) -> PlanStep:
    ready = (row.ready[0], row.ready[1], row.ready[2]) if len(row.ready) == 3 else None
    return PlanStep(f"{row.batch}.cure", row.batch, f"{row.name} in its cure", row.since, row.until, (), ready=ready, kind="waits")


def _empty(told: Today) -> Plan:
    return Plan(told.kitchen, told.now + _LATER, 0, told.zone, told.now, "table", (), 0, "", 0.0, 0.0, (), (), (), (), (), (), (), (), ())
