"""What to do now: the next step, what is waiting, what needs attention; from the notebook and from plans not yet in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from ingle.jobs.attention import Need, needs_of
from ingle.jobs.box_pieces import lying_together, piece_dict, pieces_in
from ingle.jobs.lying import Lying, all_lying, shift_words, shifted
from ingle.jobs.today_things import Task, Today, Waiting
from ingle.jobs.visits import followed, open_visits, planned, written
from ingle.jobs.weighed_in import amounts_now
from ingle.notebook.models import Batch, Done, Kitchen, PlanTaken, Step, Traced
from ingle.notebook.rows import only_kitchen, stands
from ingle.notebook.store import Notebook
from ingle.planning import planfile
from ingle.planning.plan import Plan, PlanStep

LATE = timedelta(minutes=15)  # a step is overdue after this
DAY = timedelta(days=1)
AHEAD = timedelta(days=2)  # how far "today and tomorrow" looks


@dataclass(frozen=True)
class _Seen:
    """A step of the notebook or of a plan's folder, alike."""

    key: str
    name: str
    part: str
    plan: str
    kind: str
    start: datetime
    end: datetime
    attended: tuple[tuple[datetime, datetime, str], ...]
    tends: tuple[tuple[datetime, datetime, str, str], ...]
    state: str
    batch: str = ""
    step_id: int | None = None
    said: dict[str, Any] = field(default_factory=dict)
    followed: bool = False  # a later step of its batch is begun: it waits no more, whether its end was said or not


def today(
    notebook: Notebook | None, plans: Sequence[Path] = (), *, now: datetime | None = None, kitchen: str | None = None
) -> Today:
    """What to do now.

    Parameters
    ----------
    notebook : Notebook or None
        None: only the plans' folders are looked at.
    plans : sequence of Path
        Folders NAME.plan; one whose plan is in the notebook is taken from there.
    now : datetime, optional
        Aware; the clock's when left out.
    """
    at = (now or datetime.now(UTC)).astimezone(UTC)
    read = [planfile.read(folder) for folder in plans]
    if notebook is None:
        return _told(at, None, "", read, [], (), [])
    with notebook.look() as session:
        home = only_kitchen(session, kitchen)
        seen = _from_notebook(session, home, at)
        names = [p.name for p in read]
        asked = select(PlanTaken.name).where(PlanTaken.kitchen_id == home.id, PlanTaken.name.in_(names))
        known = set(session.scalars(asked)) if names else set()
        fresh = [p for p in read if p.name not in known]
        needs = needs_of(session, home, at)
        needs += _newer(session, home, [p for p in read if p.name in known])
        lies = all_lying(session, home)
        needs += _moved(lies, {s.batch: s.plan for s in seen if s.plan})
        told = _told(at, home, notebook.name, fresh, seen, _going(session, home), needs, lies)
        return replace(told, boxes=lying_together(session, home))


def _moved(lies: dict[str, Lying], plans: dict[str, str]) -> list[Need]:
    """Pieces that were laid in on another day than their plan has: its turns go by days, its pull does not move by itself."""
    return [
        Need("note", f"{row.name} was laid in {shift_words(row)} than planned", "Plan anew, so that the pull and what follows move with it.", None, "plan", plans.get(code, ""))
        for code, row in lies.items()
        if abs(shifted(row)) >= DAY / 2
    ]


def _going(session: Session, home: Kitchen) -> tuple[tuple[str, str], ...]:
    """Code and name of the batches that are going, by the day they were laid in."""
    named, batch = Traced.__table__.c, Batch.__table__.c
    found = session.execute(
        select(named.code, named.name, named.kitchen_id)
        .join(Batch.__table__, batch.id == named.id)
        .where(batch.state == "going")
        .order_by(named.at_utc, named.id)
    )
    return tuple((r.code, r.name) for r in found if r.kitchen_id == home.id)


def _newer(session: Session, home: Kitchen, plans: Sequence[Plan]) -> list[Need]:
    found = []
    for plan in plans:
        asked = select(func.max(PlanTaken.number)).where(PlanTaken.kitchen_id == home.id, PlanTaken.name == plan.name)
        have = session.scalar(asked) or 0
        if plan.number > have:
            act = f"Take it in: ingle record plan {plan.name}."
            found.append(Need("note", f"plan {plan.number} of {plan.name} is not in the notebook, which has {have}", act, None, "plan", plan.name))
    return found


