"""The things of a logger's file: what the person answered, what is asked, one probe understood, the whole sighting."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import numpy as np
from numpy.typing import NDArray

EXPECT = ("any", "fridge", "smoker", "cooling")
USUAL_KIND = {"any": "air", "fridge": "air", "smoker": "chamber", "cooling": "core"}
MS_H = 3_600_000.0  # milliseconds of an hour


@dataclass(frozen=True)
class Answers:
    """What the person said. None = not said."""

    zone: str | None = None
    unit: str | None = None  # C | F | K, for the columns of temperature
    dates: str | None = None  # day-first | month-first | year-first
    start: datetime | None = None  # of a file of elapsed seconds
    doubles: str | None = None  # warmer | colder: of two readings of one time
    order: str | None = None  # sort: rows out of order are put in order
    lost: tuple[float, ...] = ()  # numbers that stand for a lost probe
    kinds: Mapping[str, str] = field(default_factory=dict)  # probe -> air | core | surface | chamber | humidity
    encoding: str | None = None
    instrument: str | None = None


@dataclass(frozen=True)
class Question:
    """Something only the person knows. ``proposal`` is what is taken when all is confirmed; "" where nothing can be proposed."""

    field: str
    text: str
    choices: tuple[str, ...]
    proposal: str = ""

    def as_dict(self) -> dict[str, Any]:
        """For ``--json``."""
        return {"field": self.field, "text": self.text, "choices": list(self.choices), "proposal": self.proposal}


@dataclass(frozen=True)
class Track:
    """One probe of a file, understood. ``values`` in degrees Celsius, or percent for humidity; times rise."""

    name: str
    kind: str
    unit: str  # of the file
    ms: NDArray[np.int64]  # UTC since 1970
    values: NDArray[np.float64]

    @property
    def wet(self) -> bool:
        """Humidity, no temperature."""
        return self.kind == "humidity"

    @property
    def stored_unit(self) -> str:
        """Unit of ``values``."""
        return "%" if self.wet else "degC"


@dataclass(frozen=True)
class Sighting:
    """What was seen in a file. Complete when ``questions`` is empty: then ``tracks`` hold every reading."""

    name: str
    sha256: str
    size: int
    understood: Mapping[str, Any]
    first_rows: tuple[tuple[str, ...], ...]  # as they stand in the file, the head first
    questions: tuple[Question, ...]
    notes: tuple[str, ...] = ()
    tracks: tuple[Track, ...] = ()
    instrument: str = ""
    zone: str = ""

    @property
    def rows(self) -> int:
        """Readings, over all probes."""
        return sum(t.ms.size for t in self.tracks)

    @property
    def first(self) -> datetime | None:
        """Time of the first reading."""
        return None if not self.rows else at_ms(min(int(t.ms[0]) for t in self.tracks if t.ms.size))

    @property
    def last(self) -> datetime | None:
        """Time of the last reading."""
        return None if not self.rows else at_ms(max(int(t.ms[-1]) for t in self.tracks if t.ms.size))

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json``."""
        return {
            "name": self.name, "sha256": self.sha256, "bytes": self.size, "understood": dict(self.understood),
            "first_rows": [list(r) for r in self.first_rows], "questions": [q.as_dict() for q in self.questions], "notes": list(self.notes),
            "instrument": self.instrument, "rows": self.rows, "first": None if self.first is None else self.first.isoformat(),
            "last": None if self.last is None else self.last.isoformat(),
            "probes": [
                {"name": t.name, "kind": t.kind, "unit_in_file": t.unit, "unit": t.stored_unit, "readings": int(t.ms.size),
                 "lowest": float(t.values.min()), "highest": float(t.values.max())} for t in self.tracks
            ],
        }  # fmt: skip


def at_ms(ms: int) -> datetime:
    """UTC from milliseconds."""
    return datetime.fromtimestamp(ms / 1000, UTC)


def offset_words(offset_ms: int) -> str:
    """``+01:00``."""
    told = timezone(timedelta(milliseconds=offset_ms)).tzname(None).removeprefix("UTC")
    return told or "+00:00"
