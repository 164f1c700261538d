"""Data files that ship with ingle, read once."""

from __future__ import annotations

import csv
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from ingle.ground.errors import BadBrief
from ingle.ground.sources import Source

_DATA = Path(__file__).resolve().parent.parent / "data"


def data_path(*parts: str) -> Path:
    """Path of a shipped data file or folder."""
    return _DATA.joinpath(*parts)


@cache
def toml_table(*parts: str) -> dict[str, Any]:
    """A shipped TOML file as a dict. Treat it as read-only."""
    return tomllib.loads(data_path(*parts).read_text(encoding="utf-8"))


@cache
def csv_table(*parts: str) -> tuple[dict[str, str], ...]:
    """A shipped CSV file as rows; lines that start with ``#`` hold title, page, units and who typed it."""
    lines = [ln for ln in data_path(*parts).read_text(encoding="utf-8").splitlines() if ln and not ln.startswith("#")]
    return tuple(csv.DictReader(lines))


@cache
def sources() -> dict[str, Source]:
    """Every source by its key."""
    return {key: Source(key=key, **said) for key, said in toml_table("sources.toml").items()}


def source(key: str) -> Source:
    """One source; an unknown key is an error of the data, not of the person."""
    try:
        return sources()[key]
    except KeyError:
        raise ValueError(f"source {key!r} is not described in data/sources.toml") from None


def read_toml_file(path: Path, what: str) -> dict[str, Any]:
    """A TOML file a cook wrote, or a clear refusal naming the line."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise BadBrief(f"{what} {path} does not exist.", field=what, value=path, remedy="Check the path.") from None
    except (IsADirectoryError, PermissionError) as why:
        raise BadBrief(f"{what} {path} cannot be read: {why.strerror}.", field=what, value=path) from None
    except UnicodeDecodeError:
        raise BadBrief(
            f"{what} {path} is not a text file in UTF-8.", field=what, value=path, remedy="Save it as UTF-8."
        ) from None
    except tomllib.TOMLDecodeError as why:
        raise BadBrief(
            f"{what} {path.name} is not TOML: {why}.", field=what, value=path.name,
            remedy='A line reads key = "value", a heading [name] or [[name]].',
        ) from None  # fmt: skip
