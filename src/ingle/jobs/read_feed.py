"""A log into the forecasts of the batch it belongs to: the cure as warm as it was, growth along it, cooling by its rules."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.history import Record, Stage
from ingle.crafts.cure.mix import Added, Mix
from ingle.crafts.cure.thick import as_measured, assumed_words
from ingle.ground.errors import IngleError
from ingle.ground.things import Piece
from ingle.ground.units import HOUR_S, show_hours
from ingle.jobs.batch_facts import Facts, thinnest_mm
from ingle.jobs.chill import Facts as CoolingFacts
from ingle.jobs.cure_stages import WINDOW_MEMBERS, HistoryAnswer, cure_of_stages
from ingle.notebook.logs_runs import lag_s, lagged
from ingle.notebook.logs_things import Track
from ingle.safety import cooling, growth
from ingle.safety.cooling import Stage as RuleStage
from ingle.safety.growth_answer import Growth
from ingle.safety.growth_record import tidy

Floats = NDArray[np.float64]
PLANNED_C = 4.0  # a fridge of which nothing is known is taken so, as `Stage` does
LONGEST_GAP_H = 6.0  # as `history_file`: longer, and nobody knows what the fridge did
NEVER_H = 1e9
HOT_C = 50.0  # a core that was so warm is a cooling, not a cure
AHEAD_H = 35 * 24.0  # a piece of usual thickness is ready by then, in nineteen cases of twenty
_GRID_H = 0.25
_NEAREST = ("core", "surface", "chamber", "air")


@dataclass(frozen=True)
class Fed:
    """Forecasts of a batch along its log, beside those along the planned temperature."""

    batch: str
    probe: str
    cure: HistoryAnswer | None = None
    planned: HistoryAnswer | None = None
    growth: tuple[Growth, ...] = ()
    cooling: tuple[RuleStage, ...] = ()
    notes: tuple[str, ...] = ()
    is_past: bool = False  # the log ended before the batch was laid in

    @property
    def level(self) -> str:
        """The gravest of growth and cooling; cannot_say where neither was judged."""
        order = {"within": 0, "cannot_say": 1, "near": 2, "over": 3}
        levels = [g.level for g in self.growth] + ([cooling.worst(self.cooling)] if self.cooling else [])
        return max(levels, key=order.__getitem__, default="cannot_say")

    @property
    def sentence(self) -> str:
        """What the log changes, in one sentence."""
        if self.is_past:
            return "Ended before it was laid in: changes nothing."
        if self.cure is None or self.planned is None:
            return ""
        was, now = self.planned.ready, self.cure.ready
        if not np.isfinite(now.likely_h):
            return f"By its log the core does not hold its salt by {show_hours(float(self.cure.told.hours[-1]))}."
        shift = now.likely_h - was.likely_h
        how = "as planned" if abs(shift) < 1.0 or not np.isfinite(shift) else f"{show_hours(abs(shift))} {'sooner' if shift < 0 else 'later'} than at {PLANNED_C:g} C"
        late = show_hours(now.latest_h) if np.isfinite(now.latest_h) else f"later than {show_hours(float(self.cure.told.hours[-1]))}"
        return f"By its log: ready between {show_hours(now.earliest_h)} and {late}, most likely {show_hours(now.likely_h)}, {how}."

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json``."""
        return {
            "batch": self.batch, "probe": self.probe, "level": self.level, "sentence": self.sentence,
            "cure": None if self.cure is None else self.cure.as_dict(), "planned": None if self.planned is None else self.planned.as_dict(),
            "growth": [g.as_dict() for g in self.growth], "cooling": [s.as_dict() for s in self.cooling], "notes": list(self.notes),
        }  # fmt: skip


def feed(
    log: Track | Sequence[Track], facts: Facts, *, members: int = WINDOW_MEMBERS, countries: Sequence[str] = (), probe_error_c: float = 0.0
) -> Fed:
    """Correct the forecasts of a batch by its log.

    Parameters
    ----------
    log : Track or sequence of Track
        Probes of one batch: a core is taken before a surface, before air. Air is lagged by the piece before it counts as the meat.
    facts : Facts
        Of the batch, see `ingle.jobs.batch_facts`.
    members : int
        Of the ensemble.

    Notes
    -----
    What cannot be forecast (no thickness, no dose, a temperature beyond the law) is said in ``notes``; the rest is still told.
    """
    tracks = [log] if isinstance(log, Track) else [t for t in log if not t.wet]
    notes: list[str] = []
    began = facts.began
    cut = [t for t in (_since(t, began, facts.batch.ended_utc) for t in tracks) if t.ms.size >= 2]
    if not cut:
        ends = max((float(t.ms[-1]) for t in tracks if t.ms.size), default=None)
        if ends is not None and ends <= began.timestamp() * 1000:
            return _past(facts.batch.code)
        return Fed(facts.batch.code, "", notes=(f"the log holds nothing between the begin of {facts.batch.code} and its end",))
    best = min(cut, key=lambda t: (_NEAREST.index(t.kind), -float(t.values.mean())))
    if sum(t.kind == best.kind for t in cut) > 1:
        notes.append(f"by {best.name}, the warmest of the {best.kind}")
    if best.kind == "core" and float(best.values.max()) >= HOT_C:
        return Fed(facts.batch.code, best.name, cooling=_cool(best, facts, countries, probe_error_c, notes), notes=tuple(notes))
    cure, planned = _cure(best, facts, members, notes)
    return Fed(facts.batch.code, best.name, cure, planned, _grown(best, facts, probe_error_c, notes), (), tuple(notes))


