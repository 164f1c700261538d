"""A logger's file: looked at, judged against the lines in force, kept in the notebook, fed to the batch it belongs to.

    answer = read(Path("fridge.csv"), Answers(zone="Europe/London"), place="fridge")
    answer.sighting.questions   # what must be answered first
    kept = keep(notebook, answer, who="A")

Without a notebook nothing is stored and no database is loaded.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, tzinfo
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ingle.crafts.smoke import Session as SmokeRun
from ingle.crafts.smoke import SmokeCheck, check
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.tables import source as source_of
from ingle.ground.units import HOUR_S
from ingle.jobs.chill import Facts
from ingle.jobs.read_cooling import cooled, line_of
from ingle.notebook import logs_limits as lines
from ingle.notebook.logs import Answers, Sighting, Track, sight
from ingle.notebook.logs_clock import zone_named
from ingle.notebook.logs_limits import Behind, Deviation, Line
from ingle.notebook.logs_out import thinned
from ingle.notebook.logs_runs import lag_s
from ingle.safety.cooling import Stage as RuleStage
from ingle.safety.verdict import Verdict, worst

if TYPE_CHECKING:
    from ingle.notebook.logs_keep import Kept
    from ingle.notebook.store import Notebook

__all__ = ["Answers", "ReadAnswer", "judged", "keep", "read"]

_MOST_READINGS = 100_000  # of a smoke or a cooling: more are thinned, peaks kept


@dataclass(frozen=True)
class ReadAnswer:
    """The answer to `read`. ``level`` is None where no line was asked for, or questions are open."""

    sighting: Sighting
    place: str = ""
    lines: tuple[Line, ...] = ()
    verdicts: tuple[Verdict, ...] = ()
    stages: tuple[RuleStage, ...] = ()
    smoke: SmokeCheck | None = None
    behind: tuple[Behind, ...] = ()
    deviations: tuple[Deviation, ...] = ()
    level: str | None = None
    notes: tuple[str, ...] = ()
    kept: Kept | None = None

    @property
    def not_checked(self) -> tuple[str, ...]:
        """What no verdict and no stage on which it rests has checked, once each; rules that do not speak of this food left out."""
        rests = [v for v in self.verdicts if v.kind != "advice"], [s for s in self.stages if s.kind != "advice"]
        return tuple(dict.fromkeys(n for some in rests for v in some for n in v.not_checked if not n.startswith("for ")))

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/read.md)."""
        return {
            "log": self.sighting.as_dict(), "place": self.place or None, "level": self.level, "verdicts": [v.as_dict() for v in self.verdicts],
            "stages": [s.as_dict() for s in self.stages], "deviations": [d.as_dict() for d in self.deviations],
            "behind": [{"probe": b.probe, "time_constant_s": b.tau_s, "because": b.why, "highest": b.peak} for b in self.behind],
            "notes": list(self.notes), "kept": None if self.kept is None else vars(self.kept) | {"notes": list(self.kept.notes)},
        }  # fmt: skip


def read(
    source: Path | bytes, answers: Answers | None = None, *, name: str = "", place: str = "", kitchen_zone: str | None = None, **more: Any
) -> ReadAnswer:
    """Look at a file and judge it. ``more``: as `judged`.

    Raises
    ------
    BadBrief, OutOfRange
        What is no log, an answer that is none, a place or country that is not known.
    """
    if place and place not in lines.PLACES:
        raise BadBrief(f"limits {place!r} is not one of {', '.join(lines.PLACES)}.", field="limits", value=place, limit=", ".join(lines.PLACES),
                       remedy="Say where the logger stood.")  # fmt: skip
    seen = sight(source, answers, name=name, expect=place or "any", kitchen_zone=kitchen_zone)
    return judged(seen, place, kitchen_zone=kitchen_zone, **more)


