"""A log that was taken in wrongly (another zone, another batch): withdrawn, so that nothing is worked out from it, and read in again as it should be."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.ground.errors import BadBrief
from ingle.jobs.read_feed import Fed, feed_stored, move_by_log
from ingle.jobs.withdrawn import Withdrawn, told_of
from ingle.notebook import logbook
from ingle.notebook.kitchens import traced
from ingle.notebook.models import Batch, Kitchen, LogFile, LogProbe, LogWithdrawn
from ingle.notebook.rows import only_kitchen, uid_of
from ingle.notebook.store import Notebook
from ingle.notebook.trouble import NotFound

SHORT = 6  # letters of a UUID that are enough to name a log


@dataclass(frozen=True)
class Answer:
    """What withdrawing a log did."""

    row: LogWithdrawn
    log: Withdrawn
    deviations: int  # that were read from it, withdrawn with it
    batches: tuple[str, ...]  # codes of those it belonged to: their forecasts are as if it had not come
    fed: tuple[Fed, ...]  # of those that other logs tell of
    later: tuple[str, ...]  # logs of its instrument that left out what it held already

    @property
    def says(self) -> tuple[str, ...]:
        """What is no longer worked out from it, a sentence each."""
        told = [f"{self.log.name} is withdrawn: its readings stay in the book and count no more."]
        if self.deviations:
            told.append(f"{self.deviations} {'deviation' if self.deviations == 1 else 'deviations'} read from it {'is' if self.deviations == 1 else 'are'} withdrawn with it.")
        moved = {f.batch for f in self.fed}
        told += [f"The forecast of {code} is {'worked out along its other logs' if code in moved else 'as it was laid in'} again." for code in self.batches]
        told += [f"{name} left out what this log held already: if that is to count, withdraw it too and read both in again." for name in self.later]
        return (*told, "The file can be read in again as it should be.")


def withdraw_log(
    notebook: Notebook, log: str, *, why: str, kitchen: str | None = None, uid: str | None = None, at: datetime | None = None, who: str = ""
) -> Answer:
    """Withdraw a log.

    Parameters
    ----------
    log : str
        Its UUID, the begin of it, its number, or its name where one log that counts has it.
    why : str
        What was wrong with it.

    Raises
    ------
    NotFound, BadBrief
        No log of that name; several; no reason.
    AlreadyThere
        It was withdrawn before.
    """
    known = uid_of(uid)

    def work(session: Session) -> tuple[LogWithdrawn, Withdrawn, int, tuple[str, ...], tuple[str, ...]]:
        row = log_named(session, only_kitchen(session, kitchen), log)
        made, deviations = logbook.withdraw(session, row, known, why=why, at=at, who=who)
        batches = session.scalars(select(Batch).where(Batch.id.in_(select(LogProbe.batch_id).where(LogProbe.log_id == row.id))).order_by(Batch.id)).all()
        for batch in batches:
            if "log" in (batch.forecast or {}):
                batch.forecast = {k: v for k, v in batch.forecast.items() if k != "log"}
        return made, told_of(row, made), deviations, tuple(b.code for b in batches), _left_out(session, row)

    made, gone, deviations, batches, later = notebook.write(work)
    fed = tuple(f for code in batches if (f := _along_the_rest(notebook, code)) is not None)
    return Answer(made, gone, deviations, batches, fed, later)


def log_named(session: Session, home: Kitchen, word: str) -> LogFile:
    """A log of a kitchen by its UUID, the begin of it, its number or its name."""
    said = word.strip()
    of = select(LogFile).where(LogFile.kitchen_id == home.id).order_by(LogFile.id)
    low = said.lower()
    found = list(session.scalars(of.where((LogFile.uid == low) | (LogFile.name == said))))
    if not found and said.isdigit():
        found = list(session.scalars(of.where(LogFile.id == int(said))))
    if not found and len(low) >= SHORT and set(low) <= set("0123456789abcdef-"):
        found = list(session.scalars(of.where(LogFile.uid.startswith(low, autoescape=True))))
    counting = [x for x in found if logbook.withdrawn(session, x) is None] if len(found) > 1 else found
    fits = counting or found[-1:]
    if not fits:
        raise NotFound(f"There is no log {word!r}.", field="log", value=word, remedy="See the logs on the page Loggers, or in /api/logs.")
    if len(fits) > 1:
        raise BadBrief(
            f"{len(fits)} logs are called {word!r}.", field="log", value=word, limit=", ".join(f"{x.uid[:8]} ({x.rows:,} readings)" for x in fits),
            remedy="Name it by the begin of its UUID.",
        )  # fmt: skip
    return fits[0]


def _left_out(session: Session, log: LogFile) -> tuple[str, ...]:
    """Names of later logs of the instrument that were stored without the readings this one held."""
    if log.instrument_id is None:
        return ()
    asked = select(LogFile).where(logbook.counts(), LogFile.instrument_id == log.instrument_id, LogFile.id > log.id).order_by(LogFile.id)
    return tuple(x.name for x in session.scalars(asked) if x.understood.get("known"))


def _along_the_rest(notebook: Notebook, code: str) -> Fed | None:
    """The forecast along the logs that are left; None where none is."""
    with notebook.look() as session:
        batch = session.get_one(Batch, traced(session, code, ("batch",)).id)
        left = logbook.logs_of(session, batch=batch)
        last = max(left, key=lambda x: x.id).uid if left else ""
        rules = tuple(session.get_one(Kitchen, batch.kitchen_id).rules)
    if not last:
        return None
    fed = feed_stored(notebook, code, countries=rules)
    return fed if move_by_log(notebook, fed, last) else None
