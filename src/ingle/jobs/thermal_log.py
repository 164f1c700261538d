"""A measured log of one place: times and temperatures from a CSV file, read strictly."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ingle.ground import units
from ingle.ground.refusal import refuse_log
from ingle.notebook.logs_things import Track, at_ms

Floats = NDArray[np.float64]

HEADS = {"temperature_c": "c", "temperature_f": "f", "temperature_k": "k"}
LOST = ("", "--", "-", "nan", "na", "n/a", "null", "err", "error", "open", "out")


@dataclass(frozen=True)
class Log:
    """Readings from the first on."""

    seconds: Floats  # (n,)
    celsius: Floats  # (n,) NaN where the probe gave nothing
    begun: str  # time of the first reading, as written
    asked: bool  # whether the scale stands in the header: it always does here
    scale: str = "c"  # what the header said


def log_of(track: Track) -> Log:
    """One probe of a logger's file that was understood, as a log from its first reading on."""
    at = at_ms(int(track.ms[0]))
    return Log((track.ms - track.ms[0]) / 1000.0, track.values, f"{at:%Y-%m-%dT%H:%M:%S}+00:00", True)


def read_log(path: Path) -> Log:
    """Read ``time,temperature_c`` (or ``temperature_f``): times ISO 8601, or seconds from the start as plain numbers.

    The scale is read from the header, never guessed from the numbers. Lost readings (blank, ``--``, ``NaN``) stay as holes.

    Raises
    ------
    BadBrief
        With the line: a header that is not known, a time that repeats or runs back, a value that is no number.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except OSError as why:
        refuse_log(path.name, f"cannot be read: {why.strerror}.", path.name, "a CSV file", "Check the path.")
    except UnicodeDecodeError:
        refuse_log(path.name, "is not text in UTF-8.", path.name, "UTF-8", "Save it as UTF-8.")
    first = text.splitlines()[0] if text.strip() else ""
    mark = ";" if ";" in first else "\t" if "\t" in first else ","
    rows = list(csv.reader(text.splitlines(), delimiter=mark))
    head = [c.strip().lower() for c in rows[0]] if rows else []
    if len(head) < 2 or head[0] not in ("time", "s", "seconds") or head[1] not in HEADS:
        refuse_log(path.name, "does not begin with a header that is known.", first or "empty", "time,temperature_c",
                   "Write the header time,temperature_c (or time,temperature_f).")  # fmt: skip
    times: list[float] = []
    values: list[float] = []
    zero: datetime | None = None
    begun = ""
    for number, row in enumerate(rows[1:], 2):
        if not [c for c in row if c.strip()]:
            continue
        at, zero, begun = _time(path, number, row[0].strip(), zero, begun)
        if times and at <= times[-1]:
            what = "repeats" if at == times[-1] else "runs back"
            refuse_log(path.name, f"line {number}: the time {what}.", row[0], "later than the line before", "Sort the readings and take doubles out.")
        times.append(at)
        values.append(_value(path, number, row[1].strip() if len(row) > 1 else "", HEADS[head[1]], mark))
    if len(times) < 3:
        refuse_log(path.name, f"holds {len(times)} readings.", len(times), "three or more", "Export the log once more.")
    return Log(np.array(times), np.array(values), begun, True, HEADS[head[1]])


def _time(path: Path, number: int, raw: str, zero: datetime | None, begun: str) -> tuple[float, datetime | None, str]:
    try:
        return float(raw), zero, begun or f"{raw} s"
    except ValueError:
        pass
    try:
        moment = datetime.fromisoformat(raw)
        zero = zero or moment
        return (moment - zero).total_seconds(), zero, begun or raw
    except (ValueError, TypeError):
        refuse_log(path.name, f"line {number}: {raw!r} is not a time like the others.", raw, "2026-12-19T18:30:00+00:00, or seconds",
                   "Write every time in one form, with its offset.")  # fmt: skip


def _value(path: Path, number: int, raw: str, scale: str, mark: str) -> float:
    if raw.lower() in LOST:
        return float("nan")
    text = raw.replace(",", ".") if mark == ";" else raw
    try:
        value = float(text)
    except ValueError:
        refuse_log(path.name, f"line {number}: {raw!r} is no temperature.", raw, "a number, or blank where it was lost", "Leave a lost reading blank.")
    if scale == "k":
        return units.celsius(value)
    return (value - 32.0) / 1.8 if scale == "f" else value
