"""Published hurdles: how a source classes a food by its pH, water activity and salt, each in its own unit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from ingle.ground.errors import BadBrief
from ingle.ground.tables import toml_table
from ingle.ground.units import HOUR_S
from ingle.safety.conditions import Conditions
from ingle.safety.growth_record import GrowthRecord

NO_CONTROL, ASSESS, UNKNOWN = "no control", "assess", "cannot_say"
_NOISE = 1e-9


@dataclass(frozen=True)
class Class:
    """How one source classes a food. ``answer``: ``no control`` (needs no cold or time), ``assess``, ``cannot_say``."""

    answer: str
    rule: str
    about: str
    clause: str
    source: str
    sure: str


def food_code(ph: float | None, aw: float | None, *, heated_and_packed: bool = False) -> Class:
    """Class by tables A (heated to destroy vegetative cells, then packed) and B (all else) of the Food Code.

    A measured pH is that of the finished food, solids blended in. Either value missing: cannot_say, unless the other alone decides.
    """
    table = "A" if heated_and_packed else "B"
    rows = [(k, r) for k, r in toml_table("limits", "hurdles.toml").items() if r.get("table") == table]
    acids = [ph] if ph is not None else [0.0, 4.4, 4.8, 7.0]
    waters = [aw] if aw is not None else [0.5, 0.89, 0.91, 0.93, 0.99]
    found = [_cell(rows, p, a) for p in acids for a in waters]
    first = found[0]
    if all(f.answer == first.answer for f in found):
        return first
    return Class(UNKNOWN, first.rule, f"table {table} needs {'pH' if ph is None else 'water activity'}", first.clause, first.source, first.sure)


def _cell(rows: list[tuple[str, dict[str, Any]]], ph: float, aw: float) -> Class:
    for value, what, top in ((ph, "pH", 14.0), (aw, "water activity", 1.0)):
        if not 0.0 <= value <= top:
            raise BadBrief(f"{what} {value:g} is not within 0 to {top:g}.", field=what, value=value, limit=top, remedy="Measure again.")
    for key, row in rows:
        if _under(aw, row["aw_max"], row["aw_max_in"]) and _under(ph, row["ph_max"], row["ph_max_in"]):
            return Class(row["answer"], key, row["about"], row["clause"], row["source"], row["sure"])
    raise ValueError(f"no row holds pH {ph} and aw {aw}")


def _under(value: float, bound: float, counts: bool) -> bool:
    return value <= bound if counts else value < bound


def met_everywhere(group: str, c: Conditions, *, errors: bool = True, heated: bool = False, fermented: bool = False) -> Class | None:
    """The first hurdle of a group that every place meets, with the readings' error on the far side; None where none is met.

    Groups: ``listeria``, ``vacuum``, ``interior``, ``shelf``, ``fish``, ``fish-air``. A factor that nobody measured meets none.
    """
    for key, row in _group(group):
        if _met(row, c, errors, heated, fermented):
            return Class(NO_CONTROL, key, row["about"], row["clause"], row["source"], row["sure"])
    return None


def _group(group: str) -> Iterator[tuple[str, dict[str, Any]]]:
    yield from ((k, r) for k, r in toml_table("limits", "hurdles.toml").items() if r.get("group") == group)


def _met(row: dict[str, Any], c: Conditions, errors: bool, heated: bool, fermented: bool) -> bool:
    if row.get("heated"):
        return heated
    if row.get("fermented") and not fermented:
        return False
    asked = {
        "aw_max": ("aw" not in c.unmeasured) and bool(np.all(c.aw + (c.aw_error if errors else 0.0) <= row.get("aw_max", 9.0) + _NOISE)),
        "ph_max": ("ph" not in c.unmeasured) and bool(np.all(c.ph + (c.ph_error if errors else 0.0) <= row.get("ph_max", 99.0) + _NOISE)),
        "wps_min": bool(np.all(c.wps >= row.get("wps_min", 0.0) - _NOISE)),
        "nitrite_min": bool(np.all(c.nitrite >= row.get("nitrite_min", 0.0))),
    }
    return all(asked[k] for k in asked if k in row)


def degree_hours(record: GrowthRecord, until_s: float | None = None) -> tuple[float, float, str]:
    """Degree-hours above 60 F until pH 5.3, the limit by the warmest of the chamber, and the limit's key. [F h], [F h]

    Fermented sausage only: the rule relies on acid and on the starter. The sum must be *fewer* than the limit.
    """
    said = toml_table("limits", "exposure.toml")
    end = record.seconds[-1] if until_s is None else min(until_s, float(record.seconds[-1]))
    keep = record.seconds <= end
    t = np.append(record.seconds[keep], end)
    c = np.append(record.celsius[keep], np.interp(end, record.seconds, record.celsius))
    over = np.maximum(c - 140.0 / 9.0, 0.0) * 9.0 / 5.0  # 60 F is 15.56 C
    total = float((np.diff(t) * (over[1:] + over[:-1]) / 2.0).sum()) / HOUR_S
    warmest = float(c.max())
    key = "degree-hours-cool" if warmest < (90 - 32) / 1.8 - 1e-9 else "degree-hours-warm" if warmest <= (100 - 32) / 1.8 + 1e-9 else "degree-hours-hot"
    return total, float(said[key]["limit"]["max"]), key
