"""What files of stages have in common: known keys, words in quotes, ``[[stage]]`` tables and their kinds. Private to the crafts."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from ingle.ground.refusal import refuse


def require_known(said: Mapping[str, Any], path: str, known: tuple[str, ...]) -> None:
    """Refuse a key that is not known, with the nearest; ``path`` ends in its dot."""
    for key in said:
        if key not in known:
            near = difflib.get_close_matches(str(key), known, 1)
            refuse(f"{path}{key}", "is not a key known here.", key, ", ".join(known), f"Write {near[0]}." if near else f"Known are {', '.join(known)}.")


def piece_table(given: Mapping[str, Any], sizes: str) -> Mapping[str, Any]:
    """``[piece]``; ``sizes`` names what it is best told by."""
    said = given.get("piece")
    if not isinstance(said, Mapping):
        refuse("piece", "is missing.", said, "[piece]", f"Write [piece] with {sizes}.")
    return said


def stage_tables(given: Mapping[str, Any], example: str) -> Sequence[Any]:
    """The ``[[stage]]`` tables, one or more."""
    rows = given.get("stage")
    if not isinstance(rows, list) or not rows:
        refuse("stage", "is missing.", rows, "one [[stage]] or more", f"Write [[stage]] with {example}.")
    return rows


def kind_of(said: Any, path: str, keys: tuple[str, ...], kinds: Collection[str]) -> str:
    """The kind of one stage, its table and keys looked at first."""
    if not isinstance(said, Mapping):
        refuse(path, f"is {said!r}.", said, "a [[stage]] table", "Write [[stage]] on a line of its own.")
    require_known(said, f"{path}.", keys)
    kind = text_of(said, path, "kind", "")
    if kind not in kinds:
        near = difflib.get_close_matches(kind, kinds, 1)
        refuse(f"{path}.kind", f"{kind!r} is not a stage.", kind, ", ".join(kinds), f"Write {near[0]}." if near else f"Write one of {', '.join(kinds)}.")
    return kind


def text_of(said: Mapping[str, Any], path: str, key: str, usual: str) -> str:
    """Words in quotes."""
    value = said.get(key, usual)
    if not isinstance(value, str):
        refuse(f"{path}.{key}", f"is {value!r}.", value, "words in quotes", f'Write {key} = "{usual or "..."}".')
    return value
