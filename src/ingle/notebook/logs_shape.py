"""The shape of a logger's table: separator, decimal sign, where the readings begin, what stands in which column."""

from __future__ import annotations

import csv
import math
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from ingle.ground.refusal import refuse_log
from ingle.notebook import logs_dates as dates
from ingle.notebook import logs_heads as heads

SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
LOST = (
    "", "-", "--", "---", "----", "nan", "na", "n/a", "#n/a", "null", "none", "err", "error", "open", "out", "ol", "lost", "fault", "no probe",
    "short", "fail", "overrange", "underrange", "not connected", "...", "****", "----.-", "---.-", "--.-",
)  # fmt: skip
SAMPLE, LOOK = 240, 400  # lines of the table that are looked at; lines in which it must begin
MOST_COLUMNS, MOST_PROBES = 256, 64
_NUMBER = re.compile(r"^[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?$")
_WITH_UNIT = re.compile(r"^([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*(°\s*C|°\s*F|º\s*C|º\s*F|℃|℉|°|C|F|K|%(?:\s*RH)?)$", re.I)


@dataclass(frozen=True)
class Shape:
    """What the head of the file shows."""

    separator: str
    decimal: str  # "." or ","
    begins: int  # line of the first reading, counted from 0
    above: tuple[tuple[str, ...], ...]  # what stands over the table
    head: tuple[str, ...]  # one name a column; "" where none is told
    units: tuple[str, ...]  # a row of units under the head, else empty
    sample: tuple[tuple[str, ...], ...]
    time: tuple[int, ...]  # one column, or date and time
    how: str  # moment | date+clock | epoch-s | epoch-ms | elapsed
    probe: int | None  # column with names of probes
    unit: int | None  # column with a unit in every row
    values: tuple[int, ...]
    left: tuple[tuple[int, str], ...]  # columns left out, and why

    @property
    def width(self) -> int:
        """Columns of the table."""
        return max(len(row) for row in self.sample)

    def column(self, at: int) -> list[str]:
        """One column of the sample, cells stripped."""
        return [row[at].strip() if at < len(row) else "" for row in self.sample]

    def name(self, at: int) -> str:
        """The head over a column."""
        return self.head[at].strip() if at < len(self.head) else ""


def number(cell: str, decimal: str) -> float | None:
    """The number in a cell, its unit left off; None where there is none."""
    found = _WITH_UNIT.match(cell.strip())
    text = found.group(1) if found else cell.strip()
    if not _NUMBER.match(text) or ("," in text and decimal != ","):
        return None
    value = float(text.replace(",", "."))
    return value if math.isfinite(value) else None  # four hundred figures are none


def shape_of(lines: Sequence[str], name: str) -> Shape:
    """Read the shape off the first lines.

    Raises
    ------
    BadBrief
        No readings with a time were found; commas that part columns and stand in numbers too; too many columns.
    """
    tried = [(sep, *_table(lines, sep)) for sep in SEPARATORS]
    sep, begins, rows = max(tried, key=lambda t: (len(t[2]), -t[1] if t[2] else 0))
    if len(rows) < 1:
        refuse_log(name, "holds no reading that was understood: a date and time, and a number beside it.", (lines[0] if lines else "")[:80],
                   "2026-12-01 18:30:00,4.2", "Export it as CSV with a column of times; or write the header time,temperature_c.")  # fmt: skip
    width = Counter(len(r) for r in rows).most_common(1)[0][0]
    if width > MOST_COLUMNS:
        refuse_log(name, f"has {width} columns.", width, MOST_COLUMNS, "Export fewer channels at a time.")
    above = [_cells(line, sep) for line in lines[:begins]]
    head, units, above = _headed(above, width, rows)
    if sep == "," and head and len(head) < width and _doubtful(rows, head):
        refuse_log(name, f"has {len(head)} columns in its head and {width} in its rows: the comma parts columns and stands in the numbers too.",
                   ",".join(rows[0])[:80], "a comma for one of both", "Export it with semicolons, or with a decimal point.")  # fmt: skip
    return _columns(sep, begins, above, head, units, rows, name)


def _cells(line: str, sep: str) -> tuple[str, ...]:
    try:
        return tuple(next(csv.reader([line], delimiter=sep), ()))
    except csv.Error:
        return (line,)


