"""The one converter: what cooks write, turned into numbers, and back.

Read: ``1.38kg``, ``3 lb 1 oz``, ``1/2 lb``, ``52mm``, ``38F``, ``5d``, ``1h30``, ``2.5%``, ``118 mg/kg``.
Each kind of quantity has one base unit inside ingle (the name of the function says it); physics works in
SI and converts with the small functions at the end. Units beyond the cook's table are looked up in the
pint library, loaded only then because it costs more than a whole command.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from functools import cache
from typing import Any

from ingle.ground.errors import BadBrief, OutOfRange, Refused

ZERO_CELSIUS_K = 273.15  # SI Brochure, 9th ed., 2.3.1: t/C = T/K - 273.15, exact
HOUR_S = 3600.0
PER_HUNDRED = 100.0
_POUND_G = 453.59237  # international pound, exact by definition
_INCH_MM = 25.4  # international inch, exact by definition

_MASS_G = {
    "kg": 1000.0, "kilo": 1000.0, "kilos": 1000.0, "g": 1.0, "gr": 1.0, "gram": 1.0, "grams": 1.0,
    "mg": 0.001, "lb": _POUND_G, "lbs": _POUND_G, "pound": _POUND_G, "pounds": _POUND_G,
    "oz": _POUND_G / 16, "ounce": _POUND_G / 16, "ounces": _POUND_G / 16, "t": 1e6,
}  # fmt: skip
_LENGTH_MM = {
    "mm": 1.0, "cm": 10.0, "m": 1000.0, "in": _INCH_MM, "inch": _INCH_MM, "inches": _INCH_MM, '"': _INCH_MM,
}  # fmt: skip
_TIME_H = {
    "s": 1 / 3600, "sec": 1 / 3600, "min": 1 / 60, "mins": 1 / 60, "minute": 1 / 60, "minutes": 1 / 60,
    "h": 1.0, "hr": 1.0, "hrs": 1.0, "hour": 1.0, "hours": 1.0, "d": 24.0, "day": 24.0, "days": 24.0,
    "w": 168.0, "week": 168.0, "weeks": 168.0,
}  # fmt: skip
_VOLUME_L = {
    "l": 1.0,
    "litre": 1.0,
    "litres": 1.0,
    "liter": 1.0,
    "liters": 1.0,
    "ml": 0.001,
    "cl": 0.01,
    "dl": 0.1,
}
_FRACTION = {"%": 0.01, "percent": 0.01, "g/kg": 0.001, "mg/kg": 1e-6, "ppm": 1e-6}
_MG_PER_KG = {"mg/kg": 1.0, "ppm": 1.0, "g/kg": 1000.0, "%": 10000.0}
_TEMPERATURE = {"c": "c", "f": "f", "k": "k", "celsius": "c", "fahrenheit": "f", "kelvin": "k"}
_AREA_PER_TIME = {"m2/s": 1.0, "cm2/s": 1e-4}

_SPOONS = ("tsp", "teaspoon", "teaspoons", "tbsp", "tablespoon", "tablespoons", "cup", "cups", "pinch", "pinches",
           "spoon", "spoons", "dash", "handful")  # fmt: skip

# kind -> (units, base unit, an example to show, pint name of the base)
_KINDS: dict[str, tuple[dict[str, float], str, str, str]] = {
    "mass": (_MASS_G, "g", "1.38kg, 850g or 3 lb 1 oz", "gram"),
    "length": (_LENGTH_MM, "mm", "52mm, 5.2cm or 2 in", "millimeter"),
    "time": (_TIME_H, "h", "5d, 36h, 1h30 or 45min", "hour"),
    "volume": (_VOLUME_L, "l", "2l or 500ml", "liter"),
    "fraction": (_FRACTION, "", "2.5% or 25 g/kg", ""),
    "mg_per_kg": (_MG_PER_KG, "mg/kg", "118 mg/kg", ""),
    "diffusivity": (_AREA_PER_TIME, "m2/s", "2.5e-10 m2/s", ""),
}

_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8"}
_NUMBER = r"(?:\d+\s+\d+/\d+|\d+/\d+|\d[\d.,]*(?:e[-+]?\d+)?|[.,]\d+)"
_PIECE = re.compile(rf"\s*([-+−]?)\s*({_NUMBER})\s*([^\d\s.,+\-−]*(?:\d/s)?)\s*", re.IGNORECASE)


def _number(raw: str, unit: str, text: str, field: str) -> float:
    """One written number; a lone separator before three digits is asked, never guessed."""
    raw = raw.strip()
    if "/" in raw:
        try:
            return float(sum(Fraction(p) for p in raw.split()))
        except ZeroDivisionError:
            raise BadBrief(f"{field} {text!r}: a fraction over nothing.", field=field, value=text) from None
    both = "," in raw and "." in raw
    if both:
        thousands = "," if raw.rfind(".") > raw.rfind(",") else "."
        raw = raw.replace(thousands, "").replace(",", ".")
    elif re.fullmatch(r"[1-9]\d{0,2}([.,])\d{3}", raw) and unit.lower() in (
        "g",
        "gr",
        "gram",
        "grams",
        "mm",
        "ml",
        "mg",
    ):
        whole, part = re.split(r"[.,]", raw)
        raise BadBrief(
            f"{field} {text!r} can be read as {whole}{part} {unit} or as {float(whole + '.' + part):g} {unit}.",
            field=field,
            value=text,
            limit="one meaning",
            remedy=f"Write {whole}{part} {unit}, or {float(whole + '.' + part):g} {unit}.",
        )
    elif raw.count(",") > 1 or raw.count(".") > 1:
        if not re.fullmatch(r"\d{1,3}(?:([.,])\d{3})(?:\1\d{3})*", raw):
            raise BadBrief(
                f"{field} {text!r} is not a number.",
                field=field,
                value=text,
                remedy="Write one decimal sign at most.",
            )
        raw = raw.replace(",", "").replace(".", "")
    else:
        raw = raw.replace(",", ".")
    try:
        value = float(raw)
    except ValueError:
        raise BadBrief(f"{field} {text!r} is not a number.", field=field, value=text) from None
    if not math.isfinite(value):
        raise OutOfRange(f"{field} {text!r} is too large to mean anything.", field=field, value=text)
    return value


def _pairs(text: str, kind: str, field: str) -> list[tuple[float, str]]:
    """Split ``3 lb 1 oz`` into [(3, 'lb'), (1, 'oz')]; the sign belongs to the whole."""
    example = _KINDS[kind][2] if kind in _KINDS else "4C or 38F"
    clean = text.strip()
    for sign, words in _VULGAR.items():
        clean = clean.replace(sign, " " + words)
    clean = clean.replace("\u00a0", " ").replace("\u202f", " ").replace("°", "").replace("²", "2").strip()
    clean = re.sub(r"(?<=\d) (?=\d{3}(?![\d/]))", "", clean)  # 1 380 g
    found: list[tuple[float, str]] = []
    at = 0
    while at < len(clean):
        match = _PIECE.match(clean, at)
        if not match or match.end() == at:
            found = []
            break
        sign, number, unit = match.groups()
        if sign in ("-", "−") and found:
            found = []
            break
        value = _number(number, unit, text, field)
        found.append((-value if sign in ("-", "−") else value, unit))
        at = match.end()
    if not found:
        raise BadBrief(
            f"{field} {text!r} cannot be read.",
            field=field,
            value=text,
            limit=example,
            remedy=f"Write it like {example}.",
        )
    return found


@cache
def _registry() -> Any:
    import pint  # loaded only for rare units: its import takes longer than a whole command

    return pint.UnitRegistry()


def _by_library(value: float, unit: str, kind: str) -> float | None:
    """A unit beyond the table, through pint; None when pint does not know it or it measures something else."""
    base = _KINDS[kind][3]
    if not base or not re.fullmatch(r"[a-z_]{1,24}", unit):
        return None
    try:
        return float(_registry().Quantity(value, unit).to(base).magnitude)
    except (
        AttributeError,
        TypeError,
        ValueError,
        AssertionError,
        KeyError,
    ):  # pint's own errors are among these
        return None


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
    table, _, example, _ = _KINDS[kind]
    text = _as_text(given, field, example)
    total = 0.0
    pairs = _pairs(text, kind, field)
    last_unit = ""
    for i, (value, written) in enumerate(pairs):
        unit = written.strip().rstrip(".").lower()
        if unit in _SPOONS:
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
            looked_up = _by_library(value, unit, kind) if kind in ("mass", "length", "time", "volume") else None
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


def _as_text(given: object, field: str, example: str) -> str:
    if isinstance(given, bool) or given is None or not isinstance(given, str | int | float):
        raise BadBrief(
            f"{field} must be a quantity with its unit, not {given!r}.",
            field=field, value=given, limit=example, remedy=f"Write it like {example}.",
        )  # fmt: skip
    text = str(given)
    if not text.strip():
        raise BadBrief(f"{field} is empty.", field=field, value=text, limit=example, remedy=f"Write it like {example}.")
    return text


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
    text = _as_text(given, field, "118 or 118 mg/kg").strip()
    bare = re.fullmatch(r"[-+]?[\d.,]+(?:e[-+]?\d+)?", text, re.IGNORECASE)
    value = (
        _number(text.lstrip("+-"), "", text, field) * (-1 if text.startswith("-") else 1)
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
    text = _as_text(given, field, "2.5e-10")
    try:
        value = float(text)
    except ValueError:
        value = read(text, "diffusivity", field)
    return _within(value, 0.0, 1e-8, f"{value:g} m2/s", field, "solutes in meat move at 1e-12 to 1e-9 m2/s")


def temperature_c(given: object, field: str = "temperature", *, low: float = -90.0, high: float = 400.0) -> float:
    """A temperature [C], written with C, F or K."""
    text = _as_text(given, field, "4C or 38F")
    pairs = _pairs(text, "temperature", field)
    value, unit = pairs[0]
    scale = _TEMPERATURE.get(unit.strip().lower().removeprefix("deg").strip())
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
    text = _as_text(given, field, "2.6g")
    if any(re.search(rf"(?<![a-z]){s}s?(?![a-z])", text.lower()) for s in _SPOONS):
        raise Refused(
            f"{field} {text!r}: curing salt is never measured by the spoon. A level teaspoon holds anything from "
            "about 4 to 6 g depending on grain and packing, and the dose that cures and the dose that harms are close.",
            field=field, value=text, limit="grams", remedy="Weigh it on a scale that shows 0.1 g, and write it in g.",
        )  # fmt: skip
    return mass_g(text, field, zero=zero)


# -- showing -----------------------------------------------------------------------------------------------------------


def show_mass(grams: float, step_g: float | None = None) -> str:
    """``850 g``, ``1.38 kg``; below 10 g and for curing salts by the scale's step."""
    if step_g is not None and grams < 1000:
        decimals = max(0, -math.floor(math.log10(step_g) + 1e-9))
        return f"{grams:.{decimals}f} g"
    if grams < 10:
        return f"{grams:.1f} g"
    if grams < 999.5:
        return f"{grams:.0f} g"
    return f"{grams / 1000:.2f} kg"


