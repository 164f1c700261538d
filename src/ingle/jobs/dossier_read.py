"""The dossier of a lot or a month, and the recall sheet, read from the notebook."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, time, timedelta
from importlib.metadata import version
from zoneinfo import ZoneInfo

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from ingle.ground.errors import BadBrief
from ingle.jobs import trace as tracing
from ingle.jobs.dossier import (
    Came,
    Checked,
    Dossier,
    InstrumentRecord,
    LimitKept,
    Packed,
    Recall,
)  # fmt: skip
from ingle.jobs.dossier_batch import records
from ingle.jobs.dossier_rows import (
    FORECAST,
    chains,
    deviations,
    grams,
    hanging,
    limit_words,
    readings,
    was,
    with_unit,
)
from ingle.notebook import kitchens
from ingle.notebook.links import links_of
from ingle.notebook.models import (
    Batch,
    Deviation,
    Done,
    Dose,
    Instrument,
    InstrumentCheck,
    Judged,
    Kitchen,
    LimitInForce,
    Reading,
    Step,
    Traced,
)  # fmt: skip
from ingle.notebook.rows import only_kitchen, some, stands
from ingle.notebook.store import Notebook

_AT_ONCE = 100  # batches whose rows are asked for together
MOST_BATCHES = 1000  # in one record: above a thousand sides


def of_lot(notebook: Notebook, code: str) -> Dossier:
    """All batches that a lot, piece or batch went into, or that a pack was made of, with their records.

    Raises
    ------
    BadBrief
        More batches than one record holds.
    """
    with notebook.look() as session:
        start = kitchens.traced(session, code)
        held = links_of(session, start.id)
        reached = held.reach(start.id, "back" if start.kind == "pack" else "forward")[0]
        ids = [*([start.id] if start.kind == "batch" else []), *held.of_kind(reached, "batch").tolist()]
        _require_few(len(ids), start.code, f"For who has it: ingle print recall {start.code}. For the entries: ingle print record --month, month by month.")
        by_id = {row[0].id: row[0] for row in some(session, select(Batch), Traced.__table__.c.id, ids)}
        begun = _begun(session, ids)
        home = session.get_one(Kitchen, start.kitchen_id)
        first = min(begun.values(), default=start.at_utc)
        last = max((b.ended_utc or datetime.now(UTC) for b in by_id.values()), default=start.at_utc)
        return _dossier(session, home, f"{start.code}, {start.name}", [by_id[i] for i in ids], begun, first, last, whole_kitchen=False)


def of_month(notebook: Notebook, month: date, kitchen: str | None = None) -> Dossier:
    """Every batch that was begun, going or ended within a calendar month of the kitchen's own zone.

    Raises
    ------
    BadBrief
        More batches than one record holds.
    """
    with notebook.look() as session:
        home = only_kitchen(session, kitchen)
        zone = ZoneInfo(home.zone)
        first = datetime.combine(month.replace(day=1), time(), zone).astimezone(UTC)
        after = (month.replace(day=1) + timedelta(days=32)).replace(day=1)
        last = datetime.combine(after, time(), zone).astimezone(UTC)
        batches = list(session.scalars(
            select(Batch).where(Batch.kitchen_id == home.id, (Batch.ended_utc >= first) | (Batch.ended_utc.is_(None)), Batch.state != "planned")
        ))  # fmt: skip
        begun = _begun(session, [b.id for b in batches])  # a plan's day may lie in another month than the day it was begun
        held = sorted((b for b in batches if begun[b.id] < last), key=lambda b: (begun[b.id], b.id))
        _require_few(len(held), f"{month:%B %Y}", "Close the batches that are over: ingle record end CODE. Or print lot by lot.")
        return _dossier(session, home, f"{month:%B %Y}", held, begun, first, last, whole_kitchen=True)


def _require_few(batches: int, of: str, remedy: str) -> None:
    if batches > MOST_BATCHES:
        raise BadBrief(f"The record of {of} has {batches:,} batches; one file holds at most {MOST_BATCHES:,}.", field="record", value=batches, limit=f"{MOST_BATCHES:,} batches", remedy=remedy)


def _begun(session: Session, batches: Sequence[int]) -> dict[int, datetime]:
    """When each batch was begun: its first step or dose in the book; where neither stands, the day it was laid in under. UTC."""
    done = select(Step.batch_id, func.coalesce(Done.began_utc, Done.ended_utc)).join(Step, Step.id == Done.step_id).where(stands(Done))
    dosed = select(Dose.batch_id, Dose.at_utc).where(stands(Dose))
    found: dict[int, datetime] = {}
    for asked, column in ((done, Step.batch_id), (dosed, Dose.batch_id)):
        for batch, at in some(session, asked, column, batches):
            if at is not None:
                found[batch] = min(at, found.get(batch, at))
    laid = some(session, select(Traced.__table__.c.id, Traced.__table__.c.at_utc), Traced.__table__.c.id, set(batches) - set(found))
    return found | {row.id: row.at_utc for row in laid}


def recall(notebook: Notebook, code: str, why: str = "") -> Recall:
    """Who got what of a lot, piece, batch or pack, and what is left of it."""
    told = tracing.follow(notebook, code)
    with notebook.look() as session:
        start = kitchens.traced(session, code)
        home = session.get_one(Kitchen, start.kitchen_id)
        zone = ZoneInfo(home.zone)
    node = lambda n: Came(n.code, n.name, supplier=n.supplier, supplier_code=n.supplier_code, use_by=n.use_by)  # noqa: E731
    packs = tuple(
        Packed(g.code, g.name, g.made, grams(g.net_weight_g), g.left, g.use_by, tuple((to, c, n, at.astimezone(zone)) for to, c, n, at in g.handed))
        for g in told.packs
    )
    through = tuple(node(n) for n in told.forward.nodes if n.kind in ("piece", "batch"))
    return Recall(told.start.code, told.start.name, home.name, why, tuple(map(node, told.lots)), through, packs, tuple(map(node, told.unpacked)))


# -- a dossier ---------------------------------------------------------------------------------------------------------


def _dossier(
    session: Session, home: Kitchen, title: str, batches: Sequence[Batch], begun: Mapping[int, datetime], first: datetime, last: datetime, *,
    whole_kitchen: bool,
) -> Dossier:  # fmt: skip
    zone = ZoneInfo(home.zone)
    span = (first, last) if whole_kitchen else None
    told = tuple(record for at in range(0, len(batches), _AT_ONCE) for record in records(session, batches[at : at + _AT_ONCE], begun, zone, span))
    ids = [b.id for b in batches]
    no_batch = (Reading.kitchen_id == home.id, Reading.batch_id.is_(None), Reading.at_utc >= first, Reading.at_utc <= last)
    places = list(session.scalars(select(Reading).where(*no_batch).order_by(Reading.at_utc, Reading.id)))
    beside = select(Judged.limit_id, LimitInForce).join(Judged, Judged.limit_id == LimitInForce.id).distinct()
    about = [*some(session, beside, Judged.batch_id, ids), *some(session, beside, Judged.reading_id, [r.id for r in places])]
    kept = session.scalars(
        select(LimitInForce).join(Deviation, Deviation.limit_id == LimitInForce.id)
        .where(Deviation.kitchen_id == home.id, Deviation.at_utc >= first, Deviation.at_utc < last).distinct().order_by(LimitInForce.id)
    )  # fmt: skip
    lines = [x for x in (*sorted({x for _, x in about}, key=lambda x: x.id), *kept) if x.kind != FORECAST]
    same = lambda x: (x.rule, x.title, x.side, x.value, x.unit, x.clause, x.source, x.sure, x.doubt)  # noqa: E731  read on many days it is still one line
    limits = tuple({same(x): _limit(x) for x in sorted(lines, key=lambda x: x.read_on, reverse=True)}.values())[::-1]  # the day it was first read
    loose = session.scalars(
        select(Deviation).where(Deviation.kitchen_id == home.id, Deviation.batch_id.is_(None), Deviation.at_utc >= first, Deviation.at_utc <= last)
    )
    return Dossier(
        title, home.name, tuple(home.rules), home.use, told, _instruments(session, home, zone, first, last), limits,
        tuple(readings(session, places, hanging(session, places), zone)), deviations(session, list(loose), zone), first.astimezone(zone).date(),
        (last - timedelta(seconds=1)).astimezone(zone).date(), version("ingle"),
        ("rows of loggers: they are in their own files, named in the notebook",),
    )  # fmt: skip


def _limit(line: LimitInForce) -> LimitKept:
    return LimitKept(
        line.title, limit_words(line), line.clause, line.source_title or line.source, line.sure, line.kind, line.country, line.read_on, line.doubt
    )


def _instruments(session: Session, home: Kitchen, zone: ZoneInfo, first: datetime, last: datetime) -> tuple[InstrumentRecord, ...]:
    """Every instrument of the kitchen with its checks of the time, and the last one before it."""
    told = []
    for tool in session.scalars(select(Instrument).where(Instrument.kitchen_id == home.id).order_by(Instrument.id)):
        asked = select(InstrumentCheck).where(InstrumentCheck.instrument_id == tool.id, InstrumentCheck.at_utc <= last)
        told_of = chains(list(session.scalars(asked.order_by(InstrumentCheck.at_utc, InstrumentCheck.id))))
        earlier = [c for c in told_of if c[0].at_utc < first][-1:]
        shown = [*earlier, *(c for c in told_of if c[0].at_utc >= first)]
        unit = {"C": "\u00b0C"}.get(tool.unit, tool.unit)
        say = lambda c, unit=unit: with_unit(c.found, unit)  # noqa: E731
        checks = tuple(
            Checked(c.at_utc.astimezone(zone), c.reference, with_unit(c.expected, unit), "withdrawn" if c.void else say(c), with_unit(c.tolerance, unit),
                    c.passed, c.who, c.act, was(before, c, say, zone)) for c, before in shown
        )  # fmt: skip
        told.append(InstrumentRecord(
            tool.name, tool.kind, tool.serial, "" if tool.resolution is None else with_unit(tool.resolution, unit), tool.place, tool.in_use, checks,
        ))  # fmt: skip
    return tuple(told)
