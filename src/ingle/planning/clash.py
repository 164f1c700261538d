"""Why a meal is impossible, in reasons that cannot hold together, and what would free it.

Every remedy told here was carried out on the problem and found to give a plan.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from graphlib import CycleError, TopologicalSorter

from ingle.planning.problem import Link, Problem
from ingle.planning.problem_grain import on_grain
from ingle.planning.remedy import Remedy, widen
from ingle.planning.remedy_search import frees, remedies
from ingle.planning.schedule_model import Model
from ingle.planning.schedule_rules import build
from ingle.planning.schedule_search import Clock, run
from ingle.planning.spans import DAY

TRY_S = 2.0  # longest single question after the first


def explain(problem: Problem, *, limit_s: float = 20.0) -> tuple[tuple[str, ...], tuple[Remedy, ...]]:
    """Reasons that cannot all hold, and remedies that were tried and work, smallest first.

    Both are empty for a problem that has a plan.

    Parameters
    ----------
    problem : Problem
        A checked problem without a plan.
    limit_s : float
        Longest time; a third goes to the reasons. [s] Cut short, the reasons may be more than needed and
        some remedies untried, but each remedy told works.
    """
    problem = on_grain(problem)
    time = Clock(limit_s)
    found = clash(problem, Clock(limit_s / 3))
    if not found.reasons and frees(problem, time):
        return (), ()
    return found.reasons, remedies(problem, found.keys if found.reasons else None, found.parts, time)


@dataclass(frozen=True)
class Clash:
    """Reasons that cannot all hold, and what they hang on: a remedy that moves none of it cannot help."""

    reasons: tuple[str, ...]
    keys: frozenset[str]  # "start", "table", "hands", keys of places
    parts: frozenset[str]


def clash(problem: Problem, time: Clock) -> Clash:
    """A set of reasons that cannot all hold, from which none can be spared.

    Found twice: once for the whole meal, then for those of its steps that the first answer speaks of,
    where letting reasons go one by one is quick.
    """
    model, core = _clash_in(problem, time)
    if core:
        concerned = set().union(*(model.about[words] for words in core))
        smaller, found = _clash_in(_only(problem, concerned), time)
        model, core = (smaller, _spared(smaller, found, time)) if found else (model, core)
    concerned = set().union(*(model.about[words] for words in core))
    return Clash(
        tuple(sorted(core, key=lambda words: model.rank[words])),
        frozenset(model.key[words] for words in core) - {""},
        frozenset(task.part for task in problem.tasks if task.id in concerned),
    )


def _clash_in(problem: Problem, time: Clock) -> tuple[Model, list[str]]:
    """Reasons that cannot hold together, perhaps more than needed; none where no clash was shown."""
    days = _longest_chain(problem) // DAY + 8
    model = build(widen(problem, days, days), wide_days=days)
    model.cp.add_assumptions(list(model.reasons.values()))
    core = set(run(model.cp, time.left, first_only=True).core)
    model.cp.clear_assumptions()
    return model, [words for words, literal in model.reasons.items() if literal.index in core]


def _longest_chain(problem: Problem) -> int:
    """Minutes the longest chain of steps takes at the least: how far letting go of a date can move a step."""
    lasts = {task.id: task.least_min + task.rest_min for task in problem.tasks}
    before: dict[str, list[Link]] = {key: [] for key in lasts}
    for link in problem.links:
        before[link.after].append(link)
    try:
        order = list(
            TopologicalSorter({key: [k.before for k in links] for key, links in before.items()}).static_order()
        )
    except CycleError:  # only conditional links can make one: take them all
        return sum(lasts.values())
    done: dict[str, int] = {}
    for key in order:
        done[key] = lasts[key] + max((done[k.before] + max(k.least_min, 0) for k in before[key]), default=0)
    return max(done.values(), default=0)


def _only(problem: Problem, concerned: set[str]) -> Problem:
    """The same meal with no other steps than these."""
    tasks = tuple(
        replace(
            task,
            waits_in=task.waits_in if task.next_id is None or task.next_id in concerned else (),
            next_id=task.next_id if task.next_id in concerned else None,
            next_else=task.next_else if task.next_else in concerned else None,
        )
        for task in problem.tasks
        if task.id in concerned
    )
    links = tuple(k for k in problem.links if k.before in concerned and k.after in concerned)
    return replace(problem, tasks=tasks, links=links)


def _spared(model: Model, core: list[str], time: Clock) -> list[str]:
    """The reasons without those that can be let go while the rest still clashes."""
    for words in list(core):
        fewer = [other for other in core if other != words]
        if time.left > 0 and not _may_hold(model, fewer, time):
            core = fewer
    return core


def _may_hold(model: Model, kept: list[str], time: Clock) -> bool:
    """Could these reasons hold together, all others let go? Undecided counts as yes."""
    asked = model.cp.clone()
    for words, literal in model.reasons.items():
        switch = asked.get_bool_var_from_proto_index(literal.index)
        if words in kept:
            asked.add(switch == 1)
        else:
            asked.add_hint(switch, 1)
    return run(asked, min(TRY_S, time.left), first_only=True).status != "infeasible"
