"""The plan whose day it is, as the notebook holds it, and the sheet's boxes of that day taken back into the notebook."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.jobs import record
from ingle.jobs.judge_reading import judge_reading
from ingle.jobs.visits import visit_in
from ingle.notebook import readings
from ingle.notebook.models import Batch, Kitchen, PlanTaken, Step
from ingle.notebook.rows import new_uid, only_kitchen, uid_of
from ingle.notebook.store import Notebook
from ingle.notebook.trouble import NotFound
from ingle.planning import planfile
from ingle.planning.plan import Plan


@dataclass(frozen=True)
class Value:
    """One value from a box: of which step ("collar.cure"), what it is, and when."""

    place: str  # of the box on the sheet, "3.1.0": with the form's UUID its identity
    step: str
    at: datetime
    label: str
    weight_g: float | None = None
    temperature_c: float | None = None
    ph: float | None = None
    note: str = ""
    done: bool = False  # the box asked for the time at which it was done
    goes_on: str = ""  # "began" | "visit": what was done then ends nothing; "" = the step is over
    initials: str = ""


def plans_kept(notebook: Notebook) -> tuple[Plan, ...]:
    """The newest number of every plan in the notebook, the coming meal first, past ones after it."""
    with notebook.look() as session:
        home = only_kitchen(session)
        rows = session.scalars(select(PlanTaken).where(PlanTaken.kitchen_id == home.id).order_by(PlanTaken.number.desc(), PlanTaken.id.desc()))
        newest: dict[str, dict[str, Any]] = {}
        for row in rows:
            newest.setdefault(row.name, row.content)
    return tuple(sorted((planfile.from_dict(told) for told in newest.values()), key=lambda p: p.at))


def lots_of(notebook: Notebook, plan: Plan) -> tuple[str, ...]:
    """The codes of the batches its weighings lie in, in their order; "" where a batch is not in the notebook."""
    with notebook.look() as session:
        home = only_kitchen(session)
        asked = select(Batch.part, Batch.code).where(Batch.kitchen_id == home.id, Batch.plan_name == plan.name).order_by(Batch.id)
        codes = {r.part: r.code for r in session.execute(asked)}
    return tuple(codes.get(w.part, "") for w in plan.weighings)


def plan_for(plans: Sequence[Plan], day: date, name: str = "") -> Plan | None:
    """The plan of that name, else the one that has work on ``day`` and is eaten first, else the next to be eaten."""
    named = [p for p in plans if p.name == name]
    if named:
        return named[0]
    coming = [p for p in plans if p.at.date() >= day]
    working = [p for p in coming if any(a.date() <= day <= b.date() for s in p.steps for a, b, _ in s.attended)]
    return next(iter(working or coming or list(plans)[::-1]), None)


def take_back(notebook: Notebook, plan: Plan, values: Sequence[Value], *, uid: str | None = None, who: str = "") -> int:
    """Write what stood in the boxes: a reading or a step done each, all of them or none, and once. Returns how many.

    Raises
    ------
    NotFound
        A step that is not in the notebook.
    """
    form = uid_of(uid)

    def work(session: Session) -> int:
        home = only_kitchen(session)
        for v in values:
            _take(session, home, plan, v, new_uid("box", form, v.place), v.initials or who)
        return len(values)

    return notebook.write(work)


def _take(session: Session, home: Kitchen, plan: Plan, v: Value, uid: str, who: str) -> None:
    step = session.scalar(select(Step).where(Step.kitchen_id == home.id, Step.key == v.step, Step.plan_name == plan.name))
    if step is None:
        raise NotFound(f"The step {v.step!r} of {plan.name} is not in the book.", field="step", value=v.step, remedy="Take the plan in anew.")
    if v.done and v.goes_on == "visit":
        visit_in(session, home, step, uid, at=v.at, who=who, note="from the sheet")
        return
    if v.done:
        began, ended = (v.at, None) if v.goes_on else (None, v.at)
        record.step_in(session, home, step, uid, began=began, ended=ended, who=who, note="from the sheet")
        return
    batch = session.get(Batch, step.batch_id) if step.batch_id else None
    note = f"{v.label}{': ' + v.note if v.note else ''} (from the sheet)"
    row = readings.read(session, home, uid, batch=batch, step=step, at=v.at, who=who, note=note, weight_g=v.weight_g, temperature_c=v.temperature_c, ph=v.ph)
    judge_reading(session, home, row)
