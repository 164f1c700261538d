"""Visits in between: a piece turned over, a brine topped up. Each is a reading of its step, which goes on; it ends no step."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import ColumnElement, exists, select
from sqlalchemy.orm import Session, aliased

from ingle.ground.errors import BadBrief
from ingle.jobs.record import step_of, where
from ingle.notebook import readings
from ingle.notebook.models import Batch, Done, Kitchen, Reading, Step
from ingle.notebook.readings import AlreadyDone
from ingle.notebook.rows import some, stands, uid_of
from ingle.notebook.store import Notebook

KIND = "visit"  # of the reading
DAY = timedelta(days=1)
ALONE = timedelta(hours=12)  # how long a visit that is the only one stays to be done (common practice, no source)


Planned = tuple[datetime, datetime, str, str]  # from, to, whose hands, what to do


def planned(step: Step) -> list[Planned]:
    """The visits of a step as its plan has them."""
    at = datetime.fromisoformat
    return [(at(a), at(b), cook, name) for a, b, cook, name in (step.said or {}).get("tends", ())]


def written(session: Session, steps: Iterable[int]) -> dict[int, list[tuple[datetime, str]]]:
    """When each of these steps was visited, and what was said; by the step's number."""
    found: dict[int, list[tuple[datetime, str]]] = {}
    asked = select(Reading.step_id, Reading.at_utc, Reading.text).where(Reading.kind == KIND, stands(Reading))
    for step, at, text in some(session, asked, Reading.step_id, steps):
        found.setdefault(step, []).append((at, text))
    return found


def open_visits(visits: Sequence[Planned], seen: Sequence[tuple[datetime, str]], at: datetime) -> list[Planned]:
    """The visits still to do: one that was made is the one planned nearest to it, one that was missed stays until half way to the next."""
    made = {nearest(visits, t) for t, _ in seen} if visits else set()
    return [v for i, v in enumerate(visits) if i not in made and at <= _stays(visits, i)]


def nearest(visits: Sequence[Planned], at: datetime) -> int:
    """Which visit is planned nearest to a time."""
    return min(range(len(visits)), key=lambda i: abs(visits[i][0] - at))


def _stays(visits: Sequence[Planned], i: int) -> datetime:
    start, end = visits[i][:2]
    if i + 1 < len(visits):
        return max(end, start + (visits[i + 1][0] - start) / 2)
    return start + ((start - visits[i - 1][0]) / 2 if i else ALONE)


def followed() -> ColumnElement[bool]:
    """Condition on a step: a later one of its batch was begun or done, so that it waits no more, whether its end was said or not."""
    later = aliased(Step)
    return exists().where(later.batch_id == Step.batch_id, later.state.in_(("going", "done")), later.id != Step.id, later.planned_start_utc >= Step.planned_end_utc)


def visit(
    notebook: Notebook, word: str, *, batch: str | None = None, kitchen: str | None = None, at: datetime | None = None, uid: str | None = None,
    who: str = "", note: str = "",
) -> Reading:  # fmt: skip
    """A step was visited and goes on. ``word`` as for `ingle.jobs.record.step`.

    Raises
    ------
    BadBrief
        The step has no visits.
    AlreadyDone
        The visit planned nearest to this time was made already, by whom and when.
    """
    known = uid_of(uid)

    def work(session: Session) -> Reading:
        home, on = where(session, batch, kitchen)
        return visit_in(session, home, step_of(session, home, word, on.get("batch")), known, at=at, who=who, note=note)

    return notebook.write(work)


def visit_in(session: Session, home: Kitchen, step: Step, uid: str, *, at: datetime | None, who: str, note: str = "") -> Reading:
    """The same within a transaction that goes on."""
    when = readings.moment(at)
    begun = session.scalar(select(Done.began_utc).where(Done.step_id == step.id, Done.began_utc.is_not(None), stands(Done)).limit(1))
    by = timedelta(days=round((begun - (step.planned_start_utc or step.at_utc)) / DAY)) if begun else timedelta(0)  # they go with the piece, by whole days
    due = [(a + by, b + by, cook, name) for a, b, cook, name in planned(step)]
    if not due:
        raise BadBrief(f"{step.name} has no visits in between.", field="visit", value=step.name, limit="a step that is tended", remedy="Say that it is begun, or done.")
    session.execute(select(Step.id).where(Step.id == step.id).with_for_update())
    this = nearest(due, when)
    _not_yet(session, step, due, this, uid)
    batch = session.get(Batch, step.batch_id) if step.batch_id else None
    said = due[this][3] + (f": {note}" if note else "")
    return readings.read(session, home, uid, batch=batch, step=step, kind=KIND, note=said, at=when, who=who)


def _not_yet(session: Session, step: Step, due: Sequence[Planned], this: int, uid: str) -> None:
    made = list(session.scalars(select(Reading).where(Reading.step_id == step.id, Reading.kind == KIND, stands(Reading)).order_by(Reading.id)))
    before = next((r for r in made if r.uid != uid and nearest(due, r.at_utc) == this), None)
    if before is None or any(r.uid == uid for r in made):
        return
    raise AlreadyDone(
        f"{due[this][3]} was done already{f' by {before.who}' if before.who else ''}, {before.at_utc.astimezone(ZoneInfo(before.zone)):%a %d %b, %H:%M}. "
        "It is not written a second time.",
        field="visit", value=step.name, limit="once", remedy="Was that wrong? Put it right in its batch.",
    )  # fmt: skip