def _past(code: str) -> Fed:
    return Fed(code, "", notes=(f"the log's last reading is older than {code}",), is_past=True)


def _since(track: Track, began: datetime, ended: datetime | None) -> Track:
    a = int(np.searchsorted(track.ms, began.timestamp() * 1000))
    b = track.ms.size if ended is None else int(np.searchsorted(track.ms, ended.timestamp() * 1000, side="right"))
    return replace(track, ms=track.ms[a:b], values=track.values[a:b])


def _cool(track: Track, facts: Facts, countries: Sequence[str], error: float, notes: list[str]) -> tuple[RuleStage, ...]:
    mix, base = facts.mix, facts.base
    nitrite = mix.content(base.skin_free_g).nitrite_as_sodium if mix is not None and base is not None else 0.0
    known = CoolingFacts(nitrite_mg_per_kg=nitrite or None)
    try:
        return cooling.judge(
            (track.ms - track.ms[0]) / 1000.0, track.values, countries=countries, probe_error_c=error, is_celsius=True, thickness_mm=thinnest_mm([facts]), **known.as_words()
        )
    except IngleError as why:
        notes.append(f"cooling cannot be judged: {why.message}")
        return ()


def _cure(track: Track, facts: Facts, members: int, notes: list[str]) -> tuple[HistoryAnswer | None, HistoryAnswer | None]:
    """The slowest piece along the log, and along the planned temperature."""
    if facts.batch.craft != "cure":
        return None, None
    cuts, mix = facts.cuts, facts.mix
    if not cuts or mix is None:
        notes.append("no cure forecast: " + ("no piece was weighed" if not cuts else "no dose was written down"))
        return None, None
    piece = max(map(as_measured, cuts), key=lambda c: float(c.thickness_mm or 0.0))
    notes += [f"{c.name or 'a piece'}: {line}" for c in cuts for line in assumed_words(c)]
    if len(cuts) > 1:
        notes.append(f"told for {piece.name or 'the thickest piece'}, the thickest of {len(cuts)}")
    share = piece.weight_g / sum(c.weight_g for c in cuts)
    dose = Mix(tuple(Added(a.kind, a.grams * share, a.curing_salt) for a in mix.added))
    record, more = _record(track, facts, piece)
    notes += more
    lasts = max(float(record.hours[-1]), _planned_h(facts))
    kind = {"bag": "bag", "immerse": "immerse", "brine": "immerse"}.get(str(facts.batch.formula.get("method", "")), "rub")
    stage = Stage(kind, lasts, PLANNED_C, None, dose)
    wished = facts.batch.formula.get("salt_per_green_weight")
    try:
        told = [cure_of_stages(piece, (s,), wished_salt=wished, members=members) for s in (replace(stage, record=record), stage)]
    except IngleError as why:
        notes.append(f"no cure forecast: {why.message}")
        return None, None
    return told[0], told[1]


def _planned_h(facts: Facts) -> float:
    """So long the forecast looks ahead: over the latest of the stored forecast. [h]"""
    quantiles = [h for h in facts.batch.forecast.get("quantiles_h") or () if h is not None]  # None: never
    return max(AHEAD_H, 1.2 * float(max(quantiles, default=0.0)))


def _record(track: Track, facts: Facts, piece: Piece) -> tuple[Record, list[str]]:
    """Hours from the begin of the batch and the meat's temperature, on a grid of a quarter hour; planned where nothing is known."""
    notes = []
    values = track.values
    if track.kind in ("air", "chamber"):
        tau, why = lag_s(piece.thickness_mm)
        values = lagged(track.ms, values, tau)
        notes.append(f"meat taken to lag {show_hours(tau / HOUR_S)} behind the air: {why}")
    hours = np.asarray((track.ms - facts.began.timestamp() * 1000) / 1000.0 / HOUR_S, dtype=np.float64)
    grid = np.arange(0.0, float(hours[-1]) + _GRID_H, _GRID_H)
    told = _means(grid, hours, values)
    at = np.searchsorted(hours, grid)
    before, after = np.maximum(at - 1, 0), np.minimum(at, hours.size - 1)
    unknown = (grid < hours[0] - _GRID_H) | ((hours[after] - hours[before] > LONGEST_GAP_H) & (at > 0))
    told = np.where(unknown, PLANNED_C, told)
    if unknown.any():
        notes.append(f"{show_hours(float(unknown.sum()) * _GRID_H)} without readings taken at {PLANNED_C:g} C")
    notes.append(f"after the log's end {PLANNED_C:g} C is taken")
    return Record(np.append(grid, grid[-1] + _GRID_H), np.append(told, PLANNED_C)), notes


