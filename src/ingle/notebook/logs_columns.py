"""Columns of a parsed table as one track a probe: probes in columns of their own, in turn, or named in rows in any order."""

from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from ingle.ground.refusal import refuse_log
from ingle.notebook.logs_bytes import Source
from ingle.notebook.logs_shape import MOST_PROBES, Shape

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass
class Track:
    """One probe: times [ms] and numbers as the file has them. Tracks of one table share their times."""

    name: str
    ms: Ints
    values: Floats
    column: int = 0


def in_turn(column: pl.Series) -> list[str]:
    """Names of the probes where the logger read them in turn, all of them every time; else none."""
    names = column.head(MOST_PROBES + 1).unique(maintain_order=True)
    every = names.len()
    if every > MOST_PROBES or column.len() % every or column.null_count():
        return []
    pieces = [piece.to_physical().to_numpy() for piece in column.cast(pl.Categorical).get_chunks()]
    cycle = np.resize(names.cast(pl.Categorical).to_physical().to_numpy(), max(p.size for p in pieces) + every)
    at = 0
    for piece in pieces:
        if not np.array_equal(piece, cycle[at % every : at % every + piece.size]):
            return []
        at += piece.size
    return [shown(str(n)) for n in names.to_list()]


def of_turns(shape: Shape, frame: pl.DataFrame, names: list[str]) -> tuple[list[Track], NDArray[np.bool_]]:
    """Tracks of probes read in turn, and the rows without any number. Each cell is copied once, from where the reader left it."""
    hands = len(names)
    with ThreadPoolExecutor(2) as two:  # copying waits for memory, not for Python
        times, *columns = two.map(lambda do: do(), [lambda: _turn_times(frame["ms"], hands), *(partial(_dealt, frame[f"c{i}"], hands) for i in shape.values)])
    columns = [_finite(numbers) for numbers in columns]
    found = [
        Track(_probe_name(name, shape, i), at, own, i)
        for i, numbers in zip(shape.values, columns, strict=True) for name, at, own in zip(names, times, numbers, strict=True)
    ]  # fmt: skip
    return found, np.ascontiguousarray(_all_lost(columns, (hands, frame.height // hands)).T).ravel()


def _turn_times(column: pl.Series, hands: int) -> list[Ints]:
    """The times of each probe; one array for all where they are read at one moment."""
    first = _dealt(column, hands, 1)[0]
    at = 0
    for piece in column.get_chunks():
        cells = piece.to_numpy()
        turn = at % hands
        if not np.array_equal(cells, np.repeat(first[at // hands : (at + cells.size - 1) // hands + 1], hands)[turn : turn + cells.size]):
            return list(_dealt(column, hands))
        at += cells.size
    return [first] * hands


def _dealt(column: pl.Series, hands: int, only: int | None = None) -> NDArray[Any]:
    """Rows of a column dealt out in turn, to the first few hands ``only``: shape (hands, rows / hands)."""
    out = np.empty((only or hands, column.len() // hands), np.float64 if column.dtype == pl.Float64 else np.int64)
    at = 0
    for piece in column.get_chunks():
        cells = piece.to_numpy()
        for hand in range(len(out)):
            skip = (hand - at) % hands
            own = cells[skip::hands]
            begin = (at + skip) // hands
            out[hand, begin : begin + own.size] = own
        at += cells.size
    return out


def of_rows(source: Source, shape: Shape, frame: pl.DataFrame) -> tuple[list[Track], NDArray[np.bool_]]:
    """Tracks of probes in columns, or named in rows in any order, and the rows without any number."""
    ms = frame["ms"].to_numpy()
    columns = {i: _floats(frame[f"c{i}"]) for i in shape.values}
    silent = _all_lost(list(columns.values()), ms.shape)
    if shape.probe is None:
        return [Track(shape.name(i), ms, numbers, i) for i, numbers in columns.items()], silent
    probes = _parted(source, frame[f"c{shape.probe}"])
    rows = [at for _, at in probes]
    times = _taken(ms, rows)
    found: list[Track] = []
    for i, numbers in columns.items():
        found += [Track(_probe_name(name, shape, i), at, own, i) for (name, _), at, own in zip(probes, times, _taken(numbers, rows), strict=True)]
    return found, silent


def _probe_name(name: str, shape: Shape, column: int) -> str:
    return f"{name} {shape.name(column)}" if len(shape.values) > 1 else name


def _taken(column: Any, probes: list[Ints]) -> list[Any]:
    """The rows of each probe, side by side in memory."""
    with ThreadPoolExecutor(2) as two:  # copying waits for memory, not for Python
        return list(two.map(lambda at: np.ascontiguousarray(column[at]), probes))


def lost(numbers: Floats) -> int:
    """Cells without a number."""
    return 0 if np.isfinite(numbers.sum()) else int(np.isnan(numbers).sum())


def _all_lost(columns: list[Floats], shape: tuple[int, ...]) -> NDArray[np.bool_]:
    """Rows without any number."""
    if any(not lost(numbers) for numbers in columns):
        return np.zeros(shape, bool)
    silent = np.ones(shape, bool)
    for numbers in columns:
        silent &= np.isnan(numbers)
    return silent


def _floats(column: pl.Series) -> Floats:
    return _finite((column.fill_null(math.nan) if column.null_count() else column).to_numpy())


def _finite(numbers: Floats) -> Floats:
    """Numbers without end are none."""
    return np.asarray(numbers if np.isfinite(numbers.sum()) else np.where(np.isinf(numbers), math.nan, numbers))


def _parted(source: Source, column: pl.Series) -> list[tuple[str, Ints]]:
    """Rows of each probe, in the order of the file."""
    names = column.unique(maintain_order=True)
    if len(names) > MOST_PROBES:
        refuse_log(source.name, f"names {len(names):,} probes.", len(names), MOST_PROBES, "Export fewer probes, or take the column of notes out.")
    codes = column.cast(pl.Categorical).to_physical().fill_null(0xFFFFFFFF).to_numpy()
    keys = names.cast(pl.Categorical).to_physical().fill_null(0xFFFFFFFF).to_numpy()
    small = _small(codes, keys)
    told = [shown(str(n)) if n is not None else "no name" for n in names.to_list()]
    return [(name, np.flatnonzero(small == k)) for k, name in enumerate(told)]


def _small(codes: NDArray[np.uint32], keys: NDArray[np.uint32]) -> NDArray[np.uint8]:
    """Which of the few keys each code is."""
    if int(keys.max()) < 1 << 20:
        table = np.zeros(int(keys.max()) + 1, np.uint8)
        table[keys] = np.arange(keys.size, dtype=np.uint8)
        return table[codes]
    ranked = np.argsort(keys)
    return ranked[np.searchsorted(keys[ranked], codes)].astype(np.uint8)


def shown(text: str) -> str:
    """A word of a file, short and fit to be printed."""
    return "".join(c for c in text if c.isprintable()).strip()[:60]
