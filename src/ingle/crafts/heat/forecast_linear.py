"""The forecast where the whole question is linear: the closed form for the likely piece, and its times for all others."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.heat import draw, exact, march
from ingle.crafts.heat.heated import Curves, Heated, points, volume
from ingle.crafts.heat.joint import Joint, Sizes
from ingle.crafts.heat.stage import Stage

Floats = NDArray[np.float64]


def linear(
    joint: Joint, told: Sizes, stages: tuple[Stage, ...], start_c: float, pinned: frozenset[str], probe: float | None, members: int
) -> Heated:  # fmt: skip
    """As `forecast.forecast`, for one stage of constant numbers behind a plain film."""
    (s,) = stages
    mean, sd = s.offset()
    likely = replace(s, offset_c=mean) if mean else s
    goal = exact.time_to_core(joint, told, likely, start_c, s.until_c) if s.until_c is not None else np.inf
    met = bool(np.isfinite(goal)) and (s.lasts_s is None or goal <= s.lasts_s)
    end = goal if met else (s.lasts_s if s.lasts_s is not None else march.LONGEST_S)
    grid = np.linspace(0.0, end, points(end))
    core, mean_c, surface = exact.curves(joint, told, likely, start_c, grid)
    drawn = draw.ensemble(pinned, members)
    airs = s.air_c + mean + sd * drawn.offset
    gap = likely.air_c + (likely.offset_c or 0.0) - start_c
    rows = [[start_c + (np.quantile(airs, q) - start_c) * (v - start_c) / gap for q in (0.05, 0.95)] for v in (core, mean_c, surface)]
    ends = {q: _reach(joint, told, likely, start_c, s.until_c, float(np.quantile(airs, q))) for q in (0.05, 0.95)} if s.until_c else {}
    early, late = sorted(ends.values()) if ends else (end, end)
    band = (early, goal if met else np.inf, late) if s.until_c is not None else None
    cp, rho = joint.specific_heat or 0.0, joint.density or 0.0
    mass = volume(told) * rho if told.shape in ("box", "sphere") or (told.shape == "cylinder" and told.length) else None
    heat = None if mass is None else mass * cp * (float(mean_c[-1]) - start_c)
    lag = {q: (grid * (v / end if np.isfinite(v) else 1.0)) for q, v in (("early", early), ("late", late))}
    cores = {
        name: exact.curves(joint, told, replace(likely, air_c=float(np.quantile(airs, q)), offset_c=0.0), start_c, lag[name])[0]
        for name, q in (("early", 0.95 if s.air_c > start_c else 0.05), ("late", 0.05 if s.air_c > start_c else 0.95))
    }
    return Heated(
        joint, told, stages, start_c,
        Curves(grid, core, mean_c, surface, None if probe is None else exact.probe_curve(joint, told, likely, start_c, grid, probe),
               *(np.asarray(r) for pair in rows for r in pair)),
        (end,), (s.until_c is None or met,), (band,), (float(core.max()),) * 3, None,
        None if heat is None else (heat, heat, heat), mass, 0.0, True, 0.0, members if sd else 1,
        (lag["early"], cores["early"]), (lag["late"], cores["late"]), (lag["late"], cores["late"]),
    )  # fmt: skip


def _reach(joint: Joint, told: Sizes, stage: Stage, start_c: float, core_c: float | None, air_c: float) -> float:
    return np.inf if core_c is None else exact.time_to_core(joint, told, replace(stage, air_c=air_c, offset_c=0.0), start_c, core_c)
