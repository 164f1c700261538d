"""A plan goes into the notebook: its batches, pieces, steps and verdicts, under identities that a new plan keeps."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.ground import tables, units
from ingle.ground.things import Piece
from ingle.jobs.box_pieces import piece_dict, window_of
from ingle.notebook import control, kitchens, plans, readings
from ingle.notebook.models import Batch, Kitchen, Step
from ingle.notebook.plans import PlannedBatch, PlannedStep, Taken
from ingle.notebook.rows import new_uid, only_kitchen
from ingle.notebook.store import Notebook
from ingle.notebook.trouble import NotFound
from ingle.planning import planfile
from ingle.planning.plan import Plan, PlanStep
from ingle.safety.verdict import Verdict

_PERCENT = re.compile(r"([\d.]+) %")


def take_plan(notebook: Notebook, folder: Path, *, kitchen: str | None = None, who: str = "") -> Taken:
    """Take NAME.plan in, or its next number. Where the notebook has no kitchen, one is begun with the plan's zone and rules."""
    plan = planfile.read(folder)
    return notebook.write(lambda s: _take(s, plan, kitchen, who))


def _take(session: Session, plan: Plan, kitchen: str | None, who: str) -> Taken:
    home = _home(session, plan, kitchen)
    taken = plans.take_plan(
        session, home, plan.name, plan.number, planfile.as_dict(plan), batches_of(plan), [_step(s) for s in plan.steps], who=who
    )
    batches = {b.part: b for b in taken.batches}
    steps = {s.key: s for s in session.scalars(select(Step).where(Step.kitchen_id == home.id, Step.plan_name == plan.name))}
    for n, verdict in enumerate(plan.verdicts):
        _judge(session, home, taken, n, verdict, batches, steps)
    for step in plan.steps:
        _lies_already(session, steps[step.id], step, plan, who)
    return taken


def _lies_already(session: Session, row: Step, step: PlanStep, plan: Plan, who: str) -> None:
    """What lay in its cure before the plan began is going, not to be done: no hands of the plan lay it in."""
    begun = step.start < plan.plan_from and step.start <= datetime.now(UTC) and not step.attended and step.ready is not None
    if begun and row.state == "planned":
        readings.do_step(session, row, new_uid("begun", row.uid), began=step.start, who=who, note="laid in before the plan began")


def _home(session: Session, plan: Plan, kitchen: str | None) -> Kitchen:
    try:
        return only_kitchen(session, kitchen)
    except NotFound:
        name = kitchen or plan.name.split()[0]
        return kitchens.add_kitchen(session, new_uid("kitchen", name), name, zone=plan.zone, rules=plan.rules, use=plan.use)


def batches_of(plan: Plan) -> list[PlannedBatch]:
    """One batch for each part that has steps, with its pieces and its formula."""
    found = []
    for part in plan.parts:
        steps = [s for s in plan.steps if s.part == part.key]
        if not steps:
            continue
        weighed = [w for w in plan.weighings if w.part == part.key]
        own = {w.step for w in weighed}
        ready = next((s for s in steps if s.ready and s.id in own), next((s for s in steps if s.ready), None))  # of the box that is weighed
        found.append(
            PlannedBatch(
                part.key, part.name, "cure" if weighed else next((s.kind for s in steps if s.kind == "smoke"), "kitchen"), steps[0].start,
                pieces=[Piece(w.whole_g or w.green_weight_g, w.thickness_mm, skin=w.skin, skin_weight_g=w.skin_weight_g, name=w.piece) for w in weighed], formula=_formula(weighed),
                forecast=_forecast(ready) if ready else {},
            )
        )  # fmt: skip
    return found


def _formula(weighed: list[Any]) -> dict[str, Any]:
    if not weighed:
        return {}
    first = weighed[0]
    said = _PERCENT.search(first.curing_salt) if first.grams.get("curing_salt") else None
    green = sum(w.green_weight_g for w in weighed)
    return {
        "method": "dry",
        "green_weight_g": green,
        "salt_per_green_weight": first.salt_per_green_weight,
        "nitrite_mg_per_kg": first.nitrite_mg_per_kg,
        "curing_salt": first.curing_salt,
        "curing_salt_nitrite": float(said[1]) / units.PER_HUNDRED if said else None,
        "premix_nitrite": first.premix.nitrite if first.premix else None,
        "sugar_per_green_weight": sum(w.grams.get("sugar", 0.0) for w in weighed) / green,
        "step_g": first.step_g,
        "pieces": [{"name": w.piece, "green_weight_g": w.green_weight_g, "grams": dict(w.grams)} for w in weighed],
    }


def _forecast(step: PlanStep) -> dict[str, Any]:
    told = step.forecast
    ready = step.ready or ()
    return {
        "step": step.id,
        "what": told.what if told else "",
        "basis": told.basis if told else "",
        "ready": [t.isoformat() for t in ready],
        "quantiles_h": list(told.quantiles_h) if told else [],
        "window_h": window_of(told) if told else [],
        "pieces": [piece_dict(p) for p in step.pieces],
    }


def _step(step: PlanStep) -> PlannedStep:
    said = {
        "amounts": list(step.amounts), "say": list(step.say), "look_for": step.look_for, "caution": list(step.caution), "kit": list(step.kit),
        "if_not": [{"sign": s.sign, "act": s.act, "adds_min": s.adds_min} for s in step.if_not],
        "attended": [[a.isoformat(), b.isoformat(), cook] for a, b, cook in step.attended],
        "tends": [[a.isoformat(), b.isoformat(), cook, name] for a, b, cook, name in step.tends],
        "window": [t.isoformat() for t in step.window] if step.window else None,
        "ready": [t.isoformat() for t in step.ready] if step.ready else None,
        "pieces": [piece_dict(p) for p in step.pieces],
    }  # fmt: skip
    return PlannedStep(step.id, step.part, step.name, step.kind, step.start, step.end, said)


def line_of(verdict: Verdict) -> control.Line:
    """The limit of a verdict, to be kept as it stands."""
    source = tables.sources().get(verdict.source)  # a plan of an older ingle may name one that is gone: its key is kept
    least = verdict.more.get("side") == "min" or verdict.rule.endswith((".min", ".required"))
    return control.Line(
        rule=verdict.rule.partition("@")[0], title=verdict.title, value=verdict.limit, unit=verdict.unit, clause=verdict.clause,
        source=verdict.source, source_title=source.title if source else verdict.source, sure=verdict.sure, side="min" if least else "max", kind=verdict.kind,
        country=verdict.country, basis=verdict.basis, doubt=verdict.doubt,
    )  # fmt: skip


def _judge(session: Session, home: Kitchen, taken: Taken, n: int, v: Verdict, batches: dict[str, Batch], steps: dict[str, Step]) -> None:
    task = v.rule.partition("@")[2]
    limit = control.keep_limit(session, line_of(v), kitchens.local(home, taken.plan.at_utc))
    control.judge(
        session, home, new_uid("judged", taken.plan.uid, n), limit, v.level, value=v.value, low=v.low, high=v.high, act=v.act,
        not_checked=v.not_checked, batch=batches.get(task.partition(".")[0]), plan=taken.plan, step=steps.get(task), at=taken.plan.at_utc,
    )  # fmt: skip
