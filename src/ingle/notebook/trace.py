"""From a lot to every pack, and from a pack to every lot, along the links; and who got the packs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from ingle.notebook.links import links_of
from ingle.notebook.models import Batch, Handed, Link, Lot, Pack, Traced
from ingle.notebook.rows import some, stands


@dataclass(frozen=True)
class Node:
    """One thing on the way."""

    id: int
    kind: str
    code: str
    name: str
    at_utc: datetime
    steps: int  # how many links away
    state: str = ""  # of a batch
    supplier: str = ""  # of a lot
    supplier_code: str = ""
    use_by: date | None = None


@dataclass(frozen=True)
class Way:
    """One link on the way."""

    from_id: int
    to_id: int
    item: str
    amount_g: float | None


@dataclass(frozen=True)
class Trace:
    """All that came of it, or all that it came from, nearest first, and how."""

    start: Node
    direction: str  # forward | back
    nodes: tuple[Node, ...]
    ways: tuple[Way, ...]


def follow(session: Session, start: Traced, direction: str = "forward") -> Trace:
    """Everything reached from ``start`` along links that count, ``forward`` or ``back``; however far it goes."""
    ids, steps = links_of(session, start.id).reach(start.id, direction)
    numbers = ids.tolist()
    ahead = Link.from_id if direction == "forward" else Link.to_id
    links = select(Link.from_id, Link.to_id, Link.item, Link.amount_g).where(stands(Link)).order_by(Link.id)
    ways = tuple(Way(*row) for row in some(session, links, ahead, [start.id, *numbers]))
    return Trace(nodes(session, [start.id], [0])[0], direction, nodes(session, numbers, steps.tolist()), ways)


def nodes(session: Session, ids: Sequence[int], steps: Sequence[int]) -> tuple[Node, ...]:
    """Things by their numbers, in that order; ``steps`` is how many links away each is."""
    t, lot, batch, pack = (x.__table__ for x in (Traced, Lot, Batch, Pack))
    asked = (
        select(
            t.c.id, t.c.kind, t.c.code, t.c.name, t.c.at_utc, batch.c.state, lot.c.supplier, lot.c.supplier_code,
            func.coalesce(lot.c.use_by, pack.c.use_by, batch.c.use_by).label("use_by"),
        )
        .outerjoin(batch, batch.c.id == t.c.id)
        .outerjoin(lot, lot.c.id == t.c.id)
        .outerjoin(pack, pack.c.id == t.c.id)
    )  # fmt: skip
    rows = {r.id: r for r in some(session, asked, t.c.id, ids)}
    return tuple(
        Node(r.id, r.kind, r.code, r.name, r.at_utc, away, r.state or "", r.supplier or "", r.supplier_code or "", r.use_by)
        for r, away in ((rows[i], away) for i, away in zip(ids, steps, strict=True))
    )


@dataclass(frozen=True)
class Gone:
    """Packs of one kind on a recall sheet: who got them, what is left."""

    pack_id: int
    code: str
    name: str
    made: int
    left: int
    use_by: date | None
    handed: tuple[tuple[str, str, int, datetime], ...]  # to whom, contact, count, when
    net_weight_g: float  # of each


def gone(session: Session, packs: Sequence[int]) -> tuple[Gone, ...]:
    """Where these packs are, in their order: two questions for some hundred of them."""
    out: dict[int, list[tuple[str, str, int, datetime]]] = {}
    handed = select(Handed.pack_id, Handed.to_whom, Handed.contact, Handed.count, Handed.at_utc).where(stands(Handed)).order_by(Handed.at_utc, Handed.id)
    for pack, *row in some(session, handed, Handed.pack_id, packs):
        out.setdefault(pack, []).append((row[0], row[1], row[2], row[3]))
    t, p = Traced.__table__.c, Pack.__table__.c
    asked = select(p.id, t.code, t.name, p["count"].label("made"), p.use_by, p.net_weight_g).join(Traced.__table__, t.id == p.id)
    rows = {r.id: r for r in some(session, asked, p.id, packs)}
    return tuple(
        Gone(r.id, r.code, r.name, r.made, r.made - sum(h[2] for h in out.get(r.id, ())), r.use_by, tuple(out.get(r.id, ())), r.net_weight_g)
        for r in (rows[i] for i in packs)
    )
