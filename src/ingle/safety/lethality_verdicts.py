"""One rule on heat beside one curve: by its printed rows, and by heat added up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ingle.ground.units import hours, show_hours
from ingle.safety.heat_dose import law, log10_reduction
from ingle.safety.lethality_facts import Facts, covered, not_checked
from ingle.safety.lethality_rules import Row, Rule
from ingle.safety.thermal_record import ThermalRecord, held, value_at, without_spikes
from ingle.safety.verdict import Verdict

_MINUTE_S = 60.0
_BASIS = "slowest point; no credit for salt, nor below the first row"
_NOISE = 1 - 1e-6


@dataclass(frozen=True)
class Seen:
    """The same curve in the ways it is judged: as taken (probe error off), as read, and the ends of its band."""

    taken: ThermalRecord
    read: ThermalRecord
    low: ThermalRecord
    high: ThermalRecord


# -- printed rows ------------------------------------------------------------------------------------------------------


def _share(record: ThermalRecord, row: Row) -> float:
    """Part of a row's time that was held; infinite where reached is enough."""
    if row.seconds == 0:
        return float("inf") if record.celsius.max() >= row.celsius - 1e-9 else 0.0
    return held(record, row.celsius) / row.seconds


def _meets(rule: Rule, record: ThermalRecord, facts: Facts) -> bool:
    if rule.rest and _rested(rule.rows[0], record, facts.heat_ends_s):
        return True
    return any(_share(record, row) >= _NOISE for row in rule.rows)


def _rested(row: Row, record: ThermalRecord, heat_ends: float | None) -> bool:
    """Temperature reached when the piece left the heat, and the rest is in the record."""
    if heat_ends is None or not record.seconds[0] <= heat_ends <= record.seconds[-1]:
        return False
    return value_at(record, heat_ends) >= row.celsius - 1e-9 and record.seconds[-1] - heat_ends >= row.seconds * _NOISE


def by_rows(rule: Rule, seen: Seen, facts: Facts, error: float) -> Verdict:
    """A printed table, row by row, none between them: the row that is met most. ``error`` in [C]."""
    level, why = _level(lambda record: _meets(rule, record, facts), seen)
    level, why = covered(rule, facts, level, why)
    row = max(rule.rows, key=lambda r: (_share(seen.taken, r), r.celsius))
    share, peak = _share(seen.taken, row), float(seen.taken.celsius.max())
    timed = row.seconds > 0 and share > 0
    if share == 0:
        row = rule.rows[0]
    value, limit, unit = (held(seen.taken, row.celsius) / _MINUTE_S, row.seconds / _MINUTE_S, "min") if timed else (peak, row.celsius, "degC")
    low, high = _band(row, seen, timed)
    total = log10_reduction(seen.taken, law(rule.law)) if rule.law else None
    more: dict[str, Any] = {
        "side": "min", "log10": total, "required": rule.log10, "held_s": held(seen.taken, row.celsius),
        "required_s": row.seconds, "at_c": row.celsius, "at_printed": row.printed, "organism": rule.organism,
        "share": min(share, 1e9),
    }  # fmt: skip
    return Verdict(
        **_said(rule, facts, error, seen.read, why), level=level, value=value, limit=limit, unit=unit, low=low, high=high,
        title=f"{rule.about}: {row.printed}" + (" held" if timed else " reached"),
        act=_act(rule, seen.taken) if level in ("over", "near") else "", more=more,
    )  # fmt: skip


def _band(row: Row, seen: Seen, timed: bool) -> tuple[float | None, float | None]:
    if seen.low.celsius is seen.read.celsius and seen.taken is seen.read:
        return None, None
    told = (lambda r: held(r, row.celsius) / _MINUTE_S) if timed else (lambda r: float(r.celsius.max()))
    ends = [told(r) for r in (seen.low, seen.high, seen.read, seen.taken)]
    return min(ends), max(ends)


