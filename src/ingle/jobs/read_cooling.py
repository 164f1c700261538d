"""A logger's file of a piece that cools: judged by every rule on cooling, readings that no food can show asked about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from ingle.ground.units import HOUR_S, show_hours, show_two
from ingle.jobs.chill import BELIEVED, Facts
from ingle.notebook.logs import Track, at_ms
from ingle.notebook.logs_limits import Deviation, Line
from ingle.safety import cooling, thermal_record
from ingle.safety.cooling import Stage
from ingle.safety.probe_runs import marked


@dataclass(frozen=True)
class Cooled:
    """What a cooling came to."""

    stages: tuple[Stage, ...]
    deviations: tuple[Deviation, ...]
    notes: tuple[str, ...]

    @property
    def level(self) -> str:
        """Of the rule that decides."""
        return cooling.worst(self.stages)


def cooled(
    tracks: Sequence[Track], countries: Sequence[str], facts: Facts, error: float, thickness_mm: float | None, moved: bool | None
) -> Cooled:
    """Judge the probe that cools last; arguments as `ingle.jobs.read.judged`."""
    cores = [t for t in tracks if t.kind == "core"] or [t for t in tracks if t.kind != "air"] or list(tracks)
    # the warmest point at the end is the one that cools last
    core = max(cores, key=lambda t: float(t.values[-1]))
    notes: tuple[str, ...] = (f"judged by {core.name}, the last to cool",) if len(cores) > 1 else ()
    seconds = (core.ms - core.ms[0]) / 1000.0
    stages = cooling.judge(
        seconds, core.values, countries=countries, probe_error_c=error, is_celsius=True, thickness_mm=thickness_mm, moved=moved, **facts.as_words()
    )
    if moved is not False:
        seen = marked(thermal_record.read(seconds, core.values, longest_gap_s=cooling.LONGEST_GAP_S), thickness_mm)
        notes += (BELIEVED,) if seen.asked else ()  # what is asked stands with what was not checked
    top = cooling.strictest(stages)
    return Cooled(stages, tuple(_deviation(core, s) for s in stages if s.rule == top and s.level == "over"), notes)


def line_of(s: Stage) -> Line:
    """A stage as a limit in force, by the name that stands in a record: what the rule is for, from where to where, within how long."""
    within = "" if s.allowed_s is None else f" within {show_hours(s.allowed_s / HOUR_S)}"
    return Line(f"cooling.{s.rule}.{s.segment}", f"{s.title}: {s.from_words}{within}", s.to_c or 0.0, s.clause, s.source, s.sure, s.kind, s.country, "", s.doubt)


def _deviation(track: Track, s: Stage) -> Deviation:
    start = at_ms(int(track.ms[0] + (s.start_s or 0.0) * 1000))
    done = s.taken_s is not None and s.to_c is not None and float(track.values[-1]) <= s.to_c
    by = None if s.must_reach_by_s is None else at_ms(int(track.ms[0] + s.must_reach_by_s * 1000))
    ended = None if not done or s.taken_s is None else start + timedelta(seconds=s.taken_s)
    allowed_h = (s.allowed_s or 0) / HOUR_S
    took = f"at most {show_hours(allowed_h)}" if s.taken_s is None else "{}, at most {}".format(*show_two(s.taken_s / HOUR_S, allowed_h))
    return Deviation(
        "today" if done else "stop", f"{track.name}: {s.title}, {s.from_words}: {took}", track.name, f"cooling.{s.rule}.{s.segment}", s.to_c or 0.0, "degC",
        s.clause, s.source, s.sure, start, ended, s.taken_s or 0.0, float(np.max(track.values)), 1,
        s.act or "Hold it, and ask what still may be done with it.", by, not_checked=s.not_checked,
    )  # fmt: skip
