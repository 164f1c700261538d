"""Was it cooled fast enough: every named rule, stage by stage, from a log or a forecast of the warmest point.

    >>> import numpy as np
    >>> t = np.arange(0.0, 8 * 3600.0, 300.0)
    >>> stages = judge(t, 3 + 69 * np.exp(-t / 6000.0), countries=("us",))
    >>> [(s.rule, s.segment, s.level) for s in stages][:2]
    [('fsis-1-1', 'a', 'within'), ('fsis-1-1', 'b', 'within')]
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from ingle.ground.errors import BadBrief
from ingle.ground.units import HOUR_S, show_hours
from ingle.safety import cooling_clock as clock
from ingle.safety.cooling_clock import Events
from ingle.safety.cooling_rules import Facts, Rule, all_rules, usable
from ingle.safety.cooling_stage import Stage, stage_of
from ingle.safety.limits import countries as country_keys
from ingle.safety.probe_runs import ONE_COLUMN, THINNER, Marked, marked, swings
from ingle.safety.thermal_record import ThermalRecord, read, require_error

__all__ = ["Stage", "judge", "strictest", "worst"]

LONGEST_GAP_S = 1800.0  # ours: a core cools by few kelvin in half an hour; across a longer hole the worst end is taken
WARMEST_RAW_C = 40.0  # no raw meat is warmer than the animal was; what is, was heated
SWINGS = "whether this is the middle of the piece: the readings swing like the air of a fridge"
NOT_COOKED = "whether it was cooked before: the rules on cooling are for cooked food"
_HOT_C = 60.0  # a record whose first reading is at least this hot begins with the end of the heat
_FRIDGE_F = (33.0, 48.0)  # a fridge of 0.5 to 9 C as it reads in Fahrenheit
_RANK = {"within": 0, "cannot_say": 1, "near": 2, "over": 3}


def judge(
    seconds: ArrayLike,
    celsius: ArrayLike,
    *,
    nitrite_mg_per_kg: float | None = None,
    brine_pct: float | None = None,
    aw: float | None = None,
    ascorbate: bool | None = None,
    intact: bool | None = None,
    partly_cooked: bool = False,
    ambient: bool = False,
    cooked: bool | None = None,
    countries: Sequence[str] = (),
    celsius_low: ArrayLike | None = None,
    celsius_high: ArrayLike | None = None,
    probe_error_c: float = 0.0,
    cook_end_s: float | None = None,
    chill_start_s: float | None = None,
    start_s: float | None = None,
    longest_gap_s: float = LONGEST_GAP_S,
    is_celsius: bool = False,
    thickness_mm: float | None = None,
    moved: bool | None = None,
) -> tuple[Stage, ...]:
    """Judge the cooling of the warmest point against named rules.

    Parameters
    ----------
    seconds, celsius : array_like, shape (n,)
        Rising times [s] and temperatures [C] at the warmest point; NaN where the probe gave nothing.
    nitrite_mg_per_kg, brine_pct, aw, ascorbate, intact, partly_cooked, ambient
        See `cooling_rules.Facts`. A cured way is used only when its facts are told; else the uncured one, and it is said.
    cooked : bool, optional
        Whether the food was cooked before the record. Not told: yes where ``cook_end_s`` is told or a reading stands above
        `WARMEST_RAW_C`. For food that nobody heated the clocks of rules for cooked food do not begin: cannot_say.
        False is ``ambient``: only rules for such food are judged.
    countries : sequence of str
        ``us``, ``gb`` ...; empty: all, the strictest marked.
    celsius_low, celsius_high : array_like, shape (n,), optional
        Ends of a forecast's band at the same times.
    probe_error_c : float
        How far the probe may be off [K]; added to every reading.
    cook_end_s, chill_start_s : float, optional
        When the heat was turned off and when chilling began, in the time of the record. [s]
    start_s : float, optional
        Judge from here on (after a reheating). [s] Left out: from the hottest reading.
    longest_gap_s : float
        Readings further apart are a hole: the worst end of it is taken. [s]
    is_celsius : bool
        The scale was asked: a record that rests at 33 to 48 is not a fridge in Fahrenheit.
    thickness_mm : float, optional
        Of the piece: how fast its middle can move, see `probe_runs`. [mm]
    moved : bool, optional
        Whether the probe was moved. Not told: runs of readings that no middle of food can show are holes, and asked about. False: every
        reading is believed (a forecast, or a probe that was watched).

    Returns
    -------
    tuple of Stage
        In the order of ``data/limits/cooling.toml``. Levels: within; near (band or probe error touches the line);
        over; cannot_say (the record does not show it: ``not_checked`` names what would).

    Raises
    ------
    BadBrief, OutOfRange
        Input that cannot be a core's record in Celsius; unknown countries.
    """
    facts = Facts(nitrite_mg_per_kg, brine_pct, aw, ascorbate, intact, partly_cooked, ambient or cooked is False)
    error = require_error(probe_error_c)
    seen = _seen(read(seconds, celsius, longest_gap_s=longest_gap_s), thickness_mm, moved)
    whole = seen.record
    if not is_celsius:
        _require_no_fahrenheit_fridge(whole)
    begin = _begin(whole, start_s, cook_end_s)
    ends = [None if c is None else read(seconds, c, longest_gap_s=longest_gap_s).since(begin) for c in (celsius_low, celsius_high)]
    record = whole.since(begin)
    heated = cooked is True or cook_end_s is not None or float(whole.celsius.max()) > WARMEST_RAW_C
    events = Events(cook_end_s, chill_start_s, begin <= whole.seconds[0] and record.celsius[0] >= _HOT_C, heated)
    named, notes = _named(countries)
    rules, left = usable(facts, named)
    if not heated and not facts.ambient:
        notes += (NOT_COOKED,)
    notes += (*record.notes, *_story(whole, record, begin))
    if not error:
        notes += ("the error of the thermometer: none was given",)
    notes += ("whether the readings are of the warmest point",)
    if moved is not False:
        notes += (ONE_COLUMN,) if thickness_mm is not None else (ONE_COLUMN, THINNER)
        if swings(whole):
            notes = (SWINGS, *notes)
    notes = (*seen.asked, *notes)
    found = [
        stage_of(rule, segment, record, ends[0], ends[1], error, events, (*notes, *_asked(rule), *left.get(rule.group, ())))
        for rule in rules
        for segment in rule.segments
    ]
    if seen.torn:
        found = [replace(s, level="cannot_say", act="", not_checked=(seen.torn, *(n for n in s.not_checked if n != seen.torn))) for s in found]
    return _marked(found) if not countries else tuple(found)


def worst(stages: Sequence[Stage]) -> str:
    """Level of the whole: within a group the best rule counts, over all groups the worst; advice left out."""
    groups = _groups(stages)
    levels = [_rule_level(min(rules.values(), key=_weight)) for rules in groups.values()]
    return max(levels, key=_RANK.__getitem__, default="cannot_say")


def strictest(stages: Sequence[Stage]) -> str:
    """Rule that decides: the worst of the groups' best rules. Empty where only advice was judged."""
    best = [min(rules.items(), key=lambda pair: _weight(pair[1])) for rules in _groups(stages).values()]
    return max(best, key=lambda pair: _weight(pair[1]))[0] if best else ""


