"""A kitchen of 20,000 batches: tracing and the data of *now*, beside the same questions asked of the bare sqlite3 module."""

from __future__ import annotations

import sqlite3
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from uuid import UUID

from sqlalchemy import insert
from tests.notebook.server import Server, binaries

from benchmarks.run import Row, best
from ingle.faces.paper.press import pdf
from ingle.faces.paper.record import recall_sheet
from ingle.jobs.at_hand import ahead
from ingle.jobs.dossier_read import of_month, recall
from ingle.jobs.today import today
from ingle.jobs.trace import follow, glance
from ingle.notebook import codes
from ingle.notebook.models import (
    Batch,
    CorrectiveAction,
    Deviation,
    Done,
    Handed,
    Kitchen,
    Link,
    Lot,
    Pack,
    Piece,
    Reading,
    Step,
    Traced,
)
from ingle.notebook.store import Notebook, open_notebook

BATCHES, LOTS, PACKS, STEPS, READINGS = 20_000, 1_000, 3, 4, 10
START = datetime(2024, 1, 1, 8, tzinfo=UTC)
NOW = datetime(2026, 11, 25, 9, tzinfo=UTC)
_EVERY = (NOW - START) / BATCHES
_FORWARD = """WITH RECURSIVE reach(id) AS (SELECT ? UNION SELECT to_id FROM link JOIN reach ON from_id = reach.id)
SELECT traced.id, kind, code, name FROM reach JOIN traced ON traced.id = reach.id"""


def uid(kind: int, n: int) -> str:
    """An identity that is the same in every run."""
    return str(UUID(int=(kind << 64) | n))


