"""Several pieces in one box: each with its weight, its thickness and its own window, under the box that waits for the slowest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from ingle.crafts.cure.thick import as_measured
from ingle.ground import units
from ingle.ground.things import Forecast
from ingle.ground.things import Piece as Cut
from ingle.notebook.models import Batch, Kitchen, Link, Piece, Traced
from ingle.notebook.rows import stands
from ingle.planning.plan import BoxPiece

FRIDGE_C = 4.0  # where nobody said how cold it lies
CHANCE = 0.95  # of a box that it is ready
NEVER_H = 1e6  # as a plan's dates end


@dataclass(frozen=True)
class PieceIn:
    """One piece of a box. Times are aware, in the kitchen's zone."""

    name: str
    weight_g: float
    thickness_mm: float
    assumed: bool  # nobody measured it: as thick as its weight allows
    ready: tuple[datetime, ...]  # earliest, likely, latest; () where it never comes, or is not forecast

    @property
    def words(self) -> str:
        """``A: 1.06 kg, 40 mm thick``; the window stands beside it."""
        return f"{self.name}: {units.show_mass(self.weight_g)}, {self.thickness_mm:.0f} mm thick{' (not measured)' if self.assumed else ''}"

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json``."""
        return {
            "name": self.name, "weight_g": self.weight_g, "thickness_mm": self.thickness_mm, "thickness_assumed": self.assumed,
            "ready": [t.isoformat() for t in self.ready],
        }  # fmt: skip


def piece_dict(piece: BoxPiece) -> dict[str, Any]:
    """As a plan's step keeps it in the notebook: its window in hours from when the box was laid in."""
    return window_dict(piece.name, piece.weight_g, piece.thickness_mm, piece.assumed, piece.forecast)


def window_dict(name: str, weight_g: float, thickness_mm: float, assumed: bool, told: Forecast) -> dict[str, Any]:
    """One piece of a box as it is kept, whoever laid it in."""
    return {
        "name": name, "weight_g": weight_g, "thickness_mm": thickness_mm, "assumed": assumed,
        "ready_h": window_of(told),
    }  # fmt: skip


def window_of(told: Forecast) -> list[float | None]:
    """Earliest, likely and latest hour of a forecast, as a notebook keeps them; None where that never comes."""
    return [h if h < NEVER_H else None for h in (told.earliest_h, told.likely_h, told.latest_h)]


def pieces_in(said: Mapping[str, Any], since: datetime, zone: ZoneInfo) -> tuple[PieceIn, ...]:
    """The pieces of a step as they lie since then; none where one lies alone, or where an older plan does not tell."""
    found = []
    for told in said.get("pieces") or ():
        hours = told["ready_h"]
        ready = () if None in hours else tuple((since + timedelta(hours=h)).astimezone(zone) for h in hours)
        found.append(PieceIn(told["name"], told["weight_g"], told["thickness_mm"], told["assumed"], ready))
    return tuple(found)


def lying_together(session: Session, home: Kitchen) -> dict[str, tuple[PieceIn, ...]]:
    """Pieces of the cures that go on, by the code of their batch, where more than one lies in it; no window stands beside them."""
    cut, named, batch = Piece.__table__.c, aliased(Traced.__table__).c, Batch.__table__.c
    box = Traced.__table__.c
    found = session.execute(
        select(box.code, named.name, cut.green_weight_g, cut.thickness_mm)
        .join(Link, Link.to_id == box.id)
        .join(Batch.__table__, batch.id == box.id)
        .join(Piece.__table__, cut.id == Link.from_id)
        .join(named.id.table, named.id == cut.id)
        .where(box.kitchen_id == home.id, batch.state == "going", batch.craft == "cure", stands(Link))
        .order_by(box.id, cut.id)
    )
    held: dict[str, list[PieceIn]] = {}
    for row in found:
        thick = as_measured(Cut(row.green_weight_g, row.thickness_mm)).thickness_mm or 0.0
        held.setdefault(row.code, []).append(PieceIn(row.name, row.green_weight_g, thick, row.thickness_mm is None, ()))
    return {code: tuple(some) for code, some in held.items() if len(some) > 1}
