"""What several tests need: picking the one that is meant, and spoiling every place of a file in turn."""

from __future__ import annotations

import copy
from collections.abc import Iterable, Iterator
from typing import Any

# what a slip, a broken export or a bad joke leaves where a value should stand
JUNK = [
    None, True, -1, 0, 10**400, float("nan"), float("inf"), "", " ", "x", "x" * 5000, "1e999kg", "1e999mm", "\x00", "0/0 kg",
    [], [[]], [None], [1, 2], [[1, 2]] * 3, {}, {"a": {}},
]  # fmt: skip


def the(things: Iterable[Any], **fields: Any) -> Any:
    """The only one of some things whose fields have these values."""
    found = [x for x in things if all(getattr(x, name) == value for name, value in fields.items())]
    assert len(found) == 1, f"{len(found)} with {fields}"
    return found[0]


def places(given: Any, path: tuple = ()) -> Iterator[tuple]:
    """The path of every value in what a TOML file holds."""
    items = given.items() if isinstance(given, dict) else enumerate(given) if isinstance(given, list) else ()
    for key, value in items:
        yield (*path, key)
        yield from places(value, (*path, key))


def spoilt(whole: dict, every: int = 1) -> Iterator[tuple[tuple, Any, dict]]:
    """Path, junk, and the file with that junk in that place: every place, and every nth piece of junk, begun elsewhere each time."""
    for i, where in enumerate(places(whole)):
        for k in range(0, len(JUNK), every):
            junk, given = JUNK[(i + k) % len(JUNK)], copy.deepcopy(whole)
            holder = given
            for key in where[:-1]:
                holder = holder[key]
            holder[where[-1]] = junk
            yield where, junk, given
