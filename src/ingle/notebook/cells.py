"""One value of the notebook as JSON or as a CSV cell, and back without loss.

In CSV a text that a spreadsheet would take for a formula gets an apostrophe before it; so does a text that begins with
one. An empty cell is "not noted"; where a column can be both empty and not noted, the empty text is a lone apostrophe.
"""

from __future__ import annotations

import base64
import binascii
import json
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import JSON, Boolean, Column, Date, Float, Integer, LargeBinary

from ingle.ground.errors import BadBrief
from ingle.notebook.tables_base import UtcTime

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "'")


def to_json(column: Column[Any], value: Any) -> Any:
    """A value as JSON holds it."""
    if value is None:
        return None
    if isinstance(column.type, UtcTime):
        return value.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%f") + "Z"
    if isinstance(column.type, Date):
        return value.isoformat()
    if isinstance(column.type, LargeBinary):
        return base64.b64encode(value).decode()
    return float(value) if isinstance(column.type, Float) else value


def from_json(column: Column[Any], value: Any) -> Any:
    """The value again; what does not fit the column is refused."""
    name = f"{column.table.name}.{column.name}"
    if value is None:
        if column.nullable or isinstance(column.type, JSON):
            return None
        raise BadBrief(f"{name} is missing.", field=name, value=None)
    try:
        return _from(column, value)
    except (ValueError, TypeError, binascii.Error):
        raise BadBrief(f"{name} {str(value)[:60]!r} does not fit.", field=name, value=str(value)[:60], limit=str(column.type)) from None


def _from(column: Column[Any], value: Any) -> Any:
    kind = column.type
    if isinstance(kind, JSON):
        return value
    if isinstance(kind, Boolean):
        if not isinstance(value, bool):
            raise TypeError
        return value
    if isinstance(kind, Float | Integer):
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise TypeError
        return float(value) if isinstance(kind, Float) else _whole(value)
    if not isinstance(value, str):
        raise TypeError
    if isinstance(kind, UtcTime):
        return datetime.strptime(value, "%Y-%m-%dT%H:%M:%S.%fZ").replace(tzinfo=UTC)
    if isinstance(kind, Date):
        return date.fromisoformat(value)
    if isinstance(kind, LargeBinary):
        return base64.b64decode(value, validate=True)
    return value


def _whole(value: float) -> int:
    if value != int(value):
        raise ValueError
    return int(value)


def to_cell(column: Column[Any], value: Any) -> str:
    """A value as a CSV cell holds it."""
    if isinstance(column.type, JSON):
        return json.dumps(value, sort_keys=True, ensure_ascii=False)
    told = to_json(column, value)
    if told is None:
        return ""
    if isinstance(told, bool):
        return "yes" if told else "no"
    if isinstance(told, int | float):
        return repr(told)
    return f"'{told}" if told.startswith(_FORMULA) or (told == "" and column.nullable) else told


def from_cell(column: Column[Any], cell: str) -> Any:
    """The value of a CSV cell."""
    kind, name = column.type, f"{column.table.name}.{column.name}"
    try:
        if isinstance(kind, JSON):
            return json.loads(cell)
        if cell == "" and (column.nullable or not _is_text(column)):
            return from_json(column, None)
        if isinstance(kind, Boolean):
            return {"yes": True, "no": False}[cell]
        if isinstance(kind, Float | Integer):
            return from_json(column, float(cell) if isinstance(kind, Float) else int(cell))
    except (ValueError, KeyError):
        raise BadBrief(f"{name} {cell[:60]!r} does not fit.", field=name, value=cell[:60], limit=str(kind)) from None
    return from_json(column, cell[1:] if cell.startswith("'") else cell)


def _is_text(column: Column[Any]) -> bool:
    return column.type.python_type is str
