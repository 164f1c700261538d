"""A written quantity taken apart: ``3 lb 1 oz`` into its numbers and the words behind them.

Units beyond the cook's table are looked up in the pint library, loaded only then because it costs more than a whole command.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from functools import cache
from typing import Any

from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.units_si import INCH_MM, OUNCE_G, POUND_G

MASS_G = {
    "kg": 1000.0, "kilo": 1000.0, "kilos": 1000.0, "g": 1.0, "gr": 1.0, "gram": 1.0, "grams": 1.0,
    "mg": 0.001, "lb": POUND_G, "lbs": POUND_G, "pound": POUND_G, "pounds": POUND_G,
    "oz": OUNCE_G, "ounce": OUNCE_G, "ounces": OUNCE_G, "t": 1e6,
}  # fmt: skip
LENGTH_MM = {
    "mm": 1.0, "cm": 10.0, "m": 1000.0, "in": INCH_MM, "inch": INCH_MM, "inches": INCH_MM, '"': INCH_MM,
}  # fmt: skip
TIME_H = {
    "s": 1 / 3600, "sec": 1 / 3600, "min": 1 / 60, "mins": 1 / 60, "minute": 1 / 60, "minutes": 1 / 60,
    "h": 1.0, "hr": 1.0, "hrs": 1.0, "hour": 1.0, "hours": 1.0, "d": 24.0, "day": 24.0, "days": 24.0,
    "w": 168.0, "week": 168.0, "weeks": 168.0,
}  # fmt: skip
VOLUME_L = {"l": 1.0, "litre": 1.0, "litres": 1.0, "liter": 1.0, "liters": 1.0, "ml": 0.001, "cl": 0.01, "dl": 0.1}
FRACTION = {"%": 0.01, "percent": 0.01, "g/kg": 0.001, "mg/kg": 1e-6, "ppm": 1e-6}
MG_PER_KG = {"mg/kg": 1.0, "ppm": 1.0, "g/kg": 1000.0, "%": 10000.0}
TEMPERATURE = {"c": "c", "f": "f", "k": "k", "celsius": "c", "fahrenheit": "f", "kelvin": "k"}
AREA_PER_TIME = {"m2/s": 1.0, "cm2/s": 1e-4}

SPOONS = ("tsp", "teaspoon", "teaspoons", "tbsp", "tablespoon", "tablespoons", "cup", "cups", "pinch", "pinches",
           "spoon", "spoons", "dash", "handful")  # fmt: skip

# kind -> (units, base unit, an example to show, pint name of the base)
KINDS: dict[str, tuple[dict[str, float], str, str, str]] = {
    "mass": (MASS_G, "g", "1.38kg, 850g or 3 lb 1 oz", "gram"),
    "length": (LENGTH_MM, "mm", "52mm, 5.2cm or 2 in", "millimeter"),
    "time": (TIME_H, "h", "5d, 36h, 1h30 or 45min", "hour"),
    "volume": (VOLUME_L, "l", "2l or 500ml", "liter"),
    "fraction": (FRACTION, "", "2.5% or 25 g/kg", ""),
    "mg_per_kg": (MG_PER_KG, "mg/kg", "118 mg/kg", ""),
    "diffusivity": (AREA_PER_TIME, "m2/s", "2.5e-10 m2/s", ""),
}

_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8"}
_NUMBER = r"(?:\d+\s+\d+/\d+|\d+/\d+|\d[\d.,]*(?:e[-+]?\d+)?|[.,]\d+)"
_PIECE = re.compile(rf"\s*([-+−]?)\s*({_NUMBER})\s*([^\d\s.,+\-−]*(?:\d/s)?)\s*", re.IGNORECASE)


def number_of(raw: str, unit: str, text: str, field: str) -> float:
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


def pairs_of(text: str, kind: str, field: str) -> list[tuple[float, str]]:
    """Split ``3 lb 1 oz`` into [(3, 'lb'), (1, 'oz')]; the sign belongs to the whole."""
    example = KINDS[kind][2] if kind in KINDS else "4C or 38F"
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
        value = number_of(number, unit, text, field)
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


def by_library(value: float, unit: str, kind: str) -> float | None:
    """A unit beyond the table, through pint; None when pint does not know it or it measures something else."""
    base = KINDS[kind][3]
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


def as_text(given: object, field: str, example: str) -> str:
    """What was given, as text; refused (BadBrief) where it is no quantity or empty."""
    if isinstance(given, bool) or given is None or not isinstance(given, str | int | float):
        raise BadBrief(
            f"{field} must be a quantity with its unit, not {given!r}.",
            field=field, value=given, limit=example, remedy=f"Write it like {example}.",
        )  # fmt: skip
    text = str(given)
    if not text.strip():
        raise BadBrief(f"{field} is empty.", field=field, value=text, limit=example, remedy=f"Write it like {example}.")
    return text
