"""One way a piece went, against every limit that speaks of it: growth at its worst place, published hours, cold, cooling."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.history import Stage
from ingle.crafts.cure.history_nodes import Nodes
from ingle.crafts.cure.history_stage import AIR
from ingle.ground.tables import toml_table
from ingle.ground.units import HOUR_S
from ingle.jobs.mishap_air import Accident, Course
from ingle.safety import botulism, cooling, exposure, germs, growth, hurdle_places
from ingle.safety.conditions import Conditions, conditions
from ingle.safety.growth_answer import NOT_CHECKED, Growth
from ingle.safety.growth_record import GrowthRecord
from ingle.safety.verdict import Verdict, level_of_max

Floats = NDArray[np.float64]
HOT_C = 57.0  # a piece that starts hotter is one that cools from a cook
FOODS = ("cure", "raw", "ready")
EATEN = ("cooked", "uncooked")
_HOURS_OF = ("listeria", "salmonella", "yersinia", "coli", "staphylococcus")
_MOST_POINTS = 700
_EDGE_S = 1e-3
_INSIDE = ("perfringens",)  # spores are counted inside any piece, as botulism is
_WHOLE = (
    "whole muscle, never pierced, boned, rolled, seamed, pumped or minced: germs other than spore formers are counted at its face; inside such meat "
    "they are few, not none (Gill 1979)"
)
PIERCED = "every place taken to hold germs, as in meat that was pierced, boned, rolled, seamed, pumped or minced"
NOT_TOLD = (
    "not told whether it is whole muscle, never pierced, boned, rolled, seamed, pumped or minced: the inside of such meat holds few germs (Gill 1979), a "
    "needle or knife carries them in (Gill and McGinnis 2005), so both are judged, and what only the inside passes is asked, not called harm"
)
WHOLE_ASKED = "whether it is whole muscle: never pierced, boned, rolled, seamed, pumped or minced"
_AFTER_COOK = "cooked through before: germs that come on afterwards are not judged, and botulism goes by the same rules on cooling"
RANK = {"within": 0, "cannot_say": 1, "near": 2, "over": 3}


@dataclass(frozen=True)
class Food:
    """What the piece is to a judge."""

    kind: str = "raw"  # cure | raw | ready
    eaten: str = "cooked"  # cooked | uncooked: whether it is heated through before it is eaten
    packed: str = "air"
    aw: float | None = None
    ph: float | None = None
    nitrite: float | None = None  # ingoing, for the cooling of a cooked piece [mg/kg]
    start_c: float = 4.0
    whole: bool | None = None  # whole muscle: never pierced, boned, rolled, seamed, pumped or minced; None = not told: judged as both

    @property
    def heated_later(self) -> bool:
        """Whether a cook still lies before the table."""
        return self.eaten == "cooked"

    @property
    def cools(self) -> bool:
        """Whether it comes hot from a cook."""
        return self.start_c >= HOT_C


@dataclass(frozen=True)
class Found:
    """One limit at one end of what may have been."""

    key: str
    title: str
    level: str
    value: float | None
    limit: float | None
    unit: str
    clause: str
    source: str
    sure: str
    text: str
    act: str = ""
    counted: bool = True  # advice does not count
    toxin: bool = False
    hard_stop: bool = False
    settle: str = ""
    place: str = ""
    inside: bool = False  # over only if germs were carried inside
    not_checked: tuple[str, ...] = ()


@dataclass(frozen=True)
class Judged:
    """All limits at one end, by key, and what was assumed."""

    found: dict[str, Found]
    assumed: tuple[str, ...]


def judge(food: Food, course: Course, accident: Accident, held: Nodes | None, stages: tuple[Stage, ...], until_h: float | None = None,
          *, cooked_at_once: bool = False) -> Judged:  # fmt: skip
    """Judge a course.

    Parameters
    ----------
    held : Nodes, optional
        What the places hold; None for a piece of a kind, whose water activity and pH ``food`` tells.
    until_h : float, optional
        Judge the hours up to here only. [h]
    cooked_at_once : bool
        The piece leaves its plan and is cooked at ``until_h``: lines of curing and of eating raw do not count.
    """
    record, c, error = _ready(food, course, held, _picked(course.hours, accident, until_h))
    heated = food.heated_later or cooked_at_once
    lines = {g: germs.throw_away() for g in germs.FORECAST if g not in germs.TOXIN_FORMERS} if heated and not food.cools else None
    moving = c if c.moves else _along(c, record.celsius.shape)
    grown = _grown(food, record, c, error, lines)
    if food.cools:
        after_cook = [_of_growth(g) for g in grown] + ([] if cooked_at_once else [_cooling(food, record)])
        return Judged({f.key: f for f in after_cook}, (*c.assumed, _AFTER_COOK))
    stops = [botulism.proteolytic(hurdle_places.uncounted(record, hurdle_places.beyond("interior", moving)), c, error)]
    if food.packed != "air":
        stops.append(botulism.non_proteolytic(hurdle_places.uncounted(record, hurdle_places.beyond("vacuum", moving)), c, error))
    found = [_of_growth(g) for g in (*grown, *stops)]
    found += [_of_verdict(v) for v in exposure.judge(*_face(food, record, c), _HOURS_OF, probe_error=error, cooked=heated)]
    if not cooked_at_once:
        found += _cold_lines(food, record, course, accident, held, stages, error)
    return Judged({f.key: f for f in found}, _assumed(food, c))


def gained(food: Food, course: Course, accident: Accident, held: Nodes | None) -> dict[str, tuple[float, float]]:
    """Growth in the hours of the accident and the day after it alone: as told and its 95 % end, by key. [log10]"""
    inside = np.flatnonzero((course.hours >= accident.after_h) & (course.hours <= accident.end_h + 24.0))
    every = max(1, int(np.ceil(inside.size / _MOST_POINTS)))
    record, c, error = _ready(food, course, held, np.union1d(inside[::every], inside[-1:]))
    return {f"growth.{g.key}": (g.log10 or 0.0, g.log10_high or 0.0) for g in _grown(food, record, c, error)}


def _grown(food: Food, record: GrowthRecord, c: Conditions, error: float, lines: dict[str, float] | None = None) -> tuple[Growth, ...]:
    """Growth of every germ at the places where it can have come."""
    asked = _germs(food)
    if not food.whole or food.cools:
        return growth.judge_record(record, c, asked, packed=food.packed, cooked=lines is not None, lines=lines, error=error)
    inside, outside = (tuple(g for g in asked if (g in _INSIDE) == within) for within in (True, False))
    face = growth.judge_record(*_face(food, record, c), outside, packed=food.packed, cooked=lines is not None, lines=lines, error=error)
    return (*face, *growth.judge_record(record, c, inside, packed=food.packed, cooked=lines is not None, lines=lines, error=error))


def _face(food: Food, record: GrowthRecord, c: Conditions) -> tuple[GrowthRecord, Conditions]:
    """Where germs of the outside are counted: the face of whole muscle, every place of any other."""
    if not food.whole:
        return record, c
    last = len(c.places) - 1
    return GrowthRecord(record.seconds, record.celsius[last : last + 1]), c.node(last)


def _assumed(food: Food, c: Conditions) -> tuple[str, ...]:
    """What was taken of the conditions; whether germs stand inside is told by `mishap`, which knows whether it was asked."""
    rest = tuple(said for said in c.assumed if "taken to hold germs" not in said)
    return (*rest, _WHOLE) if food.whole else (*rest, PIERCED)


def _germs(food: Food) -> tuple[str, ...]:
    """After a cook only spores are left to grow inside."""
    return ("perfringens",) if food.cools else germs.FORECAST


def _ready(food: Food, course: Course, held: Nodes | None, at: NDArray[np.intp]) -> tuple[GrowthRecord, Conditions, float]:
    """Record in tenths of a kelvin, since no thermometer tells more; conditions; error of a reading."""
    hours, celsius = course.hours[at], np.round(course.places[:, at], 1)
    here = None if held is None else held.at(hours)
    error = float(toml_table("laws", "growth.toml")["inputs"]["temperature_k"])
    return GrowthRecord((hours - hours[0]) * HOUR_S, celsius), _conditions(food, here, len(celsius)), error


def _along(c: Conditions, shape: tuple[int, ...]) -> Conditions:
    """Steady conditions, told for every reading."""
    told: dict[str, Any] = {k: np.array(np.broadcast_to(getattr(c, k)[:, None], shape)) for k in ("aw", "ph", "wps", "nitrite", "lactate", "phenol")}
    return replace(c, **told)


def _picked(hours: Floats, accident: Accident, until_h: float | None) -> NDArray[np.intp]:
    """Hours looked at: all of them around the accident, and as many as are needed elsewhere."""
    last = hours[-1] if until_h is None else min(until_h, float(hours[-1]))
    near = (hours >= accident.after_h - 2.0) & (hours <= accident.end_h + 24.0)
    every = max(1, int(np.ceil(hours.size / (_MOST_POINTS / 2.0))))
    if near.sum() > _MOST_POINTS:
        near &= np.arange(hours.size) % int(np.ceil(near.sum() / _MOST_POINTS)) == 0
    keep = (near | (np.arange(hours.size) % every == 0) | (hours == hours[-1])) & (hours <= last)
    return np.flatnonzero(keep)


def _conditions(food: Food, here: Nodes | None, places: int) -> Conditions:
    if here is None:
        names = ["core", *(f"inside {i}" for i in range(1, places - 1)), "surface"]
        return conditions(aw=food.aw, ph=food.ph, places=names)
    spread = float(toml_table("laws", "water_activity.toml")["spread"]["value"])
    return conditions(aw=np.clip(here.aw_high, 0.3, 1.0), wps=np.clip(here.salt_phase_low, 0.0, 26.6), ph=food.ph, nitrite=here.nitrite_low,
                      places=here.names, readings=here.hours.size, aw_error=1.645 * spread)  # fmt: skip


def _cold_lines(food: Food, record: GrowthRecord, course: Course, accident: Accident, held: Nodes | None, stages: tuple[Stage, ...],
                error: float) -> list[Found]:  # fmt: skip
    """Rules on the cold itself. A cure and what stands out of the cold go by the air; food in a fridge that warms by its own face."""
    out = _steps(course)
    if held is not None:
        raw = _raw(held.at(course.hours), stages, course.hours).min(axis=0)
        found = [_of_verdict(botulism.raw_core(out, np.repeat(raw[:-1], 2), packed=food.packed, probe_error=error))]
    else:
        out = record if accident.kind in ("fridge-off", "record") else out
        found = [_of_verdict(v) for v in exposure.judge_rule(out, "out")]
        if food.kind == "ready" and not food.heated_later:
            found += [_of_verdict(v) for v in exposure.judge_rule(out, "ready")]
        if accident.kind == "fridge-off" and accident.found_c is None:  # nobody read a thermometer: the rule for that case is `power_out`
            found = [replace(f, counted=False) for f in found]
    return [*found, _peak(record)]


def _steps(course: Course) -> GrowthRecord:
    """Air as steps: each holds until the next, so that hours out of the cold are neither gained nor lost at its edges."""
    t, air = course.hours * HOUR_S, course.air[:-1]
    up = np.diff(air, prepend=air[0]) > 0.0  # warmer than the step before: that one lasts to the very edge
    starts, ends = t[:-1] + _EDGE_S * up, t[1:] - _EDGE_S * ~np.append(up[1:], False)
    return GrowthRecord(np.stack([starts, ends], axis=-1).ravel(), np.repeat(air, 2))


def _raw(here: Nodes, stages: tuple[Stage, ...], hours: Floats) -> Floats:
    """Salt in the water of each place while the piece cures; hung in air it is judged by the published hours instead. (p, n) [%]"""
    begun = np.concatenate([[0.0], np.cumsum([s.lasts_h for s in stages])])
    hung = next((float(b) for b, s in zip(begun, stages, strict=False) if s.kind in AIR), np.inf)
    return np.where(hours[None, :] >= hung, 100.0, here.salt_phase_low)


def power_out(food: Food, accident: Accident) -> Found | None:
    """The agencies' four hours of a closed fridge without power; advice for a cure, and where a thermometer was read."""
    if accident.kind != "fridge-off":
        return None
    said = toml_table("limits", "mishap.toml")["power-out"]
    limit = float(said["limit"]["max"])
    return Found(
        "mishap.power-out", said["about"], level_of_max(accident.hours, limit), accident.hours, limit, "h", said["clause"], said["source"],
        said["sure"], said["about"], counted=food.kind != "cure" and accident.found_c is None,
        not_checked=("how often the door was opened", "how full and how cold it was before", *NOT_CHECKED),
    )  # fmt: skip