def _table(lines: Sequence[str], sep: str) -> tuple[int, list[tuple[str, ...]]]:
    """Where readings begin with this separator, and their rows."""
    for at, line in enumerate(lines[:LOOK]):
        row = _cells(line, sep)
        if not _is_reading(row):
            continue
        rows = [_cells(more, sep) for more in lines[at : at + SAMPLE] if more.strip()]
        kept = [r for r in rows if len(r) > 1]
        readings = [r for r in kept if _is_reading(r)]
        if len(readings) >= 0.5 * len(kept):
            return at, readings
    return len(lines), []


def _is_reading(row: Sequence[str]) -> bool:
    """A time somewhere, and a number or a lost mark beside it."""
    cells = [c.strip() for c in row]
    if len(cells) < 2:
        return False
    timed = [i for i, c in enumerate(cells) if dates.MOMENT.match(c) or dates.DATE.match(c)]
    if timed:
        return any(_NUMBER.match(c) or _WITH_UNIT.match(c) or c.lower() in LOST for i, c in enumerate(cells) if i not in timed)
    return bool(_NUMBER.match(cells[0])) and all(_NUMBER.match(c) or c.lower() in LOST for c in cells[1:]) and any(cells[1:])


def _doubtful(rows: Sequence[Sequence[str]], head: Sequence[str]) -> bool:
    """Rows wider than their head, with whole numbers in the cells beyond the time."""
    return all(len(r) > len(head) and all(re.fullmatch(r"[+-]?\d+", c.strip()) for c in r[-2:]) for r in rows[:20] if r)


def _headed(
    above: list[tuple[str, ...]], width: int, rows: Sequence[Sequence[str]]
) -> tuple[tuple[str, ...], tuple[str, ...], list[tuple[str, ...]]]:
    """The row of names over the table, a row of units under it, and what stands above both."""
    at = len(above) - 1
    while at >= 0 and not any(c.strip() for c in above[at]):
        at -= 1
    units: tuple[str, ...] = ()
    if at > 0 and _is_units(above[at], width):
        units, at = above[at], at - 1
        while at >= 0 and not any(c.strip() for c in above[at]):
            at -= 1
    ends_empty = all(len(r) >= width and not r[-1].strip() for r in rows[:20])
    if at >= 0 and len(above[at]) >= 2 and (len(above[at]) >= width - 1 or ends_empty or _says_head(above[at])):
        return above[at], units, above[:at]
    return (), units, above[: at + 1]


def _is_units(row: Sequence[str], width: int) -> bool:
    filled = [c for c in row if c.strip()]
    return bool(filled) and len(row) <= width and any(heads.unit_only(c) for c in filled) and all(
        heads.unit_only(c) or heads.other_quantity(c) or (len(c.strip(" ()[]")) <= 12 and not any(ch.isdigit() for ch in c)) for c in filled
    )  # fmt: skip


def _says_head(row: Sequence[str]) -> bool:
    return heads.says_time(row[0]) or (len(row) > 1 and heads.says_time(row[1]))


def _columns(
    sep: str, begins: int, above: list[tuple[str, ...]], head: tuple[str, ...], units: tuple[str, ...], rows: list[tuple[str, ...]], name: str
) -> Shape:  # fmt: skip
    draft = Shape(sep, ".", begins, tuple(above), head, units, tuple(rows), (), "", None, None, (), ())
    time, how = _time_columns(draft, name)
    others = [i for i in range(draft.width) if i not in time]
    decimal = _decimal(draft, others, name)
    values, texts, left = [], [], []
    for i in others:
        cells = [c for c in draft.column(i) if c and c.lower() not in LOST]
        lost = any(c for c in draft.column(i))
        numbers = [v for v in (number(c, decimal) for c in cells) if v is not None]
        title = draft.name(i)
        unit = heads.unit_in(title) or (heads.unit_only(units[i]) if i < len(units) else None)
        if cells and len(numbers) < 0.5 * len(cells):
            texts.append(i)
        elif not cells and not unit:
            left.append((i, "holds no numbers" if lost else "is empty"))
        elif unit is None and (heads.other_quantity(title) or (i < len(units) and heads.other_quantity(units[i]))):
            left.append((i, "is neither temperature nor humidity"))
        elif unit is None and _counts(numbers, title, i):
            left.append((i, "is a running number"))
        elif unit is None and len(set(numbers)) == 1 and numbers[0] == int(numbers[0]) and heads.says_probe(title):
            left.append((i, "names the instrument"))
        else:
            values.append(i)
    probe, unit_at = _texts(replace(draft, time=time), texts)
    left += [(i, "is text") for i in texts if i not in (probe, unit_at)]
    if not values:
        refuse_log(name, "has no column of temperatures or humidities.", ", ".join(filter(None, head))[:80] or "no head", "a column of numbers",
                   "Write the unit into the head, like Temp (°C).")  # fmt: skip
    if probe is not None and len(values) > 1:
        probe = None if len(set(draft.column(probe))) < 2 else probe
    return Shape(sep, decimal, begins, tuple(above), head, units, tuple(rows), time, how, probe, unit_at, tuple(values), tuple(sorted(left)))


