"""Since when a batch lies, when it is ready and what moved that: one place that every page and command asks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Row, select
from sqlalchemy.orm import Session

from ingle.ground import units
from ingle.ground.things import Forecast
from ingle.notebook.models import Batch, Done, Kitchen, Step
from ingle.notebook.rows import some, stands
from ingle.notebook.store import Notebook


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
    assumed: tuple[str, ...] = ()  # of its pieces: what was not measured and what was taken instead
    pieces: tuple[Mapping[str, Any], ...] = ()  # where several lie in it: each with its window as it was laid in, see `box_pieces`

    @property
    def ready(self) -> tuple[datetime, datetime, datetime]:
        """Earliest, likely and latest."""
        f = self.forecast
        return self.after(f.earliest_h), self.after(f.likely_h), self.after(f.latest_h)

    @property
    def pull(self) -> datetime | None:
        """Not sooner than this."""
        return None if self.pull_h is None else self.after(self.pull_h)

    def each(self, piece: Mapping[str, Any], zone: tzinfo) -> tuple[datetime, ...]:
        """Earliest, likely and latest of one of its ``pieces``, in the kitchen's zone."""
        return tuple(self.after(h).astimezone(zone) for h in piece["ready_h"])

    def after(self, hours: float) -> datetime:
        """That many hours after it was laid in."""
        return self.since + timedelta(hours=hours)


def lying(session: Session, batch: Batch) -> Lying | None:
    """The forecast of a batch as it stands now; None where it has none."""
    return _lying(batch, _begun(session, [batch])) if told(batch.forecast or {}) else None


def lying_of(notebook: Notebook, batch: int) -> tuple[Lying, ZoneInfo] | None:
    """The forecast of a batch by its number, and its kitchen's zone; None where it has none."""
    with notebook.look() as session:
        row = session.get_one(Batch, batch)
        found = lying(session, row)
        return None if found is None else (found, ZoneInfo(session.get_one(Kitchen, row.kitchen_id).zone))


def all_lying(session: Session, kitchen: Kitchen) -> dict[str, Lying]:
    """Batches of a kitchen that are going and have a forecast, by code: as many questions for hundreds as for one."""
    going = session.scalars(select(Batch).where(Batch.state == "going").order_by(Batch.at_utc, Batch.id))  # the kitchen among few rows, not the state among many
    found = [b for b in going if b.kitchen_id == kitchen.id and told(b.forecast or {})]
    begun = _begun(session, found)
    return {b.code: row for b in found if (row := _lying(b, begun)) is not None}


def _lying(batch: Batch, begun: Mapping[int, Begun]) -> Lying | None:
    said = batch.forecast or {}
    first = told(said)
    if first is None:
        return None
    step = begun.get(batch.id)
    moved = said.get("log") or {}
    now = told(moved)
    along = Along(moved["uid"], moved["name"], moved["sentence"]) if now else None
    pull = (moved if now else said).get("pull_h")
    return Lying(
        batch.code, batch.name, batch.part, step.since if step and step.since else batch.at_utc, now or first, first, pull, said.get("step", ""), along,
        step.planned if step else None, tuple(said.get("assumed") or ()),
        tuple(said.get("pieces") or ()),
    )  # fmt: skip


def told(said: Mapping[str, Any]) -> Forecast | None:
    """A stored forecast; None where there is none, or where most of it never comes."""
    dots = [h for h in said.get("quantiles_h") or () if h is not None]
    if len(dots) < 2:
        return None
    ends = said.get("window_h") or (None,) * 3  # left out by an earlier version: the outer grains stand in
    early, likely, late = (dot if h is None else h for h, dot in zip(ends, (dots[0], dots[len(dots) // 2], dots[-1]), strict=True))
    return Forecast(said.get("what", ""), early, likely, late, tuple(dots), basis=said.get("basis", ""))


def shifted(lies: Lying) -> timedelta:
    """How much later than planned it was laid in; negative: sooner."""
    return timedelta(0) if lies.planned is None else lies.since - lies.planned


def shift_words(lies: Lying) -> str:
    """``2 d 21 h sooner``."""
    by = shifted(lies)
    return f"{units.show_hours(units.hours(abs(by.total_seconds())))} {'sooner' if by < timedelta(0) else 'later'}"


@dataclass(frozen=True)
class Begun:
    """The plan's step that a batch lies in."""

    since: datetime | None  # as it was begun, else as planned. UTC
    planned: datetime | None


def since_of(session: Session, batch: Batch) -> datetime:
    """When a batch was laid in: its plan's step as it was begun, not as it was planned. UTC."""
    return sinces_of(session, [batch])[batch.id]


def sinces_of(session: Session, batches: Sequence[Batch]) -> dict[int, datetime]:
    """When each of some batches was laid in, by the batch's number."""
    begun = _begun(session, batches)
    return {b.id: (begun[b.id].since if b.id in begun else None) or b.at_utc for b in batches}


def _begun(session: Session, batches: Sequence[Batch]) -> dict[int, Begun]:
    """The steps that some batches lie in, by the batch's number: two questions for all of them."""
    keys = {b.id: key for b in batches if (key := (b.forecast or {}).get("step"))}
    asked = some(session, select(Step.id, Step.batch_id, Step.key, Step.state, Step.planned_start_utc).order_by(Step.id), Step.batch_id, keys)
    steps = {s.batch_id: s for s in reversed(asked) if s.key == keys[s.batch_id]}
    dones = select(Done.step_id, Done.began_utc, Done.ended_utc).where(stands(Done)).order_by(Done.id)
    done = {d.step_id: d for d in reversed(some(session, dones, Done.step_id, [s.id for s in steps.values()]))}
    return {batch: Begun(_since(s, done.get(s.id)), s.planned_start_utc) for batch, s in steps.items()}


def _since(step: Row[Any], done: Row[Any] | None) -> datetime | None:
    begun: datetime | None = (done.began_utc or (done.ended_utc if step.state == "going" else None)) if done else None
    return begun or step.planned_start_utc
