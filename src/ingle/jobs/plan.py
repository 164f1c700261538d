"""From a brief to a plan: quantities, doses, forecasts, schedule, verdicts."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from ingle.jobs.plan_ahead import Doses, doses_of, times_of
from ingle.jobs.plan_amounts import flows_of, weighings_of
from ingle.jobs.plan_steps import steps_of
from ingle.jobs.plan_verdicts import law_verdicts, not_checked, plan_verdicts
from ingle.planning.brief import Brief, read_brief
from ingle.planning.kit import Kit, read_kit
from ingle.planning.part_file import load_parts
from ingle.planning.parts import Part, without_skin
from ingle.planning.plan import Plan, PlanPart, PlanStep, WishGrade
from ingle.planning.problem import Schedule
from ingle.planning.quantities import Quantities, quantities
from ingle.planning.schedule import solve
from ingle.planning.shopping import dated
from ingle.planning.spans import moment, span
from ingle.planning.step_file import cautions
from ingle.planning.tasks import Forecasts, Tasks, to_problem
from ingle.safety.verdict import worst

Progress = Callable[[str, int, int], None]
GENERAL = ("local-law", "higher-risk")


def plan(
    brief_file: Path,
    *,
    limit_s: float = 15.0,
    workers: int = 1,
    progress: Progress | None = None,
    stop: Callable[[], bool] | None = None,
    now: datetime | None = None,
) -> Plan:
    """Make a plan from a brief.

    Parameters
    ----------
    brief_file : Path
        The cook's TOML file.
    limit_s : float
        Longest time for the schedule [s]; what is not proven by then is shown with its gap.
    progress : callable, optional
        Called as ``progress(line, done, total)``.
    now : datetime, optional
        Stands in for ``plan_from`` where the brief has none.

    Raises
    ------
    BadBrief, OutOfRange
        A file that cannot be understood.
    NoPlan
        The wishes clash; the error holds which and what was found to free them.
    """
    brief = read_brief(brief_file, now)
    kit = read_kit(brief.kit_path)
    parts = load_parts(brief.parts_dirs)
    return plan_of(brief, parts, kit, limit_s=limit_s, workers=workers, progress=progress, stop=stop)


def plan_of(
    brief: Brief,
    parts: dict[str, Part],
    kit: Kit,
    *,
    limit_s: float = 15.0,
    workers: int = 1,
    progress: Progress | None = None,
    stop: Callable[[], bool] | None = None,
) -> Plan:
    """The same from things already read."""
    bare = {s.part for s in brief.serve if s.pieces and all(p.piece.skin == "none" for p in s.pieces)}
    parts = {key: without_skin(part) if key in bare else part for key, part in parts.items()}
    amounts = quantities(brief, parts)
    doses = doses_of(parts, kit, amounts)
    times = times_of(brief, parts, kit, amounts, doses)
    tasks = to_problem(brief, parts, kit, amounts, times)
    schedule = solve(tasks.problem, limit_s=limit_s, workers=workers, progress=progress, stop=stop)
    return _assemble(brief, parts, kit, amounts, doses, times, tasks, schedule)


def _assemble(
    brief: Brief,
    parts: dict[str, Part],
    kit: Kit,
    amounts: Quantities,
    doses: Doses,
    times: Forecasts,
    tasks: Tasks,
    schedule: Schedule,
) -> Plan:
    steps = steps_of(brief, parts, kit, amounts, doses, times, tasks, schedule)
    starts = {p.task.partition("@")[0]: moment(brief.plan_from, p.start_min) for p in reversed(schedule.placed)}
    found = (
        *law_verdicts(brief, parts, doses),
        *plan_verdicts(brief, parts, doses, times, tasks, schedule, amounts, kit),
    )
    grades = tuple(
        WishGrade(w.wish, w.value, w.bound, w.unit, w.proven, _grade_words(w.wish, w.unit, w.value))
        for w in schedule.wishes
    )
    objective, bound = weighted(grades)
    keys = [s.part for s in brief.serve] + [k for k in amounts.parts if k not in {s.part for s in brief.serve}]
    plates = {s.part: s.grams_per_plate for s in brief.serve}
    allergens: dict[str, tuple[str, ...]] = {}
    for key in keys:
        for allergen in parts[key].allergens:
            allergens[allergen] = (*allergens.get(allergen, ()), parts[key].name)
    return Plan(
        name=brief.name,
        at=brief.at,
        plates=brief.plates,
        zone=str(brief.zone),
        plan_from=brief.plan_from,
        use=brief.use,
        rules=brief.rules,
        number=1,
        status=schedule.status,
        objective=objective,
        bound=bound,
        wishes=grades,
        parts=tuple(
            PlanPart(
                k,
                parts[k].name,
                parts[k].short,
                amounts.parts[k].plates_g or amounts.parts[k].need_g,
                parts[k].allergens,
                f"{plates[k]:g} g a plate" if k in plates else "goes into another part",
            )
            for k in keys
        ),
        steps=steps,
        shopping=dated(amounts.shopping, amounts.wants, starts),
        weighings=weighings_of(parts, doses),
        flows=flows_of(amounts, tasks, schedule, brief),
        verdicts=found,
        not_checked=not_checked(doses, amounts),
        cautions=tuple(cautions()[c].say for c in GENERAL if c in cautions()),
        allergens=allergens,
        kit={
            "name": kit.name,
            "ovens": len(kit.ovens),
            "fridge_litres": sum(f.litres for f in kit.fridges),
            "smokers": len(kit.smokers),
        },
        nights=tuple((moment(brief.plan_from, a), moment(brief.plan_from, b)) for a, b in tasks.problem.nights),
        cooks=tuple(c.name for c in kit.cooks),
        brief_file=brief.file,
    )


def weighted(grades: tuple[WishGrade, ...]) -> tuple[float, float]:
    """One number for all wishes: each weighs more than all below it together, at the values of this plan."""
    weight, objective, bound = 1.0, 0.0, 0.0
    for grade in reversed(grades):
        objective += weight * grade.value
        bound += weight * grade.bound
        weight *= grade.value + 1
    return objective, bound


def _grade_words(wish: str, unit: str, value: float) -> str:
    """How well a wish was met, in a cook's words."""
    told = span(round(value)) if unit == "min" else f"{value:g} {unit}"
    match wish:
        case "sleep":
            return f"{told} of hands in the night" if value else "no hands in the night"
        case "freshness":
            return f"{told} past their best, all things together" if value else "nothing waits past its best"
        case "visits":
            return f"{value:g} visits to the kitchen"
        case "slack":
            return f"{told} of hands in the last three hours"
    return told


def level(made: Plan) -> str:
    """Gravest level of a plan's verdicts."""
    return worst(made.verdicts)


__all__ = ["PlanStep", "level", "plan", "plan_of", "weighted"]
