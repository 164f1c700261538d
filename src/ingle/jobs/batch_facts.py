"""What is known of one batch, gathered from its rows: weights, doses, readings, deviations, packs."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.crafts.cure.base import Base, base_of_all
from ingle.crafts.cure.mix import KINDS, Added, CuringSalt, Mix, curing_salt
from ingle.ground import units
from ingle.ground.things import Piece as Cut
from ingle.jobs.green import green_of
from ingle.jobs.lying import sinces_of
from ingle.notebook.kitchens import traced
from ingle.notebook.models import Batch, Deviation, Dose, Link, Pack, Piece, Reading
from ingle.notebook.rows import some, standing, stands
from ingle.notebook.store import Notebook


@dataclass(frozen=True)
class Facts:
    """One batch with all that counts of it."""

    batch: Batch
    pieces: tuple[Piece, ...]
    doses: tuple[Dose, ...]
    readings: tuple[Reading, ...]
    deviations: tuple[Deviation, ...]
    packs: tuple[Pack, ...]
    since: datetime | None = None  # when it was laid in, by its step; left out: as its row says

    @property
    def began(self) -> datetime:
        """When it was laid in. UTC."""
        return self.since or self.batch.at_utc

    @property
    def greens(self) -> tuple[float, ...]:
        """The green weight of each piece [g]: as weighed last before its cure, else as cut or planned."""
        return tuple(green_of(p, self.batch, self.readings, self.doses, self.began) for p in self.pieces)

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """The pieces as crafts know them."""
        return tuple(
            Cut(green, p.thickness_mm, p.width_mm, p.length_mm, p.shape, p.skin, p.skin_weight_g and p.skin_weight_g * green / p.green_weight_g, p.fat, p.name)
            for p, green in zip(self.pieces, self.greens, strict=True)
        )

    @property
    def base(self) -> Base | None:
        """What its doses are counted on; None where no piece was weighed."""
        return base_of_all(self.cuts) if self.pieces else None

    @property
    def mix(self) -> Mix | None:
        """What was weighed in, as far as it is cure; None where nothing was, or where a curing salt has no strength."""
        found = []
        for dose in self.doses:
            name, _, strength = dose.item.partition("@")
            if name == "premix":  # how it was mixed does not stand in the dose: its salt cannot be counted
                return None
            if name == "curing-salt":
                if not strength:
                    return None
                found.append(Added(name, dose.weighed_g, curing_salt(strength)))
            elif name in KINDS:
                found.append(Added(name, dose.weighed_g))
        return Mix(tuple(found)) if found else None


def facts_of(session: Session, batches: Sequence[Batch]) -> tuple[Facts, ...]:
    """The facts of some batches: as many questions for hundreds as for one."""
    ids = [b.id for b in batches]
    pieces = select(Link.to_id, Piece).join(Link, Link.from_id == Piece.id).where(stands(Link)).order_by(Piece.id)
    packs = select(Link.from_id, Pack).join(Link, Link.to_id == Pack.id).where(stands(Link)).order_by(Pack.id)
    of = lambda model: _by_batch((row.batch_id, row) for (row,) in some(session, standing(model), model.batch_id, ids))  # noqa: E731
    cut, packed = (_by_batch(some(session, asked, end, ids)) for asked, end in ((pieces, Link.to_id), (packs, Link.from_id)))
    dosed, read, deviated = of(Dose), of(Reading), of(Deviation)
    since = sinces_of(session, batches)
    return tuple(
        Facts(b, cut.get(b.id, ()), dosed.get(b.id, ()), read.get(b.id, ()), deviated.get(b.id, ()), packed.get(b.id, ()), since[b.id]) for b in batches
    )


def thinnest_mm(facts: Iterable[Facts]) -> float | None:
    """Thickness of the thinnest piece that was measured [mm]: which of them a probe is in is not known, and the thinnest moves fastest."""
    return min((float(c.thickness_mm) for f in facts for c in f.cuts if c.thickness_mm), default=None)


def thickness_of(notebook: Notebook, codes: Iterable[str]) -> float | None:
    """`thinnest_mm` of some batches by their codes."""
    with notebook.look() as session:
        return thinnest_mm(facts_of(session, [traced(session, code, ("batch",)) for code in dict.fromkeys(codes) if code]))


def _by_batch(rows: Iterable[Any]) -> dict[int, tuple[Any, ...]]:
    held: dict[int, list[Any]] = defaultdict(list)
    for batch, row in rows:
        held[batch].append(row)
    return {batch: tuple(many) for batch, many in held.items()}


def packet_of(facts: Facts) -> CuringSalt | None:
    """The curing salt that was weighed in, or that the formula names."""
    mix = facts.mix
    weighed = next((a.curing_salt for a in mix.added if a.curing_salt), None) if mix else None
    strength = facts.batch.formula.get("curing_salt_nitrite")
    if weighed is not None or not strength:
        return weighed
    return curing_salt(f"{units.per_hundred(strength):g}%")


_PERCENT = re.compile(r"([\d.]+) ?%")


def item_name(said: str) -> str:
    """The name under which a dose is written, so that it can be counted again.

    >>> [item_name(x) for x in ("Salt", "plain salt", "curing salt, 6.25 % sodium nitrite", "curing-salt@6.25%", "juniper")]
    ['salt', 'salt', 'curing-salt@6.25%', 'curing-salt@6.25%', 'juniper']
    """
    word = said.strip()
    low = word.lower()
    if low in ("salt", "plain salt"):
        return "salt"
    if low in KINDS:
        return low
    if low.replace("-", " ").startswith("curing salt"):
        strength = _PERCENT.search(low)
        return word if "@" in word or strength is None else f"curing-salt@{strength[1]}%"
    return word
