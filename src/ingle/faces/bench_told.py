"""A figure of the bench as it is read: its value and its spread, hours as people say them, warmth as the house has it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ingle.faces.words import figure, with_unit
from ingle.ground.units import days, show_hours
from ingle.jobs.figures import Figure

if TYPE_CHECKING:
    from ingle.jobs.house import House

_COARSE_H, _FINE_H = 5.0, 1.0 / 6.0


def told(f: Figure, house: House | None = None) -> tuple[str, str]:
    """``("454 g", "(428 to 467)")``; the spread is empty where there is none."""
    if f.low is None or f.high is None or _one(f, f.low, house) == _one(f, f.high, house):
        return _one(f, f.value, house), ""
    low, high = _one(f, f.low, house), _one(f, f.high, house)
    if f.unit == "h":
        return _one(f, f.value, house), f"({low.removesuffix(' h') if high.endswith(' h') else low} to {high})"
    return _one(f, f.value, house), f"({low.partition(' ')[0]} to {high.partition(' ')[0]})"


def _one(f: Figure, value: float, house: House | None) -> str:
    if f.unit == "degC" and house is not None:
        return house.warmth(value).replace("\u00a0", " ")
    if f.unit == "h":
        return _hours(value)
    if f.unit in ("fills", "times"):
        return f"{value:.0f} {f.unit if value != 1 else f.unit[:-1]}"
    if f.unit == "d":
        return f"{figure(value)} d"
    if f.unit == "":
        return f"{value:.3f}"
    return with_unit(value, f.unit)


def _hours(hours: float) -> str:
    """Whole hours from five on, ten minutes below: a forecast bears no more. Days from three on."""
    if hours >= 72.0:
        return f"{figure(days(hours))} d"
    if hours >= _COARSE_H:
        return f"{hours:.0f} h"
    return show_hours(max(round(hours / _FINE_H), 1) * _FINE_H if hours > 0 else 0.0)
