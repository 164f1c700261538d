"""A kitchen of 20,000 batches: tracing and the data of *now*, beside the same questions asked of the bare sqlite3 module."""

from __future__ import annotations

import sqlite3
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID

from sqlalchemy import insert

from benchmarks.run import Row, best
from ingle.jobs.today import today
from ingle.jobs.trace import follow
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


def kitchen(place: Path) -> Notebook:
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
            {"id": batch, "part": "collar", "craft": "cure", "state": "done" if over else "going", "plan_name": f"meal {i // 8}", "formula": {}, "forecast": {}}
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
    """Tracing forward, back, of the salt that is in everything; and what to do now."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "kitchen.notebook"
        with kitchen(place) as book, sqlite3.connect(place) as bare:
            code = lambda sql: bare.execute(sql).fetchone()  # noqa: E731
            lot, pack = code("SELECT id, code FROM traced WHERE kind = 'lot' LIMIT 1"), code("SELECT id, code FROM traced WHERE kind = 'pack' ORDER BY id DESC LIMIT 1")
            told = follow(book, lot[1])
            asked = lambda start: bare.execute(_FORWARD, (start,)).fetchall()  # noqa: E731
            found = f"{len(told.forward.nodes)} things reached, {len(told.packs)} kinds of packs with who got them"
            yield Row("trace a lot, 20,000 batches", best(lambda: follow(book, lot[1]), 5), 0.100, "bare sqlite3, ids and names only", best(lambda: asked(lot[0]), 5), note=found)
            yield Row("trace a pack back", best(lambda: follow(book, pack[1]), 5), 0.100)
            batch = code("SELECT code FROM traced WHERE kind = 'batch' ORDER BY id DESC LIMIT 1 OFFSET 400")[0]
            yield Row("trace a batch both ways", best(lambda: follow(book, batch), 5), 0.100)
            seen = today(book, now=NOW)
            note = f"{len(seen.tasks)} tasks, {len(seen.needs)} needs, {len(seen.going)} batches going"
            yield Row("now page data", best(lambda: today(book, now=NOW), 5), 0.050, note=note)
