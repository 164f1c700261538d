"""The plan: every step at its hour, in the order check, variables, constraints, objective, solve, read back.

Wishes are met one after another: the first as well as it can be, then the second without harming the
first, and so on. Each tells its value and the bound proven for it.

What repeats: the value of every wish marked proven, always. The plan itself, with one thread, on the same
machine and solver version, as long as no time limit or stop cuts a search short. Several threads race and
may end at another plan as good; threads that take fixed turns were tried and took five times as long.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from ingle.ground.errors import NoPlan
from ingle.planning.clash import explain
from ingle.planning.problem import Placed, Problem, Schedule, WishResult
from ingle.planning.problem_check import check
from ingle.planning.problem_grain import on_grain
from ingle.planning.schedule_model import Model, Stretch
from ingle.planning.schedule_rules import build
from ingle.planning.schedule_search import Answer, Clock, run
from ingle.planning.schedule_wishes import WISHES
from ingle.planning.spans import span

Progress = Callable[[str, int, int], None]


def solve(
    problem: Problem,
    *,
    limit_s: float = 15.0,
    workers: int = 1,
    progress: Progress | None = None,
    stop: Callable[[], bool] | None = None,
) -> Schedule:
    """Place every step.

    Parameters
    ----------
    problem : Problem
        Steps, links, kit, hands and wishes.
    limit_s : float
        Longest time for the whole search. [s] Each wish may take an equal share of what is left.
    workers : int
        Threads of the solver. One is the quickest up to about fifty steps; two pay from about a hundred.
    progress : callable, optional
        Called as ``progress(line, wishes done, wishes in all)``.
    stop : callable, optional
        Asked now and then; True ends the search and keeps the best plan so far.

    Returns
    -------
    Schedule
        Placed steps in order of their start.

    Raises
    ------
    BadBrief, OutOfRange
        The problem contradicts itself.
    NoPlan
        Nothing meets all rules; the error holds the clash and tried remedies. Or none was found in time.
    """
    check(problem)
    problem = on_grain(problem)
    tell = progress or _silent
    clock = Clock(limit_s)
    model = build(problem)
    best = run(model.cp, clock.left, stop=stop, first_only=True)
    if best.status == "infeasible":  # a second opinion, by the plainest search, before the meal is called impossible
        best = run(model.cp, clock.left, stop=stop, first_only=True, plain=True)
    first_s = clock.spent
    if not best.found:
        raise _no_plan(problem, best, clock)
    tell(f"First plan after {first_s:.1f} s.", 0, len(problem.wishes))
    results = []
    for done, name in enumerate(problem.wishes):
        share = clock.left / (len(problem.wishes) - done)
        best, result = _meet(model, name, best, share, workers, stop)
        results.append(result)
        tell(_line(result), done + 1, len(problem.wishes))
    placed, choices = read_back(model, best)
    return Schedule(
        placed,
        choices,
        _measured(problem, results, placed, choices),
        "proven best" if all(r.proven for r in results) else "feasible",
        first_s,
        clock.spent,
    )


def _silent(_line: str, _done: int, _total: int) -> None:
    """Nobody listens."""


def _meet(
    model: Model, name: str, best: Answer, share_s: float, workers: int, stop: Callable[[], bool] | None
) -> tuple[Answer, WishResult]:
    """Make one wish as small as it will go, and hold it there for the wishes after it."""
    wish = WISHES[name]
    scale = model.grain if wish.in_grains else 1
    expression = wish.ask(model)
    value = wish.read(model.problem, *read_back(model, best)) // scale
    bound, proven = 0, value == 0 or isinstance(expression, int)
    if not proven and not (stop is not None and stop()):
        model.cp.minimize(expression)
        answer = run(model.cp, share_s, workers=workers, stop=stop, hint=best.values)
        model.cp.clear_objective()
        if answer.found:
            best, bound, proven = answer, max(0, answer.bound or 0), answer.status == "optimal"
            value = min(value, wish.read(model.problem, *read_back(model, best)) // scale)
    if not isinstance(expression, int):
        model.cp.add(expression <= value)
    return best, WishResult(name, value * scale, (value if proven else bound) * scale, wish.unit, proven)


def _measured(
    problem: Problem, results: list[WishResult], placed: tuple[Placed, ...], choices: dict[str, bool]
) -> tuple[WishResult, ...]:
    """The same results with the values the finished plan has: a later wish may have improved an unproven one."""
    return tuple(
        WishResult(r.wish, WISHES[r.wish].read(problem, placed, choices), r.bound, r.unit, r.proven) for r in results
    )


def _line(result: WishResult) -> str:
    spell = span if result.unit == "min" else lambda n: f"{n} {result.unit}"
    what = {
        "sleep": "Hands in the night",
        "freshness": "Freshness lost",
        "visits": "Kitchen visits",
        "slack": "Hands in the last three hours",
    }[result.wish]
    if result.proven:
        return f"{what}: {spell(result.value)}, proven best."
    return f"{what}: {spell(result.value)}, at best {spell(result.bound)}."


def read_back(model: Model, answer: Answer) -> tuple[tuple[Placed, ...], dict[str, bool]]:
    """The solver's numbers as placed steps, in order of their start, and the choices taken."""

    value = answer.of
    choices = {name: bool(value(literal)) for name, literal in model.choices.items()}
    by_task: dict[str, list[Stretch]] = {}
    for stretch in model.stretches:
        if value(stretch.here):
            by_task.setdefault(stretch.task.id, []).append(stretch)
    placed = []
    for key, laid in model.tasks.items():
        if value(laid.here):
            cooks = {s.kind: _cook(s, value) for s in by_task.get(key, ()) if s.kind != "tend"}
            tends = sorted(
                (value(s.begin) * model.grain, _cook(s, value)) for s in by_task.get(key, ()) if s.kind == "tend"
            )
            where = tuple(h.place.key for h in model.held if h.task.id == key and value(h.here))
            placed.append(
                Placed(
                    key,
                    value(laid.start) * model.grain,
                    value(laid.end) * model.grain,
                    cooks.get("start"),
                    cooks.get("end"),
                    tuple(tends),
                    where,
                )
            )
    return tuple(sorted(placed, key=lambda p: (p.start_min, p.task))), choices


def _cook(stretch: Stretch, value: Callable[[Any], int]) -> str:
    return next(cook for cook, literal in stretch.by.items() if value(literal))


def _no_plan(problem: Problem, answer: Answer, clock: Clock) -> NoPlan:
    """The error for a search that found nothing: impossible, or not found in time."""
    if answer.status != "infeasible":
        return NoPlan(
            f"No plan was found in {clock.spent:.1f} s, and none was ruled out.",
            field="limit_s",
            value=clock.limit_s,
            remedy=f"Search longer, for example {4 * clock.limit_s:g} s.",
        )
    clash, remedies = explain(problem)
    message = f"No plan meets all of this. {clash[0]}" if clash else "No plan meets all of this."
    if len(clash) > 1:
        message += f" It clashes with: {clash[1]}" + (f" And {len(clash) - 2} more." if len(clash) > 2 else "")
    smallest = remedies[0].text if remedies else "No single change was found that frees it: ask for less at once."
    return NoPlan(message, clash=clash, remedies=remedies, remedy=smallest)
