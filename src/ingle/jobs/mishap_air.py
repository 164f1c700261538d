"""What the air around a piece did and would have done: one accident as two ends, a cold one and a warm one."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.forecast_draw import law as cure_law
from ingle.crafts.cure.history import Record, Stage
from ingle.crafts.heat import outage
from ingle.ground import units
from ingle.ground.refusal import refuse
from ingle.ground.tables import toml_table
from ingle.ground.things import Piece
from ingle.jobs.thermal_log import Log
from ingle.safety.growth_record import tidy

Floats = NDArray[np.float64]
KINDS = ("fridge-off", "left-out", "started-late", "smoker", "record")
FILM = {"fridge-off": "still-fridge", "record": "still-fridge", "started-late": "still-fridge", "left-out": "still-fridge", "smoker": "smoker"}
STEP_H = 0.25
LONGEST_H = 24.0 * 120
_AFTERWARDS_H = 30.0  # how long a piece without stages is followed once it is back in the cold


@dataclass(frozen=True)
class Accident:
    """What went wrong. Temperatures in C, times in h from the start of the first stage (or of the accident, without stages)."""

    kind: str
    hours: float
    after_h: float = 0.0
    room_c: float = 21.0
    found_c: float | None = None  # fridge-off: a thermometer in the fridge on return
    hot_c: float | None = None  # smoker: how hot; started-late: where it was kept
    log: Log | None = None  # record: air of the fridge

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            refuse("kind", f"{self.kind!r} is no mishap known here.", self.kind, ", ".join(KINDS), f"Write one of {', '.join(KINDS)}.")
        if not 0.0 < self.hours <= LONGEST_H:
            refuse(self.kind, f"{self.hours:g} h is no time for a mishap.", f"{self.hours:g} h", f"above 0 h, at most {LONGEST_H:g} h", "Give how long it lasted.")

    @property
    def end_h(self) -> float:
        """When it was over, or noticed. [h]"""
        return self.after_h + self.hours


@dataclass(frozen=True)
class Course:
    """One way it went: air and the piece's places along a grid of hours."""

    hours: Floats  # (n,) even steps
    air: Floats  # (n,)
    places: Floats  # (p, n)
    notes: tuple[str, ...] = ()

    @property
    def whole(self) -> Floats:
        """Mean of the piece, near enough for how fast salt moves. (n,) [C]"""
        return np.asarray((self.places[0] + 2.0 * self.places.mean(axis=0) + self.places[-1]) / 4.0)


def grid(total_h: float) -> Floats:
    """Even hours to the end, shape (n,)."""
    return np.asarray(np.arange(int(np.ceil(total_h / STEP_H)) + 1) * STEP_H, dtype=np.float64)


def planned(stages: tuple[Stage, ...], hours: Floats) -> Floats:
    """Air of the stages as told. Past the last the last holds on. [C]"""
    ends = np.cumsum([s.lasts_h for s in stages])
    at = np.minimum(np.searchsorted(ends, hours, side="right"), len(stages) - 1)
    begun = np.concatenate([[0.0], ends[:-1]])
    return np.array([stages[i].celsius(float(h - begun[i])) for i, h in zip(at, hours, strict=True)])


def airs(accident: Accident, hours: Floats, cold: Floats) -> tuple[Floats, Floats, tuple[str, ...]]:
    """Air with the accident: the end that is colder, the end that is warmer, and what was assumed."""
    since, lasts = hours - accident.after_h, accident.hours
    inside = (since >= 0.0) & (since < lasts)
    if accident.kind == "fridge-off":
        began = float(np.interp(accident.after_h, hours, cold))
        slow, fast = outage.paces(lasts, began, accident.room_c, accident.found_c)
        told = (
            f"air in a fridge that fails goes towards the room with a time constant of {units.show_hours(round(fast.fails_h))} to {units.show_hours(round(slow.fails_h))}"
            if accident.found_c is None
            else f"air in the fridge went evenly towards the room, to {accident.found_c:g} C (within 1 K) on return"
        )
        ends = [outage.failing(since, lasts, cold, accident.room_c, pace) for pace in (slow, fast)]
        return ends[0], ends[1], (told, f"running again it is cold with a time constant of {units.show_hours(slow.returns_h)} to {units.show_hours(fast.returns_h)}")
    if accident.kind == "left-out":
        out = np.where(inside, accident.room_c, cold)
        return out, out, ("back in the cold at once when the time was over",)
    if accident.kind == "smoker":
        assert accident.hot_c is not None
        hot = np.where(inside, accident.hot_c, cold)
        return hot, hot, ("the piece stood in the middle of the smoker's air",)
    if accident.kind == "record":
        return _recorded(accident, hours, cold)
    return cold, cold, ("raw and unsalted at the one temperature told until the cure began",)


