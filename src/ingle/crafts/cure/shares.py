"""Several pieces in one box: who takes how much of a shared mix."""

from __future__ import annotations

from dataclasses import dataclass

from ingle.crafts.cure.base import base_of
from ingle.ground.things import Piece


@dataclass(frozen=True)
class Share:
    """One piece's part of a shared dose: by its mass (left until even) and by its surface (early on)."""

    name: str
    by_mass: float
    by_surface: float

    @property
    def surface_over_mass(self) -> float:
        """Dose per kg when the surface decides, over the dose per kg when all is even."""
        return self.by_surface / self.by_mass


def shares(pieces: tuple[Piece, ...]) -> tuple[Share, ...]:
    """Shares of every piece; surface is known only where a thickness is, else the mass stands in for it.

    Surface goes with volume over thickness, for slabs with both faces open twice that, for a piece under its rind once.
    """
    masses = [base_of(p).skin_free_g for p in pieces]
    measured = all(p.thickness_mm for p in pieces)
    faces = [
        {"slab": 2, "box": 2, "cylinder": 4, "sphere": 6}[p.shape] / (2 if p.skin != "none" else 1) for p in pieces
    ]
    surfaces = [
        m * f / p.thickness_mm if measured and p.thickness_mm else m
        for m, f, p in zip(masses, faces, pieces, strict=True)
    ]
    return tuple(
        Share(p.name or f"piece {i + 1}", m / sum(masses), s / sum(surfaces))
        for i, (p, m, s) in enumerate(zip(pieces, masses, surfaces, strict=True))
    )
