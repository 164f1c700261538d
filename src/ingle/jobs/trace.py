"""Where a thing came from, what came of it, and the recall sheet: who got what, what is left."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ingle.notebook import kitchens, trace
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
