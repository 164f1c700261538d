"""All rows of a logger's file into arrays: times as written, one array of numbers a probe. The heavy part is polars'."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from ingle.ground.refusal import refuse_log
from ingle.notebook import logs_dates as dates
from ingle.notebook.logs_bytes import Source
from ingle.notebook.logs_columns import Track, in_turn, lost, of_rows, of_turns, shown
from ingle.notebook.logs_dates import Form
from ingle.notebook.logs_shape import LOST, Shape

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
UNREADABLE_SHARE, UNREADABLE_FEW = 0.02, 20  # more lines than that without a time: this is another kind of file
_WORDS_MOST = 500_000  # rows
_MARKS_MOST = 5  # different marks that the quick reader is told; more of them go the slow way
_CELL = re.compile(r"could not parse `([^`]*)` as dtype")
_MISSED = (pl.exceptions.PolarsError, pl.exceptions.PanicException, ValueError)


@dataclass(frozen=True)
class Parsed:
    """All tracks, and what was not a reading."""

    tracks: tuple[Track, ...]
    rows: int
    lost: int  # cells without a number
    events: tuple[str, ...]  # words that stand in rows with a time and no number
    event_rows: int
    unreadable: tuple[str, ...]  # the first few lines without a time
    unreadable_rows: int
    utc: bool  # the times carry their offset


def order_of(source: Source, shape: Shape, form: Form) -> tuple[tuple[str, ...], str]:
    """Orders of day and month that the whole file leaves, and what spoke for the one."""
    if len(form.patterns) == 1:
        return tuple(form.patterns), ""
    cells = _collected(source, _scan(source, shape, {}).select(_cells(shape))).to_series()
    return dates.settle(cells.filter(cells.is_not_null()), form)


def parse(source: Source, shape: Shape, form: Form | None, order: str) -> Parsed:
    """Parse every row.

    Parameters
    ----------
    form : Form or None
        How moments are written; None for seconds and elapsed seconds.

    Raises
    ------
    BadBrief
        More lines without a time than a footer has; a quote that is never closed; more probes than one table holds.
    """
    if source.quotes % 2:
        refuse_log(source.name, "opens a quote and does not close it.", '"', "quotes in pairs", "Export the log once more.")
    frame, words = _fast(source, shape, form, order), None
    if frame is None:
        frame, words = _slow(source, shape, form, order)
    elif frame["ms"].null_count():  # a footer, or spaces around some times
        frame = frame.with_columns(_collected(source, _scan(source, shape, {}).select(_time(shape, form, order))).to_series().alias("ms"))
    ok = frame["ms"].is_not_null()
    gone = int(frame.height - ok.sum())
    unreadable: tuple[str, ...] = ()
    bad = 0
    if gone:
        unreadable, bad = _unreadable(source, shape, ~ok)
        frame = frame.filter(ok)
        words = None if words is None else words.filter(ok)
    if frame.height == 0:
        refuse_log(source.name, "holds no line with a time that was understood.", unreadable[:1], "like 2026-12-01 18:30:00", "Export it once more.")
    if bad > max(UNREADABLE_FEW, UNREADABLE_SHARE * frame.height):
        refuse_log(source.name, f"has {bad:,} lines without a time that was understood, like {unreadable[0]}.", bad,
                   f"{UNREADABLE_SHARE:.0%} of the lines", "Take them out, or export the log once more.")  # fmt: skip
    if words is None and shape.left:
        words = _left_texts(source, shape, ok)
    return _tracks(source, shape, frame, words, unreadable, bad, (form is not None and bool(form.offset)) or shape.how.startswith("epoch"))


def _scan(source: Source, shape: Shape, types: Mapping[str, Any], **more: Any) -> pl.LazyFrame:
    schema = {f"c{i}": types.get(f"c{i}", pl.String) for i in range(max(shape.width, 2))}
    return pl.scan_csv(
        source.text, separator=shape.separator, has_header=False, skip_lines=shape.begins, schema=schema, truncate_ragged_lines=True,
        quote_char='"' if source.quotes else None, infer_schema=False, missing_columns="insert", **more,
    )  # fmt: skip


def _collected(source: Source, rows: pl.LazyFrame) -> pl.DataFrame:
    try:
        return rows.collect()
    except _MISSED as why:
        told = shown(str(why).splitlines()[0] if str(why) else type(why).__name__)
        refuse_log(source.name, f"is no table of cells: {told}.", told, "rows of cells", "Export the log once more.")


def _cells(shape: Shape, *, neat: bool = False) -> pl.Expr:
    """The cells of the time, a date and a clock joined."""
    first = pl.col(f"c{shape.time[0]}")
    if neat and shape.how != "date+clock":
        return first.alias("t")
    if shape.how != "date+clock":
        return first.alias("t")
    return pl.concat_str(first.str.strip_chars(), pl.col(f"c{shape.time[1]}").str.strip_chars(), separator=" ").alias("t")


def _time(shape: Shape, form: Form | None, order: str, *, neat: bool = False) -> pl.Expr:
    if form is not None:
        return dates.parsed(_cells(shape, neat=neat), form, order, neat=neat).alias("ms")
    scale = 1 if shape.how == "epoch-ms" else 1000
    text = _cells(shape).str.strip_chars().str.replace(",", ".")
    return (text.cast(pl.Float64, strict=False) * scale).round().cast(pl.Int64, strict=False).alias("ms")


def _fast(source: Source, shape: Shape, form: Form | None, order: str) -> pl.DataFrame | None:
    """Numbers parsed while they are read; None when a cell is no number.

    Times are taken as neat; where a row then has none, they are read again, freed of spaces first.
    """
    if (shape.decimal == "," and shape.separator == ",") or _lone_quote(source, shape.separator.encode()):
        return None
    types: dict[str, Any] = {f"c{i}": pl.Float64 for i in shape.values}
    if shape.probe is not None:
        types[f"c{shape.probe}"] = pl.Categorical
    columns = [pl.col(f"c{i}") for i in (*shape.values, *(() if shape.probe is None else (shape.probe,)))]
    marks: list[str] = []
    while len(marks) < _MARKS_MOST:
        try:
            scan = _scan(source, shape, types, decimal_comma=shape.decimal == ",", null_values=marks or None)
            return scan.select(_time(shape, form, order, neat=True), *columns).collect()
        except _MISSED as why:  # a usual mark for a lost probe is told to the reader; each costs time in every cell
            cell = _CELL.search(str(why))
            if cell is None or cell[1] in marks or cell[1].strip().lower() not in LOST:
                return None
            marks.append(cell[1])
    return None


def _lone_quote(source: Source, separator: bytes) -> bool:
    """A cell that is one quote and nothing else: the quick reader of numbers stumbles over it."""
    if not source.quotes:
        return False
    text = source.text
    ends = (separator, b"\n", b"\r")
    return text.endswith((separator + b'"', b'\n"')) or any(before + b'"' + after in text for before in (separator, b"\n") for after in ends)


def _slow(source: Source, shape: Shape, form: Form | None, order: str) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Every cell as text first: units in cells, marks of all kinds, words in rows of events."""
    names = [f"c{i}" for i in shape.values]
    frame = _collected(source, _scan(source, shape, {}))
    numbers, words = [], []
    for name in names:
        text = pl.col(name).str.strip_chars()
        bare = text.str.replace(r"(?i)\s*(?:[°º]\s*[CF]?|℃|℉|[CFK]|%(?:\s*RH)?)$", "")
        if shape.decimal == ",":
            bare = bare.str.replace(",", ".")
        value = bare.cast(pl.Float64, strict=False)
        lost = text.str.to_lowercase().is_in(list(LOST)) | text.is_null()
        numbers.append(pl.when(lost).then(None).otherwise(value).alias(name))
        words.append(pl.when(~lost & value.is_null()).then(text).otherwise(None).alias(name))
    probe = [] if shape.probe is None else [pl.col(f"c{shape.probe}").str.strip_chars().cast(pl.Categorical)]
    rest = [pl.col(f"c{i}") for i, _ in shape.left if i < shape.width]
    return frame.select(_time(shape, form, order), *numbers, *probe), frame.select(*words, *rest)


