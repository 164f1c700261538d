"""The Parquet files of logs beside the notebook: written whole or not at all, named by their content, looked at again."""

from __future__ import annotations

import errno
import hashlib
import os
import re
from collections.abc import Sequence
from pathlib import Path
from uuid import uuid4

import polars as pl

from ingle.ground.errors import NotebookError
from ingle.notebook.logs_things import Track
from ingle.notebook.models import LogFile
from ingle.notebook.store import Notebook
from ingle.notebook.trouble import KEPT, DiskFull

ROW_GROUP = 1 << 18
_NUMBER = re.compile(r"os error (\d+)")  # how polars tells what the system said


def frame_of(tracks: Sequence[Track]) -> pl.DataFrame:
    """Long rows: probe, time, value, unit; by probe, then time. Names are a fixed list: it is written in half the time of an open one."""
    probe, unit = (pl.Enum(list(dict.fromkeys(words))) for words in ([t.name for t in tracks], [t.stored_unit for t in tracks]))
    return pl.concat(
        [
            pl.DataFrame({"time_utc": t.ms, "value": t.values})
            .lazy()
            .select(
                pl.lit(t.name, dtype=probe).alias("probe"), pl.col("time_utc").cast(pl.Datetime("ms", "UTC")), "value",
                pl.lit(t.stored_unit, dtype=unit).alias("unit"),
            )
            for t in tracks
        ]
    ).collect()  # fmt: skip


def write_rows(folder: Path, source_sha256: str, rows: pl.DataFrame) -> tuple[Path, str, bool]:
    """Write a Parquet file under its content's name: path, hash, and whether it is new here."""
    folder.mkdir(parents=True, exist_ok=True)
    temp = folder / f".{uuid4().hex}.tmp"
    try:
        rows.write_parquet(temp, compression="lz4", row_group_size=ROW_GROUP)  # zstd takes twice the time for half the size
        with temp.open("rb+") as written:
            digest = hashlib.file_digest(written, "sha256").hexdigest()
            os.fsync(written.fileno())
        path = folder / f"{source_sha256[:16]}-{digest[:16]}.parquet"
        made = not path.exists()
        temp.replace(path)
        _sync_folder(folder)
    except (OSError, pl.exceptions.PolarsError) as why:
        number = _NUMBER.search(str(why))
        code = why.errno if isinstance(why, OSError) else int(number[1]) if number else 0
        if code in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
            raise DiskFull(f"The disk under {folder} is full or did not take the write. {KEPT}", field="notebook", value=folder,
                           remedy="Make room on that disk, then do it again.") from why  # fmt: skip
        if isinstance(why, OSError):
            raise
        raise NotebookError(f"{folder}: {why}. {KEPT}", field="notebook", value=folder, remedy="Check the folder.") from why
    finally:
        temp.unlink(missing_ok=True)
    return path, digest, made


def _sync_folder(folder: Path) -> None:
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:  # some systems do not open folders
        return
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def scan(path: Path) -> pl.LazyFrame:
    """Rows of one file, or what to do where it is missing."""
    if not path.is_file():
        raise NotebookError(
            f"The readings in {path.name} are not there: the file beside the notebook is missing.", field="log", value=path.name,
            remedy="Put the folder of logs back from the last copy, or import the file again into a new notebook.",
        )  # fmt: skip
    return pl.scan_parquet(path)


def whole(notebook: Notebook, log: LogFile) -> bool:
    """Whether the file beside the notebook is the one that was written."""
    path = notebook.logs / log.parquet
    if not path.is_file():
        return False
    with path.open("rb") as written:
        return hashlib.file_digest(written, "sha256").hexdigest() == log.parquet_sha256
