"""Rows and words of a forecast of heat that several jobs give."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from ingle.crafts.heat.heated import Heated
from ingle.ground.units import millimetres


def finite(value: float) -> float | None:
    """None for what does not come about."""
    return float(value) if np.isfinite(value) else None


def band(values: Sequence[float]) -> dict[str, float | None]:
    """Low, likely and high of a band."""
    low, likely, high = values
    return {"low": finite(low), "likely": finite(likely), "high": finite(high)}


def slowest_words(h: Heated) -> str:
    """Where the core is."""
    if h.place == 0.0:
        return "the middle of the piece"
    up = millimetres(h.place * h.sizes.thickness)
    return f"{up:.0f} mm above the tray, in the middle of the other ways"


def basis_words(h: Heated) -> str:
    """How the numbers were made."""
    how = "closed form" if h.closed_form else "march by enthalpy, properties by temperature"
    return how if h.members == 1 else f"{how}; bands of {h.members} members, 5 to 95 %"


def stage_rows(h: Heated) -> list[dict[str, Any]]:
    """Each stage with its end."""
    return [
        {"kind": s.kind, "air_c": s.air_c, "chamber_c": s.air_c + s.offset()[0], "fan": s.fan, "until_core_c": s.until_c, "ends_s": e, "met": m, "film": s.film,
         "wrapped": s.wrapped, "to_core_s": None if t is None else band(t)}
        for s, e, m, t in zip(h.stages, h.ends, h.met, h.times, strict=True)
    ]  # fmt: skip


def curve_rows(h: Heated) -> list[dict[str, float]]:
    """Rows of the curve."""
    c = h.curves
    names = ("core", "surface", "mean", "core_low", "core_high", "mean_low", "mean_high", "surface_low", "surface_high")
    rows = []
    for i, s in enumerate(c.seconds):
        row = {"s": round(float(s), 3)} | {n: round(float(getattr(c, n)[i]), 4) for n in names}
        rows.append(row | ({} if c.probe is None else {"probe": round(float(c.probe[i]), 4)}))
    return rows