def _seen(record: ThermalRecord, thickness: float | None, moved: bool | None) -> Marked:
    return Marked(record) if moved is False else marked(record, thickness)


# -- the whole record --------------------------------------------------------------------------------------------------


def _begin(record: ThermalRecord, start: float | None, cook_end: float | None) -> float:
    """Where cooling begins: told, the end of the heat, or the last of the hottest readings. [s]"""
    if start is not None:
        return start
    if cook_end is not None and record.seconds[0] <= cook_end <= record.seconds[-2]:
        return cook_end
    hottest = len(record.celsius) - 1 - int(np.argmax(record.celsius[::-1]))
    return float(record.seconds[min(hottest, len(record.seconds) - 2)])


def _story(whole: ThermalRecord, record: ThermalRecord, begin: float) -> tuple[str, ...]:
    """Warming that a reader must know of."""
    found = []
    before = whole.celsius[whole.seconds < begin]
    if before.size and (np.maximum.accumulate(before) - before).max() > 5 and before.max() > _HOT_C - 10:
        found.append("the cooling before the piece was heated again: only what follows is judged, and heat does not undo a slow first cooling")
    rise, at = clock.warmed(record)
    if rise > 2:
        found.append(
            f"why it warmed by {rise:.1f} K until {show_hours(at / HOUR_S, fine=True)} into the record: the clocks ran on; if it was heated through again, judge from there"
        )
    return tuple(found)


def _asked(rule: Rule) -> tuple[str, ...]:
    lacking = list(rule.asks)
    if rule.ascorbate:
        lacking.append("the amount of ascorbate or erythorbate: part of the recipe since 2021")
    return tuple(lacking)


def _named(countries: Sequence[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Countries whose rules are judged, and what must be said of it."""
    if not countries:
        return (), ("no country was named: all rules are shown, the strictest is marked",)
    keys = country_keys(list(countries))
    known = {rule.country for rule in all_rules()}
    if not set(keys) & known:
        return (), (f"rules of {', '.join(keys)}: none on cooling is carried here, so all others are shown",)
    return keys, ()


def _require_no_fahrenheit_fridge(record: ThermalRecord) -> None:
    """A record that comes to rest where a fridge reads in Fahrenheit is asked, not guessed."""
    tail = record.celsius[record.seconds >= record.seconds[-1] - HOUR_S]
    low, high = _FRIDGE_F
    rests = tail.size > 2 and np.ptp(tail) < 1.5 and record.seconds[-1] - record.seconds[0] > 2 * HOUR_S
    if rests and low <= record.celsius.min() and tail.max() <= high and record.celsius[0] > tail.max() + 10:
        raise BadBrief(
            f"celsius comes to rest at {tail[-1]:.0f}: a fridge at {tail[-1]:.0f} is Fahrenheit.", field="celsius",
            value=float(tail[-1]), limit="degrees Celsius",
            remedy="Give (F - 32) x 5/9; if it is Celsius, say is_celsius=True.",
        )  # fmt: skip


# -- over all rules ----------------------------------------------------------------------------------------------------


def _groups(stages: Sequence[Stage]) -> dict[str, dict[str, list[Stage]]]:
    groups: dict[str, dict[str, list[Stage]]] = {}
    for stage in stages:
        if stage.kind != "advice":
            groups.setdefault(stage.group, {}).setdefault(stage.rule, []).append(stage)
    return groups


def _rule_level(stages: Sequence[Stage]) -> str:
    return max((s.level for s in stages), key=_RANK.__getitem__)


def _weight(stages: Sequence[Stage]) -> tuple[int, float]:
    """How badly a rule stands: its worst level, then its fullest stage."""
    return _RANK[_rule_level(stages)], max((s.taken_s or 0.0) / (s.allowed_s or 1.0) for s in stages)


def _marked(stages: list[Stage]) -> tuple[Stage, ...]:
    top = strictest(stages)
    return tuple(replace(s, strictest=s.rule == top) for s in stages)
