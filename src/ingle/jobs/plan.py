"""From a brief to a plan: quantities, doses, forecasts, schedule, verdicts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from ingle.crafts import dough
from ingle.crafts.cure import harm
from ingle.crafts.cure.forecast import chance_ready
from ingle.ground import tables, units
from ingle.ground.things import Forecast
from ingle.jobs.plan_steps import steps_of
from ingle.planning.brief import Brief, read_brief
from ingle.planning.doses import BoxDose, dose_of, ready
from ingle.planning.kit import Kit, read_kit
from ingle.planning.part_file import load_parts
from ingle.planning.parts import Part, without_skin
from ingle.planning.pieces import cure_step
from ingle.planning.plan import Flow, Plan, PlanPart, PlanStep, Thinned, Weighing, WishGrade
from ingle.planning.problem import Placed, Schedule
from ingle.planning.quantities import Quantities, quantities
from ingle.planning.schedule import solve
from ingle.planning.shopping import dated
from ingle.planning.spans import moment, span
from ingle.planning.step_file import cautions
from ingle.planning.tasks import ForecastNeed, Forecasts, StepTime, Tasks, forecast_needs, to_problem
from ingle.safety import limits
from ingle.safety.limits import Product
from ingle.safety.verdict import Verdict, worst

Progress = Callable[[str, int, int], None]
USUAL_LOAF_G = 900.0  # mass of dough that cools by itself (common practice)
DEFAULT_STEP_G = 0.1
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
    doses = _doses(parts, kit, amounts)
    times = _times(brief, parts, kit, amounts, doses)
    tasks = to_problem(brief, parts, kit, amounts, times)
    schedule = solve(tasks.problem, limit_s=limit_s, workers=workers, progress=progress, stop=stop)
    return _assemble(brief, parts, kit, amounts, doses, times, tasks, schedule)


Doses = dict[tuple[str, str], BoxDose]  # by (part, step with its box)


def _doses(parts: dict[str, Part], kit: Kit, amounts: Quantities) -> Doses:
    """What every box of cure gets, weighed on the kitchen's finest scale."""
    step_g = min(kit.scale_steps_g, default=DEFAULT_STEP_G)
    found: Doses = {}
    for key, mass in amounts.parts.items():
        cure, step = parts[key].cure, cure_step(parts[key])
        if cure is None or step is None:
            continue
        for box in mass.boxes:
            dose = dose_of(key, cure, box, step_g)
            harm.require_not_toxic(
                dose.mix.content(dose.base.skin_free_g).nitrite_as_sodium, already_on=box.started is not None
            )
            found[key, step + box.suffix] = dose
    return found


def _times(brief: Brief, parts: dict[str, Part], kit: Kit, amounts: Quantities, doses: Doses) -> Forecasts:
    """Every forecast length: cures by the closed form, proofs by the dough's own temperature, roasts by the part file."""
    found: dict[tuple[str, str], StepTime] = {}
    for need in forecast_needs(parts, kit, amounts):
        key = (need.part, need.step)
        cure = parts[need.part].cure
        if need.kind == "cure" and cure is not None and key in doses:
            warm = 4.0 if need.temperature_c is None else need.temperature_c
            found[key] = ready(doses[key], cure, warm, _sd(kit, need), brief.ready_chance)
        elif need.kind == "dough":
            found[key] = _proof(need)
        elif need.spec.lasts is not None:
            lasts = need.spec.lasts
            found[key] = StepTime(lasts.likely / 60, max(lasts.likely, need.spec.most_min or 0) / 60)
    return found


def _sd(kit: Kit, need: ForecastNeed) -> float:
    """Spread of the fridge that a step is held in [C]."""
    spreads = [c.sd_c for c in kit.fridges if need.temperature_c is None or c.temperature_c == need.temperature_c]
    return max(spreads, default=1.0)


