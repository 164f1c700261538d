"""The one converter: what cooks write, turned into numbers, and back.

Read: ``1.38kg``, ``3 lb 1 oz``, ``1/2 lb``, ``52mm``, ``38F``, ``5d``, ``1h30``, ``2.5%``, ``118 mg/kg``.
Each kind of quantity has one base unit inside ingle (the name of the function says it); physics works in
SI. This is the door: what is written is taken apart in `units_written`, shown by `units_show`, and goes over
into SI by `units_si`.
"""

from __future__ import annotations

import math
import re

from ingle.ground.errors import BadBrief, OutOfRange, Refused
from ingle.ground.units_show import show_fraction, show_hours, show_mass, show_minutes, show_two
from ingle.ground.units_si import (
    HOUR_S,
    PER_HUNDRED,
    ZERO_CELSIUS_K,
    celsius,
    days,
    fahrenheit,
    grams,
    hours,
    kelvin,
    kelvin_range,
    kilograms,
    metres,
    millimetres,
    minutes,
    ounces,
    parts_per_million,
    per_hundred,
    pounds,
    seconds,
)
from ingle.ground.units_written import KINDS, SPOONS, TEMPERATURE, as_text, by_library, number_of, pairs_of


def read(given: object, kind: str, field: str) -> float:
    """Read one quantity.

    Parameters
    ----------
    given : str
        What was written, with its unit.
    kind : str
        ``mass`` [g], ``length`` [mm], ``time`` [h], ``volume`` [l], ``fraction`` [1], ``mg_per_kg`` [mg/kg],
        ``diffusivity`` [m2/s].
    field : str
        Name of the field for the error.

    Raises
    ------
    BadBrief
        Not a quantity, no unit, a unit of another kind, two possible meanings.
    OutOfRange
        Not finite.
    """
    table, _, example, _ = KINDS[kind]
    text = as_text(given, field, example)
    total = 0.0
    pairs = pairs_of(text, kind, field)
    last_unit = ""
    for i, (value, written) in enumerate(pairs):
        unit = written.strip().rstrip(".").lower()
        if unit in SPOONS:
            raise BadBrief(
                f"{field} {text!r} is a volume by the spoon; its weight depends on the grain.",
                field=field, value=text, limit=example, remedy=f"Weigh it, and write {example}.",
            )  # fmt: skip
        if (
            not unit
            and kind == "time"
            and i == len(pairs) - 1
            and last_unit in ("h", "hr", "hour", "hours")
            and value < 60
        ):
            unit = "min"  # 1h30
        if not unit:
            raise BadBrief(
                f"{field} {text!r} has no unit.",
                field=field,
                value=text,
                limit=example,
                remedy=f"Write it like {example}.",
            )
        if unit in table:
            total += value * table[unit]
        else:
            looked_up = by_library(value, unit, kind) if kind in ("mass", "length", "time", "volume") else None
            if looked_up is None:
                known = ", ".join(u for u in table if len(u) <= 5)
                raise BadBrief(
                    f"{field} {text!r}: {unit!r} is not a unit of {kind.replace('_', ' ')} known here ({known}).",
                    field=field, value=text, limit=known, remedy=f"Write it like {example}.",
                )  # fmt: skip
            total += looked_up
        last_unit = unit
    if len(pairs) > 1 and kind in ("fraction", "mg_per_kg", "diffusivity"):
        raise BadBrief(
            f"{field} {text!r} holds two numbers.",
            field=field,
            value=text,
            remedy=f"Write it like {example}.",
        )
    if not math.isfinite(total):
        raise OutOfRange(f"{field} {text!r} is too large to mean anything.", field=field, value=text)
    return total


def _within(value: float, low: float, high: float, shown: str, field: str, why: str, *, open_low: bool = True) -> float:
    if (value <= low if open_low else value < low) or value > high:
        raise OutOfRange(
            f"{field} is {shown}; {why}.",
            field=field,
            value=shown,
            limit=f"{low:g} to {high:g}",
            remedy="Check the number and its unit.",
        )
    return value


def mass_g(given: object, field: str = "weight", *, low: float = 0.0, high: float = 2e6, zero: bool = False) -> float:
    """A mass [g], above ``low`` (or equal with ``zero``) and at most ``high``."""
    value = read(given, "mass", field)
    return _within(
        value,
        low,
        high,
        f"{value:g} g",
        field,
        f"a weight here is above {low:g} g and at most {high:g} g",
        open_low=not zero,
    )


def length_mm(given: object, field: str = "thickness", *, low: float = 0.0, high: float = 5000.0) -> float:
    """A length [mm]."""
    value = read(given, "length", field)
    return _within(
        value, low, high, f"{value:g} mm", field, f"a length here is above {low:g} mm and at most {high:g} mm"
    )