def _means(grid: Floats, hours: Floats, values: Floats) -> Floats:
    """Mean over each step of the grid, straight between readings."""
    area = np.concatenate(([0.0], np.cumsum(np.diff(hours) * (values[1:] + values[:-1]) / 2.0)))
    edges = np.clip(np.append(grid, grid[-1] + _GRID_H) - _GRID_H / 2.0, hours[0], hours[-1])
    at = np.clip(np.searchsorted(hours, edges, side="right") - 1, 0, hours.size - 2)
    into = edges - hours[at]
    slope = (values[at + 1] - values[at]) / np.maximum(hours[at + 1] - hours[at], 1e-12)
    total = area[at] + into * (values[at] + slope * into / 2.0)
    wide = np.diff(edges)
    return np.where(wide > 1e-9, np.diff(total) / np.maximum(wide, 1e-9), np.interp(grid, hours, values))


def _grown(track: Track, facts: Facts, error: float, notes: list[str]) -> tuple[Growth, ...]:
    """Germs along the log: the face of the meat follows its air as soon as a thin pack does."""
    try:
        filled = tidy((track.ms - track.ms[0]) / 1000.0, track.values)
        values = filled.celsius
        if track.kind in ("air", "chamber"):
            tau, why = lag_s()
            values = lagged(np.round(filled.seconds * 1000).astype(np.int64), values, tau)
            notes.append(f"germs reckoned {show_hours(tau / HOUR_S)} behind the air: {why}")
        notes += filled.notes
        ph = next((r.ph for r in reversed(facts.readings) if r.ph is not None), None)
        aw = next((r.water_activity for r in reversed(facts.readings) if r.water_activity is not None), None)
        packed = "vacuum" if facts.batch.formula.get("method") == "bag" else "air"
        return growth.judge(filled.seconds, values, ph=ph, aw=aw, packed=packed, probe_error_c=error or None, gap_s=np.inf)
    except IngleError as why_not:
        notes.append(f"growth cannot be judged: {why_not.message}")
        return ()


def feed_stored(notebook: Any, code: str, *, members: int = WINDOW_MEMBERS, countries: Sequence[str] = ()) -> Fed:
    """Correct the forecasts of a batch by all logs of it that the notebook holds."""
    from ingle.jobs.batch_facts import facts_of  # the database is loaded only here
    from ingle.notebook.kitchens import traced
    from ingle.notebook.logbook import logs_of, probes_of
    from ingle.notebook.logs_keep import open_log

    parts: dict[tuple[str, str], list[Track]] = {}
    with notebook.look() as session:
        batch = traced(session, code, ("batch",))
        facts = facts_of(session, [batch])[0]
        found = logs_of(session, batch=batch)
        if found and all(log.last_utc is not None and log.last_utc <= facts.began for log in found):
            return _past(code)
        for log in found:
            own = {p.column for p in probes_of(session, log) if p.batch_id == batch.id}
            for track in open_log(session, notebook, log, first=facts.began, last=batch.ended_utc or datetime.now(UTC)):
                if track.name in own:
                    parts.setdefault((track.name, track.kind), []).append(track)
    return feed([_joined(some) for some in parts.values()], facts, members=members, countries=countries)


def move_by_log(notebook: Any, fed: Fed, log: str) -> bool:
    """Keep the forecast along a log with its batch, beside the one it was laid in with; False where the log changes none.

    Parameters
    ----------
    log : str
        UUID of the log that came in last.
    """
    if fed.cure is None or not fed.cure.told.hours.size:
        return False
    ready = fed.cure.ready
    dots = [round(h, 3) if h < NEVER_H else None for h in ready.quantiles_h]
    pull = ready.likely_h if fed.cure.excess else next(iter(ready.at_chance.values()), ready.latest_h)

    from sqlalchemy import select  # the database is loaded only here

    from ingle.notebook.kitchens import traced
    from ingle.notebook.models import Batch, LogFile

    def work(session: Any) -> bool:
        batch = session.get_one(Batch, traced(session, fed.batch, ("batch",)).id)
        name = session.scalar(select(LogFile.name).where(LogFile.uid == log)) or ""
        by_hand = not batch.forecast.get("step")
        moved = {
            "uid": log, "name": name, "sentence": fed.sentence, "what": ready.what, "basis": f"{ready.basis}, along {name}", "quantiles_h": dots,
            "window_h": [round(h, 3) if h < NEVER_H else None for h in (ready.earliest_h, ready.likely_h, ready.latest_h)],
            "pull_h": pull if by_hand and pull < NEVER_H else None, "at": datetime.now(UTC).isoformat(),
        }  # fmt: skip
        batch.forecast = {**batch.forecast, "log": moved}
        return True

    return bool(notebook.write(work))


def _joined(some: list[Track]) -> Track:
    """One probe over several files, by time; where two tell of one time the warmer counts."""
    ms = np.concatenate([t.ms for t in some])
    values = np.concatenate([t.values for t in some])
    order = np.lexsort((-values, ms))
    ms, values = ms[order], values[order]
    first = np.concatenate(([True], np.diff(ms) > 0))
    return replace(some[0], ms=ms[first], values=values[first])
