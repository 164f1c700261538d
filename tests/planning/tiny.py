"""Tiny random problems on a grain of one hour, small enough for the exhaustive search."""

from __future__ import annotations

from datetime import UTC, datetime
from random import Random

from ingle.planning.problem import Cook, Link, Place, Problem, Task, Tend, Use

H = 60
ORDERS = (("sleep", "freshness", "visits", "slack"), ("visits", "slack", "sleep", "freshness"))


def tiny(seed: int) -> Problem:
    """Two or three steps, one or two cooks, two ovens and a small fridge over six to nine hours."""
    r = Random(seed)
    table = r.randint(6, 9) * H
    cooks = tuple(Cook(k, k, ((r.randint(0, 2) * H, r.randint(4, 9) * H),)) for k in "AB"[: r.randint(1, 2)])
    count = r.randint(2, 3)
    tasks = tuple(_step(r, n, count) for n in range(count))
    links = tuple(
        Link(f"t{i}", f"t{j}", r.choice((0, 0, 1)) * H, r.choice((None, 2 * H)))
        for i in range(count)
        for j in range(i + 1, count)
        if r.random() < 0.5
    )
    places = (
        Place("oven", "oven", "the oven", r.randint(1, 2), r.choice((0, 1)) * H),
        Place("oven-2", "oven", "the small oven", 1),
        Place("fridge", "fridge", "the fridge", r.randint(2, 4)),
    )
    blocks = ((0, 2 * H), (2 * H, 5 * H), (5 * H, 9 * H))
    return Problem(
        datetime(2026, 1, 1, 8, tzinfo=UTC),
        table,
        tasks,
        links,
        places,
        cooks,
        ((5 * H, 6 * H),),
        ("way",),
        {"way": r.randint(0, 2)},
        r.choice(ORDERS),
        blocks,
        H,
    )


def _step(r: Random, n: int, count: int) -> Task:
    least, extra = r.randint(1, 3), r.choice((0, 0, 1))
    opens = r.choice((0, 1, 1))
    closes = r.choice((0, 0, 1)) if least > opens else 0
    uses = r.choice(
        ((), (Use("oven", 1, r.choice((180, 220)), r.choice(((), ("oven-2",)))),), (Use("fridge", r.randint(1, 3)),))
    )
    return Task(
        f"t{n}",
        f"part{n}",
        f"Step {n}",
        least * H,
        (least + extra) * H,
        opens * H,
        closes * H,
        Tend("Look", 2 * H, H, 0) if least >= 3 and r.random() < 0.7 else None,
        uses,
        (Use("fridge", 2),) if r.random() < 0.3 else (),
        f"t{n + 1}" if n < count - 1 and r.random() < 0.7 else None,
        best_min=r.choice((None, 0, H, 2 * H)),
        last_min=r.choice((None, 4 * H, 5 * H)),
        rest_min=r.choice((0, 0, H)),
        fresh_weight=r.randint(1, 3),
        only_if="way" if r.random() < 0.2 else None,
    )