def judged(
    seen: Sighting, place: str, *, countries: Sequence[str] = (), hanging: str = "meat", lag: float | None = None,
    thickness_mm: float | None = None, facts: Facts | None = None, probe_error_c: float = 0.0, kitchen_zone: str | None = None,
    moved: bool | None = None,
) -> ReadAnswer:  # fmt: skip
    """Judge a sighting against the lines of a place.

    Parameters
    ----------
    place : {"", "fridge", "smoker", "cooling"}
    countries : sequence of str
        Whose rules; empty: all, the strictest decides.
    hanging : {"meat", "fish", "butter"}
        In a smoker.
    lag, thickness_mm : float, optional
        Time constant of the product behind the air [s], or the thickness it is reckoned from. In a cooling the thickness tells how fast
        the middle of the piece can move: a probe that was moved shows at slower jumps.
    facts : Facts
        What rules on cooling ask.
    moved : bool, optional
        In a cooling: False believes every reading, see `ingle.safety.cooling.judge`.
    """
    if seen.questions or not place:
        return ReadAnswer(seen, place)
    warm = [t for t in seen.tracks if not t.wet]
    if not warm:
        return ReadAnswer(seen, place, level="cannot_say", notes=("the file holds no temperature",))
    zone = zone_named(kitchen_zone or seen.zone or "UTC")
    if place == "cooling":
        core = cooled(warm, countries, facts or Facts(), probe_error_c, thickness_mm, moved)
        return ReadAnswer(seen, "cooling", stages=core.stages, deviations=core.deviations, level=core.level, notes=core.notes)
    some = lines.lines_of(place, countries, hanging)
    told = _fridge(warm, some, lag, thickness_mm, zone, probe_error_c) if place == "fridge" else _smoker(warm, some, hanging, zone)
    return replace(told, sighting=seen, notes=(*told.notes, *_country_note(countries, place)))


def _fridge(
    tracks: Sequence[Track], some: tuple[Line, ...], lag: float | None, thickness_mm: float | None, zone: tzinfo, error: float
) -> ReadAnswer:
    tau, why = (lag, "as was said") if lag is not None else lag_s(thickness_mm)
    verdicts: list[Verdict] = []
    deviations: list[Deviation] = []
    behind = []
    for track in tracks:
        product = lines.behind(track, tau, why) if track.kind in ("air", "chamber") else None
        behind += [product] if product is not None else []
        verdicts += lines.verdicts(track, some, product, error)
        deviations += lines.deviations(track, some[0], product, zone)
    notes = ("the product is taken to begin at the first reading of its air",) if behind else ()
    return ReadAnswer(_NOTHING, "fridge", some, tuple(verdicts), behind=tuple(behind), deviations=_gravest(deviations), level=worst(verdicts), notes=notes)


