"""What is said of a plan: the laws on every box, enough or not, ready or not, how long kept, how it is smoked."""

from __future__ import annotations

from dataclasses import replace

from ingle.crafts.cure.forecast import chance_ready
from ingle.ground import tables
from ingle.jobs.cure_told import DEFAULT_STEP_G
from ingle.jobs.plan_ahead import Doses
from ingle.jobs.plan_unsure import begun_unsure, frozen_verdicts, uncooked_verdicts
from ingle.planning.brief import Brief
from ingle.planning.kit import Kit
from ingle.planning.parts import Part
from ingle.planning.problem import Placed, Schedule
from ingle.planning.quantities import Quantities
from ingle.planning.spans import moment
from ingle.planning.tasks import Forecasts, Tasks
from ingle.safety import limits
from ingle.safety.limits import Product
from ingle.safety.verdict import Verdict


def law_verdicts(brief: Brief, parts: dict[str, Part], doses: Doses) -> tuple[Verdict, ...]:
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
        name = _whose(parts[part].short, doses, part, step)
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


def _whose(name: str, doses: Doses, part: str, step: str) -> str:
    """The part, with its pieces where several boxes of it lie."""
    several = sum(p == part for p, _ in doses) > 1
    return f"{name} {doses[part, step].box.names}".strip() if several else name


def plan_verdicts(
    brief: Brief,
    parts: dict[str, Part],
    doses: Doses,
    times: Forecasts,
    tasks: Tasks,
    schedule: Schedule,
    amounts: Quantities,
    kit: Kit,
) -> tuple[Verdict, ...]:
    """What is said of the plan itself: enough for the plates, ready by its pull, how long kept, how smoked, how frozen."""
    placed = {p.task: p for p in schedule.placed}
    found: list[Verdict] = []
    for short in amounts.shortfalls:
        at_low = short.at.startswith("low")
        give = next((g for g in parts[short.part].gives if g.item == short.item), None)
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
                sure=give.sure if give else "common practice",
                doubt=f"yield: {give.source}" if give and give.source else "",
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
        ready = Verdict(
            rule=f"ready@{task}",
            title=f"{_whose(parts[part].name, doses, part, step)} ready by its pull, {when:%a} {when.day} {when:%b %H:%M}",
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
        found.append(begun_unsure(ready, doses, (part, step)))
    for task_id, p in placed.items():
        found += _kept(tasks, task_id, p)
        found += _smoked(parts, tasks, task_id)
    return (*found, *uncooked_verdicts(parts, doses), *frozen_verdicts(tasks.problem.tasks, placed, kit))


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


def not_checked(doses: Doses, amounts: Quantities) -> tuple[str, ...]:
    """What no verdict of the plan looks at."""
    found = ["how cold your fridge really is", "the age of what you buy"]
    if doses:
        found.insert(0, "what nitrite is left in the finished product")
    pieces = [p for mass in amounts.parts.values() for box in mass.boxes for p in box.pieces]
    if any(p.thickness_mm is None for p in pieces):
        found.append("thickness: a piece not measured is taken as thick as a cube of its weight")
    if any(p.fat != "none" for p in pieces):
        found.append("fat on top of a piece: it is timed as lean, and salt and heat pass fat more slowly")
    if any(not d.known for d in doses.values()):
        found.append("what was rubbed on the pieces already begun: the part's own targets are taken")
    return tuple(found)
