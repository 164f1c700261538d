"""Which thing went into which, held in memory while a notebook is open, so that a lot in 20,000 batches is followed at once.

Links and packs handed out are only ever added, never changed or taken away. What is held of them is brought up to date by
the rows that came since, and is known to be all by their number: on a server a row may come to light after a later one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from threading import Lock
from typing import Any

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import ColumnElement, String, func, select
from sqlalchemy.orm import Session

from ingle.notebook.models import Handed, Link, Pack, Traced

Ints = NDArray[np.int64]
KINDS = ("lot", "piece", "batch", "pack")


@dataclass(frozen=True)
class Ends:
    """Where each thing leads to one way: those of thing ``n`` are ``to[first[n]:first[n + 1]]``."""

    first: Ints  # shape (things + 1,)
    to: Ints  # shape (links,)

    def after(self, some: Ints) -> Ints:
        """All that ``some`` things lead to, with repeats."""
        counts = self.first[some + 1] - self.first[some]
        offsets = np.repeat(self.first[some] - np.concatenate(([0], np.cumsum(counts)[:-1])), counts)
        return self.to[offsets + np.arange(counts.sum())]


@dataclass(frozen=True)
class Links:
    """A notebook's links at one moment. Things are named by their number, which indexes the arrays."""

    kind: NDArray[np.int8]  # index in KINDS; -1 = no such thing. Shape (things,)
    forward: Ends
    back: Ends
    made: Ints  # packs made, of a pack; else 0. Shape (things,)
    out: Ints  # packs of it that were handed out. Shape (things,)
    handed: Ints  # number of the pack, of each handing out that counts
    who: Ints  # to whom, as a number of its own, beside ``handed``

    def reach(self, start: int, direction: str) -> tuple[Ints, Ints]:
        """Everything reached from a thing, ``forward`` or ``back``: numbers and how many links away, nearest first, then by number."""
        ends = self.forward if direction == "forward" else self.back
        seen = np.zeros(self.kind.size, dtype=bool)
        seen[start] = True
        edge, ids, steps = np.array([start]), [np.empty(0, dtype=np.int64)], [np.empty(0, dtype=np.int64)]
        while edge.size:
            found = np.zeros(seen.size, dtype=bool)
            found[ends.after(edge)] = True
            edge = np.flatnonzero(found & ~seen)
            seen |= found
            steps.append(np.full(edge.size, len(ids)))
            ids.append(edge)
        return np.concatenate(ids), np.concatenate(steps)

    def of_kind(self, some: Ints, kind: str) -> Ints:
        """Those of one kind."""
        return some[self.kind[some] == KINDS.index(kind)]

    def left(self, packs: Ints) -> int:
        """How many packs of these kinds are still here."""
        return int((self.made[packs] - self.out[packs]).sum())

    def people(self, packs: Ints) -> int:
        """How many people got some of them."""
        among = np.zeros(self.kind.size, dtype=bool)
        among[packs] = True
        return int(np.count_nonzero(np.bincount(self.who[among[self.handed]])))

    def dead_ends(self, some: Ints) -> Ints:
        """Those that went into nothing further."""
        return some[self.forward.first[some + 1] == self.forward.first[some]]


class Held:
    """Some columns of a table as arrays. The first is its number; words become numbers of their own, None becomes -1."""

    def __init__(self, *columns: ColumnElement[Any]) -> None:
        self.columns = [func.coalesce(c, -1) if getattr(c, "nullable", False) else c for c in columns]
        self.words: list[dict[str, int] | None] = [{} if isinstance(c.type, String) else None for c in columns]
        self.arrays: list[Ints] = []
        self.drop()

    def drop(self) -> None:
        """Hold nothing."""
        self.arrays = [np.empty(0, dtype=np.int64) for _ in self.columns]

    def add(self, session: Session) -> bool:
        """Read the rows that came since. Returns whether there were any."""
        number = self.columns[0]
        last = int(self.arrays[0][-1]) if self.arrays[0].size else 0
        told = session.connection().execute(select(*self.columns).where(number > last).order_by(number))
        rows = told.cursor.fetchall()  # as the driver gives them: numbers and words, a tenth of the time of rows with names
        told.close()
        for i, column in enumerate(zip(*rows, strict=True)):
            words = self.words[i]
            numbers = column if words is None else [words.setdefault(v, len(words)) for v in column]
            self.arrays[i] = np.concatenate((self.arrays[i], np.array(numbers, dtype=np.int64)))
        return bool(rows)


