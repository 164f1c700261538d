"""Since when a batch lies, when it is ready and what moved that: one place that every page and command asks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.ground import units
from ingle.ground.things import Forecast
from ingle.notebook.models import Batch, Done, Kitchen, Step
from ingle.notebook.rows import stands


@dataclass(frozen=True)
class Along:
    """A log that moved a forecast."""

    uid: str
    name: str
    sentence: str


@dataclass(frozen=True)
class Lying:
    """One batch with its forecast. Times are aware, UTC; quantiles count from ``since``."""

    code: str
    name: str
    part: str
    since: datetime
    forecast: Forecast
    laid_in: Forecast  # as it stood when it was laid in
    pull_h: float | None  # no sooner than; None where a plan's step says when
    step: str  # key of the plan's step that it waits in; "" where it was begun by hand
    along: Along | None
    planned: datetime | None = None  # when the plan lets it begin

    @property
    def ready(self) -> tuple[datetime, datetime, datetime]:
        """Earliest, likely and latest."""
        f = self.forecast
        return self.after(f.earliest_h), self.after(f.likely_h), self.after(f.latest_h)

    @property
    def pull(self) -> datetime | None:
        """Not sooner than this."""
        return None if self.pull_h is None else self.after(self.pull_h)

    def after(self, hours: float) -> datetime:
        """That many hours after it was laid in."""
        return self.since + timedelta(hours=hours)


def lying(session: Session, batch: Batch) -> Lying | None:
    """The forecast of a batch as it stands now; None where it has none."""
    said = batch.forecast or {}
    first = told(said)
    if first is None:
        return None
    step = session.scalar(select(Step).where(Step.batch_id == batch.id, Step.key == said["step"])) if said.get("step") else None
    moved = said.get("log") or {}
    now = told(moved)
    along = Along(moved["uid"], moved["name"], moved["sentence"]) if now else None
    pull = (moved if now else said).get("pull_h")
    return Lying(
        batch.code, batch.name, batch.part, since_of(session, batch), now or first, first, pull, said.get("step", ""), along,
        step.planned_start_utc if step else None,
    )  # fmt: skip


def all_lying(session: Session, kitchen: Kitchen) -> dict[str, Lying]:
    """Batches of a kitchen that are going and have a forecast, by code."""
    found = session.scalars(select(Batch).where(Batch.kitchen_id == kitchen.id, Batch.state == "going").order_by(Batch.at_utc, Batch.id))
    return {b.code: row for b in found if (row := lying(session, b)) is not None}


def told(said: Mapping[str, Any]) -> Forecast | None:
    """A stored forecast; None where there is none, or where most of it never comes."""
    dots = [h for h in said.get("quantiles_h") or () if h is not None]
    if len(dots) < 2:
        return None
    return Forecast(said.get("what", ""), dots[0], dots[len(dots) // 2], dots[-1], tuple(dots), basis=said.get("basis", ""))


def shifted(lies: Lying) -> timedelta:
    """How much later than planned it was laid in; negative: sooner."""
    return timedelta(0) if lies.planned is None else lies.since - lies.planned


def shift_words(lies: Lying) -> str:
    """``2 d 21 h sooner``."""
    by = shifted(lies)
    return f"{units.show_hours(units.hours(abs(by.total_seconds())))} {'sooner' if by < timedelta(0) else 'later'}"


def since_of(session: Session, batch: Batch) -> datetime:
    """When a batch was laid in: its plan's step as it was begun, not as it was planned. UTC."""
    key = (batch.forecast or {}).get("step")
    step = session.scalar(select(Step).where(Step.batch_id == batch.id, Step.key == key)) if key else None
    if step is None:
        return batch.at_utc
    done = session.scalar(select(Done).where(Done.step_id == step.id, stands(Done)).order_by(Done.id).limit(1))
    begun = (done.began_utc or (done.ended_utc if step.state == "going" else None)) if done else None
    return begun or step.planned_start_utc or batch.at_utc