def duration_h(
    given: object, field: str = "time", *, low: float = 0.0, high: float = 24.0 * 1000, zero: bool = True
) -> float:
    """A duration [h]."""
    value = read(given, "time", field)
    return _within(
        value,
        low,
        high,
        f"{value:g} h",
        field,
        f"a time here lies between {low:g} h and {high:g} h",
        open_low=not zero,
    )


def volume_l(given: object, field: str = "volume") -> float:
    """A volume [l]."""
    value = read(given, "volume", field)
    return _within(value, 0.0, 1e5, f"{value:g} l", field, "a volume here is above 0 l and at most 100,000 l")


def fraction(given: object, field: str = "share", *, low: float = 0.0, high: float = 1.0) -> float:
    """A share [1] written as percent or g/kg; a bare number is refused."""
    value = read(given, "fraction", field)
    shown = f"{value * 100:g} %"
    return _within(
        value,
        low,
        high,
        shown,
        field,
        f"a share here lies between {low * 100:g} % and {high * 100:g} %",
        open_low=False,
    )


def mg_per_kg(given: object, field: str = "nitrite") -> float:
    """A content [mg/kg]; a bare number means mg/kg, as the option's help says."""
    text = as_text(given, field, "118 or 118 mg/kg").strip()
    bare = re.fullmatch(r"[-+]?[\d.,]+(?:e[-+]?\d+)?", text, re.IGNORECASE)
    value = (
        number_of(text.lstrip("+-"), "", text, field) * (-1 if text.startswith("-") else 1)
        if bare
        else read(text, "mg_per_kg", field)
    )
    return _within(
        value,
        0.0,
        1e6,
        f"{value:g} mg/kg",
        field,
        "a content lies between 0 and 1,000,000 mg/kg",
        open_low=False,
    )


def diffusivity_m2_s(given: object, field: str = "diffusivity") -> float:
    """A diffusivity [m2/s]; a bare number means m2/s, as the option's help says."""
    text = as_text(given, field, "2.5e-10")
    try:
        value = float(text)
    except ValueError:
        value = read(text, "diffusivity", field)
    return _within(value, 0.0, 1e-8, f"{value:g} m2/s", field, "solutes in meat move at 1e-12 to 1e-9 m2/s")


def temperature_c(given: object, field: str = "temperature", *, low: float = -90.0, high: float = 400.0) -> float:
    """A temperature [C], written with C, F or K."""
    text = as_text(given, field, "4C or 38F")
    pairs = pairs_of(text, "temperature", field)
    value, unit = pairs[0]
    scale = TEMPERATURE.get(unit.strip().lower().removeprefix("deg").strip())
    if len(pairs) != 1 or scale is None:
        raise BadBrief(
            f"{field} {text!r} needs its scale: C or F.",
            field=field,
            value=text,
            limit="4C or 38F",
            remedy="Write it like 4C or 38F.",
        )
    if scale == "f":
        value = (value - 32) * 5 / 9
    elif scale == "k":
        value = celsius(value)
    return _within(
        value,
        low,
        high,
        f"{value:.1f} C",
        field,
        f"a temperature here lies between {low:g} C and {high:g} C",
        open_low=False,
    )


def curing_salt_g(given: object, field: str = "curing salt", *, zero: bool = False) -> float:
    """A mass of curing salt [g]; spoons are refused, with the reason."""
    text = as_text(given, field, "2.6g")
    if any(re.search(rf"(?<![a-z]){s}s?(?![a-z])", text.lower()) for s in SPOONS):
        raise Refused(
            f"{field} {text!r}: curing salt is never measured by the spoon. A level teaspoon holds anything from "
            "about 4 to 6 g depending on grain and packing, and the dose that cures and the dose that harms are close.",
            field=field, value=text, limit="grams", remedy="Weigh it on a scale that shows 0.1 g, and write it in g.",
        )  # fmt: skip
    return mass_g(text, field, zero=zero)


__all__ = [
    "HOUR_S",
    "PER_HUNDRED",
    "ZERO_CELSIUS_K",
    "celsius",
    "curing_salt_g",
    "days",
    "diffusivity_m2_s",
    "duration_h",
    "fahrenheit",
    "fraction",
    "grams",
    "hours",
    "kelvin",
    "kelvin_range",
    "kilograms",
    "length_mm",
    "mass_g",
    "metres",
    "mg_per_kg",
    "millimetres",
    "minutes",
    "ounces",
    "parts_per_million",
    "per_hundred",
    "pounds",
    "read",
    "seconds",
    "show_fraction",
    "show_hours",
    "show_mass",
    "show_minutes",
    "show_two",
    "temperature_c",
    "volume_l",
]
