"""One germ at its worst place against its line: answer, level, and the one reading that would settle what nobody measured."""

from __future__ import annotations

import numpy as np

from ingle.ground.units import HOUR_S, show_hours
from ingle.physics.growth_curve import LN10, lag_work, log_gain, work_for
from ingle.safety import germs, growth_forecast, growth_interface, growth_rate
from ingle.safety.conditions import Conditions
from ingle.safety.growth_answer import LEVEL_OF, NOT_CHECKED, Growth
from ingle.safety.growth_forecast import Work
from ingle.safety.growth_record import GrowthRecord, time_in
from ingle.safety.growth_screen import Screen
from ingle.safety.growth_words import act, text

LISTERIA_LAG = 2.79  # nominal work in the lag, mode of a risk assessment; told beside, never judged
SETTLE = {
    "aw": "the water activity of that place, or a weighed salt content of its water",
    "ph": "the pH of that place, by a meter calibrated at two points",
    "temperature": "a logger beside the food for one night",
}


def against_line(
    germ: str, record: GrowthRecord, c: Conditions, found: Work, ruled: Screen, line: float, meat: str, start_log10: float, again: object,
    why: str,
) -> Growth:  # fmt: skip
    """A germ's forecast against its line [log10]; ``again`` works it out for other conditions, ``why`` tells where the line comes from."""
    at = found.worst
    room = max(germs.ceiling(germ) - start_log10, 0.0) * LN10
    low, likely, high = (float(log_gain(float(w[at]), 0.0, room)) / LN10 for w in (found.low, found.likely, found.high))
    psi = None if found.psi is None else float(found.psi.min())
    side = "" if psi is None else growth_interface.told(psi)
    answer, level = _judged(likely, high, line, ruled.everywhere, side)
    settle = _settles(c, line, room, again) if answer == "above" and c.unmeasured else ""
    if settle:
        answer = level = "cannot_say"
    p = growth_rate.perfringens(meat) if germ == "perfringens" else growth_interface.law(germ)
    lag = lag_work(p["q0"]) if "q0" in p else LISTERIA_LAG if germ == "listeria" else None
    notes = (*record.notes, *_outside(germ, record))
    return Growth(
        organism=germs.NAMES[germ], key=germ, answer=answer, level=level, log10_low=low, log10=likely, log10_high=high,
        place=c.places[at], hours=record.hours, line=line, line_clause=why or str(germs.line(germ)["clause"]), source=p["source"], sure=p["sure"],
        text=text(germ, record, c, at, likely, high, line, answer, ruled, psi, side, settle, why),
        log10_with_lag=None if lag is None else float(log_gain(float(found.likely[at]), lag, room)) / LN10,
        psi=psi if psi is not None and np.isfinite(psi) else None, interface=side, hours_to_line=_reached(germ, record, c, at, meat, line, room) if likely > line else None,
        settle=settle, act=act(germ, answer, level, settle, likely), ruled_out_by=ruled.words, assumed=c.assumed, notes=notes,
        not_checked=(*NOT_CHECKED, "places not told of"), doubt=p.get("doubt", ""),
    )  # fmt: skip


def _judged(likely: float, high: float, line: float, ruled_out: bool, side: str) -> tuple[str, str]:
    """Answer and level; no layer overrides a worse answer of another."""
    if likely > line * (1 + 1e-9):
        return "above", "over"
    answer = "outside_range" if ruled_out else "below"
    near = high > line or (side == "at the boundary" and not ruled_out)
    return answer, "near" if near else LEVEL_OF[answer]


def _settles(c: Conditions, line: float, room: float, again: object) -> str:
    """The one reading that could bring the answer below its line, of those nobody took; "" where none could."""
    assert callable(again)

    def brings_below(moved: Conditions) -> bool:
        worst = again(moved)
        return float(log_gain(float(worst.likely.max()), 0.0, room)) / LN10 <= line

    for factor in c.unmeasured:
        if brings_below(c.at_other_end(factor)):
            return SETTLE[factor]
    moved = c
    for factor in c.unmeasured:
        moved = moved.at_other_end(factor)
    return SETTLE[c.unmeasured[0]] if len(c.unmeasured) > 1 and brings_below(moved) else ""


def _reached(germ: str, record: GrowthRecord, c: Conditions, at: int, meat: str, line: float, room: float) -> float:
    seconds, done = growth_forecast.course(germ, record, c, at, meat)
    return float(np.interp(float(work_for(line * LN10, 0.0, max(room, line * LN10 * 1.01))), done, seconds)) / HOUR_S


def _outside(germ: str, record: GrowthRecord) -> tuple[str, ...]:
    ends = growth_rate.outside(germ)
    hours = float(time_in(record, *ends).max()) / HOUR_S if ends[1] > ends[0] else 0.0
    return (f"{show_hours(hours)} outside range of the model, above {ends[0]:g} C, counted at the fastest rate known",) if hours > 0 else ()


def without_model(germ: str, record: GrowthRecord, c: Conditions, ruled: Screen) -> Growth:
    """A germ of which no model is carried: outside its published range, or not to be said."""
    name = germs.NAMES[germ]
    out = ruled.everywhere
    words = f"{name}: outside the published growth range: {ruled.words}." if out else f"{name}: growth is possible here, and no model of it is carried: go by the published hours."
    return Growth(
        organism=name, key=germ, answer="outside_range" if out else "cannot_say", level="within" if out else "cannot_say",
        log10_low=None, log10=None, log10_high=None, place=c.places[0], hours=record.hours, line=None, line_clause="",
        source="fda-fish-hazards", sure="memory", text=words, settle="" if out else "none: no model is carried",
        act="" if out else "Hold it cold and go by the hours of the published table.", ruled_out_by=ruled.words, assumed=c.assumed, notes=record.notes,
    )  # fmt: skip