def _smoker(tracks: Sequence[Track], some: tuple[Line, ...], hanging: str, zone: tzinfo) -> ReadAnswer:
    """The chamber against the lines of the smoke craft: the warmest chamber counts."""
    chambers = [t for t in tracks if t.kind in ("chamber", "air")] or list(tracks)
    deviations = [d for t in chambers for d in lines.deviations(t, some[0], None, zone, smoker=True)]
    hottest = max(chambers, key=lambda t: float(t.values.max()))
    ms, values = hottest.ms, hottest.values
    notes: tuple[str, ...] = (f"judged by {hottest.name}, the warmest of the chamber",) if len(chambers) > 1 else ()
    if ms.size > _MOST_READINGS:
        ms, values = thinned(ms, values, _MOST_READINGS // 4)
        notes += (f"hours were counted on {ms.size:,} of {hottest.ms.size:,} readings, the highest and lowest among them",)
    if ms.size < 2:
        return ReadAnswer(_NOTHING, "smoker", some, level="cannot_say", notes=("one reading tells no smoke",))
    told = check(hanging, [SmokeRun(tuple((ms - ms[0]) / 1000.0 / HOUR_S), tuple(float(v) for v in values))])
    return ReadAnswer(_NOTHING, "smoker", some, told.verdicts, smoke=told, deviations=_gravest(deviations), level=told.level, notes=notes)


def _gravest(found: Sequence[Deviation]) -> tuple[Deviation, ...]:
    return tuple(sorted(lines.same_cause(found), key=lambda d: (lines.LEVELS.index(d.level), d.began)))


def _country_note(countries: Sequence[str], place: str) -> tuple[str, ...]:
    return () if countries or place != "fridge" else ("no country was named: the strictest law decides",)


_NOTHING = Sighting("", "", 0, {}, (), ())


def keep(
    notebook: Notebook, answer: ReadAnswer, *, kitchen: str | None = None, batches: Mapping[str, str] | None = None, who: str = "",
    at: datetime | None = None,
) -> ReadAnswer:  # fmt: skip
    """Store a log and its deviations in the notebook, once; nothing of it where anything fails.

    Parameters
    ----------
    batches : mapping, optional
        Probe -> code of the batch it measured; "" for all probes.
    """
    from ingle.notebook import control, logs_keep  # the database is loaded only where something is kept
    from ingle.notebook.kitchens import traced
    from ingle.notebook.models import LogFile
    from ingle.notebook.rows import new_uid, only_kitchen

    for probe in set(batches or {}) - {t.name for t in answer.sighting.tracks} - {""}:
        names = ", ".join(t.name for t in answer.sighting.tracks)
        raise BadBrief(f"log {answer.sighting.name} has no probe {probe!r}.", field="batch", value=probe, limit=names, remedy=f"Name one of: {names}.")
    with notebook.look() as session:
        home = only_kitchen(session, kitchen)
        belongs = {probe: traced(session, code, ("batch",)) for probe, code in (batches or {}).items()}
    by_rule = {ln.rule: ln for ln in (*answer.lines, *map(line_of, answer.stages))}
    today = (at or datetime.now(UTC)).date()
    alarms = [d for d in answer.deviations if d.level != "note"]
    ahead = next((d.began for d in alarms if d.began.astimezone(UTC) > (at or datetime.now(UTC)) + timedelta(hours=1)), None)
    if ahead is not None:
        raise OutOfRange(
            f"{answer.sighting.name}: a line was crossed on {ahead:%Y-%m-%d %H:%M}, which is still to come. Nothing was stored.", field="log", value=answer.sighting.name,
            limit="readings until now", remedy="The logger's clock is not right: say its zone with --zone, or set the clock and export the log again.",
        )  # fmt: skip
    rises = [d.what for d in answer.deviations if d.level == "note"]  # without an act it is no alarm

    def also(session: Any, log: LogFile) -> None:
        for d in alarms:
            limit = control.keep_limit(session, _in_force(d, by_rule.get(d.rule)), today)
            control.deviate(
                session, home, new_uid("deviation", log.uid, d.rule, d.probe, d.began.isoformat()), d.what, level=d.level, act=d.act,
                batch=next((b for p, b in belongs.items() if (not p or p in d.probe.split(", ")) and _lay_there(session, b, d, log.last_utc)), None), log=log, limit=limit, place=d.probe, value=d.peak, unit=d.unit, began=d.began,
                ended=d.ended, count=d.count, deadline=d.deadline, at=at, who=who,
            )  # fmt: skip

    kept = logs_keep.keep(notebook, home, answer.sighting, batches=belongs, who=who, at=at, also=also, rises=rises)
    return replace(answer, kept=kept)


def _lay_there(session: Any, batch: Any, d: Deviation, ends: datetime | None) -> bool:
    """Whether a batch lay there while the line was crossed: what was over before it was laid in, or after it ended, holds it not."""
    from ingle.jobs.lying import since_of

    until = d.ended or ends
    return (until is None or until.astimezone(UTC) > since_of(session, batch)) and (batch.ended_utc is None or d.began.astimezone(UTC) < batch.ended_utc)


def _in_force(d: Deviation, line: Line | None) -> Any:
    from ingle.notebook.control import Line as InForce

    title = line.title if line else d.rule
    return InForce(
        d.rule, title, d.limit, d.unit, d.clause, d.source, source_of(d.source).title, d.sure, kind=line.kind if line else "law",
        country=line.country if line else "", basis=line.basis if line else "", doubt=line.doubt if line else "",
    )  # fmt: skip

