"""What may be said of a forecast: germ, place, window, quantity, line, and the inputs taken. Never a bare all-clear."""

from __future__ import annotations

import numpy as np

from ingle.ground.units import show_hours
from ingle.safety import germs, growth_interface
from ingle.safety.conditions import Conditions
from ingle.safety.growth_answer import at_place, logs, warmth
from ingle.safety.growth_record import GrowthRecord
from ingle.safety.growth_screen import Screen


def act(germ: str, answer: str, level: str, settle: str, likely: float) -> str:
    """The one act that helps; "" where none is called for."""
    if answer == "cannot_say":
        return f"Hold it cold and do not serve it until this is known: {settle}."
    if level == "within":
        return ""
    if germ in germs.TOXIN_FORMERS:
        return "Throw it away: the poison this germ makes outlasts cooking." if level == "over" else "Chill it now and use it first."
    if level == "over":
        return "Throw it away." if likely > germs.throw_away() else "Do not eat it uncooked. Cook it through without delay, or throw it away."
    return "Use it first, and keep it colder."


def text(
    germ: str, record: GrowthRecord, c: Conditions, at: int, likely: float, high: float, line: float, answer: str, ruled: Screen,
    psi: float | None, side: str, settle: str, why: str = "",
) -> str:  # fmt: skip
    """Germ, quantity, window, place, inputs and line in one sentence."""
    name = germs.NAMES[germ]
    where = f"{at_place(c.places[at])} (water activity {_value(c.aw[at])}, pH {_value(c.ph[at], 1)}, {_nitrite(germ, float(np.max(c.nitrite[at])))})"
    row = record.celsius if record.celsius.ndim == 1 else record.celsius[at]
    window = f"over {show_hours(record.hours)} at {warmth(float(row.min()), float(row.max()))}"
    if answer == "outside_range":
        return f"{name}: outside the published growth range at every place told of ({ruled.words}). Cells that are there may live on."
    if side == "no growth in that model":
        return f"{name}: no growth of it predicted by its model {window}, {where}: psi {psi:.2f}, the line is 1. Cells that are there may live on."
    if high < 1e-6:
        return f"{name}: no growth of it predicted by its model {window}, {where}. Cells that are there may live on."
    edge = f" At the boundary of growth (psi {psi:.2f})." if side == "at the boundary" else ""
    held = f" Not known: {settle}." if settle else ""
    return f"{name}: predicted gain {logs(likely)} (95 %: {logs(high)}) {window}, {where}.{edge} Compared with the {line:g}-log line{f' ({why})' if why else ''}.{held}"


def _nitrite(germ: str, left: float) -> str:
    return f"nitrite left {left:.0f} mg/kg" if left > 0 and germ in growth_interface.FITTED else "nitrite not counted"


def _value(x: np.ndarray, digits: int = 3) -> str:
    low, high = float(np.min(x)), float(np.max(x))
    return f"{low:.{digits}f}" if high - low < 10.0**-digits / 2 else f"{low:.{digits}f} to {high:.{digits}f}"
