"""What a step's place wants of the cook, in words: where the dial stands, whether the fan is on, what makes the smoke.

A part file names the heat a thing shall have; a kit says by how much an oven misses its dial. The dial takes up the difference, so that
the chamber is as warm as the part file wishes.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from ingle.crafts import smoke
from ingle.planning.kit_things import AnyPlace, Cold, Oven, Smoker
from ingle.planning.spans import moment

_FIRE = "An open fire warms the chamber as well: read it oftener."


def dial_c(oven: Oven, true_c: float) -> int:
    """Where the dial stands for a chamber of ``true_c``. [C]"""
    return round(true_c - (oven.offset_mean_c or 0.0))


def runs(oven: Oven) -> str:
    """``it runs 10 C warm``; "" of one that is true, or of which nothing is said."""
    off = oven.offset_mean_c or 0.0
    return f"it runs {abs(off):.3g} C {'warm' if off > 0 else 'cold'}" if off else ""


def about(place: AnyPlace) -> str:
    """What a kit says of a place beside its size: ``old oven, fan, runs 10 C warm``."""
    if isinstance(place, Oven):
        return ", ".join(w for w in (place.name, "fan" if place.fan else "", runs(place).removeprefix("it ")) if w)
    return f"{place.name}, {place.makes_smoke or 'no smoke of its own'}" if isinstance(place, Smoker) else place.name


def place_words(place: AnyPlace, amount: int, mode_c: int | None) -> str:
    """A place as a line names it: ``old oven set to 170 C, fan: it runs 10 C warm, 180 C inside``, ``fridge 6 l``, ``smoker, 2 rails, tray``."""
    if isinstance(place, Oven):
        if mode_c is None or dial_c(place, mode_c) == mode_c:
            heat = place.name if mode_c is None else f"{place.name} {mode_c} C"
            return f"{heat}, fan" if place.fan else heat
        return f"{place.name} set to {dial_c(place, mode_c)} C{', fan' if place.fan else ''}: {runs(place)}, {mode_c} C inside"
    if isinstance(place, Smoker):
        return f"{place.name}, {amount} rail{'s' if amount > 1 else ''}, {place.makes_smoke}"
    return f"{place.name} {amount} l" if isinstance(place, Cold) else place.name


def place_lines(place: AnyPlace, mode_c: int | None, start: datetime, lasts_h: float, forecast: bool, done: str = "") -> tuple[str, ...]:
    """Sentences for the step: where the dial stands and from when, how often the smoke is fed.

    Parameters
    ----------
    start : datetime
        When it begins, on the kitchen's clock; an oven is lit as much sooner as it takes to heat up.
    lasts_h : float
        How long it is planned to last. [h]
    forecast : bool
        Its length is a forecast that knows the fan.
    done : str
        How early and how late it may be done, said with the heat: a sheet has few lines.
    """
    if isinstance(place, Oven):
        return () if mode_c is None else (_oven_line(place, mode_c, start, forecast, done),)
    return tuple(_smoke_lines(place, lasts_h)) if isinstance(place, Smoker) and mode_c is None else ()


def _oven_line(oven: Oven, mode_c: int, start: datetime, forecast: bool, done: str) -> str:
    dial = dial_c(oven, mode_c)
    by = f" by {moment(start, -oven.heat_up_min):%H:%M}" if oven.heat_up_min else ""
    fan = ", fan on" if oven.fan else ""
    off = f": {runs(oven)}, so that it is {mode_c} C inside" if dial != mode_c else ""
    after = f"; {done[0].lower()}{done[1:]}" if done else ""
    early = "; look early, that time knows no fan" if oven.fan and not forecast else ""
    return f"Set the {oven.name} to {dial} C{by}{fan}{off}{after}{early}"


def _smoke_lines(smoker: Smoker, lasts_h: float) -> Sequence[str]:
    """Fuel for the run, where its burning time is known; planned on the shortest, so that the smoke does not go out."""
    if smoker.makes_smoke not in smoke.FUELS:
        return [_FIRE] if smoker.makes_smoke == "open fire" else []
    fuel = smoke.fuel(lasts_h, smoker.makes_smoke)
    burns = f"{fuel.lasts_low_h:g} to {fuel.lasts_high_h:g} h"
    if fuel.fills == 1:
        return [f"One fill of the {fuel.kind}, which burns {burns}"]
    return [f"{fuel.fills} fills of the {fuel.kind}, each burns {burns}: fill it again before it goes out"]