def show_hours(hours: float) -> str:
    """``4 d 23 h``, ``36 h``, ``1 d 9 h`` for 32 h 45 min, ``45 min``; under two hours minutes only, beyond a day no minutes."""
    minutes = round(hours * 60)
    if minutes < 120:
        return f"{minutes} min"
    whole, rest = divmod(minutes, 60)
    if whole < 24 or (whole < 48 and rest == 0):
        return f"{whole} h" if rest == 0 else f"{whole} h {rest:02d} min"
    days, left = divmod(round(hours), 24)
    return f"{days} d" if left == 0 else f"{days} d {left} h"


def show_fraction(value: float, digits: int = 2) -> str:
    """``2.5 %``: percent with the point's zeros dropped."""
    return f"{value * 100:.{digits}f}".rstrip("0").rstrip(".") + " %"


# -- between the cook's base units and SI ------------------------------------------------------------------------------


def kelvin(celsius_: float) -> float:
    """[C] to [K]."""
    return celsius_ + ZERO_CELSIUS_K


def celsius(kelvin_: float) -> float:
    """[K] to [C]."""
    return kelvin_ - ZERO_CELSIUS_K


def metres(millimetres: float) -> float:
    """[mm] to [m]."""
    return millimetres / 1000


def millimetres(metres_: float) -> float:
    """[m] to [mm]."""
    return metres_ * 1000


