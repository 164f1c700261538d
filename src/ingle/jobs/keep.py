"""How long a food keeps: published days, capped by what the logged fridge lets grow, and by the rules for packs without air."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

import numpy as np

from ingle.ground.errors import BadBrief
from ingle.ground.tables import source, toml_table
from ingle.ground.units import HOUR_S, show_hours
from ingle.jobs.keep_given import Kept, conditions_of, food_of, records_of
from ingle.planning.parts import Part, main_give
from ingle.safety import exposure, germs, growth, keeping
from ingle.safety.conditions import Conditions, conditions
from ingle.safety.growth_answer import NOT_CHECKED, Growth
from ingle.safety.growth_record import GrowthRecord
from ingle.safety.keeping import DAY_H, Days, Ends, Food
from ingle.safety.verdict import Verdict

ORDER = {"within": 0, "near": 1, "cannot_say": 2, "over": 3}  # what cannot be said is a hold
SALTED_PCT = 3.0  # salt in the water of a usual cure; an example to reckon with
QUALITY_WORDS = "days of quality, not of harm: past them it is poorer, rancid or dry"
CAUTIONS = (
    "For anyone pregnant, old, very young or ill: eat cold-smoked or uncooked cured food only after heating it through.",
    "Look, smell and taste do not show botulism or Listeria.",
    "Sold to others, it is under your local food law.",
)


@dataclass(frozen=True)
class Change:
    """What would make it keep longer or shorter, reckoned again."""

    act: str
    hours: float | None  # from the start; None = told as days of its own
    said: str


@dataclass(frozen=True)
class KeepAnswer:
    """The answer to `keep`."""

    food: Food
    part: str
    where: str
    packed: str
    since: datetime | None
    now_h: float  # how long it has been kept, by the record or the dates
    growth: tuple[Growth, ...]
    verdicts: tuple[Verdict, ...]
    lines: tuple[Ends, ...]
    ends: Ends | None  # the use-by; None where no line ends the keeping
    latest_h: float | None  # at the cold end of a band
    freezer: Days | None
    changes: tuple[Change, ...]
    assumed: tuple[str, ...]
    notes: tuple[str, ...]
    not_checked: tuple[str, ...]
    cautions: tuple[str, ...] = CAUTIONS

    @property
    def stop(self) -> Growth | None:
        """The hard stop, if there is one."""
        return next((g for g in self.growth if g.hard_stop), None)

    @property
    def past(self) -> bool:
        """The use-by lies behind."""
        return self.ends is not None and self.now_h > self.ends.hours * (1 + 1e-6)

    @property
    def best(self) -> Ends | None:
        """Where quality ends; no line of harm, and never part of the level."""
        return keeping.first(line for line in self.lines if line.kind == "quality")

    @property
    def past_best(self) -> bool:
        """Its days of quality lie behind."""
        return self.best is not None and self.now_h > self.best.hours * (1 + 1e-6)

    @property
    def best_date(self) -> datetime | None:
        """Last day of quality, where the start is known."""
        return None if self.since is None or self.best is None else self.since + timedelta(hours=self.best.hours)

    @property
    def level(self) -> str:
        """The gravest level. Quality is not harm: days of a freezer that ran out move nothing."""
        own = "over" if self.past else "cannot_say" if self.ends is None and self.best is None and self.stop is None else "within"
        levels = [own, *(g.level for g in self.growth), *(v.level for v in self.verdicts if v.kind != "advice")]
        return max(levels, key=ORDER.__getitem__)

    @property
    def date(self) -> datetime | None:
        """Last day, where the start is known."""
        if self.since is None or self.ends is None or self.stop is not None:
            return None
        return self.since + timedelta(hours=self.ends.hours)

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/keep.md)."""
        found = self.ends
        by: dict[str, Any] | None = None
        if found is not None and self.stop is None:
            by = {
                "date": None if self.date is None else self.date.date().isoformat(),
                "days": found.hours / DAY_H, "days_at_cold_end": None if self.latest_h is None else self.latest_h / DAY_H,
                "since": None if self.since is None else self.since.isoformat(), "kind": found.kind, "because": found.why,
                "source": source(found.source).name, "clause": found.clause, "sure": found.sure, "past": self.past,
            }  # fmt: skip
        best: dict[str, Any] | None = None
        if self.best is not None and self.stop is None:
            q = self.best
            best = {
                "date": None if self.best_date is None else self.best_date.date().isoformat(), "days": q.hours / DAY_H, "because": q.why,
                "source": source(q.source).name, "clause": q.clause, "sure": q.sure, "past": self.past_best, "means": QUALITY_WORDS,
            }  # fmt: skip
        return {
            "food": self.food.key, "name": self.food.name, "part": self.part, "where": self.where, "packed": self.packed,
            "eaten": "cooked" if self.food.cooked else "uncooked", "kept_h": self.now_h, "level": self.level,
            "hard_stop": None if self.stop is None else self.stop.act, "use_by": by, "best_by": best,
            "growth": [g.as_dict() for g in self.growth], "verdicts": [v.as_dict() for v in self.verdicts],
            "lines": [{"kind": e.kind, "why": e.why, "days": e.hours / DAY_H if np.isfinite(e.hours) else None,
                       "source": source(e.source).name, "clause": e.clause, "sure": e.sure} for e in self.lines],
            "freezer": None if self.freezer is None else {"days_low": self.freezer.low, "days_high": self.freezer.high,
                       "source": source(self.freezer.source).name, "clause": self.freezer.clause, "sure": self.freezer.sure, "doubt": self.freezer.doubt},
            "changes": [{"act": ch.act, "days": None if ch.hours is None else ch.hours / DAY_H, "said": ch.said} for ch in self.changes],
            "assumed": list(self.assumed), "notes": list(self.notes), "not_checked": list(self.not_checked), "cautions": list(self.cautions),
        }  # fmt: skip


