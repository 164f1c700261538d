"""Steps of a plan as people read them: dates, hands, amounts, signs, cautions."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime

from ingle.crafts.cure.premix import Premix
from ingle.crafts.cure.thick import as_measured
from ingle.ground import units
from ingle.ground.things import Forecast
from ingle.planning.brief import Brief
from ingle.planning.doses import BoxDose, ready_dates
from ingle.planning.kit import AnyPlace, Kit, Oven, every_place
from ingle.planning.kit_words import place_lines, place_words
from ingle.planning.leeway import leeway
from ingle.planning.parts import Part, StepSpec
from ingle.planning.pieces import cure_step
from ingle.planning.plan import BoxPiece, PlanStep, Sign
from ingle.planning.problem import Placed, Problem, Schedule, Task
from ingle.planning.quantities import Quantities, weighed_at
from ingle.planning.spans import moment, span
from ingle.planning.step_file import cautions
from ingle.planning.tasks import Forecasts, StepTime, Tasks


def steps_of(
    brief: Brief,
    parts: Mapping[str, Part],
    kit: Kit,
    amounts: Quantities,
    doses: Mapping[tuple[str, str], BoxDose],
    times: Forecasts,
    tasks: Tasks,
    schedule: Schedule,
) -> tuple[PlanStep, ...]:
    """Every placed task as a step, by its start."""
    problem = tasks.problem
    by_id = {t.id: t for t in problem.tasks}
    free = leeway(problem, schedule.placed, schedule.choices)
    at = lambda minute: moment(brief.plan_from, minute)  # noqa: E731
    names = {c.key: c.name for c in problem.cooks}
    found = []
    for p in sorted(schedule.placed, key=lambda p: (p.start_min, p.task)):
        task, spec = by_id[p.task], tasks.steps[p.task]
        step_key = p.task.partition(".")[2]
        made = _premix(parts.get(task.part), spec, doses.get((task.part, step_key)))
        forecast = times[task.part, step_key].forecast if (task.part, step_key) in times else None
        window = free.get(p.task)
        stands = _stands(task, p, kit)
        found.append(
            PlanStep(
                id=p.task,
                part=task.part,
                name=_named(task, spec.name, tasks),
                start=at(p.start_min),
                end=at(p.end_min),
                attended=_attended(task, p, at, names),
                kit=tuple(place_words(place, amount, mode) for place, amount, mode in stands),
                amounts=_amounts(parts.get(task.part), amounts, task, spec, step_key, doses),
                say=_say(made, spec, stands, at(p.start_min), at(p.end_min), forecast),
                look_for=_look_for(spec, parts.get(task.part), amounts),
                if_not=tuple(Sign(s.sign, s.act, s.adds_min) for s in spec.if_not),
                caution=(*((f"On the jar of the premix: {made.label}",) if made else ()), *(cautions()[c].say for c in spec.caution if c in cautions())),
                tends=tuple((at(m), at(m + task.tend.lasts_min), names.get(c, c), _named(task, task.tend.name, tasks)) for m, c in p.tends)
                if task.tend
                else (),
                window=None if window is None or window[0] == window[1] else (at(window[0]), at(window[1])),
                forecast=forecast,
                ready=None if forecast is None else ready_dates(at(p.start_min), forecast),
                kind=_kind(task, problem),
                kit_kind=_kit_kind(task, problem),
                sure=spec.sure,
                source=spec.source,
                pieces=_pieces(times.get((task.part, step_key)), at(p.start_min)),
            )
        )
    return tuple(found)


def _pieces(time: StepTime | None, start: datetime) -> tuple[BoxPiece, ...]:
    """Pieces that lie together, each with its own window."""
    return tuple(
        BoxPiece(
            piece.name or f"piece {n}", piece.weight_g, as_measured(piece).thickness_mm or 0.0, piece.thickness_mm is None, told, ready_dates(start, told)
        )
        for n, (piece, told) in enumerate(time.each if time else (), 1)
    )  # fmt: skip


def _named(task: Task, name: str, tasks: Tasks) -> str:
    """What is done; where boxes go separate ways, to which pieces."""
    box = tasks.boxes.get(task.id)
    several = f"{task.id.partition('@')[0]}@2" in tasks.boxes
    return f"{name} ({box.names})" if box is not None and box.names and several else name


def _attended(
    task: Task, p: Placed, at: Callable[[int], datetime], names: dict[str, str]
) -> tuple[tuple[datetime, datetime, str], ...]:
    """Attended stretches; one that fills the step with one cook is told once."""
    first = (p.start_min, p.start_min + task.hands_start_min, p.cook_start)
    last = (p.end_min - task.hands_end_min, p.end_min, p.cook_end)
    spells = [s for s in (first, last) if s[2] is not None and s[1] > s[0]]
    if len(spells) == 2 and spells[0][1] >= spells[1][0] and spells[0][2] == spells[1][2]:
        spells = [(spells[0][0], spells[1][1], spells[0][2])]
    return tuple((at(a), at(b), names.get(str(c), str(c))) for a, b, c in spells)


def _stands(task: Task, p: Placed, kit: Kit) -> list[tuple[AnyPlace, int, int | None]]:
    """Where a step stands, as the schedule has it: place, amount, heat."""
    known = {place.key: place for place in every_place(kit)}
    keys = p.places[: len(task.uses)] or tuple(u.kit for u in task.uses)
    return [(known[key], u.amount, u.mode) for key, u in zip(keys, task.uses, strict=True) if key in known]


def _say(
    made: Premix | None, spec: StepSpec, stands: list[tuple[AnyPlace, int, int | None]], start: datetime, end: datetime, forecast: Forecast | None
) -> tuple[str, ...]:
    """How to do it, a sentence each: what is mixed, how the place is set, the part file's words, how early and how late it may be done."""
    hours, done = units.hours((end - start).total_seconds()), _spread_line(spec, forecast)
    places = tuple(line for place, _, mode in stands for line in place_lines(place, mode, start, hours, forecast is not None, done))
    told = not done or any(isinstance(place, Oven) and mode is not None for place, _, mode in stands)
    return (*((made.mixing,) if made else ()), *places, *spec.say, *(() if told else (done,)))


