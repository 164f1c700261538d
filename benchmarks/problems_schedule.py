"""Invented problems for the schedule: one about as large as the demonstration table, and its doubles.

Everything here is made up to have the right size and shape. No duration, amount or keeping time in this
file is advice.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise

from ingle.planning.problem import Cook, Link, Place, Problem, Task, Tend, Use

H, D = 60, 24 * 60
START = datetime(2026, 11, 27, 7, 0, tzinfo=UTC)  # a Friday, 07:00
MORNING = START.hour * H


def day_minute(day: int, hour: float) -> int:
    """Minutes from the start to an hour of a day of the plan; day 0 is the first."""
    return int(day * D + hour * H) - MORNING


def hours(days: int, weekday: tuple[float, float], weekend: tuple[float, float]) -> tuple[tuple[int, int], ...]:
    """A cook's spells: one set of hours from Monday to Friday, another on Saturday and Sunday."""
    spells = []
    for day in range(days + 1):
        begin, end = weekend if (START.weekday() + day) % 7 >= 5 else weekday
        spells.append((max(0, day_minute(day, begin)), day_minute(day, end)))
    return tuple((a, b) for a, b in spells if b > a)


def blocks(days: int) -> tuple[tuple[int, int], ...]:
    """Mornings, afternoons and evenings."""
    return tuple(
        (day_minute(d, a), day_minute(d, b)) for d in range(days + 1) for a, b in ((0, 12), (12, 17), (17, 24))
    )


def step(key: str, least: float, *, most: float | None = None, start: int = 0, end: int = 0, **more) -> Task:
    """A task from "part.step", hours and minutes of hands."""
    part, name = key.split(".", 1)
    least_min = round(least * H)
    most_min = least_min if most is None else round(most * H)
    return Task(key, part, f"{name} ({part})", least_min, most_min, start, end, **more)


def chain(*tasks: Task, least: float = 0, most: float | None = None) -> list[Link]:
    """Links from each task to the next."""
    return [Link(a.id, b.id, round(least * H), None if most is None else round(most * H)) for a, b in pairwise(tasks)]


def fridge(litres: int) -> tuple[Use, ...]:
    return (Use("fridge", litres),)


def oven(shelves: int, mode: int) -> tuple[Use, ...]:
    return (Use("oven", shelves, mode),)


def demo(*, table_day: int = 22, table_hour: float = 18.5) -> Problem:
    """About 45 steps of seven parts over 22 days: two cooks, one oven, one smoker, 60 litres, some 20 visits."""
    parts = [_collar("a"), _collar("b"), _rind(), _butter(), _smoked_butter(), _loaf(), _relish(), _onion(), _end()]
    tasks = [task for part, _ in parts for task in part]
    links = [link for _, part in parts for link in part]
    links += [
        Link("collar-a.trim", "rind.scrape", 0, 24 * H),
        Link("collar-b.trim", "rind.scrape", 0, 24 * H),
        Link("butter.churn", "loaf.mix", 0, 7 * D, reason="buttermilk keeps 7 d"),
        Link("butter.salt", "smoked.shape", 0, 3 * D),
        *(
            Link(last, "table.lay", 0)
            for last in (
                "collar-a.slice",
                "collar-b.slice",
                "rind.crisp",
                "loaf.slice",
                "butter.shape",
                "smoked.unwrap",
                "relish.dish",
                "onion.drain",
            )
        ),
    ]
    return Problem(
        START,
        day_minute(table_day, table_hour),
        tuple(tasks),
        tuple(links),
        places=(
            Place("oven", "oven", "the oven", 2, 15),
            Place("fridge", "fridge", "the fridge", 60),
            Place("freezer", "freezer", "the freezer", 20),
            Place("smoker", "smoker", "the smoker", 4),
        ),
        cooks=(
            Cook("A", "Cook A", hours(table_day, (18, 22), (7, 22))),
            Cook("B", "Cook B", hours(table_day, (6.5, 12), (9, 20))),
        ),
        nights=tuple((max(0, day_minute(d, -1.5)), day_minute(d, 6.75)) for d in range(table_day + 1) if d),
        choices=("rind.frozen",),
        choice_cost={"rind.frozen": 1},
        visit_blocks=blocks(table_day),
    )


def _collar(which: str):
    p = f"collar-{which}"
    steps = [
        step(f"{p}.trim", 0.75, start=45),
        step(
            f"{p}.cure",
            7 * 24,
            most=9 * 24,
            start=20,
            end=15,
            uses=fridge(9),
            tend=Tend(f"Turn the {p} over", D, 5, 6 * H),
        ),
        step(f"{p}.rest", 3 * 24, most=5 * 24, start=5, uses=fridge(8)),
        step(f"{p}.pellicle", 12, most=24, start=5, uses=fridge(10)),
        step(
            f"{p}.smoke",
            8,
            start=20,
            end=10,
            uses=(Use("smoker", 2),),
            tend=Tend(f"Look at the smoke of the {p}", 4 * H, 5, 30),
        ),
        step(f"{p}.mellow", 3 * 24, most=8 * 24, start=10, uses=fridge(6), best_min=D, last_min=8 * D),
        step(f"{p}.slice", 0.5, start=30, best_min=2 * H, last_min=6 * H, fresh_weight=2),
    ]
    steps[0] = replace(steps[0], waits_in=fridge(9), next_id=f"{p}.cure")
    return steps, [*chain(*steps, most=2), Link(f"{p}.mellow", f"{p}.slice", 0, 2 * D)]