def _peak(record: GrowthRecord) -> Found:
    said = toml_table("limits", "hurdles.toml")["cold-holding"]
    value, limit = float(record.celsius.max()), float(said["limit"]["max"])
    return Found("hurdles.cold-holding", "warmest place of the piece", level_of_max(value, limit), value, limit, "C", said["clause"], said["source"],
                 said["sure"], f"the warmest place came to {value:.1f} C", counted=False, not_checked=("how long it stood so warm", *NOT_CHECKED))  # fmt: skip


def _cooling(food: Food, record: GrowthRecord) -> Found:
    stages = cooling.judge(record.seconds, record.celsius[0], nitrite_mg_per_kg=food.nitrite, cook_end_s=0.0, is_celsius=True, moved=False)
    level, key = cooling.worst(stages), cooling.strictest(stages)
    of = [s for s in stages if s.rule == key] or list(stages)
    worst = max(of, key=lambda s: (RANK[s.level], s.taken_s or 0.0))
    taken = None if worst.taken_s is None else worst.taken_s / HOUR_S
    return Found(
        "cooling", f"cooling of a cooked piece: {worst.title}", level, taken, None if worst.allowed_s is None else worst.allowed_s / HOUR_S, "h",
        worst.clause, worst.source, worst.sure, f"{worst.title}, {worst.from_words}", act="Throw it away: heating through again does not undo a slow cooling.",
        toxin=True, not_checked=worst.not_checked,
    )  # fmt: skip


def _of_growth(g: Growth) -> Found:
    source, clause, sure = g.source, g.line_clause, g.sure
    if g.line is not None:  # the line has a source of its own, apart from the model's
        raw = germs.line(g.key)
        said = raw if g.line == float(raw["limit"]["max"]) else toml_table("limits", "growth.toml")["throw-away"]
        source, clause, sure = said["source"], said["clause"], said["sure"]
    return Found(
        f"growth.{g.key}", f"{g.organism}: growth" if g.log10 is not None else g.organism, g.level, g.log10, g.line, "log10", clause,
        source, sure, g.text, g.act, toxin=g.key in germs.TOXIN_FORMERS, hard_stop=g.hard_stop, settle=g.settle, place=g.place,
        not_checked=g.not_checked,
    )  # fmt: skip


def _of_verdict(v: Verdict) -> Found:
    said = toml_table("limits", "exposure.toml").get(v.rule.removeprefix("exposure."), {})
    return Found(v.rule, v.title, v.level, v.value, v.limit, v.unit, v.clause, v.source, v.sure, v.title, v.act, counted=v.kind != "advice",
                 toxin=bool(said.get("toxin")), not_checked=v.not_checked)  # fmt: skip

