"""The dossier of a lot or a month, and the recall sheet, read from the notebook."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime, time, timedelta
from importlib.metadata import version
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from ingle.jobs import trace as tracing
from ingle.jobs.dossier import (
    BatchRecord,
    Came,
    Checked,
    Dossier,
    InstrumentRecord,
    LimitKept,
    Packed,
    Recall,
)  # fmt: skip
from ingle.jobs.dossier_rows import (
    chains,
    deviations,
    doses,
    grams,
    limit_words,
    logs_in,
    readings,
    steps_done,
    verdict_row,
    was,
    with_unit,
)
from ingle.notebook import kitchens, trace
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
    Link,
    Lot,
    Piece,
    Reading,
    Step,
    Traced,
)  # fmt: skip
from ingle.notebook.rows import only_kitchen, stands
from ingle.notebook.store import Notebook


def of_lot(notebook: Notebook, code: str) -> Dossier:
    """All batches that a lot, piece or batch went into, or that a pack was made of, with their records."""
    with notebook.look() as session:
        start = kitchens.traced(session, code)
        way = "back" if start.kind == "pack" else "forward"
        found = trace.follow(session, start, way)
        ids = [n.id for n in (found.start, *found.nodes) if n.kind == "batch"]
        batches = [session.get_one(Batch, i) for i in ids]
        home = session.get_one(Kitchen, start.kitchen_id)
        first = min((began(session, b) for b in batches), default=start.at_utc)
        last = max((b.ended_utc or datetime.now(UTC) for b in batches), default=start.at_utc)
        return _dossier(session, home, f"{start.code}, {start.name}", batches, first, last, whole_kitchen=False)


def of_month(notebook: Notebook, month: date, kitchen: str | None = None) -> Dossier:
    """Every batch that was begun, going or ended within a calendar month of the kitchen's own zone."""
    with notebook.look() as session:
        home = only_kitchen(session, kitchen)
        zone = ZoneInfo(home.zone)
        first = datetime.combine(month.replace(day=1), time(), zone).astimezone(UTC)
        after = (month.replace(day=1) + timedelta(days=32)).replace(day=1)
        last = datetime.combine(after, time(), zone).astimezone(UTC)
        batches = session.scalars(
            select(Batch)
            .where(Batch.kitchen_id == home.id, (Batch.ended_utc >= first) | (Batch.ended_utc.is_(None)), Batch.state != "planned")
            .order_by(Batch.at_utc, Batch.id)
        )
        begun = {b: began(session, b) for b in batches}  # a plan's day may lie in another month than the day it was begun
        held = sorted((b for b, at in begun.items() if at < last), key=lambda b: (begun[b], b.id))
        return _dossier(session, home, f"{month:%B %Y}", held, first, last, whole_kitchen=True)


