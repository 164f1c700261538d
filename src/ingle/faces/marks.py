"""The marks of the house as SVG: four verdicts told apart by shape alone, and the twenty grains.

Ink is a mapping from a name to a colour: a token's value for a file, ``var(--name)`` for a page, black for paper.
"""

from __future__ import annotations

from collections.abc import Callable

from ingle.faces.grains import bin_hours, grains
from ingle.faces.words import WORDS, clean
from ingle.ground.things import Forecast

Ink = Callable[[str], str]


def page_ink(name: str) -> str:
    """The page's own variable of that name."""
    return f"var(--{name})"


def mark(level: str, ink: Ink = page_ink) -> str:
    """A verdict's silhouette, 20 by 20: ring and tick, half-filled diamond, block with a bar, broken ring with a question."""
    fill, text, plate = ink(f"{level}-fill"), ink(level), ink("plate")
    inside = {
        "within": f'<circle cx="10" cy="10" r="8.4" fill="none" stroke="{text}" stroke-width="1.8"/>'
        f'<path d="M6 10.4l2.8 2.8 5.2-6" fill="none" stroke="{text}" stroke-width="2.1"/>',
        "near": f'<path d="M10 1.2L18.8 10 10 18.8 1.2 10z" fill="{plate}" stroke="{text}" stroke-width="1.7"/>'
        f'<path d="M1.8 10h16.4L10 18.2z" fill="{fill}" stroke="{text}" stroke-width="1"/>',
        "over": f'<rect x="1" y="1" width="18" height="18" fill="{fill}"/><rect x="4" y="8.2" width="12" height="3.6" fill="{plate}"/>',
        "cannot_say": f'<circle cx="10" cy="10" r="8.3" fill="none" stroke="{text}" stroke-width="1.8" stroke-dasharray="3.4 2.4"/>'
        f'<path d="M7.4 8a2.6 2.6 0 1 1 3.7 2.4c-.8.4-1.1.9-1.1 1.7" fill="none" stroke="{text}" stroke-width="1.8"/><circle cx="10" cy="14.6" r="1.2" fill="{text}"/>',
    }[level]
    return f'<svg class="mark" viewBox="0 0 20 20" width="20" height="20" role="img" aria-label="{WORDS[level]}">{inside}</svg>'


def grains_svg(
    forecast: Forecast, planned_h: float | None = None, *, named: Callable[[float], str] | None = None, ink: Ink = page_ink, width: int = 430
) -> str:
    """Twenty grains over their hours: full before the planned moment, hollow after; ``named`` words an hour on the axis."""
    dots = [g for g in grains(forecast, planned_h) if g.at_h < 1e9]
    if not dots:
        return ""
    step = bin_hours(forecast)
    first, last = dots[0].bin, dots[-1].bin
    if planned_h is not None and planned_h < 1e9:
        first, last = min(first, int(planned_h // step)), max(last, int(planned_h // step))
    count = last - first + 1
    pitch = min(22.0, (width - 40) / count)
    radius = max(2.2, min(6.0, pitch / 2 - 0.7))
    tall = max(g.height for g in dots) + 1
    head = 26 if planned_h is not None else 6
    foot = head + tall * (2 * radius + 1.4) + 4
    left = 20.0

    def x(bin_: float) -> float:
        return left + (bin_ - first + 0.5) * pitch

    parts = [f'<path d="M{left - 8:g} {foot:.1f}H{x(last) + pitch / 2 + 8:.1f}" stroke="{ink("wire")}" stroke-width="1.2" fill="none"/>']
    for g in dots:
        y = foot - 3 - radius - g.height * (2 * radius + 1.4)
        look = f'fill="{ink("brine")}"' if g.before else f'fill="none" stroke="{ink("ember")}" stroke-width="1.8"'
        parts.append(f'<circle class="grain" cx="{x(g.bin):.1f}" cy="{y:.1f}" r="{radius - (0 if g.before else 0.9):.1f}" {look}/>')
    if planned_h is not None and planned_h < 1e9:
        at = left + (planned_h / step - first) * pitch
        parts.append(f'<path d="M{at:.1f} {head - 6}V{foot + 6:.1f}" stroke="{ink("smoke")}" stroke-width="2" fill="none"/>')
        anchor = "end" if at > width * 0.6 else "start"
        parts.append(f'<text x="{at + (-5 if anchor == "end" else 5):.1f}" y="15" font-size="14" font-weight="700" fill="{ink("smoke")}" text-anchor="{anchor}">pull</text>')
    label = named or (lambda h: f"{h / 24:.0f} d")
    for place, anchor in ((dots[0], "start"), (dots[-1], "end")):
        parts.append(f'<text x="{x(place.bin):.1f}" y="{foot + 19:.1f}" font-size="14" fill="{ink("ash")}" text-anchor="{anchor}">{clean(label(place.at_h))}</text>')
    wide = max(width, x(last) + pitch / 2 + 12)
    return f'<svg class="grains" viewBox="0 0 {wide:.0f} {foot + 26:.0f}" role="img" aria-label="{len(dots)} grains, each one chance in twenty">{"".join(parts)}</svg>'
