"""Clostridium perfringens while a cooked piece cools: with the published lag, without any, and what was seen in cured meat.

The figure with lag has been below what was seen: the stage times of the cooling rules are the pass line, these figures rank
deviations. What a cure does is a lookup of observations with their conditions, never a formula.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ingle.ground.tables import toml_table
from ingle.physics.growth_curve import LN10, lag_work, log_gain
from ingle.safety import germs
from ingle.safety.conditions import conditions
from ingle.safety.growth_forecast import dwells, work
from ingle.safety.growth_rate import perfringens
from ingle.safety.growth_record import GrowthRecord

START_LOG10 = 2.0  # spores left by cooking; only the room above them depends on it


@dataclass(frozen=True)
class Cooling:
    """Growth while cooling, in tenfold steps; ``with_lag`` None where no lag is known."""

    meat: str
    with_lag: float | None
    no_lag: float
    source: str
    doubt: str


@dataclass(frozen=True)
class Seen:
    """What was seen in cooling cured ham at the nearest poorer cure: growth, with its conditions."""

    log10: float
    less_than: bool
    nitrite_mg_kg: float
    erythorbate_mg_kg: float
    conditions: str
    source: str


def cooling(record: GrowthRecord, meat: str = "pork", *, start_log10: float = START_LOG10) -> Cooling:
    """Growth of one cooling, uncured constants."""
    p = perfringens(meat)
    s = float(work("perfringens", record, conditions(aw=0.99, ph=6.2), meat=meat, counted=dwells(record)).likely[0])
    room = (germs.ceiling("perfringens") - start_log10) * LN10
    lagged = float(log_gain(s, lag_work(p["q0"]), room)) / LN10 if "q0" in p else None
    return Cooling(meat, lagged, s / LN10, p["source"], p.get("doubt", ""))


def cured_cooling_seen(nitrite_mg_kg: float, erythorbate_mg_kg: float, brine_pct: float | None = None) -> Seen | None:
    """The observation whose cure is no stronger than this one, or None where none is.

    ``nitrite_mg_kg`` is what went in, as the observations tell it. Nothing is drawn between rows.
    """
    if brine_pct is not None and brine_pct >= (salt := toml_table("laws", "growth.toml")["cured_cooling_salt"])["salt_pct"]:
        return Seen(0.0, False, nitrite_mg_kg, erythorbate_mg_kg, salt["about"], salt["source"])
    rows = [
        row for row in toml_table("laws", "growth.toml")["cured_cooling"].values()
        if row["nitrite_mg_kg"] <= nitrite_mg_kg and row["erythorbate_mg_kg"] <= erythorbate_mg_kg
    ]  # fmt: skip
    if not rows:
        return None
    best = max(rows, key=lambda row: row["nitrite_mg_kg"])
    return Seen(best["log10"], bool(best.get("less_than")), best["nitrite_mg_kg"], best["erythorbate_mg_kg"],
                toml_table("laws", "growth.toml")["cured_cooling"]["ham-0"]["about"], best["source"])  # fmt: skip


def linear(stages: list[tuple[float, float, float]]) -> GrowthRecord:
    """A record of straight stages: (from, to, hours) each. [C, C, h]"""
    at, times, values = 0.0, [0.0], [stages[0][0]]
    for _, to, hours in stages:
        at += hours * 3600.0
        times.append(at)
        values.append(to)
    return GrowthRecord(np.array(times), np.array(values))
