"""Is a cook hot enough for long enough: named rules side by side, at the slowest point.

Printed tables are steps: a row counts when the core stood at or above its temperature in one unbroken stretch for
its time; between two rows the cooler one holds. Where a table hides a D and a z, the heat of a varying temperature
is added up on a line of its own. Time below the table's first row is worth nothing; salt is worth nothing.

    >>> import numpy as np
    >>> t = np.arange(0, 1200, 60.0)
    >>> [(v.rule, v.level) for v in judge(t, np.full(t.size, 60.0), rules=("fsis-meat-6-5-log",))][:2]
    [('fsis-meat-6-5-log', 'within'), ('fsis-meat-6-5-log-added-up', 'within')]
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ingle.ground.errors import BadBrief
from ingle.safety.lethality_come_up import come_up
from ingle.safety.lethality_facts import Facts
from ingle.safety.lethality_rules import chosen, hold_time
from ingle.safety.lethality_verdicts import Seen, added_up, by_rows, not_covered
from ingle.safety.limits import countries as country_keys
from ingle.safety.probe_runs import ONE_COLUMN, Marked, marked
from ingle.safety.thermal_record import LONGEST_GAP_S, ThermalRecord, read, require_error
from ingle.safety.verdict import Verdict

__all__ = ["Facts", "Seen", "hold_time", "judge", "judge_record", "strictest"]


def judge(
    seconds: ArrayLike,
    celsius: ArrayLike,
    *,
    product: str = "meat",
    rules: Sequence[str] = (),
    countries: Sequence[str] = (),
    celsius_low: ArrayLike | None = None,
    celsius_high: ArrayLike | None = None,
    probe_error_c: float = 0.0,
    moist: str | None = None,
    dried_before: bool | None = None,
    surface_aw: float | None = None,
    cured: bool = False,
    intact: bool | None = None,
    heat_ends_s: float | None = None,
    longest_gap_s: float = LONGEST_GAP_S,
    thickness_mm: float | None = None,
    moved: bool | None = None,
) -> tuple[Verdict, ...]:
    """Judge the temperature of the slowest point against named rules.

    Parameters
    ----------
    seconds, celsius : array_like, shape (n,)
        Rising times [s] and temperatures [C] at the slowest point; NaN where the probe gave nothing.
    product : str
        Key of `lethality_rules.PRODUCTS`.
    rules : sequence of str
        Rules by name (``lethality_rules.all_rules``, or ``water-bath``); empty: those of the product.
    countries : sequence of str
        ``us``, ``gb`` ...; empty: all, the strictest marked in ``more["strictest"]``.
    celsius_low, celsius_high : array_like, shape (n,), optional
        Ends of a forecast's band at the same times.
    probe_error_c : float
        How far the probe may be off [K]; taken off every reading.
    moist, dried_before, surface_aw, cured, intact, heat_ends_s
        See `Facts`.
    longest_gap_s : float
        Readings further apart are a hole: nothing is credited across it. [s]
    thickness_mm : float, optional
        Of the piece: how fast its middle can move, see `probe_runs`. [mm]
    moved : bool, optional
        Whether the probe was moved. Not told: a rule that only readings meet which no middle of food can show is cannot_say, and asked.
        False: every reading is believed (a forecast, or a probe that was watched).

    Returns
    -------
    tuple of Verdict
        ``more`` carries ``rule``, ``log10``, ``required``, ``held_s``, ``required_s``, ``at_c``, ``organism``.
        Levels: within; near (band or probe error touches the line); over (the rule is not met);
        cannot_say (holes hide what decides, or the rule does not cover the case).

    Raises
    ------
    BadBrief, OutOfRange
        Input that cannot be a core's record in Celsius; unknown names.
    """
    facts = Facts(moist, dried_before, surface_aw, cured, intact, heat_ends_s)
    record = read(seconds, celsius, longest_gap_s=longest_gap_s)
    ends = [record if c is None else read(seconds, c, longest_gap_s=longest_gap_s) for c in (celsius_low, celsius_high)]
    _require_order(celsius, celsius_low, celsius_high)
    how: Any = (product, rules, countries, require_error(probe_error_c), facts)
    found = judge_record(record, ends[0], ends[1], *how)
    if moved is False:
        return found
    found = tuple(replace(v, not_checked=(*v.not_checked, ONE_COLUMN)) for v in found)
    seen = marked(record, thickness_mm)
    if not seen.runs and not seen.torn:
        return found
    less = {v.rule: v for v in judge_record(seen.record, seen.record, seen.record, *how)}
    return tuple(_asked(v, less.get(v.rule), seen) for v in found)


def _asked(believed: Verdict, less: Verdict | None, seen: Marked) -> Verdict:
    """A verdict with the runs as holes; what only they meet, or hang on which part is the food, is not known."""
    found = believed if less is None else less
    what = tuple(n for n in found.not_checked if n not in seen.asked)
    if seen.torn or (believed.level in ("within", "near") and found.level == "over"):
        return replace(found, level="cannot_say", act="", not_checked=(*seen.asked, *what))
    return replace(found, not_checked=(*seen.asked, *what))


def judge_record(
    record: ThermalRecord, low: ThermalRecord, high: ThermalRecord, product: str, rules: Sequence[str],
    countries: Sequence[str], error: float, facts: Facts,
) -> tuple[Verdict, ...]:  # fmt: skip
    """As `judge`, for records that are checked already."""
    named = country_keys(list(countries)) if countries else ()
    seen = Seen(record.shifted(-error), record, low.shifted(-error), high.shifted(-error))
    found: list[Verdict] = []
    for rule in chosen(product, rules, named):
        if rule.needs and not getattr(facts, rule.needs):
            found.append(not_covered(rule, seen, facts, error, f"only for {rule.needs} pieces; not told that it is"))
            continue
        if rule.rows:
            found.append(by_rows(rule, seen, facts, error))
        if rule.law and rule.log10:
            found.append(added_up(rule, seen, facts, error))
    found += come_up(seen.read, error, cured=facts.cured, trichinae=any(v.rule == "trichinae-heat" for v in found))
    if named and not rules and not {v.country for v in found if v.rule != "come-up"} & set(named):
        why = f"rules of {', '.join(named)}: none on heat is carried here, so all others are shown"
        return _marked([replace(v, not_checked=(why, *v.not_checked)) for v in found])
    return _marked(found) if not named and not rules else tuple(found)


def strictest(verdicts: Sequence[Verdict]) -> Verdict | None:
    """The rule met with the least to spare, advice left out; None where nothing could be judged."""
    order = {"over": 0, "near": 1, "within": 2}
    counted = [v for v in verdicts if v.kind != "advice" and v.level in order and "share" in v.more]
    return min(counted, key=lambda v: (order[v.level], v.more["share"]), default=None)


def _marked(found: list[Verdict]) -> tuple[Verdict, ...]:
    top = strictest(found)
    return tuple(replace(v, more=v.more | {"strictest": v is top}) for v in found)


def _require_order(likely: ArrayLike, low: ArrayLike | None, high: ArrayLike | None) -> None:
    for end, sign, name in ((low, -1, "celsius_low"), (high, 1, "celsius_high")):
        if end is None:
            continue
        off = sign * (np.asarray(end, float) - np.asarray(likely, float))
        if (off < -1e-6).any():
            i = int(np.argmax(off < -1e-6))
            side = "above" if sign < 0 else "below"
            raise BadBrief(
                f"{name} stands {side} celsius at place {i}: the band is turned over.", field=name,
                value=float(np.asarray(end, float)[i]), limit=float(np.asarray(likely, float)[i]),
                remedy="Give the colder end as celsius_low and the hotter as celsius_high.",
            )  # fmt: skip