def kitchen(place: Path | str) -> Notebook:
    """Lots of meat and one of salt, a piece and a batch a day and a half, packs handed out; all of it done but the last batches."""
    book = open_notebook(place)
    lots, salt = list(range(1, LOTS + 1)), LOTS + 1
    first_piece, first_batch = salt + 1, salt + 1 + BATCHES
    first_pack = first_batch + BATCHES
    rows: dict[type, list[dict[str, object]]] = {
        m: [] for m in (Traced, Lot, Piece, Batch, Pack, Step, Done, Reading, Link, Handed, Deviation, CorrectiveAction)
    }

    def said(at: datetime, kind: int, n: int) -> dict[str, object]:
        return {"uid": uid(kind, n), "at_utc": at, "zone": "Europe/London", "who": "A", "written_utc": at}

    def thing(n: int, kind: str, code: str, at: datetime) -> None:
        rows[Traced].append({"id": n, "kind": kind, "kitchen_id": 1, "code": code, "name": f"{kind} {n}", "note": "", **said(at, 1, n)})

    def link(a: int, b: int, at: datetime, grams: float | None = None) -> None:
        rows[Link].append({"from_id": a, "to_id": b, "item": "", "amount_g": grams, "void": False, "corrects_id": None, **said(at, 2, len(rows[Link]))})

    for n in [*lots, salt]:
        at = START + (n - 1) * (BATCHES // LOTS) * _EVERY
        thing(n, "lot", f"FH-IN-{n}", at)
        rows[Lot].append(
            {"id": n, "item": "pork collar", "supplier": "Hill farm", "supplier_code": str(n), "received_on": at.date(), "use_by": at.date() + timedelta(9),
             "best_before": None, "amount_g": None if n == salt else 30000.0, "allergens": []}
        )  # fmt: skip
    for i in range(BATCHES):
        at, piece, batch, over = START + i * _EVERY, first_piece + i, first_batch + i, i < BATCHES - 12
        thing(piece, "piece", f"P-{i}", at)
        rows[Piece].append({"id": piece, "green_weight_g": 1380.0, "thickness_mm": 52.0, "shape": "slab", "skin": "none", "fat": "none"})
        thing(batch, "batch", f"FH-{at:%y%m%d}-{codes.letters(i + 1)}", at)
        rows[Batch].append(
            {"id": batch, "part": "collar", "craft": "cure", "state": "done" if over else "going", "ended_utc": at + timedelta(days=STEPS * 3) if over else None,
             "plan_name": f"meal {i // 8}", "formula": {}, "forecast": {}}
        )
        link(lots[i * LOTS // BATCHES], piece, at, 1380.0)
        link(piece, batch, at, 1380.0)
        link(salt, batch, at, 34.0)
        if i % 50 == 49:  # a trimming goes into the next batch
            link(batch, batch + 1, at) if i < BATCHES - 1 else None
        for s in range(STEPS):
            step, when = i * STEPS + s + 1, at + timedelta(days=s * 3)
            rows[Step].append(
                {"id": step, "kitchen_id": 1, "batch_id": batch, "plan_name": f"meal {i // 8}", "plan_number": 1, "key": f"collar.{s}", "part": "collar",
                 "name": f"Turn {s}", "kind": "hands", "planned_start_utc": when, "planned_end_utc": when + timedelta(minutes=20),
                 "state": "done" if over else "planned", "said": {"amounts": ["salt 34 g"]}, **said(at, 3, step)}
            )  # fmt: skip
            if over:
                rows[Done].append({"step_id": step, "ended_utc": when, "note": "", "void": False, **said(when, 4, step)})
        for k in range(READINGS):
            rows[Reading].append(
                {"kitchen_id": 1, "batch_id": batch, "piece_id": piece, "kind": "weight", "weight_g": 1380.0 - k, "place": "", "text": "", "void": False,
                 **said(at + timedelta(days=k), 5, i * READINGS + k)}
            )  # fmt: skip
        for p in range(PACKS if over else 0):
            pack = first_pack + i * PACKS + p
            thing(pack, "pack", f"K-{i}-{p}", at)
            rows[Pack].append({"id": pack, "count": 5, "net_weight_g": 200.0, "use_by": at.date() + timedelta(60), "storage": "", "label": {}})
            link(batch, pack, at)
            rows[Handed].append({"pack_id": pack, "to_whom": f"guest {pack % 400}", "contact": "", "count": 5, "void": False, **said(at, 6, pack)})
        if i % 10 == 0:
            n = i // 10 + 1
            rows[Deviation].append(
                {"id": n, "kitchen_id": 1, "batch_id": batch, "level": "today", "what": "fridge at 7 C", "cause": "", "place": "fridge", "unit": "C",
                 "value": 7.0, "count": 1, "act": "Move it.", "void": False, **said(at, 7, n)}
            )  # fmt: skip
            if over:
                rows[CorrectiveAction].append(
                    {"deviation_id": n, "act": "moved", "cause": "", "control": "", "prevention": "", "product": "kept", "closes": True, "void": False,
                     **said(at, 8, n)}
                )  # fmt: skip
    with book.engine.execution_options(write=True).begin() as connection:
        connection.execute(
            insert(Kitchen.__table__),
            {"id": 1, "uid": uid(9, 1), "name": "Fernhollow", "prefix": "FH", "zone": "Europe/London", "rules": [], "use": "sale", "made_utc": START},
        )
        for model, many in rows.items():
            connection.execute(insert(model.__table__), many)  # type: ignore[attr-defined]
    return book


def rows() -> Iterator[Row]:
    """Tracing forward, back, of the salt that is in everything; and what to do now. On a file, and on a server where one is installed."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "kitchen.notebook"
        with kitchen(place) as book, sqlite3.connect(place) as bare:
            yield from _asked(book, bare)
    found = binaries()
    if found is not None:
        server = Server(found)
        try:
            with kitchen(server.database()) as book:
                with book.engine.execution_options(isolation_level="AUTOCOMMIT").connect() as connection:
                    connection.exec_driver_sql("ANALYZE")  # as the server does by itself within a minute
                yield from _asked(book)
        finally:
            server.stop()


def _asked(book: Notebook, bare: sqlite3.Connection | None = None) -> Iterator[Row]:
    where = "" if bare is not None else " (PostgreSQL)"
    salt = f"FH-IN-{LOTS + 1}"
    begin = time.perf_counter()
    glance(book, salt)
    yield Row(f"the first trace after a start{where}", time.perf_counter() - begin, 2.0, note="the links are read into memory", goal=True)
    lot, pack, batch = "FH-IN-1", f"K-{BATCHES - 13}-{PACKS - 1}", f"FH-{START + (BATCHES - 400) * _EVERY:%y%m%d}-{codes.letters(BATCHES - 399)}"
    told = glance(book, lot)
    peer = {} if bare is None else {"peer": "bare sqlite3, ids and names only", "peer_s": best(lambda: bare.execute(_FORWARD, (1,)).fetchall(), 5)}
    note = f"{told.forwards} things reached, {told.kinds_of_packs} kinds of packs with who got them"
    yield Row(f"trace a lot, 20,000 batches{where}", best(lambda: glance(book, lot), 20), 0.100, note=note, **peer)
    yield Row(f"trace a pack back{where}", best(lambda: glance(book, pack), 20), 0.100)
    yield Row(f"trace a batch both ways{where}", best(lambda: glance(book, batch), 20), 0.100)
    told = glance(book, salt)
    note = f"{told.forwards:,} things, {told.kinds_of_packs:,} kinds of packs, {told.people} people; page 1 of {told.pages}"
    yield Row(f"trace the salt that is in everything{where}", best(lambda: glance(book, salt), 20), 0.100, note=note)
    begin = time.perf_counter()
    whole = follow(book, salt)
    note = f"{len(whole.forward.nodes):,} things with names, {sum(len(g.handed) for g in whole.packs):,} handings out: what a recall sheet lists"
    yield Row(f"all that came of the salt{where}", time.perf_counter() - begin, 10.0, note=note, goal=True)
    if bare is not None:
        begin = time.perf_counter()
        made = pdf(recall_sheet(recall(book, salt)))
        yield Row("its recall sheet as a PDF", time.perf_counter() - begin, 60.0, note=f"{len(made) / 1e6:.0f} MB, every handing out on it", goal=True)
        begin = time.perf_counter()
        month = of_month(book, date(2026, 10, 1))
        note = f"{len(month.batches)} batches, {sum(len(b.rows) for b in month.batches):,} entries"
        yield Row("data of a month's record", time.perf_counter() - begin, 5.0, note=note, goal=True)
    seen = today(book, now=NOW)
    beside = ahead(book, seen)
    note = f"{len(seen.tasks)} tasks, {len(seen.needs)} needs, {len(seen.going)} batches going, {len(beside.done_today)} done today"
    yield Row(f"now page data{where}", best(lambda: ahead(book, today(book, now=NOW)), 20), 0.050, note=note)
