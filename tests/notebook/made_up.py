"""A small invented kitchen, written through the same jobs as everything else."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from ingle.ground.things import Piece
from ingle.jobs import kitchen as k
from ingle.jobs import record as r
from ingle.notebook.control import Line
from ingle.notebook.store import Notebook

AT = datetime(2026, 11, 4, 18, 5, tzinfo=UTC)


def _chunk(kind: bytes, data: bytes) -> bytes:
    return len(data).to_bytes(4, "big") + kind + data + zlib.crc32(kind + data).to_bytes(4, "big")


# one black pixel, by ISO/IEC 15948: signature, IHDR, IDAT, IEND
PNG = b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", bytes((0, 0, 0, 1, 0, 0, 0, 1, 8, 0, 0, 0, 0))) + _chunk(b"IDAT", zlib.compress(b"\0\0")) + _chunk(b"IEND", b"")

FRIDGE = Line(
    rule="us-cold-holding", title="cold holding", value=5.0, unit="C", clause="3-501.16(A)(2)", source="fda-food-code", source_title="FDA Food Code",
    sure="quoted",
)  # fmt: skip


@dataclass
class Made:
    """What was made."""

    lot: Any
    salt: Any
    piece: Any
    batch: Any
    loaf: Any
    pack: Any
    reading: Any
    better: Any
    doses: Any
    deviation: Any


def fill(book: Notebook) -> Made:
    """Two lots, a piece, two batches, a pack, readings, a correction, a deviation with its action: a row in most tables."""
    k.begin(book, "Fernhollow", zone="Europe/London", rules=["gb"], prefix="FH")
    k.instrument(book, "bench scale", kind="scale", unit="g", resolution=0.1)
    k.check_instrument(book, "bench scale", reference="1 kg weight", expected=1000.0, found=1000.2, tolerance=0.5, who="A")
    lot = k.receive(book, "pork collar", supplier="Hill farm", amount_g=5000.0, use_by=date(2026, 11, 12), at=AT)
    salt = k.receive(book, "salt", amount_g=25000.0, at=AT)
    piece = k.cut(book, Piece(1380.0, 52.0, name="Collar A"), lot=lot.code, at=AT, who="A")
    batch = k.lay_in(book, "Collar", part="collar", craft="cure", takes=[piece.code], at=AT, use_by=date(2026, 12, 30))
    doses = r.dose(
        book, piece.code, {"salt": 31.8, "curing-salt@6.25%": 2.6}, lots={"salt": salt.code}, instrument="bench scale", who="A", at=AT
    )
    reading = r.reading(book, piece.code, weight_g=1330.0, temperature_c=3.8, probe_depth_mm=25.0, at=AT, who="A", instrument="bench scale")
    better = r.correct(book, "reading", str(reading.id), weight_g=1335.0, who="B")
    r.reading(book, batch.code, taste="=salt first, then sweet\n<b>good</b>", at=AT)
    r.reading(book, batch.code, photo=PNG, at=AT)
    r.reading(book, place="fridge", temperature_c=9.0, at=AT)
    deviation = r.deviate(
        book, "fridge at 9 C overnight", about=batch.code, level="today", act="Move it.", value=9.0, unit="C", limit=FRIDGE, at=AT
    )
    r.act_on(book, str(deviation.id), "moved", product="kept", closes=True, at=AT)
    loaf = k.lay_in(book, "Loaf", part="loaf", craft="bread", takes=[batch.code], at=AT)
    pack = k.pack(book, [batch.code], count=6, net_weight_g=200.0, use_by=date(2026, 12, 1), label={"allergens": []}, at=AT)
    k.hand(book, pack.code, "Mrs Appleyard", count=4, contact="allotment 7", at=AT)
    return Made(lot, salt, piece, batch, loaf, pack, reading, better, doses, deviation)
