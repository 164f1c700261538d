"""All tables by name, and which of them are only ever added to."""

from __future__ import annotations

from ingle.notebook.tables import About, Batch, Handed, Kitchen, Link, Lot, Pack, Piece, Traced
from ingle.notebook.tables_base import Base
from ingle.notebook.tables_control import (
    CorrectiveAction,
    Deviation,
    Instrument,
    InstrumentCheck,
    Judged,
    LimitInForce,
    LogFile,
    LogProbe,
    LogWithdrawn,
)
from ingle.notebook.tables_record import Done, Dose, Photo, PlanTaken, Reading, Step

__all__ = [
    "About", "Base", "Batch", "CorrectiveAction", "Deviation", "Done", "Dose", "Handed", "Instrument", "InstrumentCheck", "Judged",
    "Kitchen", "LimitInForce", "Link", "LogFile", "LogProbe", "LogWithdrawn", "Lot", "Pack", "Photo", "Piece", "PlanTaken", "Reading", "Step", "Traced",
]  # fmt: skip

# no UPDATE, no DELETE: triggers in both engines refuse it (see the migrations)
APPEND_ONLY = (
    "link", "handed", "plan_taken", "done", "photo", "reading", "dose", "limit_in_force", "judged", "instrument_check", "log_file",
    "log_withdrawn", "log_probe", "deviation", "corrective_action",
)  # fmt: skip
