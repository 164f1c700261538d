"""From a lot to every pack, and from a pack to every lot: one recursive question each, along the links."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, literal, select
from sqlalchemy.orm import Session

from ingle.notebook.models import Batch, Handed, Link, Lot, Pack, Traced
from ingle.notebook.rows import stands

DEEPEST = 64  # links in a row; more would be a circle, which the notebook does not let in


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
    """Everything reached from ``start`` along links that count, ``forward`` or ``back``."""
    ahead, behind = (Link.from_id, Link.to_id) if direction == "forward" else (Link.to_id, Link.from_id)
    reach = select(literal(start.id).label("id"), literal(0).label("steps")).cte("reach", recursive=True)
    reach = reach.union(select(behind, reach.c.steps + 1).join(reach, ahead == reach.c.id).where(stands(Link), reach.c.steps < DEEPEST))
    near = select(reach.c.id, func.min(reach.c.steps).label("steps")).group_by(reach.c.id).subquery()
    t, lot, batch, pack = (x.__table__ for x in (Traced, Lot, Batch, Pack))
    found = session.execute(
        select(
            t.c.id, t.c.kind, t.c.code, t.c.name, t.c.at_utc, near.c.steps, batch.c.state, lot.c.supplier, lot.c.supplier_code,
            func.coalesce(lot.c.use_by, pack.c.use_by, batch.c.use_by).label("use_by"), Link.from_id, Link.to_id, Link.item, Link.amount_g,
        )
        .select_from(near)
        .join(t, t.c.id == near.c.id)
        .outerjoin(batch, batch.c.id == t.c.id)
        .outerjoin(lot, lot.c.id == t.c.id)
        .outerjoin(pack, pack.c.id == t.c.id)
        .outerjoin(Link, (ahead == t.c.id) & stands(Link))
        .order_by(near.c.steps, t.c.at_utc, t.c.id)
    )  # fmt: skip
    nodes: dict[int, Node] = {}
    ways = []
    for row in found:
        if row.id not in nodes:
            nodes[row.id] = Node(
                row.id, row.kind, row.code, row.name, row.at_utc, row.steps, row.state or "", row.supplier or "", row.supplier_code or "", row.use_by
            )
        if row.from_id is not None:
            ways.append(Way(row.from_id, row.to_id, row.item, row.amount_g))
    first = nodes.pop(start.id)
    return Trace(first, direction, tuple(nodes.values()), tuple(ways))


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


def gone(session: Session, packs: list[int]) -> tuple[Gone, ...]:
    """Where these packs are: one question for all of them."""
    told = []
    for start in range(0, len(packs), 500):
        some = packs[start : start + 500]
        rows = session.scalars(select(Handed).where(Handed.pack_id.in_(some), stands(Handed)).order_by(Handed.at_utc, Handed.id))
        by: dict[int, list[Handed]] = {}
        for row in rows:
            by.setdefault(row.pack_id, []).append(row)
        for pack in session.scalars(select(Pack).where(Pack.id.in_(some)).order_by(Pack.id)):
            out = by.get(pack.id, [])
            told.append(
                Gone(
                    pack.id, pack.code, pack.name, pack.count, pack.count - sum(h.count for h in out), pack.use_by,
                    tuple((h.to_whom, h.contact, h.count, h.at_utc) for h in out),
                )
            )  # fmt: skip
    return tuple(told)