def _from_notebook(session: Session, home: Kitchen, at: datetime) -> list[_Seen]:
    code = Traced.__table__.c.code  # of the batch, without the rest of it
    steps = session.execute(
        select(Step, code, followed())
        .outerjoin(Traced.__table__, Traced.__table__.c.id == Step.batch_id)
        .outerjoin(Batch.__table__, Batch.__table__.c.id == Step.batch_id)
        .where(
            Step.kitchen_id == home.id, Step.state.in_(("planned", "going")), Step.planned_start_utc.is_not(None),
            func.coalesce(Batch.__table__.c.state, "going").in_(("planned", "going")),  # of what was eaten or thrown away nothing is asked
        )
        .order_by(Step.planned_start_utc, Step.id)
    )
    told = [(step, said or "", over) for step, said, over in steps]
    rows = [(step, said) for step, said, _ in told]
    going = [step.id for step, _ in rows if step.state == "going"]
    tended = [step.id for step, _ in rows if step.state == "going" and planned(step)]
    seen = written(session, tended) if tended else {}
    begun = {r.step_id: r.began_utc for r in session.execute(select(Done.step_id, Done.began_utc).where(Done.step_id.in_(going), stands(Done)))}
    zone = ZoneInfo(home.zone)
    now = amounts_now(session, [step for step, _ in rows if (step.said or {}).get("amounts")], at, zone)
    return [replace(_row(step, said, begun.get(step.id), now.get(step.id), seen.get(step.id, []), at), followed=bool(over)) for step, said, over in told]


def _row(
    step: Step, code: str, begun: datetime | None, amounts: tuple[str, ...] | None, seen: Sequence[tuple[datetime, str]], at: datetime
) -> _Seen:
    said = step.said or {}
    if amounts is not None:  # weighed in already, or for the weight that was read
        said = {**said, "amounts": list(amounts)}
    start = step.planned_start_utc or step.at_utc
    by = timedelta(days=round((begun - start) / DAY)) if begun else timedelta(0)  # turns go with the piece, by whole days: at an hour of waking
    visits = [(a + by, b + by, cook, name) for a, b, cook, name in planned(step)]
    return _Seen(
        step.key, step.name, step.part, step.plan_name or "", step.kind, begun or start, step.planned_end_utc or start,
        tuple((_time(a), _time(b), cook) for a, b, cook in said.get("attended", ())),
        tuple(open_visits(visits, seen, at) if begun else visits), step.state, code, step.id, said,
    )  # fmt: skip


def _time(told: str) -> datetime:
    return datetime.fromisoformat(told)


def _from_plan(plan: Plan, step: PlanStep) -> _Seen:
    said = {
        "amounts": step.amounts, "say": step.say, "look_for": step.look_for, "caution": step.caution,
        "ready": [t.isoformat() for t in step.ready] if step.ready else None, "pieces": [piece_dict(p) for p in step.pieces],
    }  # fmt: skip
    return _Seen(step.id, step.name, step.part, plan.name, step.kind, step.start, step.end, step.attended, step.tends, "planned", said=said)


