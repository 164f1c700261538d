"""A plan taken in: its batches, pieces and steps keep their identities when the plan is made anew.

This floor does not know the planner: a job hands over plain things.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.ground.things import Piece as Cut
from ingle.notebook.kitchens import cut, lay_in
from ingle.notebook.models import Batch, Kitchen, Piece, PlanTaken, Reading, Step
from ingle.notebook.rows import add_once, moment, new_uid


@dataclass(frozen=True)
class PlannedStep:
    """One step as a plan has it. Times are aware."""

    key: str
    part: str
    name: str
    kind: str
    start: datetime
    end: datetime
    said: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class PlannedBatch:
    """One part as a plan has it."""

    part: str
    name: str
    craft: str
    start: datetime
    pieces: Sequence[Cut] = ()
    formula: Mapping[str, Any] = field(default_factory=dict)
    forecast: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Taken:
    """What taking a plan in did."""

    plan: PlanTaken
    batches: tuple[Batch, ...]
    new: tuple[str, ...]  # keys of steps
    moved: tuple[str, ...]
    dropped: tuple[str, ...]
    kept: tuple[str, ...]  # begun or done: the past is fixed


def take_plan(
    session: Session, kitchen: Kitchen, name: str, number: int, content: Mapping[str, Any], batches: Sequence[PlannedBatch],
    steps: Sequence[PlannedStep], *, who: str = "",
) -> Taken:  # fmt: skip
    """Take a plan in, or a newer number of it. What was begun or done stays as it was; what fell away is dropped, not lost."""
    plan, _ = add_once(
        session, PlanTaken, new_uid("plan", kitchen.uid, name, number, content.get("plan_from"), len(steps), _digest(content)), ("at_utc", "who"),
        kitchen_id=kitchen.id, name=name, number=number, content=dict(content), at_utc=moment(None), zone=kitchen.zone, who=who,
    )  # fmt: skip
    made = {b.part: _batch(session, kitchen, name, number, b, who) for b in batches}
    have = {s.key: s for s in session.scalars(select(Step).where(Step.kitchen_id == kitchen.id, Step.plan_name == name))}
    told: dict[str, list[str]] = {"new": [], "moved": [], "dropped": [], "kept": []}
    for step in steps:
        told_as = _step(session, kitchen, name, number, step, made.get(step.part), have.get(step.key), who)
        if told_as:
            told[told_as].append(step.key)
    for key, row in have.items():
        if key not in {s.key for s in steps} and row.state == "planned":
            row.state = "dropped"
            told["dropped"].append(key)
    return Taken(plan, tuple(made.values()), *(tuple(told[k]) for k in ("new", "moved", "dropped", "kept")))


def step_uid(kitchen: Kitchen, plan: str, key: str) -> str:
    """The identity of a plan's step in this kitchen, the same for every number of the plan."""
    return new_uid("step", kitchen.uid, plan, key)


def _digest(content: Mapping[str, Any]) -> str:
    return json.dumps(content, sort_keys=True, default=str)


def _batch(session: Session, kitchen: Kitchen, plan: str, number: int, planned: PlannedBatch, who: str) -> Batch:
    uid = new_uid("batch", kitchen.uid, plan, planned.part)
    batch = session.scalar(select(Batch).where(Batch.uid == uid))
    pieces = [_piece(session, kitchen, plan, number, planned, i, p, who) for i, p in enumerate(planned.pieces)]
    if batch is None:
        return lay_in(
            session, kitchen, uid, planned.name, part=planned.part, craft=planned.craft, pieces=pieces, plan_name=plan, state="planned",
            formula=dict(planned.formula), forecast=dict(planned.forecast), at=planned.start, who=who,
        )  # fmt: skip
    if batch.state == "planned":
        batch.at_utc, batch.formula, batch.forecast = moment(planned.start, ahead=True), dict(planned.formula), dict(planned.forecast)
    return batch


def _piece(session: Session, kitchen: Kitchen, plan: str, number: int, planned: PlannedBatch, i: int, piece: Cut, who: str) -> Piece:
    uid = new_uid("piece", kitchen.uid, plan, planned.part, i)
    row = session.scalar(select(Piece).where(Piece.uid == uid))
    if row is None:
        return cut(session, kitchen, uid, piece, at=None, who=who)
    said = {"green_weight_g": piece.weight_g, "skin": piece.skin, "skin_weight_g": piece.skin_weight_g}
    changed = {k: v for k, v in said.items() if getattr(row, k) != v}
    if changed:
        amend(session, row, changed, new_uid("amend", uid, number, piece.weight_g, *(v for k, v in changed.items() if k != "green_weight_g")), why=f"plan {number}", who=who)
    return row


def _step(
    session: Session, kitchen: Kitchen, plan: str, number: int, step: PlannedStep, batch: Batch | None, have: Step | None, who: str
) -> str:
    fields: dict[str, Any] = {
        "plan_number": number, "part": step.part, "name": step.name, "kind": step.kind, "batch_id": batch.id if batch else None,
        "planned_start_utc": moment(step.start, ahead=True), "planned_end_utc": moment(step.end, ahead=True), "said": dict(step.said),
    }  # fmt: skip
    if have is None:
        add_once(
            session, Step, step_uid(kitchen, plan, step.key), ("at_utc",), kitchen_id=kitchen.id, plan_name=plan, key=step.key, state="planned",
            at_utc=moment(None), zone=kitchen.zone, who=who, **fields,
        )  # fmt: skip
        return "new"
    if have.state in ("going", "done"):
        return "kept"
    moved = (have.planned_start_utc, have.planned_end_utc) != (fields["planned_start_utc"], fields["planned_end_utc"])
    for key, value in fields.items():
        setattr(have, key, value)
    have.state = "planned"
    return "moved" if moved else ""


def amend(session: Session, row: Any, changed: Mapping[str, Any], uid: str, *, why: str, who: str = "") -> None:
    """Change a lot, piece, pack or step, and keep what it said before as a reading."""
    said = "; ".join(f"{k} {getattr(row, k)} -> {v}" for k, v in changed.items())
    about = {f"{row.kind}_id": row.id} if getattr(row, "kind", "") in ("batch", "piece", "lot") else {}
    _, new = add_once(
        session, Reading, uid, ("at_utc", "text"), kitchen_id=row.kitchen_id, kind="note", text=f"{row.name}: {said} ({why})", at_utc=moment(None),
        zone=row.zone, who=who, **about,
    )  # fmt: skip
    if new:
        for key, value in changed.items():
            setattr(row, key, value)
        session.flush()