def began(session: Session, batch: Batch) -> datetime:
    """When a batch was begun: its first step or dose in the book; where neither stands, the day it was laid in under. UTC."""
    steps = session.execute(select(Done.began_utc, Done.ended_utc).join(Step, Step.id == Done.step_id).where(Step.batch_id == batch.id, stands(Done)))
    times = [row.began_utc or row.ended_utc for row in steps if row.began_utc or row.ended_utc]
    first = session.scalar(select(func.min(Dose.at_utc)).where(Dose.batch_id == batch.id, stands(Dose)))
    return min([*times, *([first] if first else [])], default=batch.at_utc)


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
    session: Session, home: Kitchen, title: str, batches: Sequence[Batch], first: datetime, last: datetime, *, whole_kitchen: bool
) -> Dossier:
    zone = ZoneInfo(home.zone)
    records = tuple(_batch(session, b, zone, first if whole_kitchen else None, last if whole_kitchen else None) for b in batches)
    ids = [b.id for b in batches]
    no_batch = (Reading.kitchen_id == home.id, Reading.batch_id.is_(None), Reading.at_utc >= first, Reading.at_utc <= last)
    spoken = Judged.batch_id.in_(ids) | Judged.reading_id.in_(select(Reading.id).where(*no_batch))
    about = session.scalars(select(LimitInForce).join(Judged, Judged.limit_id == LimitInForce.id).where(spoken).distinct().order_by(LimitInForce.id))
    kept = session.scalars(
        select(LimitInForce).join(Deviation, Deviation.limit_id == LimitInForce.id)
        .where(Deviation.kitchen_id == home.id, Deviation.at_utc >= first, Deviation.at_utc < last).distinct().order_by(LimitInForce.id)
    )  # fmt: skip
    limits = tuple({x.uid: _limit(x) for x in (*about, *kept)}.values())
    places = list(session.scalars(select(Reading).where(*no_batch).order_by(Reading.at_utc, Reading.id)))
    loose = session.scalars(
        select(Deviation).where(Deviation.kitchen_id == home.id, Deviation.batch_id.is_(None), Deviation.at_utc >= first, Deviation.at_utc <= last)
    )
    return Dossier(
        title, home.name, tuple(home.rules), home.use, records, _instruments(session, home, zone, first, last), limits,
        tuple(readings(session, places, zone)), deviations(session, list(loose), zone), first.astimezone(zone).date(),
        (last - timedelta(seconds=1)).astimezone(zone).date(), version("ingle"),
        ("rows of loggers: they are in their own files, named in the notebook",),
    )  # fmt: skip


def _batch(session: Session, batch: Batch, zone: ZoneInfo, first: datetime | None, last: datetime | None) -> BatchRecord:
    def within(model: Any) -> list[Any]:
        asked = select(model).where(model.batch_id == batch.id).order_by(model.at_utc, model.id)
        if first is not None and last is not None:
            asked = asked.where(model.at_utc >= first, model.at_utc < last)
        return list(session.scalars(asked))

    rows = [*readings(session, within(Reading), zone), *doses(session, within(Dose), zone), *steps_done(session, batch, zone, first, last)]
    rows += logs_in(session, batch, zone, first, last)
    rows += [verdict_row(session, j, zone) for j in within(Judged) if j.reading_id is None]
    alone = [d for d in within(Deviation) if d.reading_id is None]
    packs = trace.gone(session, [n.id for n in trace.follow(session, batch, "forward").nodes if n.kind == "pack"])
    plan = f"{batch.plan_name}" if batch.plan_name else ""
    return BatchRecord(
        batch.code, batch.name, batch.state, began(session, batch).astimezone(zone), batch.ended_utc.astimezone(zone) if batch.ended_utc else None,
        batch.use_by, plan, batch.note, tuple(_came(session, batch)), tuple(sorted(rows, key=lambda r: r.at)), deviations(session, alone, zone),
        tuple(
            Packed(g.code, g.name, g.made, grams(g.net_weight_g), g.left, g.use_by,
                   tuple((to, c, n, at.astimezone(zone)) for to, c, n, at in g.handed)) for g in packs
        ),
    )  # fmt: skip


def _came(session: Session, batch: Batch) -> Iterable[Came]:
    """What went in: straight in, and the lots its pieces were cut from."""
    links = {x.from_id: x for x in session.scalars(select(Link).where(Link.to_id == batch.id, stands(Link)))}
    for node in trace.follow(session, batch, "back").nodes:
        if node.steps > 1 and node.kind != "lot":
            continue
        thing: Traced = session.get_one(Traced, node.id)
        amount = links[node.id].amount_g if node.id in links else None
        if isinstance(thing, Lot):
            yield Came(thing.code, thing.name, grams(amount or thing.amount_g), thing.supplier, thing.supplier_code, thing.received_on, thing.use_by)
        else:
            green = thing.green_weight_g if isinstance(thing, Piece) else amount
            yield Came(thing.code, thing.name, grams(green), use_by=node.use_by)


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
