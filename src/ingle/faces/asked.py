"""A command asked by another face: its JSON is handed over instead of printed, its notebook is the one that is open already.

The interface asks what the commands ask and answers what ``--json`` prints because it runs the same command; so the two cannot part.
It is given those commands (`Offered`) by who starts it, and imports none: what it knows of a command is its options and its answer.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import click

    from ingle.notebook.store import Notebook


@dataclass(frozen=True)
class Offered:
    """Commands that may be asked from outside, by the names they have there; each answers through `asked` when it is told ``--json``."""

    reckon: Mapping[str, click.Command]  # nothing is written
    record: Mapping[str, click.Command]  # one entry of the notebook each
    trace: click.Command


@dataclass
class Asked:
    """What was answered, and the notebook it is asked of."""

    book: Notebook | None = None
    answers: list[dict[str, Any]] = field(default_factory=list)


_NOW: ContextVar[Asked | None] = ContextVar("asked", default=None)


def asked() -> Asked | None:
    """Who asks, where it is not the terminal."""
    return _NOW.get()


@contextmanager
def asking(book: Notebook | None = None) -> Iterator[Asked]:
    """What commands answer within is kept here. Of one thread, or one task."""
    told = Asked(book)
    mark = _NOW.set(told)
    try:
        yield told
    finally:
        _NOW.reset(mark)
