"""What `today` answers with: work for hands, what waits, what needs attention. Times are aware, in the kitchen's zone."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from ingle.jobs.attention import Need
from ingle.jobs.box_pieces import PieceIn


@dataclass(frozen=True)
class Task:
    """A stretch of hands' work: when, who, what."""

    at: datetime
    until: datetime
    cook: str
    verb: str
    key: str
    part: str
    plan: str
    batch: str  # code; "" where there is none yet
    step_id: int | None  # number in the notebook; None = only in a plan's folder
    state: str  # planned | going
    first: bool = True
    visit: bool = False  # hands look in, and the step goes on
    amounts: tuple[str, ...] = ()
    say: tuple[str, ...] = ()
    look_for: str = ""
    caution: tuple[str, ...] = ()


@dataclass(frozen=True)
class Waiting:
    """A step that goes on by itself."""

    name: str
    key: str
    part: str
    batch: str
    since: datetime
    until: datetime
    ready: tuple[datetime, ...] = ()  # earliest, likely, latest
    step_id: int | None = None
    pieces: tuple[PieceIn, ...] = ()  # where several lie in it, each with its own window as it was laid in
    plan: str = ""  # whose step it is


@dataclass(frozen=True)
class Today:
    """The answer to `today`."""

    now: datetime
    kitchen: str
    zone: str
    notebook: str  # which one; "" = none
    next: Task | None
    tasks: tuple[Task, ...]  # from now (and what is late) to the end of tomorrow
    waiting: tuple[Waiting, ...]
    needs: tuple[Need, ...]
    going: tuple[tuple[str, str], ...] = ()  # code and name of batches that are going
    plans: tuple[str, ...] = field(default_factory=tuple)
    boxes: dict[str, tuple[PieceIn, ...]] = field(default_factory=dict)  # pieces of going cures in which several lie, by code