def _told(
    at: datetime, home: Kitchen | None, name: str, fresh: Sequence[Plan], seen: list[_Seen], going: tuple[tuple[str, str], ...], needs: list[Need],
    lies: dict[str, Lying] | None = None,
) -> Today:
    zone = ZoneInfo(home.zone if home else fresh[0].zone if fresh else "UTC")
    # a plan that is not in the notebook has nothing done: what lies before now is taken as past, not as late
    apart = [s for p in fresh for s in (_from_plan(p, x) for x in p.steps)]
    tasks = [t for s in seen for t in _tasks(s, at, zone, late=True)] + [t for s in apart for t in _tasks(s, at, zone, late=False)]
    tasks.sort(key=lambda t: (t.at, t.key))
    lies = lies or {}
    waiting = [_wait(s, zone, lies) for s in seen if s.state == "going" and not s.followed and at < s.end] + [_wait(s, zone, lies) for s in apart if s.start <= at < s.end]
    by_hand = [row for row in lies.values() if not row.step]  # no step waits for these: the batch does
    waiting += [_lies(row, zone) for row in by_hand if at < _until(row)]
    needs = [*needs, *(_past(row, zone) for row in by_hand if at >= _until(row))]
    late = [
        Need("today", f"{t.verb}: planned for {t.at:%a %d %b, %H:%M}", "Do it now, or say when it was done.", t.at, "step", str(t.step_id), verb=t.verb)
        for t in tasks
        if t.step_id is not None and t.first and t.state == "planned" and t.at.astimezone(UTC) + LATE < at
    ]
    ends = [
        Need("today", f"{s.name}: was to end {s.end.astimezone(zone):%a %d %b, %H:%M}", "End it, or say when it ended.", s.end, "step", str(s.step_id), verb=s.name)
        for s in seen
        if s.state == "going" and not s.followed and s.end + LATE < at
    ]
    order = {"stop": 0, "today": 1, "note": 2}
    return Today(
        at.astimezone(zone), home.name if home else "", str(zone), name, tasks[0] if tasks else None,
        tuple(t for t in tasks if t.at.astimezone(UTC) < at + AHEAD), tuple(sorted(waiting, key=lambda w: w.until)),
        tuple(sorted([*needs, *late, *ends], key=lambda n: (order[n.level], n.by or at))), going, tuple(p.name for p in fresh),
    )  # fmt: skip


def _tasks(step: _Seen, at: datetime, zone: ZoneInfo, *, late: bool) -> list[Task]:
    """The stretches of hands' work that are still to come; of a step begun, the first is over."""
    hands = [(a, b, cook, step.name, i) for i, (a, b, cook) in enumerate(step.attended)] or [(step.start, step.end, "", step.name, 0)]
    if step.state == "going":
        hands = hands[1:]
    begun = step.state == "going" or step.start.astimezone(UTC) > at or not late  # what was not begun is not visited
    # of a step that is going the open ones are known already, what is due and not written among them
    visits = [(a, b, cook, name, -1) for a, b, cook, name in step.tends if begun and (step.state == "going" or b.astimezone(UTC) >= at)]
    if not begun:
        hands = hands[:1]
    told = step.said
    return [
        Task(
            a.astimezone(zone), b.astimezone(zone), cook, _verb(name, i, len(step.attended)), step.key, step.part, step.plan, step.batch,
            step.step_id, step.state, i == 0, i == -1, tuple(told.get("amounts", ())) if i == 0 else (), tuple(told.get("say", ())) if i == 0 else (),
            told.get("look_for", ""), tuple(told.get("caution", ())) if i == 0 else (),
        )
        for a, b, cook, name, i in [*hands, *visits]
        if late or (b if i < 0 or step.attended else a).astimezone(UTC) >= at  # what nobody lays in lies there already
    ]  # fmt: skip


def _verb(name: str, i: int, of: int) -> str:
    return f"{name}: end" if of > 1 and i == of - 1 else f"{name}: start" if of > 1 and i == 0 else name


def _until(row: Lying) -> datetime:
    return row.pull or row.ready[2]


def _lies(row: Lying, zone: ZoneInfo) -> Waiting:
    return Waiting(row.name, "", row.part, row.code, row.since.astimezone(zone), _until(row).astimezone(zone), tuple(t.astimezone(zone) for t in row.ready), pieces=pieces_in({"pieces": row.pieces}, row.since, zone))


def _past(row: Lying, zone: ZoneInfo) -> Need:
    until = _until(row).astimezone(zone)
    return Need("today", f"{row.name} ({row.code}): its pull was {until:%a %d %b}", "Pull it, weigh it, and say that it is over.", until, "batch", row.code)


def _wait(step: _Seen, zone: ZoneInfo, lies: dict[str, Lying]) -> Waiting:
    row = lies.get(step.batch)
    if row is not None and row.step == step.key:  # as it was begun, and as its log moved it: the grains count from there too
        ready, since = tuple(t.astimezone(zone) for t in row.ready), row.since
    else:
        ready, since = tuple(_time(t).astimezone(zone) for t in step.said.get("ready") or ()), step.start
    return Waiting(
        step.name, step.key, step.part, step.batch, step.start.astimezone(zone), step.end.astimezone(zone), ready, step.step_id,
        pieces_in(step.said, since, zone), step.plan,
    )  # fmt: skip
