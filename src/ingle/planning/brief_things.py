"""The brief as things: what to serve, which pieces, what is begun."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from ingle.ground.things import Piece
from ingle.planning.problem_check import WISHES
from ingle.safety.limits import COUNTRIES

RULES = tuple(COUNTRIES)
USES = ("table", "sale")
LIQUIDS = ("kept", "poured off", "unknown")


@dataclass(frozen=True)
class Begun:
    """What is known of a piece that lies in its cure already."""

    started: datetime  # aware
    added_g: dict[str, float] = field(default_factory=dict)  # "salt", "sugar", "curing-salt@6.25%" -> g
    box: bool | None = None  # lidded box rather than a bag; None = not said
    liquid: str = "unknown"  # one of LIQUIDS


@dataclass(frozen=True)
class ServedPiece:
    """One cut named in the brief, and whether it is begun."""

    piece: Piece
    begun: Begun | None = None


@dataclass(frozen=True)
class Served:
    """One part on the plate."""

    part: str
    grams_per_plate: float
    pieces: tuple[ServedPiece, ...] = ()


@dataclass(frozen=True)
class Brief:
    """What to serve, to how many, when, with which kit."""

    name: str
    at: datetime  # aware, in ``zone``
    zone: ZoneInfo
    plates: int
    plan_from: datetime  # aware: the plan's clock
    serve: tuple[Served, ...]
    rules: tuple[str, ...] = ()  # () = strictest of all
    use: str = "table"
    ready_chance: float = 0.95
    kit_path: Path | None = None  # None = the home kitchen that ships with ingle
    parts_dirs: tuple[Path, ...] = ()  # searched before the shipped parts
    wishes: tuple[str, ...] = WISHES  # most important first
    night: tuple[int, int] = (22 * 60, 6 * 60)  # minutes from midnight
    file: str = ""
