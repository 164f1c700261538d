"""A log as one picture: every probe, the product behind its air, the limits in force, times above the line. Peaks survive."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta, tzinfo
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from ingle.faces import setting
from ingle.faces.curves import chart_html
from ingle.faces.drawing import Drawing, path_data, ticks
from ingle.faces.picture_file import write_picture
from ingle.faces.tokens import SERIES
from ingle.faces.words import figure
from ingle.ground.errors import BadBrief
from ingle.ground.units import HOUR_S, show_hours
from ingle.jobs.read import ReadAnswer
from ingle.notebook.logs import Track, at_ms
from ingle.notebook.logs_clock import zone_named
from ingle.notebook.logs_out import thinned
from ingle.notebook.logs_runs import holes

WIDTH, HEIGHT = 1000, 560
_LEFT, _RIGHT, _TOP, _FOOT = 76, 190, 96, 100
_NARROW, _NARROW_LEFT, _NARROW_HEIGHT, _NARROW_FOOT = 440, 48, 520, 62  # on a phone the same letters stand in less room
_BUCKETS = 350
_APART = 22
_HOUR_STEPS = (1, 2, 3, 6, 12, 24, 48, 96, 168, 336, 720)
_GAP_S = 2 * HOUR_S  # no line is drawn over a longer pause
_DASHED = "6 5"


def log_svg(answer: ReadAnswer, *, title: str = "", dark: bool = False, zone: str = "", narrow: bool = False) -> str:
    """Chart of a log.

    Parameters
    ----------
    answer : ReadAnswer
        Without open questions; temperatures only, at most as many probes as there are colours.
    zone : str
        In which the hours are written; the file's own when left out.
    narrow : bool
        For a phone: as wide as it, letters as large.
    """
    width, left, height = (_NARROW, _NARROW_LEFT, _NARROW_HEIGHT) if narrow else (WIDTH, _LEFT, HEIGHT)
    seen = answer.sighting
    tracks = [t for t in seen.tracks if not t.wet][: len(SERIES)]
    if not tracks:
        raise BadBrief(f"log {seen.name} has no temperature to draw.", field="chart", value=seen.name, limit="a temperature", remedy="Leave --chart out.")
    home = zone_named(zone or seen.zone or "UTC")
    draw = Drawing(width, height, dark=dark, key="log-narrow" if narrow else "log")
    first, last = min(int(t.ms[0]) for t in tracks), max(int(t.ms[-1]) for t in tracks)
    span = max(last - first, 60_000)
    low = min(float(t.values.min()) for t in tracks)
    high = max(float(t.values.max()) for t in tracks)
    for line in answer.lines:
        low, high = min(low, line.max_c), max(high, line.max_c)
    room = max(high - low, 1.0) * 0.06
    low, high = low - room, high + room
    behind = {b.probe: b for b in answer.behind}
    said = {t.name: f"{t.name[: 12 if narrow else 18]} {figure(round(float(t.values[-1]), 1))} °C" for t in tracks}
    short = "product" if narrow else "product behind it"  # beside a short name of its air: the words under the picture say it whole
    edge = max(setting.width(words, 16, "bold") for words in (*said.values(), *_limit_words(answer).values(), short)) + 18 if narrow else _RIGHT
    right, base = width - edge, height - (_NARROW_FOOT if narrow else _FOOT)

    def x(ms: float) -> float:
        return left + (right - left) * (ms - first) / span

    def y(c: float) -> float:
        return base - (base - _TOP) * (c - low) / (high - low)

    draw.rect(0, 0, width, height, "plate")
    draw.text(8 if narrow else left - 52, 42, (title or seen.name)[: 34 if narrow else 200], 28, figure=True, bold=True)
    _above(draw, answer, x, base)
    _axes(draw, x, y, (low, high), (first, last), (left, right), base, home)
    ends = _limits(draw, answer, y, (left, right))
    for (_, light, night, dash), track in zip(SERIES, tracks, strict=False):
        colour = night if dark else light
        _trace(draw, track.ms, track.values, x, y, colour, 2.6, dash, f"probe {track.kind}")
        ends.append((y(float(track.values[-1])), said[track.name], colour))
        if track.name in behind:
            product = behind[track.name].celsius
            _trace(draw, track.ms, product, x, y, colour, 1.8, _DASHED, "behind")
            ends.append((y(float(product[-1])), short, colour))
    at = -1e9
    for where, text, colour in sorted(ends):
        at = max(where, at + _APART)
        draw.text(right + 10, at + 6, text, 16, fill=colour, bold=True, halo=4)
    foot = _foot(answer)
    if not narrow:
        draw.text(left, HEIGHT - 20, foot, 17, bold=True)
    return draw.render(f"{title or seen.name}: temperatures against time", _said(answer, tracks, home, foot))


def _trace(
    draw: Drawing, ms: np.ndarray, values: np.ndarray, x: Callable[[float], float], y: Callable[[float], float], colour: str, width: float,
    dash: str, what: str,
) -> None:  # fmt: skip
    """A line that is broken where nothing is known; thinned so that every peak stays."""
    cuts = np.flatnonzero(holes(ms, _GAP_S)) + 1
    for part in np.split(np.arange(ms.size), cuts):
        at, v = thinned(ms[part], values[part], max(4, int(_BUCKETS * part.size / ms.size)))
        points = [(x(float(a)), y(float(b))) for a, b in zip(at, v, strict=True)]
        if len(points) == 1:
            draw.circle(points[0][0], points[0][1], 3, colour, what=what)
        else:
            draw.path(path_data(points), colour, width, dash=dash, what=what)


def _above(draw: Drawing, answer: ReadAnswer, x: Callable[[float], float], base: float) -> None:
    """Deviations that want an act, as a mark along the foot of the picture."""
    for d in answer.deviations:
        if d.level == "note":
            continue
        began = d.began.timestamp() * 1000
        ended = (d.ended or answer.sighting.last or d.began).timestamp() * 1000
        left = x(began)
        draw.rect(left, base - 7, max(3.0, x(ended) - left), 7, "ember", what=f"deviation {d.level}")


def _limits(draw: Drawing, answer: ReadAnswer, y: Callable[[float], float], sides: tuple[float, float]) -> list[tuple[float, str, str]]:
    """Lines in force, the one that decides the thickest; one of the same height is written once."""
    for i, line in enumerate(answer.lines):
        draw.line(sides[0], y(line.max_c), sides[1], y(line.max_c), "twine", 2.4 if i == 0 else 1.4, dash="" if i == 0 else "2 5", what="limit")
    return [(y(c), text, "twine") for c, text in _limit_words(answer).items()]


def _limit_words(answer: ReadAnswer) -> dict[float, str]:
    """What stands at each line."""
    told: dict[float, str] = {}
    for line in answer.lines:
        name = line.country.upper() if line.country else line.rule.split(".")[-1].replace("_", " ")
        told[line.max_c] = f"{told[line.max_c].removesuffix(' °C')}, {name}" if line.max_c in told else f"{figure(round(line.max_c, 1))} °C {name}"
    return told


def _axes(
    draw: Drawing, x: Callable[[float], float], y: Callable[[float], float], temps: tuple[float, float], times: tuple[int, int],
    sides: tuple[float, float], base: float, home: tzinfo,
) -> None:  # fmt: skip
    left, right = sides
    for value in ticks(*temps, 6):
        draw.line(left, y(value), right, y(value), "hair", 1, what="grid")
        draw.text(left - 10, y(value) + 6, figure(value), 16, anchor="end", fill="ash")
    draw.text(left - 10, _TOP - 12, "°C", 16, anchor="end", fill="ash")
    hours = (times[1] - times[0]) / 3.6e6
    step = next((h for h in _HOUR_STEPS if hours / h <= (right - left) / 90.0), 24 * int(np.ceil(hours / 24 / max(2.0, (right - left) / 90.0))))
    begin = at_ms(times[0]).astimezone(home).replace(minute=0, second=0, microsecond=0)
    begin = begin.replace(hour=0) if step >= 24 else begin.replace(hour=begin.hour - begin.hour % step)
    at, shown = begin, None
    while at.timestamp() * 1000 <= times[1]:
        place = x(at.timestamp() * 1000)
        if place >= left - 0.5:
            draw.line(place, base, place, base + 8, "wire", 2)
            draw.text(place, base + 27, f"{at:%H:%M}" if step < 24 else f"{at.day} {at:%b}", 16, anchor="middle", fill="ash")
            if step < 24 and at.date() != shown:
                draw.text(place, base + 48, f"{at:%a} {at.day} {at:%b}", 16, anchor="middle", fill="smoke", bold=True)
                shown = at.date()
        at = _later(at, step, home)
    draw.line(left, base, right, base, "wire", 2)


def _later(at: datetime, hours: int, home: tzinfo) -> datetime:
    """The next mark by the clock on the wall, over changes of summer time too."""
    wall = at.replace(tzinfo=None) + timedelta(hours=hours)
    return wall.replace(tzinfo=home) if isinstance(home, ZoneInfo) else at + timedelta(hours=hours)


def _foot(answer: ReadAnswer) -> str:
    counts = {level: sum(d.level == level for d in answer.deviations) for level in ("stop", "today", "note")}
    if answer.level is None:
        return "No line was asked for."
    told = ", ".join(f"{n} {level}" for level, n in counts.items() if n)
    lag = f"  Dashed: product {show_hours(answer.behind[0].tau_s / HOUR_S)} behind the air." if answer.behind else ""
    return f"{answer.level.replace('_', ' ').capitalize()}{f': {told}' if told else ''}.{lag}"


def _said(answer: ReadAnswer, tracks: list[Track], home: tzinfo, foot: str) -> str:
    rows = "; ".join(
        f"{t.name}: {t.values.min():.1f} to {t.values.max():.1f} °C, highest {at_ms(int(t.ms[int(np.argmax(t.values))])).astimezone(home):%a %d %b %H:%M}"
        for t in tracks
    )
    return f"{rows}. {'. '.join(d.what for d in answer.deviations if d.level != 'note')} {foot}".strip()


def rows_of(answer: ReadAnswer, zone: str = "") -> list[tuple[str, ...]]:
    """The picture as a table: deviations, the gravest first."""
    home = zone_named(zone or answer.sighting.zone or "UTC")
    return [
        (d.level, f"{d.began.astimezone(home):%a %d %b %H:%M}", "goes on" if d.ended is None else f"{d.ended.astimezone(home):%a %d %b %H:%M}",
         show_hours(d.above_s / HOUR_S), f"{d.peak:.1f}", d.act) for d in answer.deviations
    ]  # fmt: skip


def write(path: Path, answer: ReadAnswer, *, title: str = "", zone: str = "") -> None:
    """Write the picture in the kind its ending names."""
    head = ("level", "from", "to", "above", "highest, °C", "act")
    draw = lambda: log_svg(answer, title=title, zone=zone)  # noqa: E731
    write_picture(path, draw, lambda: chart_html(draw(), title=title or answer.sighting.name, head=head, rows=rows_of(answer, zone)))
