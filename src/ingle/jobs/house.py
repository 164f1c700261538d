"""The kitchen as its people see it: its name, whose rules hold, how it likes its numbers; kept in the notebook."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlalchemy.orm import Session

from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.notebook.codes import prefix_of
from ingle.notebook.models import Kitchen
from ingle.notebook.rows import only_kitchen, text
from ingle.notebook.store import Notebook

RULES = {
    "us": "United States", "eu": "European Union", "gb": "Great Britain", "ca": "Canada", "anz": "Australia and New Zealand", "codex": "Codex Alimentarius",
}  # fmt: skip
MASSES = ("kg", "lb")
TEMPERATURES = ("C", "F")
USES = ("table", "sale")
KITS = ("home", "smokehouse", "own")

_EXAMPLE = re.compile(r"(?P<n>-?[\d.]+) ?(?:(?P<kg>kg)|(?P<c>°?C))")


@dataclass(frozen=True)
class House:
    """One kitchen. ``rules`` empty = no country named: the strictest of all."""

    name: str
    zone: str
    prefix: str = ""
    rules: tuple[str, ...] = ()
    use: str = "table"
    mass: str = "kg"
    temperature: str = "C"
    kit: str = "home"
    scale: str = "0.1g"  # smallest step of its finest scale

    @property
    def home(self) -> ZoneInfo:
        """Its time zone."""
        return ZoneInfo(self.zone)

    @property
    def rules_words(self) -> str:
        """Whose rules hold, said aloud."""
        if not self.rules:
            return "No country named: the strictest of all rules is shown, and which it is."
        return "Rules of " + ", ".join(RULES.get(r, r) for r in self.rules) + "."

    def weight(self, grams: float | None) -> str:
        """A piece's weight as this kitchen reads it: 1.38 kg, 850 g, 3.04 lb, 5.2 oz."""
        if grams is None:
            return "not weighed"
        if self.mass == "lb":
            return f"{units.pounds(grams):.2f}\u00a0lb" if grams >= units.mass_g("1lb") else f"{units.ounces(grams):.1f}\u00a0oz"
        return f"{units.kilograms(grams):.2f}\u00a0kg" if grams >= 1000 else f"{grams:.0f}\u00a0g"

    def warmth(self, celsius: float | None) -> str:
        """A temperature as this kitchen reads it."""
        if celsius is None:
            return "not read"
        return f"{units.fahrenheit(celsius):.0f}\u00a0°F" if self.temperature == "F" else f"{celsius:.1f}".removesuffix(".0") + "\u00a0°C"

    def like(self, written: str) -> str:
        """An example as this kitchen writes it, rounded as one would; of nothing that a line hangs on.

        >>> House("", "UTC", temperature="F", mass="lb").like("160 °C"), METRIC.like("1.3 kg")
        ('320 °F', '1.3 kg')
        """
        found = _EXAMPLE.fullmatch(written)
        if found is not None and found["kg"] and self.mass == "lb":
            return f"{round(2 * units.pounds(units.mass_g(written))) / 2:g} lb"
        if found is not None and found["c"] and self.temperature == "F":
            return f"{5 * round(units.fahrenheit(float(found['n'])) / 5)} °F"
        return written

    def dose(self, grams: float) -> str:
        """What goes on a scale: always grams and tenths. A curing salt in ounces is how poisonings begin."""
        return f"{grams:.1f}\u00a0g"


METRIC = House("", "UTC")


def house_of(notebook: Notebook, name: str | None = None) -> House:
    """The kitchen of that name, or the only one. NotFound where there is none yet."""
    with notebook.look() as session:
        return of_row(only_kitchen(session, name))


def of_row(row: Kitchen) -> House:
    """A kitchen's row as its people see it."""
    shows = row.shows or {}
    picked: dict[str, Any] = {k: v for k, v in shows.items() if k in ("mass", "temperature", "kit", "scale")}
    return House(row.name, row.zone, row.prefix, tuple(row.rules), row.use, **picked)


def zone_named(written: str) -> None:
    """Refuse a time zone that is none."""
    try:
        ZoneInfo(written)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise BadBrief(f"zone {written!r} is not known.", field="zone", value=written, remedy="Write it like Europe/London.") from None


def scale_named(written: str) -> None:
    """Refuse a step that no kitchen scale has."""
    units.mass_g(written, "scale", high=1000)


def prefix_named(written: str) -> None:
    """Refuse letters that no code may begin with."""
    prefix_of("", written)


def settle(
    notebook: Notebook, *, kitchen: str | None = None, name: str | None = None, zone: str | None = None, rules: Sequence[str] | None = None, use: str | None = None,
    mass: str | None = None, temperature: str | None = None, kit: str | None = None, scale: str | None = None,
) -> House:  # fmt: skip
    """Change what is said of a kitchen; what is not named stays.

    Rows already written keep the zone and the limits they were written under: only what comes after is read anew.
    """
    for field, given, known in (("use", use, USES), ("mass", mass, MASSES), ("temperature", temperature, TEMPERATURES), ("kit", kit, KITS)):
        if given is not None and given not in known:
            raise BadBrief(f"{field} {given!r} is not known.", field=field, value=given, limit=", ".join(known), remedy=f"Take one of {', '.join(known)}.")
    for rule in rules or ():
        if rule not in RULES:
            raise BadBrief(f"rules {rule!r} are not known.", field="rules", value=rule, limit=", ".join(RULES), remedy="Take one of these, or none.")
    if zone is not None:
        zone_named(zone)
    if scale is not None:
        scale_named(scale)
    said = None if name is None else text(name, "name", most=80, needed=True)

    def work(session: Session) -> House:
        row = only_kitchen(session, kitchen)
        row.name, row.zone, row.use = said or row.name, zone or row.zone, use or row.use
        if rules is not None:
            row.rules = list(dict.fromkeys(rules))
        new = {"mass": mass, "temperature": temperature, "kit": kit, "scale": scale}
        row.shows = {**(row.shows or {}), **{k: v for k, v in new.items() if v is not None}}
        session.flush()
        return of_row(row)

    return notebook.write(work)
