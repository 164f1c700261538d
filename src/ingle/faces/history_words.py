"""The words of a history's picture: the window, what each stage leaves, lines that fit."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

import numpy as np

from ingle.faces.history_given import Named
from ingle.faces.history_panels import Floats, told_band
from ingle.faces.setting import width as set_width
from ingle.faces.words import clean
from ingle.ground.things import Forecast
from ingle.ground.units import show_hours

TIE = "\u00a0"


def ready_words(forecast: Forecast, end_h: float) -> str:
    """What is not in the numbers, then the window."""
    early, likely, late = (_tied(h) for h in (forecast.earliest_h, forecast.likely_h, forecast.latest_h))
    outside = f"Not in these numbers: {'; '.join(forecast.not_in_it)}. " if forecast.not_in_it else ""
    what = re.sub(r"(\d) ?%", f"\\1{TIE}%", clean(forecast.what))
    what = what[:1].upper() + what[1:]
    if forecast.latest_h <= end_h:
        return f"{outside}{what} between {early} and {late}, most likely after {likely}."
    if forecast.earliest_h > end_h:
        return f"{outside}{what}: not within these stages."
    grains = forecast.quantiles_h
    by_end = f" By the end of these stages {sum(q <= end_h for q in grains)} of {len(grains)} do." if grains else ""
    return f"{outside}{what}: after {early} at the earliest (5{TIE}%).{by_end}"


def _tied(hours: float) -> str:
    """A time that is not broken over two lines; empty where it is never."""
    return show_hours(hours).replace(" ", TIE) if math.isfinite(hours) else ""


def at_hour(hours: Floats, rows: Floats, hour: float) -> Floats:
    """A band at one hour, on straight lines. Shape (3,)."""
    return np.array([np.interp(hour, hours, row) for row in rows])


def broken(text: str, room: float, size: float, face: str) -> list[str]:
    """Lines that fit, broken at spaces."""
    found: list[str] = []
    for word in clean(text).split(" "):
        if found and set_width(f"{found[-1]} {word}", size, face) <= room:
            found[-1] += f" {word}"
        else:
            found.append(word)
    return found


def said(hours: Floats, rows: dict[str, Floats], stages: Sequence[Named], ready: str) -> str:
    """The picture in words: what each stage leaves."""
    told = []
    for name, _, end in stages:
        core, whole, surface, change, nitrite = (
            told_band(at_hour(hours, rows[k], end), signed=k == "change_pct", ranged=k == "core")
            for k in ("core", "mean", "surface", "change_pct", "nitrite_core")
        )
        told.append(
            f"after {clean(name)}, {show_hours(end)}: core {core}, whole {whole}, surface {surface} g per 100 g, "
            f"weight {change} %, nitrite {nitrite} mg/kg"
        )
    return f"{'; '.join(told)}. {ready}".strip()
