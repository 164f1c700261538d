"""How faces say things: figures, levels and limits here; days and hours in `when`, text that fits a place in `text`.

No food number is made here.
"""

from __future__ import annotations

from ingle.faces.text import (
    QUANTITY,
    ascii_only,
    cells,
    clean,
    cut,
    fit,
    pad,
    sentence,
    slug,
    tie,
    wrap,
)
from ingle.faces.when import (
    DAYS,
    LONG_DAYS,
    LONG_MONTHS,
    MONTHS,
    WAKING,
    clock,
    day,
    day_month,
    long_day,
    meal_at,
    minutes_between,
    moment,
    ready_words,
    span,
    to_go,
    waking,
)
from ingle.ground.units import show_hours, show_two
from ingle.safety.verdict import WORDS, Verdict

LEVEL_ORDER = ("within", "cannot_say", "near", "over")  # what matters most comes last
MARK = {"within": "within", "near": "NEAR", "over": "OVER", "cannot_say": "cannot say"}

STATES = {"planned": "planned", "going": "in the making", "done": "done", "discarded": "thrown away"}  # of a batch
DEGREE = "\u00b0"
HOURS = {"d": 24.0, "h": 1.0, "min": 1 / 60, "s": 1 / 3600}  # said in days, hours, minutes and seconds


def figure(value: float) -> str:
    """A number as it is read: at most four figures, zeros at the end dropped, commas from 1,000."""
    if value == 0:
        return "0"
    size = abs(value)
    if size >= 1000:
        return f"{value:,.0f}"
    digits = 0 if size >= 100 else 1 if size >= 10 else 2 if size >= 1 else 3
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def state_words(state: str) -> str:
    """How people say how far a batch is: ``in the making``."""
    return STATES.get(state, state)


def with_unit(value: float, unit: str) -> str:
    """``4 °C``, ``pH 4.6``, ``13 d 10 h``: the unit never leaves its number."""
    unit = unit_words(unit)
    if unit == "pH":
        return f"pH {figure(value)}"
    if unit in HOURS and value >= 0:
        return show_hours(value * HOURS[unit])
    if unit == "pieces" and round(value, 3) == 1:
        unit = "piece"
    return f"{figure(value)} {unit}".rstrip()


def unit_words(unit: str) -> str:
    """A unit as people write it: ``°C``; nothing for a plain number."""
    return "" if unit == "1" else clean(unit).replace("degC", "\u00b0C").replace("log10", "log")


_CLOCK = {"%Y": "YYYY", "%y": "YY", "%m": "MM", "%d": "DD", "%b": "month", "%B": "month", "%H": "hh", "%I": "hh", "%M": "mm", "%S": "ss", "%p": "AM or PM",
          "%.f": ".s", "%f": "s", "%z": "+hh:mm", "%#z": "+hh:mm"}  # fmt: skip


def pattern_words(pattern: str) -> str:
    """How a file writes its times, as people write it down: ``YYYY-MM-DDThh:mm:ss+hh:mm``."""
    for sign in sorted(_CLOCK, key=len, reverse=True):
        pattern = pattern.replace(sign, _CLOCK[sign])
    return pattern


def amount(value: float, unit: str) -> str:
    """What to buy or weigh: ``850 g``, ``1.38 kg``, ``2.4 l``, ``6 pieces``."""
    if unit == "g" and value >= 999.5:
        return f"{value / 1000:.2f} kg"
    if unit == "ml" and value >= 999.5:
        return f"{figure(value / 1000)} l"
    if unit == "g" and value < 10:
        return f"{value:.1f} g"
    return "1 piece" if unit == "pieces" and round(value) == 1 else f"{value:,.0f} {unit}"


def is_chance(verdict: Verdict) -> bool:
    """True for a forecast of this plan given as a chance between 0 and 1: it is shown as grains of twenty."""
    return verdict.kind == "plan" and not verdict.unit and verdict.limit is not None and 0 < verdict.limit <= 1


def _number(verdict: Verdict, value: float) -> str:
    if is_chance(verdict):
        return f"{figure(round(value * 20, 1))} of 20"
    if verdict.unit in HOURS and value >= 0 and verdict.value is not None and verdict.limit is not None:
        beside = verdict.limit if value == verdict.value else verdict.value  # a value over its limit never reads as the limit
        return show_two(value * HOURS[verdict.unit], beside * HOURS[verdict.unit])[0]
    return with_unit(value, verdict.unit)


def is_floor(verdict: Verdict) -> bool:
    """True when the limit is a least value, told by ``more["side"]`` or by where value and level stand."""
    told = str(verdict.more.get("side", ""))
    if told:
        return told in ("min", "at least", "floor")
    if is_chance(verdict):
        return True
    if verdict.value is None or verdict.limit is None or verdict.level == "cannot_say":
        return False
    below = verdict.value < verdict.limit
    return below if verdict.level == "over" else verdict.value > verdict.limit


def limit_words(verdict: Verdict) -> str:
    """``at most 5 °C``; empty where there is no limit."""
    if verdict.limit is None:
        return ""
    return f"{'at least' if is_floor(verdict) else 'at most'} {_number(verdict, verdict.limit)}"


def value_words(verdict: Verdict) -> str:
    """``3.6 % (3.4 to 3.8 %)``; "no value" where there is none."""
    if verdict.value is None:
        return "no value"
    told = _number(verdict, verdict.value)
    if verdict.low is not None and verdict.high is not None and verdict.high > verdict.low:
        low, high = (_number(verdict, v) for v in (verdict.low, verdict.high))
        bare = figure(verdict.low), figure(verdict.high)
        if verdict.unit in HOURS or is_chance(verdict):
            told += f" ({low} to {high})" if low != high else ""
        elif bare[0] != bare[1]:  # a long unit is not said twice
            told += f" ({bare[0]} to {high if len(verdict.unit) < 8 and verdict.unit != 'pH' else bare[1]})"
    return told


def step_of(verdict: Verdict) -> str:
    """Id of the step a verdict is about, from ``more["step"]`` or the rule's ``name@step``; empty when it names none."""
    return str(verdict.more.get("step") or verdict.rule.partition("@")[2])


def level_words(level: str) -> str:
    """``over the line``."""
    return WORDS[level]


__all__ = [
    "DAYS", "LEVEL_ORDER", "LONG_DAYS", "LONG_MONTHS", "MARK", "MONTHS", "QUANTITY", "WAKING", "WORDS", "amount",
    "ascii_only", "cells", "clean", "clock", "cut", "day", "day_month", "figure", "fit", "is_chance", "is_floor",
    "level_words", "limit_words", "long_day", "meal_at", "minutes_between", "moment", "pad", "pattern_words", "ready_words", "sentence",
    "slug", "span", "state_words", "step_of", "tie", "to_go", "unit_words", "value_words", "waking", "with_unit", "wrap",
]  # fmt: skip
