"""What a log shows against the lines in force: verdicts, and each time a line was crossed as one deviation with its act.

Of a fridge both are told: the air as it was read, and the product as a lag behind it. Food is what the laws speak of; a rise of
the air that the product does not follow over the line is a note, no alarm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta, tzinfo
from typing import Any

import numpy as np

from ingle.ground.errors import BadBrief
from ingle.ground.tables import toml_table
from ingle.ground.units import HOUR_S, show_hours
from ingle.notebook import logs_runs as runs
from ingle.notebook.logs_runs import Run
from ingle.notebook.logs_things import Track, at_ms
from ingle.safety import growth_record
from ingle.safety.limits import countries as country_keys
from ingle.safety.verdict import Verdict, level_of_max

PLACES = ("fridge", "smoker", "cooling")
LEVELS = ("stop", "today", "note")
HANGING: dict[str, list[str]] = toml_table("tables", "hanging.toml")
NOT_CHECKED = ("calibration of the logger", "whether the probe stood in the warmest place", "the temperature of the food itself")
KEPT = "Nothing to do: it is kept, no more."
_FRIDGE_NOW = "Move the food to a colder place now. Measure it."
_FRIDGE_HELD = "Hold what lay there. Throw away what is eaten without cooking. Judge a piece in cure by its growth forecast."
_FRIDGE_TODAY = "Look at door, seal, load and thermostat today. Put a thermometer into a glass of water in the warm spot."
_SMOKE = "Stop the fuel, open the chamber, set frozen bottles on the top shelf. Go on when it is cooler."


@dataclass(frozen=True)
class Line:
    """A limit of temperature in force."""

    rule: str
    title: str
    max_c: float
    clause: str
    source: str
    sure: str
    kind: str
    country: str
    basis: str
    doubt: str


@dataclass(frozen=True)
class Deviation:
    """A line that was crossed: by how much, for how long, what to do, by when."""

    level: str  # stop | today | note
    what: str
    probe: str
    rule: str
    limit: float
    unit: str
    clause: str
    source: str
    sure: str
    began: datetime
    ended: datetime | None  # None: no reading says that it is over
    above_s: float
    peak: float
    count: int
    act: str
    deadline: datetime | None = None
    product_peak: float | None = None  # of the lagged product
    product_s: float = 0.0  # so long above
    not_checked: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """For ``--json``."""
        told = dict(vars(self)) | {"not_checked": list(self.not_checked)}
        for key in ("began", "ended", "deadline"):
            told[key] = None if told[key] is None else told[key].isoformat()
        return told


@dataclass(frozen=True)
class Behind:
    """The product behind the air of one probe."""

    probe: str
    tau_s: float
    why: str
    celsius: np.ndarray  # at the readings of the track
    peak: float


def lines_of(place: str, countries: Sequence[str] = (), hanging: str = "meat") -> tuple[Line, ...]:
    """Lines of a place, the one that decides first: the strictest law of the countries, or of all when none is named."""
    if place == "smoker":
        if hanging not in HANGING:
            raise BadBrief(f"hanging {hanging!r} is not one of {', '.join(HANGING)}.", field="hanging", value=hanging, limit=", ".join(HANGING),
                           remedy="Say what hangs in the smoke.")  # fmt: skip
        said = toml_table("limits", "smoke.toml")
        return tuple(_line(f"smoke.{key}", said[key]) for key in HANGING[hanging])
    if place != "fridge":
        return ()
    named = country_keys(tuple(countries))
    every = [(k, r) for k, r in toml_table("limits", "holding.toml").items() if r.get("place") == place]
    some = [(k, r) for k, r in every if r["country"] in named] or every
    lines = [_line(f"holding.{k}", r) for k, r in some]
    laws = sorted((ln for ln in lines if ln.kind == "law"), key=lambda ln: ln.max_c)
    return (*laws, *(ln for ln in lines if ln.kind != "law"))


def _line(rule: str, said: dict[str, Any]) -> Line:
    return Line(rule, said["about"], float(said["limit"]["max"]), said["clause"], said["source"], said["sure"], said["kind"],
                said.get("country", ""), said.get("basis", ""), said.get("doubt", ""))  # fmt: skip


def behind(track: Track, tau_s: float, why: str) -> Behind:
    """The product behind a track of air. Across a long pause the air is taken at the warmer of its ends."""
    filled = growth_record.tidy(track.ms / 1000.0, track.values)
    ms = np.round(filled.seconds * 1000).astype(np.int64) + track.ms[0]
    product = runs.lagged(ms, filled.celsius, tau_s)
    at = np.interp(track.ms, ms, product)
    return Behind(track.name, tau_s, why, at, float(product.max()))


def verdicts(track: Track, lines: Sequence[Line], product: Behind | None, probe_error_c: float = 0.0) -> tuple[Verdict, ...]:
    """One verdict a line. Of air the product behind it is judged, and the air itself is the end of its spread."""
    air = float(track.values.max())
    value = air if product is None else product.peak
    most = max(air, value) + probe_error_c
    basis = "warmest reading" if product is None else f"product behind the air, time constant {show_hours(product.tau_s / HOUR_S)}; air up to {air:.1f} C"
    return tuple(
        Verdict(
            rule=ln.rule, title=f"{ln.title}: {track.name}", level=level_of_max(value, ln.max_c, high=most), value=value, limit=ln.max_c,
            unit="degC", clause=ln.clause, source=ln.source, sure=ln.sure, kind=ln.kind, country=ln.country, high=most, basis=basis,
            doubt=ln.doubt, not_checked=NOT_CHECKED if track.kind in ("air", "chamber") else NOT_CHECKED[:2],
        ) for ln in lines
    )  # fmt: skip


def same_cause_ms() -> int:
    """Rises within this time are one line. [ms]"""
    return int(float(toml_table("limits", "holding.toml")["same-cause"]["limit"]["max"]) * 60_000)


def four_hours() -> tuple[float, str]:
    """How long food may be out of the cold before it is eaten or thrown away, and its clause. [s]"""
    said = toml_table("limits", "exposure.toml")["out-four-hours"]
    return float(said["limit"]["max"]) * HOUR_S, str(said["clause"])


def deviations(track: Track, line: Line, product: Behind | None, zone: tzinfo, *, smoker: bool = False) -> tuple[Deviation, ...]:
    """Every time above a line, the gravest first; times within ten minutes are one with a count, mere rises of air one a day."""
    gap = growth_record.longest_gap_s()
    near = same_cause_ms()
    air = runs.joined(runs.runs_above(track.ms, track.values, line.max_c, gap), near)
    food = air if product is None else runs.joined(runs.runs_above(track.ms, product.celsius, line.max_c, gap), near)
    found: list[Deviation] = []
    notes: list[Run] = []
    for own, followed in _together(air, food, near):
        if not followed:
            notes += own
        elif smoker:
            found.append(_smoke(track, line, own, zone))
        else:
            found.append(_warm(track, line, own, followed, product, zone))
    found += _by_day(track, line, notes, product, zone)
    return tuple(sorted(found, key=lambda d: (LEVELS.index(d.level), d.began)))


def _together(air: list[Run], food: list[Run], near: int) -> list[tuple[list[Run], list[Run]]]:
    """Rises of the air with the rises of the product they brought."""
    spans: list[list[Any]] = []
    for kind, run in sorted([(0, r) for r in air] + [(1, r) for r in food], key=lambda p: (p[1].start, p[0])):
        if spans and run.start <= spans[-1][0] + near:
            spans[-1][0] = max(spans[-1][0], run.end)
        else:
            spans.append([run.end, [], []])
        spans[-1][1 + kind].append(run)
    return [(own, followed) for _, own, followed in spans]


def _warm(track: Track, line: Line, air: list[Run], food: list[Run], product: Behind | None, zone: tzinfo) -> Deviation:
    """Food, or the product behind its air, above a line of a fridge."""
    every = [*air, *food]
    began, ended = min(r.start for r in every), max(r.end for r in every)
    still = any(r.open and r.end == ended for r in every)
    food_s = sum(r.above_ms for r in food) / 1000.0
    hours, clause = four_hours()
    peak = max((r.peak for r in air), default=max(r.peak for r in food))
    level = "stop" if still or food_s > hours else "today"
    act = _FRIDGE_NOW if still else _FRIDGE_HELD if food_s > hours else _FRIDGE_TODAY
    warm = at_ms(min(r.start for r in food))
    deadline = warm + timedelta(seconds=hours) if level == "stop" else _midnight(at_ms(ended), zone)
    told = f"{track.name}: above {line.max_c:g} C for {show_hours(sum(r.above_ms for r in air) / 3.6e6) if air else 'no time'}, up to {peak:.1f} C"
    if product is not None:
        told += f"; product behind it {show_hours(food_s / HOUR_S)}, up to {max(r.peak for r in food):.1f} C"
    if food_s > hours:
        told += f"; food out of the cold more than {show_hours(hours / HOUR_S)} ({clause})"
    return Deviation(
        level, told, track.name, line.rule, line.max_c, "degC", line.clause, line.source, line.sure, at_ms(began), None if still else at_ms(ended),
        sum(r.above_ms for r in (air or food)) / 1000.0, peak, max(1, sum(r.count for r in air)), act, deadline,
        None if product is None else max(r.peak for r in food), food_s, NOT_CHECKED if product is not None else NOT_CHECKED[:2],
    )  # fmt: skip


def _smoke(track: Track, line: Line, air: list[Run], zone: tzinfo) -> Deviation:
    ended = max(r.end for r in air)
    still = any(r.open and r.end == ended for r in air)
    above = sum(r.above_ms for r in air)
    peak = max(r.peak for r in air)
    began = at_ms(min(r.start for r in air))
    return Deviation(
        "stop" if still else "today", f"{track.name}: above {line.max_c:.4g} C for {show_hours(above / 3.6e6)}, up to {peak:.1f} C", track.name, line.rule,
        line.max_c, "degC", line.clause, line.source, line.sure, began, None if still else at_ms(ended), above / 1000.0, peak,
        sum(r.count for r in air), _SMOKE, at_ms(ended) if still else _midnight(at_ms(ended), zone), not_checked=NOT_CHECKED,
    )  # fmt: skip


def _by_day(track: Track, line: Line, notes: list[Run], product: Behind | None, zone: tzinfo) -> list[Deviation]:
    """Doors and defrosts: the air rises and the product does not. One line a day."""
    days: dict[Any, list[Run]] = {}
    for run in notes:
        days.setdefault(at_ms(run.start).astimezone(zone).date(), []).append(run)
    told = []
    for some in days.values():
        peak, count = max(r.peak for r in some), sum(r.count for r in some)
        longest = max(r.above_ms for r in some) / 3.6e6
        behind_peak = None if product is None else _peak_in(track, product, some)
        words = f"{track.name}: air above {line.max_c:g} C {f'{count} times' if count > 1 else 'once'}, at most {show_hours(longest)}, up to {peak:.1f} C"
        if behind_peak is not None:
            words += f"; product behind it up to {behind_peak:.1f} C: door or defrost"
        ended = None if some[-1].open and some[-1].end == int(track.ms[-1]) else at_ms(max(r.end for r in some))
        told.append(Deviation(
            "note", words, track.name, line.rule, line.max_c, "degC", line.clause, line.source, line.sure, at_ms(some[0].start), ended,
            sum(r.above_ms for r in some) / 1000.0, peak, count, KEPT, None, behind_peak, 0.0, NOT_CHECKED,
        ))  # fmt: skip
    return told


def _peak_in(track: Track, product: Behind, some: list[Run]) -> float:
    peaks = []
    for run in some:
        a, b = np.searchsorted(track.ms, (run.start, run.end))
        peaks.append(float(product.celsius[max(0, a - 1) : b + 1].max()))
    return max(peaks)


def same_cause(found: Sequence[Deviation]) -> list[Deviation]:
    """Probes that passed one line at one time, ten minutes apart at most, are one line with a count; the gravest speaks for all."""
    near = timedelta(milliseconds=same_cause_ms())
    told: list[Deviation] = []
    for d in sorted(found, key=lambda d: (d.rule, d.level == "note", d.began)):
        was = told[-1] if told else None
        if was is None or (was.rule, was.level == "note") != (d.rule, d.level == "note") or d.probe in was.probe.split(", ") or (was.ended is not None and d.began > was.ended + near):
            told.append(d)
        else:
            told[-1] = _one(was, d)
    return told


def _one(a: Deviation, b: Deviation) -> Deviation:
    first, other = sorted((a, b), key=lambda d: (LEVELS.index(d.level), -d.peak))
    ended = None if a.ended is None or b.ended is None else max(a.ended, b.ended)
    deadlines = [d.deadline for d in (a, b) if d.deadline is not None and d.level == first.level]
    return replace(
        first, what=f"{first.what}; {other.probe} too, up to {other.peak:.1f} C", probe=f"{first.probe}, {other.probe}", began=min(a.began, b.began),
        ended=ended, above_s=max(a.above_s, b.above_s), count=a.count + b.count, deadline=min(deadlines, default=None),
    )  # fmt: skip


def _midnight(moment: datetime, zone: tzinfo) -> datetime:
    """The end of that day in the kitchen."""
    day = moment.astimezone(zone).date() + timedelta(days=1)
    return datetime.combine(day, time(0), zone).astimezone(moment.tzinfo)