def _rind():
    steps = [
        step("rind.scrape", 0.5, start=30),
        step("rind.freeze", 24, most=16 * 24, start=5, uses=(Use("freezer", 3),), only_if="rind.frozen"),
        step("rind.thaw", 12, most=20, start=5, uses=fridge(3), only_if="rind.frozen"),
        step("rind.simmer", 1.5, start=15, end=15),
        step("rind.dry", 36, most=48, start=15, uses=fridge(4)),
        step("rind.puff", 0.5, start=30, uses=oven(1, 240), best_min=H, last_min=3 * D),
        step("rind.crisp", 0.25, start=15, uses=oven(1, 200), best_min=30, last_min=2 * H, fresh_weight=4),
    ]
    links = [
        Link("rind.scrape", "rind.freeze", 0, 4 * H),
        Link("rind.freeze", "rind.thaw", 0, 0),
        Link("rind.thaw", "rind.simmer", 0, 4 * H),
        Link("rind.scrape", "rind.simmer", 0, 12 * H, unless="rind.frozen"),
        *chain(*steps[3:6], most=4),
        Link("rind.puff", "rind.crisp", 0, 3 * D),
    ]
    return steps, links


def _butter():
    steps = [
        step("butter.culture", 16, most=22, start=10),
        step("butter.ripen", 10, most=16, start=5, uses=fridge(5)),
        step("butter.churn", 0.75, start=45),
        step("butter.salt", 0.5, start=30),
        step("butter.shape", 0.25, start=15, waits_in=fridge(1), best_min=12 * H, last_min=10 * D),
    ]
    links = [*chain(*steps[:4], most=1.5), Link("butter.salt", "butter.shape", 0, 5 * D)]
    return steps, links


def _smoked_butter():
    steps = [
        step("smoked.shape", 0.25, start=15, waits_in=fridge(1), next_id="smoked.smoke"),
        step("smoked.smoke", 2, start=15, end=5, uses=(Use("smoker", 1),)),
        step("smoked.settle", 24, most=7 * 24, start=5, uses=fridge(1), best_min=3 * D, last_min=8 * D),
        step("smoked.unwrap", 0.25, start=10, best_min=60, last_min=4 * H),
    ]
    return steps, chain(*steps, most=48)


def _loaf():
    steps = [
        step("loaf.feed", 12, most=16, start=10),
        step("loaf.mix", 0.5, start=30),
        step("loaf.bulk", 3, most=4, end=10, tend=Tend("Fold the dough", 60, 5, 10)),
        step("loaf.shape", 0.5, start=30),
        step("loaf.proof", 12, most=40, start=5, uses=fridge(8)),
        step("loaf.bake", 1, start=10, end=10, uses=oven(2, 230)),
        step("loaf.cool", 3, most=24, rest_min=H, best_min=H, last_min=30 * H, fresh_weight=3),
        step("loaf.slice", 0.25, start=15, best_min=30, last_min=2 * H),
    ]
    links = [
        *chain(*steps[:6], most=0.5),
        Link("loaf.bake", "loaf.cool", 0, 0),
        Link("loaf.cool", "loaf.slice", 0, 12 * H),
    ]
    return steps, links


def _relish():
    steps = [
        step("relish.chop", 0.75, start=45),
        step("relish.salt", 8, most=16, start=10, uses=fridge(4)),
        step("relish.cook", 1, start=30, end=20),
        step("relish.roast", 0.75, start=10, end=5, uses=oven(1, 180)),
        step("relish.jar", 0.5, start=30),
        step("relish.ripen", 5 * 24, most=18 * 24, uses=fridge(3), best_min=12 * H),
        step("relish.dish", 0.25, start=10, best_min=2 * H, last_min=5 * H),
    ]
    return steps, chain(*steps, most=3)


def _onion():
    steps = [
        step("onion.cut", 0.5, start=30),
        step("onion.brine", 1, most=3, end=10),
        step("onion.pickle", 24, most=10 * 24, start=15, uses=fridge(3), best_min=2 * D, last_min=12 * D),
        step("onion.drain", 0.25, start=5, best_min=60, last_min=4 * H),
    ]
    return steps, chain(*steps, most=4)


def _end():
    return [step("table.lay", 0.5, start=30, last_min=60)], []


def doubled(problem: Problem) -> Problem:
    """The same meal with every part made twice, in a kitchen with half as much room again."""

    def name(key: str | None) -> str | None:
        return None if key is None else f"two-{key}"

    twice = [
        replace(t, id=name(t.id), part=name(t.part), next_id=name(t.next_id), next_else=name(t.next_else))
        for t in problem.tasks
    ]
    links = [replace(k, before=name(k.before), after=name(k.after)) for k in problem.links]
    places = tuple(
        replace(p, capacity=p.capacity * 3 // 2 if p.kind != "oven" else p.capacity * 2) for p in problem.places
    )
    return replace(problem, tasks=(*problem.tasks, *twice), links=(*problem.links, *links), places=places)


if __name__ == "__main__":
    import sys
    import time

    from ingle.planning.schedule import solve

    chosen = doubled(demo()) if "doubled" in sys.argv else demo()
    print(f"{len(chosen.tasks)} steps, {len(chosen.links)} links")
    began = time.perf_counter()
    plan = solve(
        chosen,
        limit_s=float(sys.argv[1]) if len(sys.argv) > 1 else 15.0,
        workers=int(sys.argv[2]) if len(sys.argv) > 2 else 1,
        progress=lambda line, *_: print(f"{time.perf_counter() - began:6.2f} s  {line}"),
    )
    print(
        plan.status,
        f"first {plan.first_s:.2f} s, total {plan.total_s:.2f} s",
        sum(len(p.tends) for p in plan.placed),
        "visits;",
        *plan.wishes,
        sep="\n",
    )
