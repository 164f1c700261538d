"""Readings out: Parquet or CSV for other programs, and few points for a picture. A cell that a spreadsheet would run is made text."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from uuid import uuid4

import numpy as np
import polars as pl
from numpy.typing import NDArray

from ingle.ground.errors import BadBrief, NotebookError
from ingle.notebook.logs_things import Track

STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "|", "%")  # what makes a spreadsheet take a cell for a formula


def escaped(text: str) -> str:
    """A word that stays a word in a spreadsheet.

    >>> escaped("=HYPERLINK(1)"), escaped("fridge"), escaped(" +1")
    ("'=HYPERLINK(1)", 'fridge', "' +1")
    """
    return f"'{text}" if text.lstrip().startswith(STARTS) or text.startswith(STARTS) else text


def write_out(path: Path, tracks: Sequence[Track]) -> int:
    """Write all readings in the kind the ending names; returns how many.

    CSV of one temperature has the header ``time,temperature_c`` that other commands read; of several ``time,probe,value,unit``.
    Times are UTC with their offset.
    """
    kind = path.suffix.lower()
    if kind not in (".parquet", ".csv"):
        raise BadBrief(f"out {path.name!r} has no kind known here.", field="out", value=path.name, limit=".parquet, .csv",
                       remedy="End the name in .parquet or .csv.")  # fmt: skip
    rows = pl.concat(
        [pl.DataFrame({"time": t.ms, "value": t.values}).with_columns(pl.col("time").cast(pl.Datetime("ms", "UTC")), probe=pl.lit(t.name), unit=pl.lit(t.stored_unit))
         for t in tracks]
    ).select("time", "probe", "value", "unit")  # fmt: skip
    temp = path.with_name(f".{path.name}.{uuid4().hex[:8]}.tmp")
    try:
        if kind == ".parquet":
            rows.write_parquet(temp, compression="zstd")
        else:
            _csv(rows, tracks).write_csv(temp, datetime_format="%Y-%m-%dT%H:%M:%S%.3f%:z")
        temp.replace(path)
    except (OSError, pl.exceptions.PolarsError) as why:
        raise NotebookError(f"out {path} cannot be written: {getattr(why, 'strerror', None) or why}.", field="out", value=path, remedy="Check the folder.") from None
    finally:
        temp.unlink(missing_ok=True)
    return rows.height


def _csv(rows: pl.DataFrame, tracks: Sequence[Track]) -> pl.DataFrame:
    if len(tracks) == 1 and not tracks[0].wet:
        return rows.select("time", temperature_c="value")
    names = {t.name: escaped(t.name) for t in tracks}
    return rows.with_columns(pl.col("probe").replace(names))


def thinned(ms: NDArray[np.int64], values: NDArray[np.float64], buckets: int = 600) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """At most four points a bucket of time: first, lowest, highest, last; a peak of one reading survives.

    >>> at, v = thinned(np.arange(100_000), np.where(np.arange(100_000) == 777, 9.0, 4.0), 50)
    >>> len(at) <= 200, v.max()
    (True, np.float64(9.0))
    """
    if ms.size <= 4 * buckets:
        return ms, values
    span = int(ms[-1] - ms[0]) + 1
    bucket = ((ms - ms[0]) * buckets // span).astype(np.int64)
    starts = np.flatnonzero(np.concatenate(([True], np.diff(bucket) > 0)))
    ends = np.append(starts[1:], ms.size)
    picks = []
    for a, b in zip(starts, ends, strict=True):
        part = values[a:b]
        picks += [a, a + int(np.argmin(part)), a + int(np.argmax(part)), b - 1]
    at = np.unique(np.asarray(picks))
    return ms[at], values[at]
