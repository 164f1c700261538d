"""An independent checker of schedules, written against the words of `ingle.planning.problem` alone.

It shares no code with the solver: it walks through the finished plan minute by minute or event by event
and returns one line for each rule that is broken. It also counts what each wish is worth by its own way.
"""

from __future__ import annotations

from collections import defaultdict

from ingle.planning.problem import Placed, Problem, Schedule, Task


def verify(problem: Problem, schedule: Schedule) -> list[str]:
    """Every broken rule of one plan; an empty list for a plan that keeps them all."""
    return Checker(problem, schedule).broken()


class Checker:
    """One problem and one plan of it."""

    def __init__(self, problem: Problem, schedule: Schedule):
        self.p = problem
        self.s = schedule
        self.tasks = {t.id: t for t in problem.tasks}
        self.placed = {x.task: x for x in schedule.placed}
        self.wrong: list[str] = []

    def broken(self) -> list[str]:
        self.wrong = []
        self.each_once()
        if not self.wrong:
            for placed in self.s.placed:
                self.alone(self.tasks[placed.task], placed)
                self.hands(self.tasks[placed.task], placed)
                self.tending(self.tasks[placed.task], placed)
            self.links()
            self.one_thing_at_a_time()
            self.room()
            self.heat()
        return self.wrong

    def expect(self, good: bool, *words) -> None:
        if not good:
            self.wrong.append(" ".join(map(str, words)))

    # the grain: least times up, longest times down but never below the least

    def up(self, minutes: int) -> int:
        rest = minutes % self.p.grain
        return minutes if rest == 0 else minutes - rest + self.p.grain

    def down(self, minutes: int) -> int:
        return minutes - minutes % self.p.grain

    def least(self, task: Task) -> int:
        return max(self.up(task.least_min), self.up(task.hands_start_min) + self.up(task.hands_end_min))

    def most(self, task: Task) -> int:
        return max(self.down(task.most_min), self.least(task))

    # which tasks are in the plan

    def wanted(self, thing) -> bool:
        taken = self.s.choices
        return (thing.only_if is None or taken[thing.only_if]) and (thing.unless is None or not taken[thing.unless])

    def each_once(self) -> None:
        self.expect(set(self.s.choices) == set(self.p.choices), "choices", self.s.choices)
        if not self.wrong:
            names = sorted(x.task for x in self.s.placed)
            self.expect(names == sorted(t.id for t in self.p.tasks if self.wanted(t)), "tasks in the plan", names)

    # one task by itself

    def alone(self, task: Task, x: Placed) -> None:
        length, left = x.end_min - x.start_min, self.p.table_min - x.end_min
        self.expect(x.start_min % self.p.grain == 0 and x.end_min % self.p.grain == 0, task.id, "off the grain")
        self.expect(self.least(task) <= length <= self.most(task), task.id, "lasts", length)
        self.expect(left >= task.rest_min, task.id, "rests", left)
        self.expect(task.last_min is None or left <= task.last_min, task.id, "kept", left)
        self.expect(task.not_before_min is None or x.start_min >= task.not_before_min, task.id, "too early")
        self.expect(task.not_after_min is None or x.end_min <= task.not_after_min, task.id, "too late")
        if task.fixed_start_min is None:
            self.expect(x.start_min >= 0, task.id, "before now")
        else:
            self.expect(x.start_min == self.up(task.fixed_start_min), task.id, "not at its fixed start")

    def hands(self, task: Task, x: Placed) -> None:
        open_min, close_min = self.up(task.hands_start_min), self.up(task.hands_end_min)
        begun = task.fixed_start_min is not None and x.start_min < 0
        needs_open = open_min > 0 and not begun
        needs_close = close_min > 0 and not (begun and x.start_min + self.most(task) - close_min < 0)
        self.expect((x.cook_start is not None) == needs_open, task.id, "cook at the start", x.cook_start)
        self.expect((x.cook_end is not None) == needs_close, task.id, "cook at the end", x.cook_end)
        if x.cook_start is not None:
            self.in_the_kitchen(task, x.cook_start, x.start_min, x.start_min + open_min)
        if x.cook_end is not None:
            self.in_the_kitchen(task, x.cook_end, x.end_min - close_min, x.end_min)

    def in_the_kitchen(self, task: Task, cook: str, begin: int, end: int) -> None:
        spells = [w for c in self.p.cooks if c.key == cook for w in c.windows]
        self.expect(any(a <= begin and end <= b for a, b in spells), task.id, cook, "is away", begin, end)

    def tending(self, task: Task, x: Placed) -> None:
        if task.tend is None:
            self.expect(x.tends == (), task.id, "has visits")
            return
        tend, lasts = task.tend, self.up(task.tend.lasts_min)
        body = x.start_min + self.up(task.hands_start_min), x.end_min - self.up(task.hands_end_min)
        regular, k = [], 1
        while x.start_min + k * tend.every_min + tend.slack_min + lasts <= body[1]:
            if x.start_min + k * tend.every_min >= 0:
                regular.append(x.start_min + k * tend.every_min)
            k += 1
        self.expect(len(regular) == len(x.tends), task.id, "visits", len(x.tends), "due", len(regular))
        for hour, (minute, cook) in zip(regular, sorted(x.tends), strict=False):
            off = 0 if hour % self.p.grain == 0 and tend.slack_min % self.p.grain == 0 else self.p.grain
            self.expect(abs(minute - hour) <= tend.slack_min + off, task.id, "visit at", minute, "for", hour)
            self.expect(body[0] <= minute and minute + lasts <= body[1], task.id, "visit outside the step", minute)
            self.in_the_kitchen(task, cook, minute, minute + lasts)

    # tasks together

    def links(self) -> None:
        for link in self.p.links:
            if self.wanted(link) and link.before in self.placed and link.after in self.placed:
                gap = self.placed[link.after].start_min - self.placed[link.before].end_min
                self.expect(gap >= link.least_min, link.before, link.after, "too soon", gap)
                if link.most_min is not None:
                    most = max(self.down(link.most_min), self.up(link.least_min))
                    self.expect(gap <= most, link.before, link.after, "too late", gap)

    def stretches(self) -> list[tuple[str, int, int]]:
        """(cook, begin, end) of all hands."""
        found = []
        for x in self.s.placed:
            task = self.tasks[x.task]
            if x.cook_start is not None:
                found.append((x.cook_start, x.start_min, x.start_min + self.up(task.hands_start_min)))
            if x.cook_end is not None:
                found.append((x.cook_end, x.end_min - self.up(task.hands_end_min), x.end_min))
            found += [(cook, minute, minute + self.up(task.tend.lasts_min)) for minute, cook in x.tends]
        return found

    def one_thing_at_a_time(self) -> None:
        busy: dict[str, set[int]] = defaultdict(set)
        for cook, begin, end in self.stretches():
            minutes = set(range(begin, end))
            self.expect(not busy[cook] & minutes, cook, "does two things at", begin)
            busy[cook] |= minutes

    def held(self):
        """(place, amount, mode, begin, end, task) of everything that takes room."""
        for x in self.s.placed:
            task = self.tasks[x.task]
            self.expect(len(x.places) == len(task.uses) + len(task.waits_in), task.id, "places", x.places)
            for n, (use, key) in enumerate(zip(task.uses + task.waits_in, x.places, strict=False)):
                self.expect(key == use.kit or key in use.or_kit, task.id, "stands in", key)
                begin, end = (x.start_min, x.end_min) if n < len(task.uses) else (x.end_min, self.wait_ends(task))
                self.expect(begin <= end, task.id, "waits backwards")
                yield key, use.amount, use.mode, begin, end, task.id

    def wait_ends(self, task: Task) -> int:
        for key in (task.next_id, task.next_else):
            if key in self.placed:
                return self.placed[key].start_min
        return self.p.table_min

    def room(self) -> None:
        held = list(self.held())
        for place in self.p.places:
            mine = [h for h in held if h[0] == place.key]
            for moment in sorted({h[3] for h in mine}):
                load = sum(h[1] for h in mine if h[3] <= moment < h[4])
                self.expect(load <= place.capacity, place.key, "holds", load, "at", moment)

    def heat(self) -> None:
        held = [h for h in self.held() if h[2] is not None and h[3] < h[4]]
        for place in self.p.places:
            mine = sorted((h for h in held if h[0] == place.key), key=lambda h: h[3])
            for i, one in enumerate(mine):
                for other in mine[i + 1 :]:
                    if one[2] != other[2]:
                        self.expect(one[4] + place.change_min <= other[3], place.key, one[5], other[5], "heats meet")

    # wishes

    def worth(self, wish: str) -> int:
        """What a wish counts in this plan, by its definition."""
        hands = self.stretches()
        if wish == "sleep":
            night = {m for a, b in self.p.nights for m in range(a, b)}
            return sum(m in night for _, begin, end in hands for m in range(begin, end))
        if wish == "slack":
            return sum(self.p.table_min - 180 <= m < self.p.table_min for _, a, b in hands for m in range(a, b))
        if wish == "visits":
            seen = {i for i, (a, b) in enumerate(self.p.visit_blocks) for _, begin, _ in hands if a <= begin < b}
            return len(seen) + sum(self.p.choice_cost.get(name, 0) for name, yes in self.s.choices.items() if yes)
        lost = 0
        for x in self.s.placed:
            task = self.tasks[x.task]
            if task.best_min is not None and self.p.table_min - x.end_min > task.best_min:
                lost += task.fresh_weight * (self.p.table_min - x.end_min - task.best_min)
        return lost


def worth(problem: Problem, schedule: Schedule) -> tuple[int, ...]:
    """What every wish counts, in their order."""
    checker = Checker(problem, schedule)
    return tuple(checker.worth(wish) for wish in problem.wishes)
