"""What stands under the panels of a history's picture: the window of the core, the axis of days, what the band is."""

from __future__ import annotations

from ingle.faces.drawing import Drawing, ticks
from ingle.faces.history_panels import DOTS, Place, edge
from ingle.faces.history_words import TIE, broken
from ingle.faces.setting import width as set_width
from ingle.faces.words import figure
from ingle.ground.things import Forecast


def haze(draw: Drawing, at: Place, forecast: Forecast, foot: float) -> float:
    """When the core is ready, under the axis of the salt; what falls after the end is not drawn. Returns its foot."""
    early, likely, late = at.x(forecast.earliest_h), forecast.likely_h, forecast.latest_h
    top, foot = foot + 8, foot + 24
    word, right = "ready", early
    if late <= at.end_h:
        right = at.x(late)
        wide = max(1.0, right - early)
        draw.haze(early, top, wide, foot - top, (at.x(likely) - early) / wide)
        draw.path(f"M{right - 6:.2f} {top:.2f}H{right:.2f}V{foot:.2f}H{right - 6:.2f}", "smoke", 2, what="bracket")
    else:
        word = "ready at the earliest"
    draw.path(f"M{early + 6:.2f} {top:.2f}H{early:.2f}V{foot:.2f}H{early + 6:.2f}", "smoke", 2, what="bracket")
    if likely <= at.end_h:
        draw.line(at.x(likely), top - 4, at.x(likely), foot + 4, "smoke", 3, what="likely")
        right = max(right, at.x(likely))
    fits = right + 12 + set_width(word, at.words) <= at.width - edge(at)
    draw.text(right + 12 if fits else early - 8, foot - 2, word, at.words, anchor="start" if fits else "end")
    return foot


def day_names(draw: Drawing, at: Place, foot: float) -> float:
    """The axis under the last panel: days, or hours where all is over in two; returns its foot."""
    per, word = (24.0, "days") if at.end_h > 48 else (1.0, "hours")
    about = max(3, round((at.right - at.left) / 84))
    draw.line(at.left, foot, at.right, foot, "wire", 1.6)
    y = foot + 12 + at.tick
    for mark in (t for t in ticks(0, at.end_h / per, about) if per == 1 or t == int(t)):
        draw.line(at.x(mark * per), foot, at.x(mark * per), foot + 7, "wire", 1.6)
        told = f"{word[:-1]} 0" if at.phone and mark == 0 else figure(mark)
        draw.text(at.x(mark * per), y, told, at.tick, anchor="middle", fill="ash")
    if not at.phone:
        draw.text(at.right + 12, y, word, at.tick, fill="ash")
    return y


def foot_words(draw: Drawing, at: Place, ready: str, nitrite: bool, y: float) -> float:
    """The sentence of the window, then what the band is."""
    x = edge(at)
    y += 12
    none = "" if nitrite else "No nitrite in these stages."
    for text, fill in ((ready, "smoke"), (none, "ash")):
        for line in broken(text, at.width - 2 * x, at.words, "text") if text else []:
            y += at.words + 7
            draw.text(x, y, line, at.words, fill=fill)
    y += at.words + 10
    draw.path(f"M{x:.2f} {y - 13:.2f}h30v16h-30Z", "smoke", 0, fill="smoke", opacity=0.16)
    draw.line(x, y - 5, x + 30, y - 5, "smoke", 3.2, dash=DOTS)
    words = broken(f"5 to 95{TIE}% of pieces, and the middle", at.width - 2 * x - 38, at.words, "text")
    for n, line in enumerate(words):
        y += (at.words + 5) * (n > 0)
        draw.text(x + 38, y, line, at.words, fill="ash")
    return y
