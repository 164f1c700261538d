"""The masses of a meal as things: of one part, what is short, all together."""

from __future__ import annotations

from dataclasses import dataclass

from ingle.ground.things import Band
from ingle.planning.pieces import Box
from ingle.planning.plan import Flow, ShoppingLine
from ingle.planning.shopping import Want


@dataclass(frozen=True)
class PartMass:
    """Masses of one part in this meal [g]."""

    part: str
    need_g: float  # for the plates and for other parts
    plates_g: float  # for the plates alone
    takes_g: dict[str, float]  # weighed in by item, enough at the low yield
    likely_takes_g: dict[str, float]  # what would do at the likely yield
    gives_g: dict[str, Band]  # what comes out by item
    boxes: tuple[Box, ...] = ()  # pieces, for a part whose meat the brief names
    begun_g: float = 0.0  # meat that lies in its cure already: neither bought nor weighed again

    @property
    def batch_g(self) -> float:
        """Everything that goes in."""
        return sum(self.takes_g.values()) + self.begun_g


@dataclass(frozen=True)
class Shortfall:
    """Less comes out than is wanted, with what mends it."""

    part: str
    item: str
    need_g: float
    have_g: float
    at: str  # "low yield" | "likely yield"
    message: str
    remedy: str


@dataclass(frozen=True)
class Quantities:
    """The masses of a meal."""

    parts: dict[str, PartMass]  # makers before those they feed
    shopping: tuple[ShoppingLine, ...]
    flows: tuple[Flow, ...]
    shortfalls: tuple[Shortfall, ...] = ()
    wants: tuple[Want, ...] = ()  # what the shopping lines are made of, part by part
