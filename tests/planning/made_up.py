"""Made-up problems with a known plan: the plan is drawn first, the rules are then laid around it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from random import Random

from tests.planning.verifier import verify

from ingle.planning.problem import Cook, Link, Place, Placed, Problem, Schedule, Task, Tend, Use

START = datetime(2026, 3, 2, 6, 0, tzinfo=UTC)
DAY = 1440


def problem_with_a_plan(seed: int, steps: tuple[int, int] = (4, 18)) -> tuple[Problem, Schedule]:
    """A random problem and a plan that keeps its rules, as drawn (by the verifier's word)."""
    r = Random(seed)
    problem, placed = _empty(r), ()
    for n in range(r.randint(*steps)):
        for _ in range(40):
            task, put = _draw(r, problem, n)
            grown = replace(problem, tasks=(*problem.tasks, task))
            if not verify(grown, _plan(problem, (*placed, put))):
                problem, placed = grown, (*placed, put)
                break
    problem = _linked(r, problem, placed)
    problem = _waiting(r, problem, placed)
    problem, placed = _conditional(r, problem, placed)
    return problem, _plan(problem, _with_waits(problem, placed))


def _plan(problem: Problem, placed: tuple[Placed, ...]) -> Schedule:
    return Schedule(placed, dict.fromkeys(problem.choices, True), (), "feasible", 0.0, 0.0)


def _empty(r: Random) -> Problem:
    days = r.randint(1, 4)
    table = days * DAY + r.randrange(0, 600, 5)
    cooks = []
    for key in "AB"[: r.randint(1, 2)]:
        opens, closes = r.randrange(0, 240, 5), r.randrange(480, 960, 5)
        cooks.append(Cook(key, f"Cook {key}", tuple((d * DAY + opens, d * DAY + closes) for d in range(days + 1))))
    places = (
        Place("oven", "oven", "the oven", r.randint(1, 3), r.choice((0, 10, 20))),
        Place("oven-2", "oven", "the small oven", 1, 15),
        Place("fridge", "fridge", "the fridge", r.randint(6, 20)),
        Place("smoker", "smoker", "the smoker", r.randint(1, 4)),
    )
    nights = tuple((d * DAY + 900, d * DAY + 1380) for d in range(days + 1))
    blocks = tuple((d * DAY + a, d * DAY + b) for d in range(days + 1) for a, b in ((0, 360), (360, 720), (720, 1440)))
    return Problem(START, table, (), (), places, tuple(cooks), nights, visit_blocks=blocks)


def _draw(r: Random, problem: Problem, n: int) -> tuple[Task, Placed]:
    """One task placed at random, with room around what it says of itself."""
    opens, closes = r.choice((0, 5, 10, 30)), r.choice((0, 0, 5, 15))
    length = max(opens + closes, r.choice((15, 60, 180, 600)) + r.randrange(0, 60, 5), 5)
    start = r.randrange(0, max(5, problem.table_min - length), 5)
    end, left = start + length, problem.table_min - start - length
    least = max(opens + closes, length - r.choice((0, 0, 3, 20)))
    uses, places = _uses(r)
    tend, tends = _tending(r, problem, start, end, closes)
    cook = [c.key for c in problem.cooks]
    task = Task(
        f"t{n}",
        f"part{n % 3}",
        f"Step {n}",
        least,
        length + r.choice((0, 0, 4, 60)),
        opens,
        closes,
        tend,
        uses,
        rest_min=r.choice((0, max(0, left - 30))),
        best_min=r.choice((None, 0, 300)),
        last_min=r.choice((None, None, left + r.choice((0, 200)))),
        fresh_weight=r.randint(1, 3),
        not_before_min=r.choice((None, None, max(0, start - 61))),
        not_after_min=r.choice((None, None, end + 61)),
        fixed_start_min=start if r.random() < 0.1 else None,
    )
    return task, Placed(
        task.id, start, end, r.choice(cook) if opens else None, r.choice(cook) if closes else None, tends, places
    )


def _uses(r: Random) -> tuple[tuple[Use, ...], tuple[str, ...]]:
    match r.randrange(6):
        case 0:
            return (Use("oven", 1, r.choice((180, 230)), r.choice(((), ("oven-2",)))),), ("oven",)
        case 1:
            return (Use("fridge", r.randint(1, 6)),), ("fridge",)
        case 2:
            return (Use("smoker", 1), Use("fridge", 1)), ("smoker", "fridge")
        case _:
            return (), ()


def _tending(r: Random, problem: Problem, start: int, end: int, closes: int):
    """Perhaps a visit every so often, with the visits the verifier will ask for."""
    if end - start < 120 or r.random() < 0.5:
        return None, ()
    tend = Tend("Look after it", r.choice((60, 120, 240)), 5, 20)
    tends, k = [], 1
    while start + k * tend.every_min + tend.slack_min + tend.lasts_min <= end - closes:
        minute = start + k * tend.every_min + r.randrange(-20, 21, 5)
        tends.append((minute, r.choice(problem.cooks).key))
        k += 1
    return tend, tuple(tends)


def _linked(r: Random, problem: Problem, placed: tuple[Placed, ...]) -> Problem:
    """Links between steps that follow each other in the drawn plan, with lags around its own."""
    links = []
    for before in placed:
        for after in placed:
            gap = after.start_min - before.end_min
            if gap >= 0 and before.task != after.task and r.random() < 0.4:
                links.append(
                    Link(before.task, after.task, r.choice((0, max(0, gap - 33))), r.choice((None, gap, gap + 63)))
                )
    return replace(problem, links=tuple(links))


def _waiting(r: Random, problem: Problem, placed: tuple[Placed, ...]) -> Problem:
    """Litres held between two linked steps, where the drawn plan has them free."""
    for link in problem.links:
        if r.random() < 0.3:
            tasks = tuple(
                replace(t, waits_in=(Use("fridge", r.randint(1, 4)),), next_id=link.after)
                if t.id == link.before and not t.waits_in
                else t
                for t in problem.tasks
            )
            tried = replace(problem, tasks=tasks)
            if not verify(tried, _plan(tried, _with_waits(tried, placed))):
                problem = tried
    return problem


def _with_waits(problem: Problem, placed: tuple[Placed, ...]) -> tuple[Placed, ...]:
    tasks = {t.id: t for t in problem.tasks}
    return tuple(
        replace(x, places=x.places[: len(tasks[x.task].uses)] + tuple(u.kit for u in tasks[x.task].waits_in))
        for x in placed
    )


def _conditional(r: Random, problem: Problem, placed: tuple[Placed, ...]):
    """Perhaps some steps hang on a choice, and one stands in for them where it is not taken."""
    if r.random() < 0.5:
        return problem, placed
    some = {t.id for t in problem.tasks if r.random() < 0.3 and t.fixed_start_min is None}
    tasks = tuple(replace(t, only_if="way") if t.id in some else t for t in problem.tasks)
    instead = Task("instead", "part0", "The other way", 30, 45, 10, unless="way")
    return replace(problem, tasks=(*tasks, instead), choices=("way",), choice_cost={"way": r.randint(0, 2)}), placed