def _proof(need: ForecastNeed) -> StepTime:
    loaves = max(1, round(need.mass_g / USUAL_LOAF_G))
    told = dough.cold_proof(need.mass_g / loaves, 4.0 if need.temperature_c is None else need.temperature_c)
    forecast = Forecast(
        what=f"the proof of {loaves} loaves is ready",
        earliest_h=told.earliest_h,
        likely_h=told.best_h,
        latest_h=told.latest_h,
        basis="a dough's own temperature while it cools, dose of the usual cold proof",
        not_in_it=("strength of this yeast or starter",),
    )
    return StepTime(told.earliest_h, told.latest_h, forecast)


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
    steps = steps_of(brief, parts, amounts, doses, times, tasks, schedule)
    starts = {p.task.partition("@")[0]: moment(brief.plan_from, p.start_min) for p in reversed(schedule.placed)}
    found = (
        *_law(brief, parts, doses),
        *_plan_verdicts(brief, parts, doses, times, tasks, schedule, amounts),
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
        weighings=_weighings(parts, doses),
        flows=_flows(amounts, tasks, schedule, brief),
        verdicts=found,
        not_checked=_not_checked(doses),
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


def _law(brief: Brief, parts: dict[str, Part], doses: Doses) -> tuple[Verdict, ...]:
    """What the laws say of every box, on the day of the meal."""
    found: list[Verdict] = []
    for (part, step), dose in doses.items():
        cure = parts[part].cure
        if cure is None:
            continue
        product = Product(cure.product, use=brief.use, skin_on=dose.base.skin_on, skin_weighed=dose.base.skin_weighed)
        rules = limits.applicable(product, limits.countries(brief.rules), brief.at.date().isoformat())
        if not brief.rules:
            strictest = limits.strictest(rules)
            rules = tuple(r for r in rules if strictest is None or r.country == strictest.country)
        grams = dose.mix.grams("curing-salt")
        spread = min(1.0, (dose.formula.step_g if dose.formula else DEFAULT_STEP_G) / grams) if grams else 0.0
        said = limits.verdicts(
            rules,
            dose.mix.content(dose.base.skin_free_g),
            skin_free=dose.base.skin_free_g,
            whole=dose.base.whole_g,
            spread=spread,
            use=brief.use,
        )
        name = parts[part].short + (f" {step.partition('@')[2]}" if "@" in step else "")
        found += [
            replace(
                v,
                title=f"{name}: {v.title}",
                rule=f"{v.rule}@{part}.{step}",
                clause=f"{tables.source(v.source).name} {v.clause}" + ("" if v.sure == "quoted" else f" [{v.sure}]"),
            )
            for v in said
        ]
    return tuple(found)


def _plan_verdicts(
    brief: Brief,
    parts: dict[str, Part],
    doses: Doses,
    times: Forecasts,
    tasks: Tasks,
    schedule: Schedule,
    amounts: Quantities,
) -> tuple[Verdict, ...]:
    placed = {p.task: p for p in schedule.placed}
    found: list[Verdict] = []
    for short in amounts.shortfalls:
        at_low = short.at.startswith("low")
        found.append(
            Verdict(
                rule=f"enough@{short.part}.{short.item}",
                title=f"{parts[short.part].name}: {short.message}",
                level="near" if at_low else "over",
                value=round(short.have_g),
                limit=round(short.need_g),
                unit="g",
                clause=f"plates times grams, at the {short.at}",
                source="trade-practice",
                sure="common practice",
                kind="plan",
                act=short.remedy,
                more={"side": "min"},
            )
        )
    for part, step in doses:
        told = times[part, step].forecast
        task = f"{part}.{step}"
        if told is None or task not in placed:
            continue
        chance = chance_ready(told, (placed[task].end_min - placed[task].start_min) / 60)
        when = moment(brief.plan_from, placed[task].end_min)
        level = "within" if chance >= brief.ready_chance - 1e-6 else "near" if chance >= 0.8 else "over"
        found.append(
            Verdict(
                rule=f"ready@{task}",
                title=f"{parts[part].name} ready by its pull, {when:%a} {when.day} {when:%b %H:%M}",
                level=level,
                value=round(chance, 3),
                limit=brief.ready_chance,
                unit="",
                clause=told.what,
                source="ingle-cure-prior",
                sure="derived",
                kind="plan",
                not_checked=told.not_in_it,
                act="" if level == "within" else "Leave it longer in the cure.",
                more={"side": "min"},
            )
        )
    for task_id, p in placed.items():
        found += _kept(tasks, task_id, p)
        found += _smoked(parts, tasks, task_id)
    return tuple(found)


def _kept(tasks: Tasks, task_id: str, p: Placed) -> list[Verdict]:
    """How long a thing is kept until the table, where its part file names a last time of a day or more."""
    spec = tasks.steps.get(task_id)
    if spec is None or spec.fresh.last_min is None or spec.fresh.last_min < 24 * 60:
        return []
    kept = tasks.problem.table_min - p.end_min
    last = spec.fresh.last_min
    days = lambda minutes: round(minutes / 1440, 2)  # noqa: E731
    return [
        Verdict(
            rule=f"kept@{task_id}",
            title=f"kept from {spec.name.lower()} to the table",
            level="within" if kept <= last else "over",
            value=days(kept),
            limit=days(last),
            unit="d",
            clause=f"part file {task_id.partition('.')[0]}, step {spec.key}",
            source="trade-practice",
            sure=spec.sure,
            kind="practice",
        )
    ]


def _smoked(parts: dict[str, Part], tasks: Tasks, task_id: str) -> list[Verdict]:
    """Cold smoke: planned hours against the lines; the chamber's temperature can only be read on the day."""
    task = next(t for t in tasks.problem.tasks if t.id == task_id)
    smokers = {pl.key for pl in tasks.problem.places if pl.kind == "smoker"}
    if not any(u.kit in smokers for u in task.uses):
        return []
    said = tables.toml_table("limits", "smoke.toml")["stop" if parts[task.part].cure else "butter_shape"]
    return [
        Verdict(
            rule=f"chamber@{task_id}",
            title=f"{task.name}: {said['about']}",
            level="cannot_say",
            value=None,
            limit=said["limit"]["max"],
            unit="C",
            clause=said["clause"],
            source=said["source"],
            sure=said["sure"],
            kind="practice",
            basis=said["basis"],
            act="Read the chamber at every look; too warm: open it, set frozen bottles on the top rail, go on when it is cooler.",
            not_checked=("the weather on the day",),
        )
    ]


def _weighings(parts: dict[str, Part], doses: Doses) -> tuple[Weighing, ...]:
    found = []
    for (part, step), dose in doses.items():
        if dose.formula is None or dose.box.started is not None:
            continue
        f, mass = dose.formula, dose.base.skin_free_g
        names = " and ".join(p.name for p in dose.box.pieces if p.name)
        box = f"{parts[part].short} {names}".strip() + (f", box {step.partition('@')[2]}" if "@" in step else "")
        lines = (
            [f"{dose.packet.name}  {units.show_mass(f.grams['curing_salt'], f.step_g)}"]
            if f.grams["curing_salt"]
            else []
        )
        if f.premix is not None:
            lines = [f"premix {units.show_mass(f.premix.dose_g, f.premix.step_g)}: {f.premix.mixing}", f"on its jar: {f.premix.label}"]
        lines += [
            f"plain salt  {units.show_mass(f.grams['salt'], f.step_g)}",
            f"sugar  {units.show_mass(f.grams['sugar'], f.step_g)}",
        ]
        slow = max(dose.box.pieces, key=lambda p: (p.thickness_mm or 0.0) * (2 if p.skin != "none" else 1))
        found.append(
            Weighing(
                part,
                box,
                mass,
                dict(f.grams),
                f.step_g,
                f.ingoing.salt,
                f.ingoing.content.nitrite_as_sodium,
                dose.packet.name,
                tuple(lines),
                slow.thickness_mm if slow.skin == "none" else None,
                Thinned(f.premix.mixing, f.premix.label, f.premix.strength.nitrite) if f.premix else None,
                dose.base.whole_g,
                next((p.skin for p in dose.box.pieces if p.skin != "none"), "none"),
                dose.base.whole_g - mass if dose.base.skin_weighed else None,
            )
        )
    return tuple(found)


def _flows(amounts: Quantities, tasks: Tasks, schedule: Schedule, brief: Brief) -> tuple[Flow, ...]:
    """By-products with the hours at which they are made and used, fresh or frozen."""
    at = {p.task: p for p in schedule.placed}
    taken = {c for c, yes in schedule.choices.items() if yes}
    found = []
    for flow in amounts.flows:
        frozen = any(
            (flow.item in c and (flow.to_part or "") in c) or (c.endswith(".frozen") and flow.item in c) for c in taken
        )
        ends = [at[i] for i in (flow_ends(flow, tasks)) if i in at]
        made = moment(brief.plan_from, ends[0].end_min) if ends else None
        used = moment(brief.plan_from, ends[1].start_min) if len(ends) > 1 else None
        found.append(replace(flow, made=made, used=used, way="frozen" if frozen and flow.to_part else flow.way))
    return tuple(found)


def flow_ends(flow: Flow, tasks: Tasks) -> tuple[str, ...]:
    """Task that makes a by-product and task that takes it, as the links of the problem have them."""
    for link in tasks.problem.links:
        before, after = link.before.partition(".")[0], link.after.partition(".")[0]
        if flow.to_part and before == flow.from_part and after == flow.to_part:
            return (link.before, link.after)
    return ()


def _not_checked(doses: Doses) -> tuple[str, ...]:
    found = ["how cold your fridge really is", "the age of what you buy"]
    if doses:
        found.insert(0, "what nitrite is left in the finished product")
    if any(p.thickness_mm is None for d in doses.values() for p in d.box.pieces):
        found.append("thickness: a piece not measured is taken as thick as a cube of its weight")
    if any(not d.known for d in doses.values()):
        found.append("what was rubbed on the pieces already begun: the part's own targets are taken")
    return tuple(found)


def level(made: Plan) -> str:
    """Gravest level of a plan's verdicts."""
    return worst(made.verdicts)


__all__ = ["PlanStep", "level", "plan", "plan_of", "weighted"]