def kilograms(grams: float) -> float:
    """[g] to [kg]."""
    return grams / 1000


def grams(kilograms_: float) -> float:
    """[kg] to [g]."""
    return kilograms_ * 1000


def seconds(hours: float) -> float:
    """[h] to [s]."""
    return hours * HOUR_S


def hours(seconds_: float) -> float:
    """[s] to [h]."""
    return seconds_ / HOUR_S


def days(hours_: float) -> float:
    """[h] to [d]."""
    return hours_ / 24


def minutes(hours_: float) -> int:
    """[h] to whole [min]."""
    return round(hours_ * 60)


def parts_per_million(fraction_: float) -> float:
    """[1] to [mg/kg]."""
    return fraction_ * 1e6


def per_hundred(fraction_: float) -> float:
    """[1] to [g/100 g] or [%]."""
    return fraction_ * PER_HUNDRED


def pounds(grams_: float) -> float:
    """Grams in pounds.

    >>> round(pounds(1380), 3)
    3.042
    """
    return grams_ / _POUND_G


def ounces(grams_: float) -> float:
    """Grams in ounces.

    >>> round(ounces(34), 2)
    1.2
    """
    return grams_ / _MASS_G["oz"]


def fahrenheit(celsius_: float) -> float:
    """Celsius in Fahrenheit.

    >>> fahrenheit(5.0)
    41.0
    """
    return celsius_ * 9 / 5 + 32
