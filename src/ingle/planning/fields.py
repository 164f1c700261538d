"""Strict reading of the tables a cook writes.

Every key is known or refused with the nearest known one; every value is checked with its place in the
file as the field: ``serve[1].pieces[0].weight``. Counting starts at 0. Nothing here knows what a brief is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from ingle.ground import units
from ingle.planning import values
from ingle.planning.values import KEY, refuse, unknown

NEEDED: Any = object()  # default of a key that may not be left out


@dataclass(frozen=True)
class Fields:
    """One table of a file and where it stands in it."""

    path: str  # "serve[1]"; "" for the top of the file
    given: Mapping[str, Any]

    def at(self, key: str) -> str:
        """The full path of a key of this table."""
        return f"{self.path}.{key}" if self.path else key

    def has(self, key: str) -> bool:
        """Whether the key was written."""
        return key in self.given

    def only_with(self, keys: Sequence[str], wrong: str, *, limit: str, remedy: str) -> None:
        """Keys that mean nothing here are refused, not passed over."""
        for key in keys:
            if self.has(key):
                refuse(self.at(key), wrong, value=self.given[key], limit=limit, remedy=remedy)

    def raw(self, key: str, default: Any, example: str) -> Any:
        """The value as TOML gave it; a needed key that is missing is refused."""
        if key in self.given:
            return self.given[key]
        if default is NEEDED:
            refuse(self.at(key), "is missing.", value=None, limit=example, remedy=f"Write {key} = {example}.")
        return default

    def text(self, key: str, default: Any = NEEDED, *, example: str = '"words"', longest: int = 400) -> Any:
        """A line of words."""
        value = self.raw(key, default, example)
        return value if value is default else values.text(value, self.at(key), example, longest)

    def key(self, key: str, default: Any = NEEDED, *, example: str = '"a-name"') -> Any:
        """A name used to refer to something: small letters, digits and single hyphens."""
        value = self.text(key, default, example=example, longest=60)
        if value is not default and not KEY.fullmatch(value):
            refuse(
                self.at(key),
                f"{value!r} cannot be a key.",
                value=value,
                limit="a-z, 0-9 and -, a letter first",
                remedy='Write small letters, digits and single hyphens, like "smoked-ham".',
            )
        return value

    def choice(self, key: str, known: tuple[str, ...], default: Any = NEEDED) -> Any:
        """One of a few words."""
        value = self.text(key, default, example=f'"{known[0]}"')
        if value is not default and value not in known:
            unknown(self.at(key), value, known, f"a {key} known here")
        return value

    def flag(self, key: str, default: bool | None = False) -> bool | None:
        """true or false."""
        value = self.raw(key, default, "true")
        if value is not default and not isinstance(value, bool):
            refuse(
                self.at(key),
                f"{value!r} is neither true nor false.",
                value=value,
                limit="true or false",
                remedy=f"Write {key} = true or {key} = false, without quotes.",
            )
        return value

    def whole(self, key: str, default: Any = NEEDED, *, low: int, high: int, unit: str = "") -> Any:
        """A whole number within both ends."""
        value = self.raw(key, default, str(low))
        if value is default:
            return value
        if isinstance(value, bool) or not isinstance(value, int):
            refuse(
                self.at(key),
                f"{value!r} is not a whole number.",
                value=value,
                limit=f"{low} to {high} {unit}".strip(),
                remedy=f"Write {key} = a whole number without quotes.",
            )
        return values.between(value, self.at(key), low, high, unit)

    def number(self, key: str, default: Any = NEEDED, *, low: float, high: float, unit: str = "") -> Any:
        """A plain number within both ends."""
        value = self.raw(key, default, f"{high:g}")
        return value if value is default else values.number(value, self.at(key), low, high, unit)

    def quantity(
        self, read: Callable[..., float], key: str, default: Any = NEEDED, *, example: str, **limits: Any
    ) -> Any:
        """A number with its unit, by one of the readers of `ingle.ground.units`."""
        value = self.raw(key, default, f'"{example}"')
        return value if value is default else values.quantity(read, value, self.at(key), example, **limits)

    def mass_g(self, key: str, default: Any = NEEDED, *, high: float = 2e6, zero: bool = False) -> Any:
        """A mass [g]."""
        return self.quantity(units.mass_g, key, default, example="850g", high=high, zero=zero)

    def length_mm(self, key: str, default: Any = NEEDED, *, high: float = 5000.0) -> Any:
        """A length [mm]."""
        return self.quantity(units.length_mm, key, default, example="52mm", high=high)

    def temperature_c(
        self, key: str, default: Any = NEEDED, *, low: float = -90.0, high: float = 400.0
    ) -> Any:
        """A temperature [C]."""
        return self.quantity(units.temperature_c, key, default, example="4C", low=low, high=high)

    def spread_c(self, key: str, default: Any = NEEDED, *, low: float = 0.0, high: float = 60.0) -> Any:
        """A difference of temperatures [C]: 1.8 F are 1 C, and no zero is shifted."""
        value = self.raw(key, default, '"1C"')
        return (
            value
            if value is default
            else values.quantity(values.difference_c, value, self.at(key), "1C", low=low, high=high)
        )

    def minutes(
        self, key: str, default: Any = NEEDED, *, high_h: float = 24.0 * 400, zero: bool = True
    ) -> Any:
        """A length of time, as whole minutes."""
        hours = self.quantity(units.duration_h, key, default, example="45min", high=high_h, zero=zero)
        return hours if hours is default else units.minutes(hours)

    def clock(self, key: str, default: Any = NEEDED) -> Any:
        """A time of day as minutes from midnight; 24:00 is the end of the day."""
        value = self.raw(key, default, '"18:00"')
        return value if value is default else values.clock(value, self.at(key))

    def when(self, key: str, zone: ZoneInfo, default: Any = NEEDED) -> Any:
        """A local date and time, made aware by the kitchen's zone."""
        value = self.raw(key, default, "2026-12-19T18:30:00")
        return value if value is default else values.local(value, zone, self.at(key))

    def table(
        self, key: str, known: tuple[str, ...], default: Any = NEEDED, *, example: str = "{ ... }"
    ) -> Any:
        """A table inside this one."""
        value = self.raw(key, default, example)
        return value if value is default else fields(value, self.at(key), known)

    def tables(
        self, key: str, known: tuple[str, ...], *, least: int = 0, example: str = "[{ ... }]"
    ) -> tuple[Fields, ...]:
        """A list of tables, at least so many."""
        value = self.raw(key, NEEDED if least else [], example)
        values.listed(value, self.at(key), "tables", example, least)
        return tuple(fields(v, f"{self.at(key)}[{i}]", known) for i, v in enumerate(value))

    def words(
        self, key: str, *, known: tuple[str, ...] | None = None, what: str = "known here", longest: int = 400
    ) -> tuple[str, ...]:
        """A list of lines, each of them known when ``known`` is given."""
        example = f'["{known[0]}"]' if known else '["words"]'
        value = self.raw(key, [], example)
        values.listed(value, self.at(key), "words", example, 0)
        lines = tuple(values.text(v, f"{self.at(key)}[{i}]", example, longest) for i, v in enumerate(value))
        for i, line in enumerate(lines):
            if known is not None and line not in known:
                unknown(f"{self.at(key)}[{i}]", line, known, what)
        return lines

    def listed(self, key: str, example: str) -> tuple[tuple[str, Any], ...]:
        """The entries of a list, each with its path."""
        value = self.raw(key, [], example)
        values.listed(value, self.at(key), "values", example, 0)
        return tuple((f"{self.at(key)}[{i}]", v) for i, v in enumerate(value))


def fields(given: Any, path: str, known: tuple[str, ...]) -> Fields:
    """A table whose keys are all known.

    Raises
    ------
    BadBrief
        Not a table, or a key nobody reads; the nearest known key is named.
    """
    place = path or "file"
    if not isinstance(given, Mapping):
        refuse(
            place,
            f"must be a table, not {given!r}.",
            value=given,
            limit="a table",
            remedy=f"Write it as a table with: {', '.join(known)}.",
        )
    for key in given:
        if key not in known:
            unknown(f"{path}.{key}" if path else str(key), key, known, f"a key of {path or 'this file'}")
    return Fields(path, given)
