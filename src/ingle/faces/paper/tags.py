"""Tags for pieces and jars on a 62 mm roll."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from ingle.faces.grains import bin_hours, grains
from ingle.faces.paper.press import Job, runs
from ingle.faces.words import amount, clean, clock, day, day_month, is_floor, ready_words, step_of, tie, with_unit
from ingle.ground.errors import BadBrief
from ingle.ground.things import Forecast
from ingle.planning.pieces import called
from ingle.planning.plan import Plan, PlanStep, Weighing

BOXES = (("pulled", ":"), ("weight", "g"), ("who", ""))


@dataclass(frozen=True)
class PieceTag:
    """What hangs on one piece, or on the box of several."""

    name: str
    green_weight_g: float
    lot: str = ""  # "" = a line to write it on
    pull: datetime | None = None
    started: datetime | None = None
    forecast: Forecast | None = None  # counted from ``started``
    ready: tuple[datetime, datetime, datetime] | None = None
    expected_g: tuple[float, float] | None = None
    dose: str = ""  # "salt 29.4 g, curing salt 2.6 g"
    limit: str = ""  # "nitrite 118, at most 150 mg/kg: 08.3.1"
    basis: str = ""  # planned | weighed | dosed: what weight and dose rest on; "" = not told


@dataclass(frozen=True)
class JarTag:
    """What stands on a jar or box."""

    name: str
    lot: str = ""
    made: date | None = None
    use_by: date | None = None
    amount_g: float | None = None
    keep: str = ""
    allergens: tuple[str, ...] = ()


def piece_tags(tags: Sequence[PieceTag], *, printed: datetime | None = None) -> Job:
    """One tag a piece, 62 x 90 mm."""
    _some(tags)
    return Job("tag", f"Tags: {', '.join(t.lot or t.name for t in tags)}", {"tags": [_piece(t) for t in tags]}, printed)


def jar_tags(tags: Sequence[JarTag], *, printed: datetime | None = None) -> Job:
    """One tag a jar, 62 x 40 mm."""
    _some(tags)
    return Job("jar", f"Jar tags: {', '.join(t.lot or t.name for t in tags)}", {"tags": [_jar(t) for t in tags]}, printed)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _some(tags: Sequence[object]) -> None:
    if not tags:
        raise BadBrief("there is nothing to hang a tag on.", field="tags", value="none", remedy="Name a piece, or a plan with a cure in it.")


def _piece(tag: PieceTag) -> dict[str, Any]:
    mass = amount(tag.green_weight_g, "g")
    # a tag printed before the weighing says so: its grams hold for that weight and no other
    told = {"planned": f"for {mass}; weigh, then dose", "weighed": f"green {mass}, as weighed", "dosed": f"green {mass}, as weighed in"}.get(tag.basis, f"green {mass}")
    if tag.expected_g:
        low, high = tag.expected_g
        unit = "kg" if high >= 999.5 else "g"
        shown = [f"{x / 1000:.2f}" if unit == "kg" else f"{x:.0f}" for x in (low, high)]
        told += f"; expected {shown[0]} to {shown[1]} {unit}" if tag.basis else f", expected {shown[0]} to {shown[1]} {unit}"
    act = [f"Pull {day(tag.pull)}", clock(tag.pull)] if tag.pull else ["Pull", ""]
    unit = "kg" if tag.green_weight_g >= 999.5 else "g"
    return {
        "lot": clean(tag.lot), "name": _capital(clean(tag.name)), "act": act, "grains": _grains(tag), "wait": ready_words(tag.ready) if tag.ready else "",
        "weight": runs(told), "boxes": [{"label": name, "unit": unit if u == "g" else u} for name, u in BOXES],
        "dose": tie("; ".join(x for x in (clean(tag.dose), clean(tag.limit)) if x)),
    }  # fmt: skip


def _grains(tag: PieceTag) -> dict[str, Any] | None:
    """Dots along a line from before the earliest to past the latest, the planned pull marked below."""
    told = tag.forecast
    if told is None or tag.started is None or not told.quantiles_h:
        return None
    pull = None if tag.pull is None else (tag.pull.timestamp() - tag.started.timestamp()) / 3600
    dots = grains(told, pull)
    wide = bin_hours(told)
    ends = [told.earliest_h, told.latest_h, *(d.at_h for d in dots)]
    low, high = min(ends) - wide, max(ends) + wide
    x = lambda h: round(min(1.0, max(0.0, (h - low) / (high - low))), 4)  # noqa: E731
    stack: dict[int, int] = {}
    placed = []
    for d in dots:  # 40 places on 52 mm: dots of 1.1 mm stand beside each other, not over
        place = round(x(d.at_h) * 40)
        placed.append({"x": place / 40, "up": stack.get(place, 0), "before": d.before})
        stack[place] = stack.get(place, 0) + 1
    ready = tag.ready
    words = f"Ready {day(ready[0])} to {day(ready[2])}, likely {day(ready[1])}" if ready else ""
    if pull is not None:
        count = f"{sum(d.before for d in dots)} of {len(dots)} before"
        words = f"{words}: {count}" if words else count
    return {
        "dots": placed, "early": x(told.earliest_h), "likely": x(told.likely_h), "late": x(told.latest_h), "pull": None if pull is None else x(pull),
        "words": words,
    }  # fmt: skip


def _jar(tag: JarTag) -> dict[str, Any]:
    lines = [["made", day_month(tag.made) if tag.made else ""], ["eat by", day_month(tag.use_by) if tag.use_by else ""]]
    foot = "; ".join(x for x in (
        amount(tag.amount_g, "g") if tag.amount_g else "", clean(tag.keep), f"holds {', '.join(map(clean, tag.allergens))}" if tag.allergens else "",
    ) if x)  # fmt: skip
    return {"name": clean(tag.name), "lot": clean(tag.lot), "lines": lines, "foot": runs(foot)}


# -- from a plan -------------------------------------------------------------------------------------------------------


def tags_of(plan: Plan, lots: Sequence[str] = ()) -> list[PieceTag]:
    """A tag for each mix the plan weighs, with the cure it lies in, then one for each box that lay in its cure before the plan began.

    ``lots`` are taken in the same order.
    """
    held = [(w, _cure_of(plan, w)) for w in plan.weighings]
    weighed = {id(step) for _, step in held}
    parts = {w.part for w in plan.weighings}
    begun = [s for s in plan.steps if s.part in parts and s.pieces and s.start < plan.plan_from and id(s) not in weighed]
    tags = [_tag(w.piece, w.whole_g or w.green_weight_g, step, dose=_dose(w), limit=_limit(plan, w, step), basis=w.basis) for w, step in held]
    tags += [_tag(_begun_name(plan, s), sum(p.weight_g for p in s.pieces), s) for s in begun]
    return [replace(t, lot=lots[i]) if i < len(lots) else t for i, t in enumerate(tags)]


def _tag(name: str, mass: float, step: PlanStep | None, **more: str) -> PieceTag:
    if step is None:
        return PieceTag(name, mass, **more)  # type: ignore[arg-type]
    return PieceTag(name, mass, pull=step.end, started=step.start, forecast=step.forecast, ready=step.ready, **more)  # type: ignore[arg-type]


def _begun_name(plan: Plan, step: PlanStep) -> str:
    short = next((p.short for p in plan.parts if p.key == step.part), step.part)
    return f"{short} {called([p.name for p in step.pieces])}"


def _cure_of(plan: Plan, weighing: Weighing) -> PlanStep | None:
    """The cure a mix goes on: the one it names, else (a plan of an earlier version) the n-th of its part."""
    if weighing.step:
        return next((s for s in plan.steps if s.id == weighing.step), None)
    own = [w for w in plan.weighings if w.part == weighing.part]
    steps = [s for s in plan.steps if s.part == weighing.part and s.ready and s.kind == "waits"]
    return steps[own.index(weighing)] if len(steps) == len(own) else None


def _dose(weighing: Weighing) -> str:
    digits = 1 if weighing.step_g < 1 else 0
    names = {"curing_salt": "curing salt"}
    grams = ", ".join(f"{names.get(k, k)} {g:.{digits}f} g" for k, g in weighing.grams.items() if g)
    return f"weighed in: {grams}" if weighing.basis == "dosed" else grams


def _limit(plan: Plan, weighing: Weighing, step: PlanStep | None) -> str:
    """The ingoing nitrite beside the strictest line that judged it."""
    judged = [
        v for v in plan.verdicts
        if (v.more.get("part") == weighing.part or (step is not None and step_of(v) == step.id)) and v.unit.startswith("mg/kg") and v.limit is not None and v.value is not None and not is_floor(v)
    ]  # fmt: skip
    if not judged:
        return f"salt {weighing.salt_per_green_weight * 100:.2f} % of green weight, nitrite {weighing.nitrite_mg_per_kg:.0f} mg/kg"
    line = min(judged, key=lambda v: v.limit or 0.0)
    return f"nitrite {weighing.nitrite_mg_per_kg:.0f}, at most {with_unit(line.limit or 0.0, line.unit)}, {line.clause}"