def _time_columns(shape: Shape, name: str) -> tuple[tuple[int, ...], str]:
    looks = [dates.looks_like(shape.column(i)) for i in range(shape.width)]
    if "moment" in looks:
        return (looks.index("moment"),), "moment"
    if "date" in looks and "clock" in looks:
        return (looks.index("date"), looks.index("clock")), "date+clock"
    for i in range(shape.width):
        numbers = [float(c.replace(",", ".")) for c in shape.column(i) if _NUMBER.match(c)]
        if len(numbers) < 2 or (any(b < a for a, b in pairwise(numbers)) and not heads.says_epoch(shape.name(i))):
            continue
        if all(dates.EPOCH_MS[0] <= v <= dates.EPOCH_MS[1] for v in numbers):
            return (i,), "epoch-ms"
        if all(dates.EPOCH_S[0] <= v <= dates.EPOCH_S[1] for v in numbers):
            return (i,), "epoch-s"
        if heads.says_elapsed(shape.name(i)):
            return (i,), "elapsed"
    if "date" in looks:
        refuse_log(name, "has dates and no times of day.", shape.column(looks.index("date"))[0], "a date and a time", "Export it with the time of each reading.")
    refuse_log(name, "has no column of times that was understood.", ",".join(shape.sample[0])[:80], "like 2026-12-01 18:30:00",
               "Export it with dates and times as figures; or write the header time,temperature_c.")  # fmt: skip


def _decimal(shape: Shape, others: Sequence[int], name: str) -> str:
    """The sign in the numbers; both of them in one file are asked."""
    seen = {".": "", ",": ""}
    for i in others:
        for cell in shape.column(i):
            found = _WITH_UNIT.match(cell)
            text = found.group(1) if found else cell
            if _NUMBER.match(text):
                for sign in ".,":
                    if sign in text:
                        seen[sign] = seen[sign] or cell
    if seen["."] and seen[","]:
        refuse_log(name, f"writes {seen['.']} and {seen[',']}: which sign stands before the tenths?", f"{seen['.']} and {seen[',']}", "one of . and ,",
                   "Export it with one decimal sign.")  # fmt: skip
    return "," if seen[","] else "."


def _counts(numbers: Sequence[float], title: str, at: int) -> bool:
    """A running number: whole, one up each row, and headed so or standing first."""
    steps = [b - a for a, b in pairwise(numbers)]
    runs = len(steps) > 1 and all(s == 1 for s in steps) and all(v == int(v) for v in numbers)
    return (runs and (heads.says_index(title) or at == 0)) or (heads.says_index(title) and bool(title.strip()) and all(v == int(v) for v in numbers))


def _texts(shape: Shape, texts: Sequence[int]) -> tuple[int | None, int | None]:
    """Among columns of text: the one that names probes, and one that holds units."""
    unit_at = probe = None
    for i in texts:
        cells = [c for c in shape.column(i) if c]
        if cells and all(heads.unit_only(c) for c in cells):
            unit_at = i if unit_at is None else unit_at
        elif probe is None and len(cells) >= 0.9 * len(shape.sample) and len(set(cells)) <= MOST_PROBES and _names_probes(shape, i):
            probe = i
    return probe, unit_at


def _names_probes(shape: Shape, at: int) -> bool:
    """By its head, or because rows of one time differ in it. What says "ok" and "alarm" names none."""
    if heads.says_event(shape.name(at)):
        return False
    times = list(zip(*(shape.column(i) for i in shape.time), strict=True))
    cells = shape.column(at)
    shared = any(times[i] == times[i + 1] and cells[i] != cells[i + 1] for i in range(len(cells) - 1))
    return shared or heads.says_probe(shape.name(at))