def _recorded(accident: Accident, hours: Floats, cold: Floats) -> tuple[Floats, Floats, tuple[str, ...]]:
    assert accident.log is not None
    record = tidy(accident.log.seconds, accident.log.celsius, expect="fridge", room_c=accident.room_c)
    since = units.seconds(1.0) * (hours - accident.after_h)
    inside = (since >= 0.0) & (since <= record.seconds[-1])
    # a grid point stands for the hours around it: the warmest reading there, so that a short peak is not stepped over
    wide = units.seconds(STEP_H)
    read = np.maximum.reduce([np.interp(since + off, record.seconds, record.celsius) for off in (-wide / 2.0, 0.0, wide / 2.0)])
    air = np.where(inside, read, cold)
    return air, air, ("the record is of the air; the piece follows by its size", *record.notes)


def course(piece: Piece, hours: Floats, air: Floats, depths: Floats, film: str, start_c: float, warm: bool) -> Course:
    """The piece along its air. Both ends of the film are run: at each hour the warmer of them at the warm end, else the colder."""
    two = [outage.temperatures(piece, units.seconds(STEP_H), air, depths, outage.film_of(film, end), start_c) for end in ("low", "high")]
    return Course(hours, air, np.maximum(*two) if warm else np.minimum(*two))


def chilled_after(accident: Accident, course_air: Floats, hours: Floats) -> Floats:
    """The same air, but at most the cold of a piece that waits to be cooked, from the end of the accident on."""
    cold = float(toml_table("limits", "mishap.toml")["chill-to"]["limit"]["max"])
    return np.where(hours >= accident.end_h, cold, course_air)


def with_temperatures(stages: tuple[Stage, ...], told: Course) -> tuple[tuple[Stage, ...], tuple[str, ...]]:
    """Stages whose temperature is that of the piece. Beyond the range of the salt forecast the end of the range is taken, and said."""
    low, high = cure_law()["salt"]["lean"]["valid_c"]
    found, begun = [], 0.0
    for stage in stages:
        local = told.hours - begun
        keep = (local > -STEP_H) & (local < stage.lasts_h + STEP_H)
        record = Record(local[keep], np.clip(told.whole[keep], low, high)) if keep.sum() > 1 else None
        found.append(stage if record is None else replace(stage, record=record))
        begun += stage.lasts_h
    beyond = told.whole.max() > high or told.whole.min() < low
    return tuple(found), (f"salt counted as at {high:g} C where the piece was warmer: no forecast goes beyond",) if beyond else ()


def total_h(stages: tuple[Stage, ...], accident: Accident) -> float:
    """How long is looked at. [h]"""
    if not stages:
        return accident.end_h + _AFTERWARDS_H
    return float(sum(s.lasts_h for s in stages))


def placed(accident: Accident, stages: tuple[Stage, ...]) -> Accident:
    """The accident at its hour, in quarter hours (its length rounded up); a smoker that ran hot stands in a stage of smoke."""
    whole = float(sum(s.lasts_h for s in stages))
    if accident.kind == "smoker" and stages:
        ends = np.cumsum([s.lasts_h for s in stages])
        smokes = [(float(e - s.lasts_h), float(e)) for s, e in zip(stages, ends, strict=True) if s.kind == "smoke"]
        if not smokes:
            refuse("smoker", "The stages hold no smoke.", "no stage", 'kind = "smoke"', "Add the stage, or say --left-out with --room.")
        if not any(begin <= accident.after_h < end for begin, end in smokes):
            accident = replace(accident, after_h=smokes[0][0])
    quarter = lambda h, up: (np.ceil if up else np.round)(h / STEP_H - (1e-9 if up else 0.0)) * STEP_H  # noqa: E731
    accident = replace(accident, after_h=float(quarter(accident.after_h, False)), hours=max(float(quarter(accident.hours, True)), STEP_H))
    if stages and accident.kind != "started-late" and accident.after_h >= whole:
        refuse("after", f"is {units.show_hours(accident.after_h)}, the stages end at {units.show_hours(whole)}.",
               units.show_hours(accident.after_h), f"below {units.show_hours(whole)}", "Count from the start of the first stage.")  # fmt: skip
    return accident


def lengthened(stages: tuple[Stage, ...], accident: Accident) -> tuple[Stage, ...]:
    """Stages that go on until the accident is over and a while behind it, as the last one says."""
    whole = float(sum(s.lasts_h for s in stages))
    more = accident.end_h + STEP_H - whole
    return stages if more <= 0 else (*stages[:-1], replace(stages[-1], lasts_h=stages[-1].lasts_h + more))


def late(stages: tuple[Stage, ...], accident: Accident) -> tuple[Stage, ...]:
    """Stages with the raw hours before them."""
    kept = 4.0 if accident.hot_c is None else accident.hot_c
    return (Stage("rest", accident.hours, temperature_c=kept), *stages)