def keep(kept: Kept) -> KeepAnswer:
    """How long it keeps, and why.

    With a log: growth along it, the last day of it going on. Without: the band of a hand thermometer, judged at both ends; and
    where nobody measured, 3 to 7 C.

    Raises
    ------
    BadBrief, OutOfRange
        A part or food that is not known, a record in disorder, dates that run back, values out of range.
    """
    of, part = food_of(kept)
    c, assumed = conditions_of(kept, of, part)
    packed = "air" if kept.opened else kept.packed
    low, high, start, notes = records_of(kept)
    where = "frozen" if kept.frozen or float(high.celsius.max()) <= keeping.FROZEN_C else "opened" if kept.opened and keeping.days(of, "opened") else "fridge"
    if where == "fridge" and keeping.days(of, "fridge") is None:
        where = "room" if keeping.days(of, "room") else "fridge"

    def lines_of(record: GrowthRecord, place: Conditions = c, pack: str = packed) -> tuple[Ends, ...]:
        return _lines(kept, of, part, where, record, place, pack)

    lines = lines_of(high)
    ends = keeping.first(keeping.harms(lines))
    latest = keeping.first(keeping.harms(lines_of(low))) if low is not high else None
    now_h = _now(kept, start, high, keeping.first(lines), banded=kept.log is None)
    found = _judged(kept, of, c, packed, low, high, now_h, keeping.days(of, where))
    error = kept.probe_error_c if kept.probe_error_c is not None else 0.0
    verdicts = exposure.judge(high, c, of.germs, probe_error=error, cooked=of.cooked) if of.hours and kept.log is not None else ()
    return KeepAnswer(
        food=of, part=kept.part, where=where, packed=packed, since=start, now_h=now_h, growth=found, verdicts=verdicts, lines=lines,
        ends=ends, latest_h=None if latest is None else latest.hours, freezer=keeping.days(of, "frozen"),
        changes=() if any(g.hard_stop for g in found) else _changes(kept, of, high, c, packed, keeping.first(lines), lines_of),
        assumed=assumed if of.germs else (), notes=(*notes, *_freezer(where, high)),
        not_checked=(*NOT_CHECKED, *((of.unmodelled,) if of.unmodelled else ())),
    )  # fmt: skip


def _freezer(where: str, record: GrowthRecord) -> tuple[str, ...]:
    """What is said of a freezer that is not as cold as the one the published days were given for."""
    warmest, line = float(record.celsius.max()), float(keeping.quality_only()["limit"]["max"])
    if where != "frozen" or warmest <= line + 0.05:
        return ()
    return (f"the published days are for {line:g} C; this freezer came to {warmest:.1f} C: quality ends sooner, by how much is not published",)


def _now(kept: Kept, start: datetime | None, record: GrowthRecord, ends: Ends | None, *, banded: bool) -> float:
    """How long it has been kept. [h] By the dates; a record's own length; for a band without dates the use-by itself."""
    if kept.now is not None and start is not None:
        now = kept.now.replace(tzinfo=start.tzinfo) if kept.now.tzinfo is None else kept.now
        hours = (now - (start if start.tzinfo or now.tzinfo is None else start.replace(tzinfo=now.tzinfo))).total_seconds() / HOUR_S
        if hours < 0:
            raise BadBrief(f"on {now.date()} lies before {start.date()}, when the keeping began.", field="on", value=now.isoformat(),
                           limit=start.isoformat(), remedy="Give a later day.")  # fmt: skip
        return hours
    if not banded:
        return record.hours
    return ends.hours if ends is not None else DAY_H


