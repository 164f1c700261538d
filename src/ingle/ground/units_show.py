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


def show_hours(hours: float, fine: bool = False) -> str:
    """A length of time as people say it: ``90 s``, ``45 min``, ``3 h 20 min``, ``36 h``, ``4 d 23 h``.

    Under two minutes seconds, under two hours minutes only, beyond a day no minutes (``1 d 9 h`` for 32 h 45 min). ``fine``
    tells one unit more where that is rounded away: a place in a record, two times that would read the same.

    >>> show_hours(0.81), show_hours(10 / 3), show_hours(1 / 120), show_hours(32.75), show_hours(32.75, fine=True)
    ('49 min', '3 h 20 min', '30 s', '1 d 9 h', '1 d 8 h 45 min')
    """
    seconds, minutes = round(hours * 3600), round(hours * 60)
    if seconds % 60 and seconds < 120:
        return f"{seconds} s"
    if fine and seconds % 60 and minutes < 10:
        return f"{seconds // 60} min {seconds % 60:02d} s"
    whole, rest = divmod(minutes, 60)
    if minutes < 120 or whole < 24 or (whole < 48 and rest == 0):
        return show_minutes(minutes, days=False)
    days, left = divmod(whole if fine else round(hours), 24)
    told = [f"{days} d"] + [f"{left} h"] * (left > 0) + [f"{rest:02d} min"] * (fine and rest > 0)
    return " ".join(told)


def show_two(hours: float, other: float) -> tuple[str, str]:
    """Two lengths of time side by side: one unit more where they would read the same and are not.

    >>> show_two(1.7, 1.5), show_two(119.6 / 3600, 2 / 60), show_two(479.8, 480)
    (('102 min', '90 min'), ('2 min', '2 min'), ('19 d 23 h 48 min', '20 d'))
    """
    told = show_hours(hours), show_hours(other)
    return told if told[0] != told[1] else (show_hours(hours, fine=True), show_hours(other, fine=True))


def show_minutes(minutes: int, days: bool = True) -> str:
    """Whole minutes with nothing rounded away, as a plan writes them: ``45 min``, ``3 h 20 min``, ``7 d 4 h``.

    Without ``days`` the hours go on: hands take ``35 h``.

    >>> show_minutes(10320), show_minutes(200), show_minutes(90), show_minutes(2100, days=False), show_minutes(0)
    ('7 d 4 h', '3 h 20 min', '90 min', '35 h', '0 min')
    """
    if minutes < 120:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    told = [f"{rest:02d} min"] * (rest > 0)
    if days and hours >= 48:
        day, hours = divmod(hours, 24)
        told = [f"{day} d"] + [f"{hours} h"] * (hours > 0) + told
        return " ".join(told)
    return " ".join([f"{hours} h", *told])


def show_fraction(value: float, digits: int = 2) -> str:
    """``2.5 %``: percent with the point's zeros dropped."""
    told = f"{value * 100:.{digits}f}"
    return (told.rstrip("0").rstrip(".") if "." in told else told) + " %"