def _act(rule: Rule, record: ThermalRecord) -> str:
    """What would meet the rule: the row just under the hottest reading, or the quickest one."""
    reached = [r for r in rule.rows if r.celsius <= record.celsius.max() + 1e-9] or [rule.rows[0]]
    row, last = reached[-1], rule.rows[-1]
    first = f"Hold the core at {row.celsius:.1f} C or more for {_span(row.seconds)} in one stretch"
    if row is last or row.seconds == 0:
        return f"{first}." if row.seconds else f"Heat on until the core reads {row.celsius:.1f} C."
    how = f"for {_span(last.seconds)}" if last.seconds else "once"
    return f"{first}, or at {last.celsius:.1f} C {how}."


def _span(seconds: float) -> str:
    return show_hours(hours(seconds))


# -- heat added up -----------------------------------------------------------------------------------------------------


def added_up(rule: Rule, seen: Seen, facts: Facts, error: float) -> Verdict:
    """Heat of the whole record added up with D and z, against the wished log10. ``error`` in [C]."""
    heat, wanted = law(rule.law), float(rule.log10 or 0.0)
    level, why = _level(lambda record: log10_reduction(record, heat) >= wanted * _NOISE, seen)
    level, why = covered(rule, facts, level, why)
    value, low, high, plain = (log10_reduction(r, heat) for r in (seen.taken, seen.low, seen.high, seen.read))
    said = _said(rule, facts, error, seen.read, why)
    said |= {"rule": f"{rule.key}-added-up", "clause": heat.clause, "source": heat.source, "sure": heat.sure, "doubt": heat.doubt}
    banded = max(high, plain, low) > min(low, value)
    if value > 2 * wanted:
        said["not_checked"] += ("how far beyond the line: past it the number is arithmetic, no observation",)
    return Verdict(
        **said, level=level, value=value, limit=wanted, unit="log10", title=f"{rule.organism}: heat added up along the curve",
        low=min(low, value) if banded else None, high=max(high, plain) if banded else None,
        act="Hold it hot for longer." if level in ("over", "near") else "",
        more={
            "side": "min", "log10": value, "required": wanted, "held_s": held(seen.taken, heat.floor_c), "required_s": None,
            "at_c": heat.floor_c, "organism": rule.organism, "d_s": heat.d_s, "d_at_c": heat.at_c, "z_c": heat.z_c,
            "share": value / wanted,
        },
    )  # fmt: skip


# -- shared ------------------------------------------------------------------------------------------------------------


def _level(meets: Callable[[ThermalRecord], bool], seen: Seen) -> tuple[str, str]:
    """Level, and why where it is not plain."""
    if meets(seen.taken):
        if not meets(without_spikes(seen.taken)):
            return "cannot_say", "whether the probe was moved: the rule is met by readings that stand alone, far above those before and after"
        return ("within", "") if meets(seen.low) else ("near", "")
    if meets(seen.read):
        return "near", ""
    if seen.taken.hole.any() and meets(replace(seen.taken, hole=np.zeros_like(seen.taken.hole))):
        return "cannot_say", "what happened in the holes of the record: it would decide"
    return "over", ""


def _said(rule: Rule, facts: Facts, error: float, record: ThermalRecord, why: str) -> dict[str, Any]:
    return {
        "rule": rule.key, "clause": rule.clause, "source": rule.source, "sure": rule.sure, "kind": rule.kind,
        "country": rule.country, "basis": _BASIS, "doubt": rule.doubt,
        "not_checked": tuple(filter(None, (why, *not_checked(rule, facts, error, record)))),
    }  # fmt: skip


def not_covered(rule: Rule, seen: Seen, facts: Facts, error: float, why: str) -> Verdict:
    """A table that does not speak of this food or record: cannot say, and ``why``."""
    row = rule.rows[0]
    return Verdict(
        **_said(rule, facts, error, seen.read, why), level="cannot_say", value=float(seen.taken.celsius.max()),
        limit=row.celsius, unit="degC", title=rule.about,
        more={"side": "min", "log10": None, "required": rule.log10, "held_s": held(seen.taken, row.celsius),
              "required_s": row.seconds, "at_c": row.celsius, "organism": rule.organism},
    )  # fmt: skip