def _spread_line(spec: StepSpec, forecast: Forecast | None) -> str:
    """How early and how late a step may be done: by its part file, where the plan takes the likely time; by the forecast of its core."""
    if forecast is not None and spec.roast is not None:
        early, likely, late = (units.show_hours(h) for h in (forecast.earliest_h, forecast.likely_h, forecast.latest_h))
        return f"Most often done after {likely}: read the middle from {early} on; the plan allows {late}"
    if forecast is not None or spec.lasts is None or not spec.lasts.low < spec.lasts.high:
        return ""
    low, high = (span(int(t)) for t in (spec.lasts.low, spec.lasts.high))
    early = low.rpartition(" ")[0] if low.count(" ") == 1 and low.rpartition(" ")[2] == high.rpartition(" ")[2] else low
    return f"Done after {early} to {high}"


def _look_for(spec: StepSpec, part: Part | None, amounts: Quantities) -> str:
    """What to look for, the core that is wanted first; ``{out}`` is the weight that the part is likely to give there."""
    told = spec.look_for.replace("{out}", _comes_out(spec, part, amounts))
    if spec.core_c is None or f"{spec.core_c:g} C" in told:
        return told
    return ", ".join(w for w in (f"{spec.core_c:g} C in the middle", told) if w)


def _comes_out(spec: StepSpec, part: Part | None, amounts: Quantities) -> str:
    mass = amounts.parts.get(part.key) if part is not None else None
    out = [mass.gives_g[g.item].likely for g in part.gives if g.main and g.at == spec.key and g.item in mass.gives_g] if part is not None and mass is not None else []
    return f"about {units.show_mass(sum(out))}" if out else "what was planned"


def _kinds(task: Task, problem: Problem) -> list[str]:
    known = {place.key: place.kind for place in problem.places}
    return [known[u.kit] for u in task.uses if u.kit in known]


def _kit_kind(task: Task, problem: Problem) -> str:
    return next(iter(_kinds(task, problem)), "")


def _kind(task: Task, problem: Problem) -> str:
    kinds = _kinds(task, problem)
    if "smoker" in kinds:
        return "smoke"
    if task.hands_start_min + task.hands_end_min >= task.least_min:
        return "hands"
    return "keeps" if "freezer" in kinds else "waits"


def _premix(part: Part | None, spec: StepSpec, dose: BoxDose | None) -> Premix | None:
    """The premix a cure's step weighs, where the scale is too coarse for its curing salt."""
    weighed = part is not None and dose is not None and spec.key == cure_step(part) and dose.box.started is None
    return dose.formula.premix if weighed and dose is not None and dose.formula is not None else None


def _amounts(
    part: Part | None,
    amounts: Quantities,
    task: Task,
    spec: StepSpec,
    step_key: str,
    doses: Mapping[tuple[str, str], BoxDose],
) -> tuple[str, ...]:
    """What to weigh at a step: the cure's own dose, else what the part takes there."""
    if part is None:
        return ()
    dose = doses.get((task.part, step_key))
    if dose is not None and spec.key == cure_step(part):
        if dose.formula is None or dose.box.started is not None:
            return ()
        grams, step = dose.formula.grams, dose.formula.step_g
        weights = ", ".join(f"{p.name or 'piece'}: {units.show_mass(p.weight_g)}" for p in dose.box.pieces)
        lines = [f"for {weights}; weigh, then take these amounts only at that weight, at another those of the ladder or of the page"]
        if dose.formula.premix is not None:
            lines.append(f"premix  {units.show_mass(dose.formula.premix.dose_g, dose.formula.premix.step_g)}")
        elif grams["curing_salt"]:
            lines.append(f"{dose.packet.name}  {units.show_mass(grams['curing_salt'], step)}")
        return (
            *lines,
            f"plain salt  {units.show_mass(grams['salt'], step)}",
            f"sugar  {units.show_mass(grams['sugar'], step)}",
        )
    mass = amounts.parts.get(task.part)
    if mass is None:
        return ()
    return tuple(f"{take.name}  {units.show_mass(grams)}" for take, grams in weighed_at(part, mass, spec.key))
