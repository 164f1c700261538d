"""From a piece and its stages to times, curves and bands: the question every job of heat asks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.heat import draw, exact, march
from ingle.crafts.heat.draw import Draws
from ingle.crafts.heat.joint import Joint, Sizes, body_of, density, matter_of, sizes
from ingle.crafts.heat.stage import COLD, Stage, fully_known, said
from ingle.ground import units
from ingle.ground.units import ZERO_CELSIUS_K
from ingle.physics import heating

Floats = NDArray[np.float64]

POINTS, CLOSEST_S, MOST_POINTS = 241, 120.0, 1441  # of a curve; long ones get more, so that rules on heat can be read from them
_SPREAD = (0.05, 0.5, 0.95)


@dataclass(frozen=True)
class Curves:
    """Temperatures along time [degC]; bands at 5 and 95 % of the members at the same clock."""

    seconds: Floats  # (T,)
    core: Floats  # the slowest place
    mean: Floats
    surface: Floats
    probe: Floats | None
    core_low: Floats
    core_high: Floats
    mean_low: Floats
    mean_high: Floats
    surface_low: Floats
    surface_high: Floats


@dataclass(frozen=True)
class Heated:
    """What a forecast says. Times in s; a band is (5 %, likely, 95 %), infinite where it is not met."""

    joint: Joint
    sizes: Sizes
    stages: tuple[Stage, ...]
    start_c: float
    curves: Curves
    ends: tuple[float, ...]  # of the stages, likely
    met: tuple[bool, ...]
    times: tuple[tuple[float, float, float] | None, ...]  # per stage: when its core was met; None where it asks for none
    peak_c: tuple[float, float, float]  # highest core of all
    loss: tuple[float, float, float] | None  # water given off, per weight; None where no vapour is reckoned
    energy_j: tuple[float, float, float] | None  # into the piece, to the end of the heating
    mass_kg: float | None
    place: float  # of the slowest point along the thickness: 0 its middle (of an unlike pair of faces: 0 under, 1 upper)
    closed_form: bool
    closes: float  # heat account of the march: share by which faces and contents differ
    members: int
    fast: tuple[Floats, Floats]  # seconds and core of the member that is early (5 %)
    slow: tuple[Floats, Floats]  # and late (95 %)


def known_of(joint: Joint, stages: Sequence[Stage], more: frozenset[str] = frozenset()) -> frozenset[str]:
    """Parts of the spread that the given numbers switch off."""
    told = set(more)
    if all(s.film is not None for s in stages):
        told |= {"film", "support"}
        if all(fully_known(s) for s in stages):
            told |= {"air", "crust"}
    if joint.conductivity is not None:
        told |= {"conductivity"}
    if joint.given:
        told |= {"water", "size"}  # a piece told in numbers of physics is that piece
    if all(s.offset()[1] == 0.0 for s in stages):
        told |= {"offset"}
    return frozenset(told)


def forecast(
    joint: Joint, stages: Sequence[Stage], start_c: float, *, known: frozenset[str] = frozenset(),
    probe_mm: float | None = None, members: int = draw.MEMBERS, start_sd_c: float = 0.0, quick: bool = False,
) -> Heated:  # fmt: skip
    """March a piece through its stages, once at the middle of all that is unknown and once for all members.

    Where the whole question is linear the middle is told by the closed form, and the members by its time. ``quick`` takes
    the cells of the members for the middle too: a time within about 1 %.
    """
    told, stages = sizes(joint), tuple(stages)
    tray = any(s.support == "tray" for s in stages) and told.shape in ("slab", "box")
    pinned = known_of(joint, stages, known)
    half = told.thickness if tray else told.thickness / 2.0
    probe = None if probe_mm is None else 1.0 - units.metres(probe_mm) / half
    middle = draw.middle()
    if exact.holds(joint, stages):
        return _linear(joint, told, stages, start_c, pinned, probe, members)
    place = _place(joint, told, stages, start_c, middle) if tray else 0.0
    one = march.run_one(body_of(told, middle, fine=not quick, tray=tray), matter_of(joint, middle), start_c, stages, middle, place=place, probe=probe)
    drawn = draw.ensemble(pinned, members)
    body, matter = body_of(told, drawn, fine=False, tray=tray), matter_of(joint, drawn)
    coarse = one if quick else march.run_one(body_of(told, middle, fine=False, tray=tray), matter_of(joint, middle), start_c, stages, middle, place=place, fineness=0.8)
    end = _horizon(one.ends[-1], stages)
    starts = start_c + start_sd_c * drawn.start
    course, ended = march.run_all(body, matter, starts, stages, drawn, end=end, place=place, probe=probe)
    stretch = one.ends[-1] / coarse.ends[-1] if all(one.met) and all(coarse.met) else 1.0
    return _gathered(joint, told, stages, start_c, one, course, ended, stretch, place, body, drawn, probe)


def _place(joint: Joint, told: Sizes, stages: tuple[Stage, ...], start_c: float, middle: Draws) -> float:
    """Where a piece on a tray lags most when its middle is done."""
    body, matter = body_of(told, middle, fine=False, tray=True), matter_of(joint, middle)
    ran = march.run_one(body, matter, start_c, stages[:1], middle, place=0.5, fineness=0.8)
    return heating.lagging_place(body, ran.course.state.temperature)


def _horizon(likely: float, stages: tuple[Stage, ...]) -> float:
    """How long the members are followed."""
    open_ended = any(s.lasts_s is None for s in stages)
    return min(3.0 * likely + 600.0, 2.0 * march.LONGEST_S) if open_ended else likely * (1.0 + 1e-9)


def _gathered(
    joint: Joint, told: Sizes, stages: tuple[Stage, ...], start_c: float, one: march.Ran, course: heating.Course,
    ended: Floats, stretch: float, place: float, body: heating.Body, drawn: Draws, probe: float | None,
) -> Heated:  # fmt: skip
    c = one.course
    grid = _times(c.times, one.ends)
    celsius = lambda v: spline(c.times, v, grid) - ZERO_CELSIUS_K  # noqa: E731
    t = course.times * stretch
    bands = [np.quantile(at(t, v, grid), (0.05, 0.95), axis=1) - ZERO_CELSIUS_K for v in (course.core, course.mean, course.surface)]
    curves = Curves(
        grid, celsius(c.core[:, 0]), celsius(c.mean[:, 0]), celsius(c.surface[:, 0]),
        None if probe is None else celsius(c.probe[:, 0]), *(row for band in bands for row in band),
    )  # fmt: skip
    times: list[tuple[float, float, float] | None] = []
    for i, s in enumerate(stages):
        if s.until_c is None:
            times.append(None)
            continue
        hit = np.where(np.isnan(ended[i]), np.inf, ended[i] * stretch)
        times.append(_band(hit, one.ends[i] if one.met[i] else np.inf))
    hot, hot_stage = _heating_end(stages, one.ends)
    mass = None if told.shape == "slab" or (told.shape == "cylinder" and told.length is None) else _mass(joint, body)
    last, out = _rows(course.times, ended[-1]), _rows(course.times, ended[hot_stage])
    each = np.arange(drawn.members)
    lost = course.lost[last, each] / (body.volume * density(joint))
    peaks = np.where(np.arange(course.times.size)[:, None] <= last, course.core, -np.inf).max(axis=0) - ZERO_CELSIUS_K
    first = next((i for i, s in enumerate(stages) if s.until_c is not None), None)
    order = np.argsort(np.where(np.isnan(ended[first]), np.inf, ended[first])) if first is not None else np.argsort(-course.core[-1])
    quick, late = (int(order[round(q * (order.size - 1))]) for q in (0.05, 0.95))
    loss_one = float(c.lost[-1, 0] / (_volume(told) * density(joint))) if _volume(told) else 0.0
    heat = float(np.interp(hot, c.times, c.heat[:, 0]))
    joules = course.heat[out, each] / body.volume * _volume(told)
    wet = bool(np.any(course.lost[-1] > 0))
    return Heated(
        joint, told, stages, start_c, curves, one.ends, one.met, tuple(times),
        _band(peaks, float(c.core.max()) - ZERO_CELSIUS_K),
        _band(lost, loss_one) if wet else None,
        _band(joules, heat) if mass is not None else None,
        mass, place, False, _closes(c), drawn.members,
        *((t[: last[m] + 1], course.core[: last[m] + 1, m] - ZERO_CELSIUS_K) for m in (quick, late)),
    )  # fmt: skip


def _linear(
    joint: Joint, told: Sizes, stages: tuple[Stage, ...], start_c: float, pinned: frozenset[str], probe: float | None, members: int
) -> Heated:  # fmt: skip
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
    volume = _volume(told)
    mass = volume * rho if told.shape in ("box", "sphere") or (told.shape == "cylinder" and told.length) else None
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
        (lag["early"], cores["early"]), (lag["late"], cores["late"]),
    )  # fmt: skip


def _reach(joint: Joint, told: Sizes, stage: Stage, start_c: float, core_c: float | None, air_c: float) -> float:
    return np.inf if core_c is None else exact.time_to_core(joint, told, replace(stage, air_c=air_c, offset_c=0.0), start_c, core_c)


def at(times: Floats, values: Floats, grid: Floats) -> Floats:
    """Rows (T, M) read at other times by straight lines; (G, M)."""
    i = np.clip(np.searchsorted(times, grid) - 1, 0, times.size - 2)
    part = np.clip((grid - times[i]) / (times[i + 1] - times[i]), 0.0, 1.0)[:, None]
    return np.asarray(values[i] + part * (values[i + 1] - values[i]))


def spline(x: Floats, y: Floats, grid: Floats) -> Floats:
    """Cubic through points with the slopes of Fritsch and Butland: no wave that the points do not have."""
    h, d = np.diff(x), np.diff(y) / np.diff(x)
    slope = np.zeros_like(y)
    w1, w2 = 2.0 * h[1:] + h[:-1], h[1:] + 2.0 * h[:-1]
    same = d[1:] * d[:-1] > 0.0
    with np.errstate(divide="ignore", invalid="ignore"):
        slope[1:-1] = np.where(same, (w1 + w2) / (w1 / d[:-1] + w2 / d[1:]), 0.0)
    slope[0], slope[-1] = d[0], d[-1]
    i = np.clip(np.searchsorted(x, grid) - 1, 0, x.size - 2)
    s = np.clip((grid - x[i]) / h[i], 0.0, 1.0)
    a, b = y[i], y[i + 1]
    return np.asarray(
        a + (b - a) * s * s * (3.0 - 2.0 * s) + h[i] * s * (1.0 - s) * (slope[i] * (1.0 - s) - slope[i + 1] * s)
    )


def _times(marched: Floats, ends: tuple[float, ...]) -> Floats:
    """Even times with the ends of the stages among them."""
    return np.unique(np.concatenate([np.linspace(0.0, marched[-1], points(float(marched[-1]))), np.array(ends)]))


def points(seconds: float) -> int:
    """How many points a curve of that length gets."""
    return int(min(max(POINTS, seconds / CLOSEST_S + 1), MOST_POINTS))


def _band(values: Floats, likely: float) -> tuple[float, float, float]:
    low, high = (float(np.quantile(values, q, method="closest_observation")) for q in (0.05, 0.95))
    return min(low, likely), float(likely), max(high, likely)


def _heating_end(stages: tuple[Stage, ...], ends: tuple[float, ...]) -> tuple[float, int]:
    """When the last stage ends that is not for cooling, and its number; of a chill its end."""
    hot = [i for i, s in enumerate(stages) if s.kind not in COLD] or [len(stages) - 1]
    return ends[hot[-1]], hot[-1]


def _rows(times: Floats, ended: Floats) -> NDArray[np.intp]:
    """Row at which each member ended; the last for those that did not."""
    found = np.searchsorted(times, np.where(np.isnan(ended), np.inf, ended))
    return np.minimum(found, times.size - 1)


def _mass(joint: Joint, body: heating.Body) -> float:
    return float(np.median(body.volume)) * density(joint) if joint.weight_g is None else units.kilograms(joint.weight_g)


def _volume(told: Sizes) -> float:
    """Of the likely body; per m2 or per m where it has no end."""
    t = told.thickness
    if told.shape == "slab":
        return t
    if told.shape == "sphere":
        return float(np.pi / 6.0 * t**3)
    if told.shape == "cylinder":
        return float(np.pi / 4.0 * t * t * (told.length or 1.0))
    return t * (told.width or 0.0) * (told.length or 0.0)


def _closes(c: heating.Course) -> float:
    """Largest difference between what the faces gave and what the body holds, as a share of the most it held."""
    most = float(np.abs(c.stored).max()) or 1.0
    return float(np.abs(c.heat - c.stored).max()) / most


def usual_start() -> float:
    """From the fridge. [degC]"""
    return float(said("start")["celsius"])
