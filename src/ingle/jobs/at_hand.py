"""What stands beside the list of things to do: the meal ahead, forecasts of what waits, which steps go on by themselves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import desc, literal, select
from sqlalchemy.orm import Session

from ingle.ground import units
from ingle.ground.things import Forecast
from ingle.jobs.lying import Along, all_lying
from ingle.jobs.today_things import Today
from ingle.jobs.visits import KIND
from ingle.notebook.models import Done, PlanTaken, Reading, Step
from ingle.notebook.rows import only_kitchen, stands
from ingle.notebook.store import Notebook

MADE_MOST = 12  # of what was done today
GOES_ON = timedelta(minutes=30)  # a step that outlasts its first stretch of hands by more than this goes on by itself


@dataclass(frozen=True)
class Meal:
    """The next meal that is planned."""

    name: str
    at: datetime
    plates: int


@dataclass(frozen=True)
class Made:
    """A step begun or done, or a visit to one: the row it is written in."""

    uid: str
    name: str
    at: datetime
    who: str
    kind: str  # step | reading


@dataclass(frozen=True)
class Ahead:
    """What the first page shows beside the tasks. ``forecasts`` by batch code, with the hour of the planned end."""

    meal: Meal | None
    forecasts: dict[str, tuple[Forecast, float, datetime]]
    goes_on: frozenset[int]
    along: dict[str, Along]  # logs that moved a forecast, by batch
    done_today: tuple[Made, ...]  # newest first
    coming: Mapping[str, Any] | None = None  # the plan of that meal, as it was taken in


def ahead(notebook: Notebook, told: Today) -> Ahead:
    """What is ahead of ``told``."""
    at = told.now.astimezone(UTC)
    with notebook.look() as session:
        home = only_kitchen(session)
        steps = [t.step_id for t in told.tasks if t.step_id is not None] + ([told.next.step_id] if told.next and told.next.step_id else [])
        rows = session.scalars(select(Step).where(Step.id.in_(steps)))
        on = frozenset(s.id for s in rows if _goes_on(s))
        lies = all_lying(session, home)
        forecasts = {
            w.batch: (row.forecast, _hours(row.since, w.until), row.since.astimezone(told.now.tzinfo))
            for w in told.waiting
            if (row := lies.get(w.batch)) is not None and row.step == w.key
        }
        midnight = told.now.replace(hour=0, minute=0, second=0, microsecond=0).astimezone(UTC)
        done = _made(session, home.id, midnight)
        meal, coming = _meal(session, home.id, at)
        return Ahead(meal, forecasts, on, {code: row.along for code, row in lies.items() if row.along}, done, coming)


def _made(session: Session, kitchen: int, since: datetime) -> tuple[Made, ...]:
    """The newest twelve of what was done by hand."""
    steps = (
        select(Done.uid, Step.name, Done.at_utc.label("at"), Done.who, literal("step"))
        .join(Step, Step.id == Done.step_id)
        .where(Step.kitchen_id == kitchen, Done.at_utc >= since, stands(Done))
    )
    visits = select(Reading.uid, Reading.text, Reading.at_utc, Reading.who, literal("reading")).where(
        Reading.kitchen_id == kitchen, Reading.at_utc >= since, Reading.kind == KIND, stands(Reading)
    )
    return tuple(Made(*row) for row in session.execute(steps.union_all(visits).order_by(desc("at")).limit(MADE_MOST)))


def _goes_on(step: Step) -> bool:
    hands: Sequence[Sequence[str]] = (step.said or {}).get("attended", ())
    if not hands or step.planned_end_utc is None:
        return False
    return len(hands) > 1 or step.planned_end_utc - datetime.fromisoformat(hands[0][1]).astimezone(UTC) > GOES_ON


def _hours(a: datetime, b: datetime) -> float:
    return units.hours((b - a).total_seconds())


def _meal(session, kitchen: int, at: datetime) -> tuple[Meal | None, Mapping[str, Any] | None]:  # type: ignore[no-untyped-def]
    """The next meal, and its plan."""
    rows = session.scalars(select(PlanTaken).where(PlanTaken.kitchen_id == kitchen).order_by(PlanTaken.id.desc()).limit(20))
    found: dict[str, tuple[Meal, Mapping[str, Any]]] = {}
    for row in rows:
        told = row.content
        if row.name not in found:
            found[row.name] = Meal(row.name, datetime.fromisoformat(told["at"]), int(told["plates"])), told
    coming = [m for m in found.values() if m[0].at.astimezone(UTC) > at]
    return min(coming, key=lambda m: m[0].at, default=(None, None))
