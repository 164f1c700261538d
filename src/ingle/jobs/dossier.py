"""What an inspector is shown, as plain things: batches with their readings against limits, deviations, instruments.

Nothing is computed here. Values are words with their units, as they were stored; what was corrected stands beside what
replaced it. Times are aware, in the kitchen's zone.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime


@dataclass(frozen=True)
class Was:
    """A value that was replaced, or withdrawn."""

    value: str
    who: str
    written: datetime  # when it was written
    why: str = ""  # as the correction says


@dataclass(frozen=True)
class Action:
    """What was done about a deviation."""

    at: datetime
    act: str
    who: str
    cause: str = ""
    control: str = ""
    prevention: str = ""
    product: str = ""  # kept | held | reworked | discarded
    closes: bool = False


@dataclass(frozen=True)
class Deviated:
    """A line that was crossed, and what came of it."""

    at: datetime
    level: str  # stop | today | note
    what: str
    act: str  # what was to be done
    who: str = ""
    cause: str = ""
    value: str = ""
    limit: str = ""
    clause: str = ""
    until: datetime | None = None
    deadline: datetime | None = None
    actions: tuple[Action, ...] = ()
    withdrawn: bool = False

    @property
    def closed(self) -> bool:
        """True when an action says what became of the food."""
        return any(a.closes for a in self.actions)


@dataclass(frozen=True)
class Row:
    """One reading, one weighing in, one step done, one verdict: a row of the record."""

    at: datetime
    what: str  # "temperature"
    value: str  # "4.6 °C"
    who: str
    step: str = ""
    thing: str = ""  # code of the piece or lot
    how: str = ""  # the instrument, the depth of the probe
    limit: str = ""  # "at most 5 °C"
    clause: str = ""
    level: str = ""  # within | near | over | cannot_say; "" = nothing was judged
    act: str = ""
    entered: datetime | None = None  # where it was written later than it was so
    was: tuple[Was, ...] = ()
    withdrawn: bool = False
    deviations: tuple[Deviated, ...] = ()
    not_checked: tuple[str, ...] = ()


@dataclass(frozen=True)
class Came:
    """A lot, piece or batch that went in."""

    code: str
    name: str
    amount: str = ""
    supplier: str = ""
    supplier_code: str = ""
    received: date | None = None
    use_by: date | None = None


@dataclass(frozen=True)
class Packed:
    """Packs that were made, and where they are."""

    code: str
    name: str
    made: int
    net: str
    left: int
    use_by: date | None = None
    handed: tuple[tuple[str, str, int, datetime], ...] = ()  # to whom, contact, how many, when


@dataclass(frozen=True)
class BatchRecord:
    """One batch from what came in to what went out."""

    code: str
    name: str
    state: str  # planned | going | done | discarded
    began: datetime
    ended: datetime | None = None
    use_by: date | None = None
    plan: str = ""
    note: str = ""
    came: tuple[Came, ...] = ()
    rows: tuple[Row, ...] = ()
    deviations: tuple[Deviated, ...] = ()  # of the batch as a whole
    packed: tuple[Packed, ...] = ()


@dataclass(frozen=True)
class Checked:
    """An instrument beside a reference."""

    at: datetime
    reference: str
    expected: str
    found: str
    tolerance: str
    within: bool
    who: str
    act: str = ""
    was: tuple[Was, ...] = ()


@dataclass(frozen=True)
class InstrumentRecord:
    """A scale, a thermometer, a logger, and its checks."""

    name: str
    kind: str
    serial: str = ""
    resolution: str = ""
    place: str = ""
    in_use: bool = True
    checks: tuple[Checked, ...] = ()


@dataclass(frozen=True)
class LimitKept:
    """A limit as it was when something was judged by it."""

    title: str
    limit: str
    clause: str
    source: str
    sure: str
    kind: str
    country: str = ""
    read_on: date | None = None
    doubt: str = ""


@dataclass(frozen=True)
class Dossier:
    """The whole: one lot, or one month."""

    title: str  # "FH-261204-A" or "November 2026"
    kitchen: str
    rules: tuple[str, ...]
    use: str  # table | sale
    batches: tuple[BatchRecord, ...]
    instruments: tuple[InstrumentRecord, ...] = ()
    limits: tuple[LimitKept, ...] = ()
    kitchen_rows: tuple[Row, ...] = ()  # readings of places, of no batch
    kitchen_deviations: tuple[Deviated, ...] = ()
    since: date | None = None
    until: date | None = None
    version: str = ""  # of ingle
    not_in_it: tuple[str, ...] = field(default_factory=tuple)


@dataclass(frozen=True)
class Recall:
    """Who got what of a thing, what is left, and what it came from."""

    code: str
    name: str
    kitchen: str
    why: str
    lots: tuple[Came, ...]
    through: tuple[Came, ...]  # pieces and batches on the way
    packs: tuple[Packed, ...]
    loose: tuple[Came, ...] = ()  # batches that went into no pack
