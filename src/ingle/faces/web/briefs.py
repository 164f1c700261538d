"""A brief from the page: its form or an uploaded file, written as the TOML a cook would write, with the house's own kit."""

from __future__ import annotations

import json
import re
import tomllib
import unicodedata
from collections.abc import Mapping
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from ingle.ground.errors import BadBrief
from ingle.planning.planfile import write_file

BRIEF_MOST = 200_000  # bytes


def slug(name: str) -> str:
    """A file's name from a meal's: letters, figures and dashes, nothing that could lead elsewhere.

    >>> slug("Fernhollow midwinter table"), slug("../../etc"), slug("\u00dcber")
    ('fernhollow-midwinter-table', 'etc', 'uber')
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60] or "meal"


def to_toml(given: Mapping[str, Any]) -> str:
    """Tables as TOML text: one heading a table, inline tables below it."""
    lines: list[str] = []
    for key, value in given.items():
        if isinstance(value, Mapping):
            lines += [f"[{_key(key)}]", *(f"{_key(k)} = {_value(v)}" for k, v in value.items()), ""]
        elif isinstance(value, list) and value and all(isinstance(v, Mapping) for v in value):
            for row in value:
                lines += [f"[[{_key(key)}]]", *(f"{_key(k)} = {_value(v)}" for k, v in row.items()), ""]
        else:
            lines.insert(0, f"{_key(key)} = {_value(value)}")
    return "\n".join(lines)


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else json.dumps(key)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items()) + " }" if value else "{}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_value(v) for v in value) + "]"
    return repr(value)


def uploaded(content: bytes) -> dict[str, Any]:
    """The tables of a brief that was sent. Files it points at stay where they are: the page plans with the house's kit."""
    if len(content) > BRIEF_MOST:
        raise BadBrief(f"The brief has {len(content):,} bytes.", field="brief", value=len(content), limit=f"{BRIEF_MOST:,} bytes", remedy="A brief is a page of text.")
    try:
        given = tomllib.loads(content.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise BadBrief("The brief is not a text file in UTF-8.", field="brief", remedy="Save it as UTF-8.") from None
    except (tomllib.TOMLDecodeError, RecursionError) as why:
        raise BadBrief(f"The brief is not TOML: {why}.", field="brief", remedy='A line reads key = "value", a heading [name] or [[name]].') from None
    given.pop("use", None)
    return given


def keep(given: Mapping[str, Any], folder: Path, kit: Path, scale: str = "") -> Path:
    """Write the brief and a copy of the kit beside it, with the house's scale in place of the kit's; returns the brief's path."""
    meal = given.get("meal")
    name = slug(str(meal.get("name", "")) if isinstance(meal, Mapping) else "")
    kit_name = f"{name}.kitchen.toml"
    content = kit.read_bytes()
    if scale:
        content = to_toml({**tomllib.loads(content.decode("utf-8-sig")), "scale": {"steps": [scale]}}).encode()
    write_file(folder / kit_name, content)
    path = folder / f"{name}.toml"
    write_file(path, to_toml({**given, "use": {"kit": kit_name}}).encode())
    return path