class LinksHeld:
    """What an open notebook holds of its links; shared by all who look at it."""

    def __init__(self) -> None:
        t, pack, link, out = (x.__table__.c for x in (Traced, Pack, Link, Handed))
        self.things, self.packs = Held(t.id, t.kind), Held(pack.id, pack["count"])
        self.links = Held(link.id, link.from_id, link.to_id, link.void, link.corrects_id)
        self.handed = Held(out.id, out.pack_id, out["count"], out.to_whom, out.void, out.corrects_id)
        self._proof = select(*(select(func.count(x)).scalar_subquery() for x in (link.id, out.id)))
        self._lock = Lock()
        self._made: Links | None = None

    def now(self, session: Session, start: int) -> Links:
        """The links as this session sees them, with ``start`` among the things."""
        with self._lock:
            if self._catch_up(session) or self._made is None or self._made.kind.size <= start or self._made.kind[start] < 0:
                self.things.add(session)
                self.packs.add(session)
                self._made = self._links()
                if self._lacks():  # on a server: an earlier number that came to light late
                    for held in (self.things, self.packs):
                        held.drop()
                        held.add(session)
                    self._made = self._links()
            return self._made

    def _catch_up(self, session: Session) -> bool:
        changed = False
        while tuple(session.execute(self._proof).one()) != (self.links.arrays[0].size, self.handed.arrays[0].size):
            came = [held.add(session) for held in (self.links, self.handed)]
            if not any(came):  # fewer than held, or one that came to light late
                self.links.drop()
                self.handed.drop()
            changed = True
        return changed

    def _lacks(self) -> bool:
        """Whether a link leads to a thing, or a thing is a kind of pack, that was not read."""
        kind, links = self._made.kind, self.links.arrays  # type: ignore[union-attr]
        packs = np.flatnonzero(kind == KINDS.index("pack"))
        return bool((kind[np.concatenate((links[1], links[2]))] < 0).any() or not np.isin(packs, self.packs.arrays[0]).all())

    def _links(self) -> Links:
        ids, kinds = self.things.arrays
        size = int(max(a.max(initial=0) for a in (ids, self.packs.arrays[0], *self.links.arrays[1:3], self.handed.arrays[1]))) + 1
        names = np.array([KINDS.index(word) for word in self.things.words[1] or ()], dtype=np.int8)
        kind = np.full(size, -1, dtype=np.int8)
        kind[ids] = names[kinds]
        _, from_, to, _, _ = (a[_standing(self.links.arrays)] for a in self.links.arrays)
        _, pack, count, who, _, _ = (a[_standing(self.handed.arrays)] for a in self.handed.arrays)
        made, out = np.zeros(size, dtype=np.int64), np.zeros(size, dtype=np.int64)
        made[self.packs.arrays[0]] = self.packs.arrays[1]
        np.add.at(out, pack, count)
        return Links(kind, _ends(from_, to, size), _ends(to, from_, size), made, out, pack, who)


def links_of(session: Session, start: int) -> Links:
    """The links as a session sees them. Lookers share what is held; a writer, whose rows may yet be taken back, reads its own."""
    held: LinksHeld = session.info.get("held", {}).setdefault("links", LinksHeld())
    return held.now(session, start)


def _standing(arrays: Sequence[Ints]) -> NDArray[np.bool_]:
    """As `rows.stands`: neither withdrawn nor replaced by a correction. The last two columns say so."""
    return (arrays[-2] == 0) & ~np.isin(arrays[0], arrays[-1])


def _ends(a: Ints, b: Ints, size: int) -> Ends:
    order = np.argsort(a, kind="stable")
    return Ends(np.concatenate(([0], np.cumsum(np.bincount(a, minlength=size)))).astype(np.int64), b[order])
