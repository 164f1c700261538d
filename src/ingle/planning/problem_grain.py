"""A scheduling problem on the solver's grain: every time rounded against the cook."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ingle.planning.problem import Cook, Link, Place, Problem, Task, Tend


def on_grain(problem: Problem) -> Problem:
    """The problem with every time a multiple of its grain, rounded against the cook."""
    g = problem.grain

    def up(minutes: int) -> int:
        return -(-minutes // g) * g

    def down(minutes: int) -> int:
        return minutes // g * g

    def maybe(turn: Callable[[int], int], minutes: int | None) -> int | None:
        return None if minutes is None else turn(minutes)

    def inward(windows: tuple[tuple[int, int], ...]) -> tuple[tuple[int, int], ...]:
        return tuple((up(a), down(b)) for a, b in windows if up(a) < down(b))

    def tend(given: Tend | None) -> Tend | None:
        if given is None:
            return None
        return replace(given, lasts_min=up(given.lasts_min))  # the interval stays exact: roundings would add up

    def task(given: Task) -> Task:
        hands = up(given.hands_start_min), up(given.hands_end_min)
        least = max(up(given.least_min), sum(hands))
        return replace(
            given,
            least_min=least,
            most_min=max(down(given.most_min), least),
            hands_start_min=hands[0],
            hands_end_min=hands[1],
            tend=tend(given.tend),
            rest_min=up(given.rest_min),
            best_min=maybe(down, given.best_min),
            last_min=maybe(down, given.last_min),
            not_before_min=maybe(up, given.not_before_min),
            not_after_min=maybe(down, given.not_after_min),
            fixed_start_min=maybe(up, given.fixed_start_min),
        )

    def link(given: Link) -> Link:
        least = up(given.least_min)
        return replace(
            given, least_min=least, most_min=None if given.most_min is None else max(down(given.most_min), least)
        )

    def place(given: Place) -> Place:
        return replace(given, change_min=up(given.change_min))

    def cook(given: Cook) -> Cook:
        return replace(given, windows=inward(given.windows))

    return replace(
        problem,
        table_min=down(problem.table_min),
        tasks=tuple(map(task, problem.tasks)),
        links=tuple(map(link, problem.links)),
        places=tuple(map(place, problem.places)),
        cooks=tuple(map(cook, problem.cooks)),
        nights=tuple((down(a), up(b)) for a, b in problem.nights),
        visit_blocks=tuple((up(a), up(b)) for a, b in problem.visit_blocks if up(a) < up(b)),
    )
