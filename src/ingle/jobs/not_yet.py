"""Why a batch is not to be packed without a second thought: its cure goes on, a line was crossed and nothing settled it, it was thrown away."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.jobs.lying import lying
from ingle.notebook import control, kitchens
from ingle.notebook.models import Batch, Kitchen, Step
from ingle.notebook.store import Notebook


def not_yet(notebook: Notebook, code: str, now: datetime) -> tuple[str, ...]:
    """What is asked before packs are made of a batch, a sentence each; empty where nothing stands against it."""
    with notebook.look() as session:
        batch = kitchens.traced(session, code, ("batch",))
        home = session.get_one(Kitchen, batch.kitchen_id)
        gone = ["It was thrown away."] if batch.state == "discarded" else []
        cure = _cure(session, batch, now, ZoneInfo(home.zone))
        open_ = [
            f"{d.level.capitalize()}, not settled: {d.what.rstrip('.')}. {d.act.rstrip('.')}." if d.act else f"{d.level.capitalize()}, not settled: {d.what.rstrip('.')}."
            for d in control.open_deviations(session, home)
            if d.batch_id == batch.id
        ]
        return (*gone, *open_, *([cure] if cure else []))


def _cure(session: Session, batch: Batch, now: datetime, zone: ZoneInfo) -> str:
    """That it lies in its cure still; "" where it does not."""
    if batch.craft != "cure" or batch.state not in ("planned", "going"):
        return ""
    if batch.state == "planned":
        return "It is planned and not begun."
    key = (batch.forecast or {}).get("step")
    step = session.scalar(select(Step).where(Step.batch_id == batch.id, Step.key == key, Step.state != "dropped")) if key else None
    if step is not None:
        return "" if step.state == "done" else f"It lies in its cure: {step.name!r} is not done."
    lies = lying(session, batch)
    until = None if lies is None else lies.pull or lies.ready[2]
    if until is None:
        return "It lies in its cure, and when that is ready is not known: write down the salt that went on each piece."
    return f"It lies in its cure: pull no sooner than {until.astimezone(zone):%a %d %b}." if now < until else ""
