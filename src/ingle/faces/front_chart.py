"""Two small charts of a cure, drawn for a phone's width: how far the salt is across the piece, and along the days."""

from __future__ import annotations

from collections.abc import Callable

from ingle.crafts.cure.forecast import CureCurves
from ingle.crafts.cure.front import Front
from ingle.faces.drawing import Drawing, path_data, ticks
from ingle.faces.words import figure
from ingle.ground.things import Forecast
from ingle.ground.units import show_hours

WIDTH, HEIGHT = 420, 290
_LEFT, _RIGHT, _TOP, _FOOT = 44, 14, 40, 50


def front_svg(told: Front, aim: float, *, surface_most: float, dark: bool = False) -> str:
    """Salt across the piece with its 5 to 95 % band; ``aim`` [g/100 g] is where the core is ready."""
    thick = float(told.depth_mm[-1])
    draw = Drawing(WIDTH, HEIGHT, dark=dark, key="front")
    x, y = _scales(thick, surface_most)
    draw.text(2, 20, "Across the piece", 22, figure=True, bold=True)
    draw.text(WIDTH - _RIGHT, 20, f"after {show_hours(told.hours)}", 18, anchor="end", fill="ash")
    _axes(draw, x, y, ticks(0, thick, 5), surface_most, "mm from the face" + (", rind at right" if told.rind else ""))
    up = [(x(d), y(min(v, surface_most))) for d, v in zip(told.depth_mm, told.high, strict=True)]
    down = [(x(d), y(min(v, surface_most))) for d, v in zip(told.depth_mm, told.low, strict=True)][::-1]
    draw.path(path_data([*up, *down], close=True), "brine", 0, fill="brine", opacity=0.22, what="band")
    _aim(draw, x, y, aim, thick, surface_most)
    draw.path(path_data([(x(d), y(min(v, surface_most))) for d, v in zip(told.depth_mm, told.likely, strict=True)]), "brine", 3, what="likely")
    if told.rind:
        draw.line(x(thick), y(0), x(thick), y(surface_most), "smoke", 5, what="rind")
    _aim_named(draw, y, aim, surface_most)
    mid = -1 if told.rind else len(told.depth_mm) // 2
    said = f"After {show_hours(told.hours)} the core holds {told.low[mid]:.1f} to {told.high[mid]:.1f}, likely {told.likely[mid]:.1f} g salt per 100 g; the face likely {told.likely[0]:.1f}."
    return draw.render("Salt across the piece, g per 100 g", said)


def days_svg(curves: CureCurves, aim: float, ready: Forecast, asked_h: float, *, dark: bool = False) -> str:
    """Core with its band and the whole piece along the days; haze where it may be ready; the day asked as a line."""
    end = float(curves.hours[-1])
    high = max(float(curves.core_high.max()), float(curves.mean_high.max()), aim) * 1.15
    draw = Drawing(WIDTH, HEIGHT, dark=dark, key="days")
    x, y = _scales(end / 24, high)
    draw.text(2, 20, "Along the days", 22, figure=True, bold=True)
    draw.text(WIDTH - _RIGHT, 20, "grey: core, 5 to 95 %", 15, anchor="end", fill="ash")
    _axes(draw, x, y, ticks(0, end / 24, 6), high, "days in the cure")
    at = curves.hours / 24
    band = [(x(d), y(v)) for d, v in zip(at, curves.core_high, strict=True)] + [(x(d), y(v)) for d, v in zip(at, curves.core_low, strict=True)][::-1]
    draw.path(path_data(band, close=True), "smoke", 0, fill="smoke", opacity=0.16, what="band")
    _aim(draw, x, y, aim, end / 24, high)
    draw.path(path_data([(x(d), y(v)) for d, v in zip(at, curves.mean, strict=True)]), "ember", 2, dash="7 4", what="whole")
    draw.path(path_data([(x(d), y(v)) for d, v in zip(at, curves.core, strict=True)]), "smoke", 3, what="core")
    if ready.earliest_h < end:
        left, right = x(ready.earliest_h / 24), x(min(ready.latest_h, 1e7) / 24)
        likely = x(min(ready.likely_h, 1e7) / 24)
        draw.haze(left, y(0) - 18, max(1.0, right - left), 18, (likely - left) / max(1.0, right - left), between=(_LEFT, WIDTH - _RIGHT))
        if ready.likely_h < end:
            draw.line(likely, y(0) - 24, likely, y(0), "smoke", 3, what="ready")
    if asked_h < end * 0.999:
        draw.line(x(asked_h / 24), y(high), x(asked_h / 24), y(0), "twine", 2, what="asked")
    _aim_named(draw, y, aim, high, left=True)
    last = ("core", float(curves.core[-1]), "smoke"), ("whole piece", float(curves.mean[-1]), "ember")
    gap = abs(y(last[0][1]) - y(last[1][1]))
    for name, value, colour in last:
        lift = 9.0 if gap > 20 or name == "whole piece" else -20.0
        draw.text(WIDTH - _RIGHT - 4, y(value) - lift, name, 15, fill=colour, anchor="end", bold=True, halo=4)
    said = f"At the end, {show_hours(end)}: core {curves.core_low[-1]:.1f} to {curves.core_high[-1]:.1f}, likely {curves.core[-1]:.1f}; whole piece likely {curves.mean[-1]:.1f} g salt per 100 g."
    return draw.render("Salt along the days, g per 100 g", said)


def _scales(wide: float, high: float) -> tuple[Callable[[float], float], Callable[[float], float]]:
    right, foot = WIDTH - _RIGHT, HEIGHT - _FOOT
    return (lambda v: _LEFT + (right - _LEFT) * v / wide), (lambda v: foot - (foot - _TOP) * v / high)


def _aim(draw: Drawing, x: Callable[[float], float], y: Callable[[float], float], aim: float, wide: float, high: float) -> None:
    if 0 < aim < high:
        draw.line(x(0), y(aim), x(wide), y(aim), "rim", 2, dash="2 5", what="aim")


def _aim_named(draw: Drawing, y: Callable[[float], float], aim: float, high: float, *, left: bool = False) -> None:
    """Its name, laid last on a ground of its own: no curve runs through it. Left where the curves' own names stand at the right."""
    if 0 < aim < high:
        said = f"core ready at {aim:.1f}"
        wide = len(said) * 15 * 0.52
        at = _LEFT + 4 if left else WIDTH - _RIGHT - 8 - wide
        draw.rect(at, y(aim) + 3, wide + 8, 21, "plate", what="aim-ground")
        draw.text(at + 4, y(aim) + 19, said, 15, fill="rim", bold=True)


def _axes(draw: Drawing, x: Callable[[float], float], y: Callable[[float], float], across: list[float], high: float, name: str) -> None:
    for v in ticks(0, high, 4):
        if v <= high:
            draw.line(x(0), y(v), WIDTH - _RIGHT, y(v), "hair", 1)
            draw.text(x(0) - 7, y(v) + 5, figure(v), 15, anchor="end", fill="ash")
    for v in across:
        draw.line(x(v), y(0), x(v), y(0) + 6, "wire", 1)
        draw.text(x(v), y(0) + 22, figure(v), 15, anchor="middle", fill="ash")
    draw.line(x(0), y(0), WIDTH - _RIGHT, y(0), "wire", 2)
    draw.text(WIDTH - _RIGHT, HEIGHT - 6, name, 15, anchor="end", fill="ash")
    draw.text(2, 36, "g per 100 g", 14, fill="ash")
