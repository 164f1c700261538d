"""Logger files: ten million rows looked at, checked and kept, beside a bare parse of the same file by the same library."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import polars as pl

from benchmarks.run import Row
from ingle.ground.memory import keep_freed

ROWS, PROBES = 10_000_000, 8
MOST_RATIO = 2.5  # kept, over a bare parse
MOST_MB = 1536
PATTERN = "%Y-%m-%dT%H:%M:%SZ"


def made(path: Path) -> None:
    """Eight probes each second, as long rows: some 300 MB."""
    n = ROWS // PROBES
    at = np.datetime64("2026-01-01T00:00:00.000") + (np.repeat(np.arange(n), PROBES) * 1000).astype("timedelta64[ms]")
    values = 4.0 + np.sin(np.repeat(np.arange(n), PROBES) / 900.0) + np.random.default_rng(0).normal(0, 0.1, ROWS)
    names = np.char.add("p", np.tile(np.arange(PROBES), n).astype(str))
    pl.DataFrame({"time": at, "probe": names, "celsius": np.round(values, 2)}).write_csv(path, datetime_format=PATTERN)


def bare(path: Path) -> int:
    """A parse and nothing else: times to moments, numbers to numbers."""
    rows = pl.scan_csv(path, schema_overrides={"probe": pl.Categorical})
    return rows.with_columns(pl.col("time").str.to_datetime(PATTERN, time_unit="ms")).collect().height


def kept(path: Path, folder: Path) -> tuple[int, float]:
    """Looked at, hashed, checked and written into a new notebook; how many rows, and seconds without opening the notebook."""
    from ingle.jobs import kitchen
    from ingle.jobs.read import keep, read
    from ingle.notebook.store import open_notebook

    with open_notebook(folder / "kitchen.notebook") as book:
        kitchen.begin(book, "Fernhollow", zone="UTC")
        begin = time.perf_counter()
        answer = keep(book, read(path))
        return (answer.kept.added if answer.kept else 0), time.perf_counter() - begin


def _peak_mb() -> float:
    """Highest memory of this process."""
    told = Path("/proc/self/status").read_text(encoding="ascii")
    return float(told.split("VmHWM:")[1].split()[0]) / 1024.0


def _alone(what: str, path: Path) -> tuple[float, float]:
    """One run in a process of its own: seconds, and highest memory in MB."""
    told = subprocess.run([sys.executable, "-m", "benchmarks.logs", what, str(path)], capture_output=True, check=True, text=True).stdout.split()
    return float(told[0]), float(told[1])


def rows() -> Iterator[Row]:
    """The two turn and turn about, best of three each."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        subprocess.run([sys.executable, "-m", "benchmarks.logs", "made", str(path)], check=True)
        runs = [(_alone("bare", path), _alone("kept", path)) for _ in range(3)]
        parse, ours = min(b[0] for b, _ in runs), min(k[0] for _, k in runs)
        most = max(k[1] for _, k in runs)
        size = path.stat().st_size / 1e6
        note = f"{size:,.0f} MB; memory at most {most:,.0f} MB of {MOST_MB:,}; {ours / parse:.2f} times the bare parse, of {MOST_RATIO:g}"
        yield Row("log of 10 million rows kept", ours, parse * MOST_RATIO if most <= MOST_MB else 0.0, "polars, parse alone", parse, 1 / MOST_RATIO, note)


def main(what: str, path: Path) -> None:
    """One run, for `_alone`."""
    if what == "made":
        made(path)
        return
    keep_freed()  # as the command does
    begin = time.perf_counter()
    if what == "bare":
        count, seconds = bare(path), time.perf_counter() - begin
    else:
        with tempfile.TemporaryDirectory() as folder:
            count, seconds = kept(path, Path(folder))
    if count != ROWS:
        raise SystemExit(f"{count} rows of {ROWS}")
    print(seconds, _peak_mb())


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
