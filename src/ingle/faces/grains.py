"""Twenty grains: a forecast as twenty equally likely moments, counted in words and drawn as dots."""

from __future__ import annotations

from dataclasses import dataclass

from ingle.faces.words import fit, wrap
from ingle.ground.things import Forecast
from ingle.ground.units import show_hours

KEY = "A grain is one chance in twenty."


@dataclass(frozen=True)
class Grain:
    """One grain: its time in hours from the start of the forecast, its bin, its place in the stack, and its side."""

    at_h: float
    bin: int
    height: int
    before: bool


def bin_hours(forecast: Forecast, target_bins: int = 28) -> float:
    """Width of a bin: 1 h within a day, 4 h up to a few days, then whole multiples of 4 h that keep the row short."""
    spread = max(forecast.quantiles_h, default=0.0) - min(forecast.quantiles_h, default=0.0)
    if spread <= 24:
        return 1.0
    width = 4.0
    while spread / width > target_bins:
        width += 4.0
    return width


def grains(forecast: Forecast, planned_h: float | None = None) -> tuple[Grain, ...]:
    """The grains of a forecast, stacked by bin; a grain at or before ``planned_h`` is before."""
    width = bin_hours(forecast)
    stack: dict[int, int] = {}
    found = []
    for at in sorted(forecast.quantiles_h):
        place = int(at // width)
        found.append(Grain(at, place, stack.get(place, 0), planned_h is None or at <= planned_h))
        stack[place] = stack.get(place, 0) + 1
    return tuple(found)


def count_words(forecast: Forecast, planned_h: float, what: str = "the pull") -> str:
    """``18 of 20 fall before the pull``; empty where the forecast has no grains."""
    dots = grains(forecast, planned_h)
    if not dots:
        return ""
    return f"{sum(d.before for d in dots)} of {len(dots)} fall before {what}"


def grains_text(forecast: Forecast, planned: float | None = None, *, unicode: bool = False, width: int = 80) -> str:
    """Grains in a terminal: stacked ``o`` before the planned hour, ``x`` after, and the same in words.

    ``planned`` [h] is counted from the start of the forecast, as the forecast's own hours are.
    """
    dots = grains(forecast, planned)
    said = f"{forecast.what}: between {show_hours(forecast.earliest_h)} and {show_hours(forecast.latest_h)}, most likely {show_hours(forecast.likely_h)}"
    lines = []
    if dots:
        step = bin_hours(forecast)
        full, hollow = ("\u25cf", "\u25cb") if unicode else ("o", "x")
        low, high = dots[0].bin, dots[-1].bin
        pull = None if planned is None else min(max(int(planned // step), low - 1), high + 1)
        span = range(min(low, low if pull is None else pull), max(high, high if pull is None else pull) + 1)
        if len(span) > width - 4:
            raise ValueError(f"{len(span)} bins do not fit {width} columns")
        for height in range(max(d.height for d in dots), -1, -1):
            row = {d.bin: full if d.before else hollow for d in dots if d.height == height}
            lines.append(("  " + "".join(row.get(b, " ") for b in span)).rstrip())
        base = "\u2500" if unicode else "-"
        lines.append("  " + "".join("|" if b == pull else base for b in span))
        lines.append(f"  one column is {show_hours(step)}, the first begins at {show_hours(max(0, span[0]) * step)}")
    if dots and planned is not None:
        said += f". {count_words(forecast, planned)} at {show_hours(planned)} ({full} before, {hollow} after)"
    lines.append(said + ".")
    if forecast.not_in_it:
        lines.insert(0, "Not in these numbers: " + "; ".join(forecast.not_in_it) + ".")
    told = []
    for line in lines:
        told += [line] if line.startswith("  ") else wrap(fit(line, unicode), width)
    return "\n".join(told)
