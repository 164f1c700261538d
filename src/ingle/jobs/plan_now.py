"""A plan as it stands: what a sheet, a tag or a minute card printed now has to say of weights and grams."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from ingle.crafts.cure.mix import CuringSalt
from ingle.ground import units
from ingle.jobs.batch_facts import Facts, facts_of
from ingle.jobs.green import planned_of
from ingle.jobs.weighed_in import amounts_now, basis_of
from ingle.notebook.models import Batch, Kitchen, PlanTaken, Step
from ingle.notebook.rows import only_kitchen
from ingle.notebook.store import Notebook
from ingle.planning.plan import Plan, Weighing


def as_it_stands(notebook: Notebook, plan: Plan, at: datetime, *, kitchen: str | None = None) -> Plan:
    """The plan with the amounts of what was weighed, or weighed in, in the place of its own.

    Parameters
    ----------
    plan : Plan
        One that the notebook holds under the same number; of any other it knows nothing, and the plan comes back as it is.
    at : datetime
        Now, aware: a dose of another day is told with its day.
    """
    with notebook.look() as session:
        home = only_kitchen(session, kitchen)
        held = session.scalar(select(func.max(PlanTaken.number)).where(PlanTaken.kitchen_id == home.id, PlanTaken.name == plan.name))
        if held != plan.number:
            return plan
        batches = session.scalars(select(Batch).where(Batch.kitchen_id == home.id, Batch.plan_name == plan.name).order_by(Batch.id)).all()
        facts = {f.batch.part: f for f in facts_of(session, batches)}
        return replace(plan, steps=_steps(session, home, plan, at), weighings=_weighings(plan, facts))


def _steps(session: Session, home: Kitchen, plan: Plan, at: datetime) -> Any:
    rows = session.scalars(select(Step).where(Step.kitchen_id == home.id, Step.plan_name == plan.name, Step.key.in_([s.id for s in plan.steps if s.amounts]))).all()
    told = amounts_now(session, rows, at, ZoneInfo(home.zone))
    now = {row.key: told[row.id] for row in rows if row.id in told}
    return tuple(replace(s, amounts=now[s.id]) if s.id in now else s for s in plan.steps)


def _weighings(plan: Plan, facts: Mapping[str, Facts]) -> tuple[Weighing, ...]:
    """Each weighing by the piece that stands for it: the n-th of its part is the n-th piece of the part's batch."""
    count: dict[str, int] = {}
    found = []
    for w in plan.weighings:
        i = count[w.part] = count.get(w.part, -1) + 1
        known = facts.get(w.part)
        found.append(w if known is None or i >= len(known.pieces) else _stands(w, known, i))
    return tuple(found)


def _stands(w: Weighing, facts: Facts, i: int) -> Weighing:
    basis = basis_of(facts, i)
    if basis == "planned":
        return w
    piece, green, formula = facts.pieces[i], facts.greens[i], facts.batch.formula or {}
    ratio = green / piece.green_weight_g
    mass = w.green_weight_g * ratio
    grams = _given(facts, i) if basis == "dosed" else planned_of(formula, i, piece, facts.pieces, green)
    salt, nitrite = _shares(w, grams, mass, formula)
    return replace(
        w, green_weight_g=mass, grams=grams, basis=basis, salt_per_green_weight=salt, nitrite_mg_per_kg=nitrite, lines=_lines(w, grams),
        whole_g=None if w.whole_g is None else w.whole_g * ratio, skin_weight_g=None if w.skin_weight_g is None else w.skin_weight_g * ratio,
    )  # fmt: skip


def _given(facts: Facts, i: int) -> dict[str, float]:
    """What was weighed in for a piece; of what went on the whole batch its share by green weight. [g]"""
    piece, share = facts.pieces[i], facts.greens[i] / sum(facts.greens)
    grams: dict[str, float] = {}
    for d in facts.doses:
        if d.piece_id in (piece.id, None):
            key = d.item.partition("@")[0].replace("-", "_")
            grams[key] = grams.get(key, 0.0) + d.weighed_g * (1.0 if d.piece_id else share)
    return grams


def _shares(w: Weighing, grams: Mapping[str, float], mass: float, formula: Mapping[str, Any]) -> tuple[float, float]:
    """Salt and sodium nitrite that the grams come to [1, mg/kg]; a premix's are those of the plan, by its share."""
    key = "premix" if w.grams.get("premix") else "curing_salt"
    planned, now = w.grams.get(key, 0.0) / w.green_weight_g, grams.get(key, 0.0) / mass
    nitrite = w.nitrite_mg_per_kg * now / planned if planned else 0.0
    strength = formula.get("curing_salt_nitrite")
    if key == "premix":
        return w.salt_per_green_weight * now / planned if planned else w.salt_per_green_weight, nitrite
    within = CuringSalt(strength).salt if strength and grams.get("curing_salt") else 0.0
    return (grams.get("salt", 0.0) + within * grams.get("curing_salt", 0.0)) / mass, nitrite


def _lines(w: Weighing, grams: Mapping[str, float]) -> tuple[str, ...]:
    names = {"curing_salt": w.curing_salt, "salt": "plain salt"}
    order = ("curing_salt", "premix", "salt", "sugar")
    keys = [k for k in (*order, *(k for k in grams if k not in order)) if grams.get(k)]
    return tuple(f"{names.get(k, k.replace('_', ' '))}  {units.show_mass(grams[k], min(w.step_g, 1.0))}" for k in keys)