def _judged(
    kept: Kept, of: Food, c: Conditions, packed: str, low: GrowthRecord, high: GrowthRecord, now_h: float, published: Days | None
) -> tuple[Growth, ...]:  # fmt: skip
    if of.unmodelled and not of.germs:
        return ()
    # botulism is judged of meat and fish; an acid or dairy food is judged by its germs alone
    asked = (*of.germs, *(germs.BOTULINUM if of.hours else ()))
    error = kept.probe_error_c
    lines = keeping.lines(of, c, published)
    why = keeping.why_larger(published) if published is not None and lines else ""
    if kept.log is not None:
        usual = float(toml_table("laws", "growth.toml")["inputs"]["temperature_k"]) if error is None else error
        return growth.judge_record(high, c, asked, packed=packed, heated=kept.heated, cooked=of.cooked, error=usual, lines=lines, why=why)
    more: dict[str, Any] = {"aw": kept.aw, "ph": kept.ph, "nitrite": kept.nitrite, "dark": kept.dark, "acid": of.acid, "ph_error": c.ph_error, "places": c.places, "packed": packed,
                            "organisms": asked, "heated": kept.heated, "cooked": of.cooked, "lines": lines, "why": why, "wps": None if np.isnan(c.wps).all() else c.wps}  # fmt: skip
    return growth.judge_band(max(min(now_h, 400 * DAY_H), 1.0), float(low.celsius.min()), float(high.celsius.max()), **more)


def _lines(kept: Kept, of: Food, part: Part | None, where: str, record: GrowthRecord, c: Conditions, packed: str) -> tuple[Ends, ...]:
    out = list(keeping.by_guidance(of, where))
    if not out and part is not None:
        own = main_give(part).keeps
        minutes = own.frozen_min if where == "frozen" else own.fridge_min
        if minutes is not None:
            out.append(Ends(keeping.kind_of(where), f"the part's own file: {show_hours(minutes / 60)}", minutes / 60.0, "trade-practice", f"{part.file}, keeps", main_give(part).sure))
    if where == "frozen" and float(record.celsius.max()) <= keeping.FROZEN_C:
        return tuple(out)  # a freezer's log that came warmer is judged like any other
    if of.germs and not (of.acid and kept.ph is None):  # nobody knows how acid: the answer is to measure, see the growth rows
        out += keeping.by_growth(of, record, c, keeping.days(of, where))
    if packed != "air" and of.hours:
        out += keeping.by_pack(record, c, heated=kept.heated)
    return tuple(out)


def _changes(
    kept: Kept, of: Food, record: GrowthRecord, c: Conditions, packed: str, ends: Ends | None, lines_of: Callable[..., tuple[Ends, ...]]
) -> tuple[Change, ...]:  # fmt: skip
    out: list[Change] = []
    if ends is None:
        return ()
    now = ends.hours

    def other(act: str, lines: tuple[Ends, ...], least: float = 6.0) -> None:
        found = keeping.first(lines)
        if found is not None and abs(found.hours - now) > least:
            out.append(Change(act, found.hours, f"{show_hours(found.hours)} in place of {show_hours(now)}: {found.why}"))

    if float(record.celsius.max()) > keeping.FROZEN_C and of.germs:
        other("keep it at 2 C all along", lines_of(GrowthRecord(record.seconds, np.full_like(record.celsius, 2.0))))
        other("let the fridge stand 3 K warmer", lines_of(record.warmer(3.0)))
    if "aw" in c.unmeasured and of.hours:
        salted = conditions(aw=None, ph=kept.ph, wps=SALTED_PCT, nitrite=kept.nitrite, dark=kept.dark)
        other(f"weigh its salt: with {SALTED_PCT:g} % in the water of every place", lines_of(record, salted, packed))
    if of.hours:
        if packed == "air":
            other("pack it without air", lines_of(record, c, "vacuum"))
        else:
            other("take it out of the pack and wrap it in paper", lines_of(record, c, "air"))
            salted = conditions(aw=kept.aw, ph=kept.ph, wps=3.5, nitrite=kept.nitrite, dark=kept.dark)
            other("show by weighing that every place holds 3.5 % salt in its water", lines_of(record, salted, packed))
    cooked = keeping.days(of, "cooked")
    if cooked is not None and not kept.cooked_already:
        out.append(Change("cook it", None, f"then {cooked.low:g} to {cooked.high:g} d from the cooking, chilled"))
    frozen = keeping.days(of, "frozen")
    if frozen is not None and not kept.frozen:
        span = f"{frozen.low:g} d" if frozen.low == frozen.high else f"{frozen.low:g} to {frozen.high:g} d"
        out.append(Change("freeze it before then", None, f"{span} at -18 C, for quality; the fridge's clock goes on where it stopped when it thaws"))
    return tuple(out)


