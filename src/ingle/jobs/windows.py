"""Windows and bands as ``--json`` tells them."""

from __future__ import annotations

from typing import Any

from ingle.crafts.cure.history_soak import SLICE_MM
from ingle.crafts.cure.history_told import Told
from ingle.crafts.cure.late import Late
from ingle.ground.things import Band, Forecast


def finite(hours: float) -> float | None:
    """Hours, or None where that never comes."""
    return hours if hours < 1e9 else None


def window_dict(f: Forecast) -> dict[str, float | str | None]:
    """Earliest, likely, latest hours; None where never."""
    return {
        "what": f.what,
        "earliest": finite(f.earliest_h),
        "likely": finite(f.likely_h),
        "latest": finite(f.latest_h),
    }


def band_dict(band: Band | None) -> dict[str, float] | None:
    """Low, likely and high: 5, 50 and 95 %."""
    return None if band is None else {"low": band.low, "likely": band.likely, "high": band.high}


def late_dict(late: Late | None) -> dict[str, Any] | None:
    """What lying too long does to an excess cure; None for any other."""
    if late is None:
        return None
    return {
        "pull_h": late.pull_h,
        "gain_per_day_g_per_100g": band_dict(late.per_day),
        "out_h": late.out_h,
        "core_g_per_100g": band_dict(late.core),
        "mean_g_per_100g": band_dict(late.whole),
        "soak_h": band_dict(late.soaks.whole),
        "slice_mm": SLICE_MM,
        "slice_soak_h": band_dict(late.soaks.sliced),
    }


def weight_rows(told: Told) -> list[dict[str, float]]:
    """Weight of the meat against green weight along time [%], with 5 and 95 %."""
    low, likely, high = told.change_pct
    return [
        {
            "h": float(h),
            "change_pct": float(likely[i]),
            "change_pct_low": float(low[i]),
            "change_pct_high": float(high[i]),
        }
        for i, h in enumerate(told.hours)
    ]


def after_rows(told: Told) -> list[dict[str, Any]]:
    """What each stage leaves."""
    return [
        {
            "kind": a.kind, "h": a.hours, "change_pct": a.change_pct.likely, "change_pct_low": a.change_pct.low,
            "change_pct_high": a.change_pct.high, "brine_g_per_kg": a.brine_g_per_kg.likely, "brine_strength": a.brine_strength,
            "mean_salt_g_per_100g": a.mean_salt.likely,
        }
        for a in told.after
    ]  # fmt: skip
