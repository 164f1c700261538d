"""Batches of a dossier, some hundred at a time: what is asked of the notebook is asked for all of them at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.jobs.dossier import BatchRecord, Came, Packed
from ingle.jobs.dossier_rows import (
    FORECAST,
    LOGS,
    deviations,
    doses,
    grams,
    hanging,
    logs_in,
    readings,
    steps_done,
    verdict_row,
)
from ingle.notebook import trace
from ingle.notebook.links import Links, links_of
from ingle.notebook.models import (
    Batch,
    Deviation,
    Done,
    Dose,
    Instrument,
    Judged,
    LimitInForce,
    Link,
    LogFile,
    LogProbe,
    Lot,
    Piece,
    Reading,
    Step,
    Traced,
)
from ingle.notebook.rows import some, stands


def records(
    session: Session, batches: Sequence[Batch], begun: Mapping[int, datetime], zone: ZoneInfo, span: tuple[datetime, datetime] | None
) -> Iterable[BatchRecord]:
    """Some batches from what came in to what went out."""
    ids = [b.id for b in batches]

    def of_batch(asked: Any, row: Any, column: Any) -> dict[int, list[Any]]:
        if span is not None:
            asked = asked.where(row.at_utc >= span[0], row.at_utc < span[1])
        once = {(batch, told[0].id): told for batch, *told in some(session, asked, column, ids)}
        by: dict[int, list[Any]] = {}
        for (batch, _), told in sorted(once.items(), key=lambda r: (r[1][0].at_utc, r[1][0].id)):
            by.setdefault(batch, []).append(told[0] if len(told) == 1 else tuple(told))
        return by

    own = lambda model: of_batch(select(model.batch_id, model), model, model.batch_id)  # noqa: E731
    read, dosed, judged, deviated = (own(model) for model in (Reading, Dose, Judged, Deviation))
    done = of_batch(select(Step.batch_id, Done, Step).join(Step, Step.id == Done.step_id), Done, Step.batch_id)
    logs = of_batch(LOGS, LogFile, LogProbe.batch_id)
    held = links_of(session, ids[0])
    packs = {i: held.of_kind(held.reach(i, "forward")[0], "pack").tolist() for i in ids}
    gone = {g.pack_id: g for g in trace.gone(session, [p for own in packs.values() for p in own])}
    came = _came(session, held, ids)
    hung = hanging(session, [r for own in read.values() for r in own])
    at_hand = _names_of(session, [r for by in (read, dosed, judged) for own in by.values() for r in own] + list(hung.judged.values()))  # found by number from here on
    for batch in batches:
        i = batch.id
        rows = [*readings(session, read.get(i, ()), hung, zone), *doses(session, dosed.get(i, ()), zone), *steps_done(done.get(i, ()), zone)]
        rows += logs_in(session, logs.get(i, ()), zone)
        computed = [j for j in judged.get(i, ()) if j.reading_id is None and session.get_one(LimitInForce, j.limit_id).kind != FORECAST]
        rows += [verdict_row(session, j, zone) for j in computed]
        alone = [d for d in deviated.get(i, ()) if d.reading_id is None]
        yield BatchRecord(
            batch.code, batch.name, batch.state, begun[i].astimezone(zone), batch.ended_utc.astimezone(zone) if batch.ended_utc else None, batch.use_by,
            batch.plan_name or "", batch.note, tuple(came[i]), tuple(sorted(rows, key=lambda r: r.at)), deviations(session, alone, zone),
            tuple(
                Packed(g.code, g.name, g.made, grams(g.net_weight_g), g.left, g.use_by, tuple((to, c, n, at.astimezone(zone)) for to, c, n, at in g.handed))
                for g in (gone[p] for p in packs[i])
            ),
        )  # fmt: skip
    del at_hand


def _names_of(session: Session, rows: Sequence[Any]) -> list[Any]:
    """What the rows name, read at once: the session then finds each by its number. To be kept as long as they are looked up."""
    told: list[Any] = []
    for model, key in ((Step, "step_id"), (Piece, "piece_id"), (Lot, "lot_id"), (Instrument, "instrument_id"), (LimitInForce, "limit_id")):
        column: Any = (Traced if issubclass(model, Traced) else model).__table__.c.id
        told += some(session, select(model), column, {getattr(r, key) for r in rows if getattr(r, key, None)})
    return told


def _came(session: Session, held: Links, batches: Sequence[int]) -> dict[int, list[Came]]:
    """What went into each batch: straight in, and the lots its pieces were cut from; nearest first."""
    reached = {i: held.reach(i, "back") for i in batches}
    asked = {n for ids, _ in reached.values() for n in ids.tolist()}
    things = {row[0].id: row[0] for model in (Lot, Piece, Batch) for row in some(session, select(model), Traced.__table__.c.id, asked)}
    links = select(Link.from_id, Link.to_id, Link.amount_g).where(stands(Link)).order_by(Link.id)
    amounts = {(a, b): grams_in for a, b, grams_in in some(session, links, Link.to_id, batches)}
    told: dict[int, list[Came]] = {i: [] for i in batches}
    for i, (ids, steps) in reached.items():
        for n, away in zip(ids.tolist(), steps.tolist(), strict=True):
            thing, amount = things[n], amounts.get((n, i))
            if isinstance(thing, Lot):
                told[i].append(
                    Came(thing.code, thing.name, grams(amount or thing.amount_g), thing.supplier, thing.supplier_code, thing.received_on, thing.use_by)
                )
            elif away <= 1:
                told[i].append(Came(thing.code, thing.name, grams(thing.green_weight_g if isinstance(thing, Piece) else amount), use_by=getattr(thing, "use_by", None)))
    return told
