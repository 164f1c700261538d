"""One line that refuses a written value, with everything a page needs: field, value, limit, remedy."""

from __future__ import annotations

from typing import NoReturn

from ingle.ground.errors import BadBrief, IngleError


def refuse(field: str, what: str, value: object, limit: object, remedy: str, kind: type[IngleError] = BadBrief) -> NoReturn:
    """Raise ``kind``: "FIELD WHAT", then the remedy on a line of its own."""
    raise kind(f"{field} {what}", field=field, value=value, limit=limit, remedy=remedy)


def refuse_log(name: str, what: str, value: object, limit: object, remedy: str, field: str = "log") -> NoReturn:
    """Refuse a logger's file by its name."""
    raise BadBrief(f"log {name} {what}", field=field, value=value, limit=limit, remedy=remedy)
