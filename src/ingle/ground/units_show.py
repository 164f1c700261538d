"""Quantities as they are shown: a number never without its unit."""

from __future__ import annotations

import math


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
