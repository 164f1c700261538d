"""Several pieces in one box: each with its weight, its thickness and its own window, under the box that waits for the slowest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from ingle.ground import units
from ingle.planning.plan import BoxPiece

NEVER_H = 1e6  # as a plan's dates end


@dataclass(frozen=True)
class PieceIn:
    """One piece of a box. Times are aware, in the kitchen's zone."""

    name: str
    weight_g: float
    thickness_mm: float
    assumed: bool  # nobody measured it: as thick as its weight allows
    ready: tuple[datetime, ...]  # earliest, likely, latest; () where it never comes

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
    told = piece.forecast
    return {
        "name": piece.name, "weight_g": piece.weight_g, "thickness_mm": piece.thickness_mm, "assumed": piece.assumed,
        "ready_h": [h if h < NEVER_H else None for h in (told.earliest_h, told.likely_h, told.latest_h)],
    }  # fmt: skip


def pieces_in(said: Mapping[str, Any], since: datetime, zone: ZoneInfo) -> tuple[PieceIn, ...]:
    """The pieces of a step as they lie since then; none where one lies alone, or where an older plan does not tell."""
    found = []
    for told in said.get("pieces") or ():
        hours = told["ready_h"]
        ready = () if None in hours else tuple((since + timedelta(hours=h)).astimezone(zone) for h in hours)
        found.append(PieceIn(told["name"], told["weight_g"], told["thickness_mm"], told["assumed"], ready))
    return tuple(found)
