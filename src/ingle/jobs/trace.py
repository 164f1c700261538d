"""Where a thing came from, what came of it, and the recall sheet: who got what, what is left."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ingle.notebook import kitchens, trace
from ingle.notebook.links import KINDS, links_of
from ingle.notebook.store import Notebook
from ingle.notebook.trace import Gone, Node, Trace


@dataclass(frozen=True)
class Traced:
    """The answer to `trace`."""

    start: Node
    forward: Trace
    back: Trace
    packs: tuple[Gone, ...]  # every pack that holds something of it
    unpacked: tuple[Node, ...]  # batches reached that went into nothing further: still in the kitchen, or eaten unwritten
    lots: tuple[Node, ...]  # every lot it came from

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json``."""
        return {
            "start": _node(self.start),
            "forward": [_node(n) for n in self.forward.nodes],
            "back": [_node(n) for n in self.back.nodes],
            "links": [
                {"from": a, "to": b, "item": w.item, "amount_g": w.amount_g} for t in (self.back, self.forward) for a, b, w in _ways(t)
            ],
            "packs": [
                {
                    "code": g.code, "name": g.name, "made": g.made, "left": g.left, "use_by": None if g.use_by is None else g.use_by.isoformat(),
                    "handed": [{"to": to, "contact": c, "count": n, "at": at.isoformat()} for to, c, n, at in g.handed],
                }
                for g in self.packs
            ],
            "unpacked": [n.code for n in self.unpacked],
            "lots": [n.code for n in self.lots],
            "people": sorted({to for g in self.packs for to, _, _, _ in g.handed}),
        }  # fmt: skip


def _node(n: Node) -> dict[str, Any]:
    return {
        "code": n.code, "kind": n.kind, "name": n.name, "at": n.at_utc.isoformat(), "links_away": n.steps, "state": n.state or None,
        "supplier": n.supplier or None, "supplier_code": n.supplier_code or None, "use_by": None if n.use_by is None else n.use_by.isoformat(),
    }  # fmt: skip


def _ways(told: Trace) -> list[tuple[str, str, trace.Way]]:
    codes = {n.id: n.code for n in (told.start, *told.nodes)}
    return [(codes[w.from_id], codes[w.to_id], w) for w in told.ways]


def follow(notebook: Notebook, code: str) -> Traced:
    """Forward and back from a lot, piece, batch or pack."""
    with notebook.look() as session:
        start = kitchens.traced(session, code)
        ahead, behind = trace.follow(session, start, "forward"), trace.follow(session, start, "back")
        packs = [n.id for n in (ahead.start, *ahead.nodes) if n.kind == "pack"]
        onward = {w.from_id for w in ahead.ways}
        loose = tuple(n for n in (ahead.start, *ahead.nodes) if n.kind == "batch" and n.id not in onward)
        lots = tuple(n for n in (behind.start, *behind.nodes) if n.kind == "lot")
        return Traced(ahead.start, ahead, behind, trace.gone(session, packs), loose, lots)


@dataclass(frozen=True)
class Glance:
    """What a page shows of a trace: all of it counted, a part of it listed."""

    start: Node
    backs: int  # things it came from
    forwards: int  # things that came of it
    kinds: dict[str, int]  # of these, by kind
    left: int  # packs that are still here
    people: int  # who got some of it
    kinds_of_packs: int
    loose: int  # batches that went into nothing further
    page: int  # counted from 1
    pages: int
    back: tuple[Node, ...]
    forward: tuple[Node, ...]
    packs: tuple[Gone, ...]
    unpacked: tuple[Node, ...]


def glance(notebook: Notebook, code: str, *, most: int = 150, page: int = 1) -> Glance:
    """One page of `follow`: everything counted, at most ``most`` of each kind of line listed, nearest first.

    Parameters
    ----------
    most : int
        Lines listed of each: what it came from, what came of it, packs, batches that are not packed.
    page : int
        Which of the pages, counted from 1; one past the last is the last.
    """
    with notebook.look() as session:
        start = kitchens.traced(session, code)
        links = links_of(session, start.id)
        (back, back_steps), (ahead, ahead_steps) = links.reach(start.id, "back"), links.reach(start.id, "forward")
        held = np.concatenate(([start.id], ahead))
        packs, loose = links.of_kind(held, "pack"), links.dead_ends(links.of_kind(held, "batch"))
        away = np.zeros(links.kind.size, dtype=np.int64)
        away[ahead] = ahead_steps
        pages = max(1, -(-max(back.size, ahead.size, packs.size, loose.size) // most))
        at = min(max(page, 1), pages)
        part = slice((at - 1) * most, at * most)
        return Glance(
            trace.nodes(session, [start.id], [0])[0], back.size, ahead.size, {k: int(links.of_kind(ahead, k).size) for k in KINDS},
            links.left(packs), links.people(packs), packs.size, loose.size, at, pages,
            trace.nodes(session, back[part].tolist(), back_steps[part].tolist()),
            trace.nodes(session, ahead[part].tolist(), ahead_steps[part].tolist()),
            trace.gone(session, packs[part].tolist()), trace.nodes(session, loose[part].tolist(), away[loose[part]].tolist()),
        )  # fmt: skip
