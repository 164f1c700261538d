"""From a piece and its stages to times, curves and bands: the question every job of heat asks."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.heat import draw, exact, march
from ingle.crafts.heat.draw import Draws
from ingle.crafts.heat.forecast_linear import linear
from ingle.crafts.heat.heated import Curves, Heated, at, points, spline, volume
from ingle.crafts.heat.joint import Joint, Sizes, density, sizes
from ingle.crafts.heat.joint_body import body_of, matter_of
from ingle.crafts.heat.stage import COLD, Stage, fully_known, said
from ingle.ground import units
from ingle.ground.units import ZERO_CELSIUS_K
from ingle.physics import heating

Floats = NDArray[np.float64]



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
    if joint.given or stages[0].kind not in COLD:
        told |= {"pace"}  # measured on joints that cool
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
        return linear(joint, told, stages, start_c, pinned, probe, members)
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
        hit = _met_at(course.times, course.core, s.until_c + ZERO_CELSIUS_K, ended[i]) * stretch
        times.append(_band(hit, one.ends[i] if one.met[i] else np.inf))
    hot, hot_stage = _heating_end(stages, one.ends)
    mass = None if told.shape == "slab" or (told.shape == "cylinder" and told.length is None) else _mass(joint, body)
    last, out = _rows(course.times, ended[-1]), _rows(course.times, ended[hot_stage])
    each = np.arange(drawn.members)
    lost = course.lost[last, each] / (body.volume * density(joint))
    peaks = np.where(np.arange(course.times.size)[:, None] <= last, course.core, -np.inf).max(axis=0) - ZERO_CELSIUS_K
    first = next((i for i, s in enumerate(stages) if s.until_c is not None), None)
    left = None if first is None or stages[first].kind in COLD else _left(course, ended[first], float(stages[first].until_c or 0.0))
    if left is not None and first is not None:
        peaks = np.where(left[1] != 0.0, np.maximum(peaks - left[1], float(stages[first].until_c or 0.0)), peaks)
    order = np.argsort(np.where(np.isnan(ended[first]), np.inf, ended[first])) if first is not None else np.argsort(-course.core[-1])
    quick, late = (int(order[round(q * (order.size - 1))]) for q in (0.05, 0.95))
    cool = int(np.argsort(peaks)[round(0.05 * (peaks.size - 1))])
    loss_one = float(c.lost[-1, 0] / (volume(told) * density(joint))) if volume(told) else 0.0
    heat = float(np.interp(hot, c.times, c.heat[:, 0]))
    joules = course.heat[out, each] / body.volume * volume(told)
    wet = bool(np.any(course.lost[-1] > 0))
    return Heated(
        joint, told, stages, start_c, curves, one.ends, one.met, tuple(times),
        _band(peaks, float(c.core.max()) - ZERO_CELSIUS_K),
        _band(lost, loss_one) if wet else None,
        _band(joules, heat) if mass is not None else None,
        mass, place, False, _closes(c), drawn.members,
        *(_member(t, course.core[:, m] - ZERO_CELSIUS_K, int(last[m]), m, left, stretch) for m in (quick, late, cool)),
    )  # fmt: skip


def _times(marched: Floats, ends: tuple[float, ...]) -> Floats:
    """Even times with the ends of the stages among them."""
    return np.unique(np.concatenate([np.linspace(0.0, marched[-1], points(float(marched[-1]))), np.array(ends)]))


def _band(values: Floats, likely: float) -> tuple[float, float, float]:
    low, high = (float(np.quantile(values, q, method="closest_observation")) for q in (0.05, 0.95))
    return min(low, likely), float(likely), max(high, likely)


def _heating_end(stages: tuple[Stage, ...], ends: tuple[float, ...]) -> tuple[float, int]:
    """When the last stage ends that is not for cooling, and its number; of a chill its end."""
    hot = [i for i, s in enumerate(stages) if s.kind not in COLD] or [len(stages) - 1]
    return ends[hot[-1]], hot[-1]


def _met_at(times: Floats, core: Floats, goal: float, ended: Floats) -> Floats:
    """When each member met a core: between the steps around the one at which it left the stage; infinite where it did not. [s]"""
    told = np.where(np.isnan(ended), np.inf, ended)
    row = np.clip(np.searchsorted(times, told), 1, times.size - 1)
    for m in np.flatnonzero(np.isfinite(told)):
        near = slice(max(int(row[m]) - 2, 0), min(int(row[m]) + 2, times.size))
        t, c = times[near], core[near, m] - goal
        turn = np.flatnonzero(c[:-1] * c[1:] <= 0.0)
        if turn.size:
            k = int(turn[0])
            told[m] = t[k] if c[k] == c[k + 1] else t[k] - c[k] * (t[k + 1] - t[k]) / (c[k + 1] - c[k])
    return told


def _left(course: heating.Course, ended: Floats, goal_c: float) -> tuple[NDArray[np.intp], Floats, Floats]:
    """Where each member left the stage that ends at a core, how far beyond it that step stood [K], and when it was met [s].

    Members leave on whole steps, several kelvin early or late; a probe takes them out at the core itself. Zero where it was not met.
    """
    row = _rows(course.times, ended)
    met = _met_at(course.times, course.core, goal_c + ZERO_CELSIUS_K, ended)
    beyond = course.core[row, np.arange(row.size)] - ZERO_CELSIUS_K - goal_c
    return row, np.where(np.isnan(ended) | ~np.isfinite(met), 0.0, beyond), met


def _member(
    t: Floats, core: Floats, last: int, m: int, left: tuple[NDArray[np.intp], Floats, Floats] | None, stretch: float
) -> tuple[Floats, Floats]:  # fmt: skip
    """One member's core; what follows the core it was to reach is moved to begin there."""
    seconds, celsius = t[: last + 1].copy(), core[: last + 1].copy()
    if left is None or left[1][m] == 0.0 or left[0][m] > last:
        return seconds, celsius
    row, met = int(left[0][m]), float(left[2][m]) * stretch
    celsius[row:] -= left[1][m]
    seconds[row:] += met - seconds[row]
    keep = np.ones(last + 1, bool)
    keep[:row] = seconds[:row] < met - 1e-6
    return seconds[keep], celsius[keep]


def _rows(times: Floats, ended: Floats) -> NDArray[np.intp]:
    """Row at which each member ended; the last for those that did not."""
    found = np.searchsorted(times, np.where(np.isnan(ended), np.inf, ended))
    return np.minimum(found, times.size - 1)


def _mass(joint: Joint, body: heating.Body) -> float:
    return float(np.median(body.volume)) * density(joint) if joint.weight_g is None else units.kilograms(joint.weight_g)


def _closes(c: heating.Course) -> float:
    """Largest difference between what the faces gave and what the body holds, as a share of the most it held."""
    most = float(np.abs(c.stored).max()) or 1.0
    return float(np.abs(c.heat - c.stored).max()) / most


def usual_start() -> float:
    """From the fridge. [degC]"""
    return float(said("start")["celsius"])
