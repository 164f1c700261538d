"""The stages of a history as bars along the top of its picture, and their names.

A stage is a bar: pale where it waits, ember where hands work, beet in the smoke. One too short for its name is named
above, on a leader; where even that has no room, by a number.
"""

from __future__ import annotations

from collections.abc import Sequence

from ingle.faces.drawing import Drawing
from ingle.faces.history_given import Named
from ingle.faces.history_panels import Place, edge, spread
from ingle.faces.history_words import TIE, broken
from ingle.faces.setting import width as set_width
from ingle.faces.words import clean
from ingle.ground.units import show_hours

MIN_BAR_PX = 3.0
_HANDS = ("rinse", "turn", "top-up", "pump", "drain")


def stage_bars(draw: Drawing, at: Place, stages: Sequence[Named], y: float) -> float:
    """Bars of all stages and their names; returns the foot of the bars."""
    spans = [(clean(n), at.x(s), max(at.x(e), at.x(s) + MIN_BAR_PX), _lasting(e - s)) for n, s, e in stages]
    inside, above, listed = _names(at, spans)
    for line in broken(", ".join(listed), at.width - 2 * edge(at), at.words, "text") if listed else []:
        draw.text(edge(at), y + at.words, line, at.words, fill="ash")
        y += at.words + 6
    y += 4 if listed else 0
    top = y + (at.words + 22 if above else 4)
    high = 30.0
    for text, middle, left, wide in above:
        draw.text(left, y + at.words, text, at.words)
        knee = min(max(middle, left + 4), left + wide - 4)
        draw.path(
            f"M{knee:.2f} {y + at.words + 6:.2f}L{middle:.2f} {top - 4:.2f}V{top:.2f}", "wire", 1.4, what="leader"
        )
    for i in sorted(
        range(len(spans)), key=lambda i: spans[i][1] - spans[i][2]
    ):  # short ones on top, or a rinse is lost
        name, x0, x1, _ = spans[i]
        kind = "ember" if name in _HANDS else "beet" if name == "smoke" else "brine_pale"
        draw.rect(x0, top, max(x1 - x0 - (1.6 if x1 - x0 > 8 else 0), MIN_BAR_PX), high, kind, what="stage")
        if inside[i]:
            draw.text(x0 + 7, top + 21, inside[i], at.words, fill="smoke" if kind == "brine_pale" else "plate")
    return top + high


def _names(
    at: Place, spans: Sequence[tuple[str, float, float, str]]
) -> tuple[list[str], list[tuple[str, float, float, float]], list[str]]:
    """Names in bars, names above (text, middle of the bar, left, width), and a list of what is only numbered."""
    inside = []
    for name, x0, x1, lasts in spans:
        fits = [t for t in (f"{name} {lasts}".strip(), name) if set_width(t, at.words) + 14 <= x1 - x0]
        inside.append(fits[0] if fits else "")
    short = [(s, (s[1] + s[2]) / 2) for s, text in zip(spans, inside, strict=True) if not text]
    low, high = edge(at), at.width - edge(at)
    for texts in ([f"{s[0]} {s[3]}".strip() for s, _ in short], [s[0] for s, _ in short]):
        wide = [set_width(t, at.words) for t in texts]
        left = spread([m - w / 2 for (_, m), w in zip(short, wide, strict=True)], wide, low, high, gap=10)
        if left is not None:
            return inside, [(t, m, x, w) for t, (_, m), x, w in zip(texts, short, left, wide, strict=True)], []
    groups = [[n] for n in range(len(short))]
    while True:  # numbers, those that have no room shared by neighbours
        texts = [f"{g[0] + 1}" if len(g) == 1 else f"{g[0] + 1} to {g[-1] + 1}" for g in groups]
        wide = [set_width(t, at.words) for t in texts]
        middle = [sum(short[n][1] for n in g) / len(g) for g in groups]
        left = spread([m - w / 2 for m, w in zip(middle, wide, strict=True)], wide, low, high, gap=8)
        if left is not None:
            listed = [f"{n + 1} {s[0]} {s[3]}".strip().replace(" ", TIE) for n, (s, _) in enumerate(short)]
            return inside, list(zip(texts, middle, left, wide, strict=True)), listed
        near = min(
            range(len(groups) - 1), key=lambda i: (len(groups[i]) + len(groups[i + 1]), middle[i + 1] - middle[i])
        )
        groups[near : near + 2] = [groups[near] + groups[near + 1]]


def _lasting(hours: float) -> str:
    """How long a stage lasts; empty for one of no length."""
    return show_hours(hours) if hours >= 1 / 60 else ""