def _unreadable(source: Source, shape: Shape, gone: pl.Series) -> tuple[tuple[str, ...], int]:
    """The first lines that have no time, and how many hold anything at all."""
    at = gone.arg_true()
    rows = _scan(source, shape, {}, row_index_name="row").filter(pl.col("row").is_in(at.implode()))
    line = pl.concat_str(pl.exclude("row"), separator=" ", ignore_nulls=True).str.strip_chars()
    lines = _collected(source, rows.select(line.alias("line"))).to_series()
    full = lines.str.len_bytes() > 0
    told = [f"line {int(n) + shape.begins + 1}: {shown(text)}" for n, text in zip(at.filter(full)[:5], lines.filter(full)[:5], strict=True)]
    return tuple(told), int(full.sum())


def _left_texts(source: Source, shape: Shape, ok: pl.Series) -> pl.DataFrame | None:
    """Text beside the readings, for the words of events; of a long file only where somebody would read it."""
    names = [f"c{i}" for i, why in shape.left if why in ("is text", "holds no numbers", "is empty")]
    if not names or ok.len() > _WORDS_MOST:
        return None
    return _collected(source, _scan(source, shape, {}).select(names)).filter(ok)


def _tracks(
    source: Source, shape: Shape, frame: pl.DataFrame, words: pl.DataFrame | None, unreadable: tuple[str, ...], bad: int, utc: bool
) -> Parsed:
    turns = [] if shape.probe is None else in_turn(frame[f"c{shape.probe}"])
    if turns:
        found, silent = of_turns(shape, frame, turns)
    else:
        found, silent = of_rows(source, shape, frame.rechunk())  # all columns at once
    events = int(silent.sum())
    said = _words(words.filter(pl.Series(silent))) if events and words is not None else ()
    return Parsed(tuple(found), frame.height, sum(lost(t.values) for t in found), said, events, unreadable, bad, utc)


def _words(words: pl.DataFrame) -> tuple[str, ...]:
    """The first different words in rows of events."""
    told: list[str] = []
    for name in words.columns:
        for text in words[name].drop_nulls().unique(maintain_order=True)[:8]:
            if str(text).strip() and shown(str(text)) not in told:
                told.append(shown(str(text)))
    return tuple(told[:8])
