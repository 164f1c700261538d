"""The members of a history in parts: each part is worked out by itself, here, on another core or on another machine.

A part holds the same members whoever works on it, and what is asked of all members together (bands, the worst place) is asked
after the parts are joined: the numbers do not depend on how many workers there were.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from typing import Any, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.forecast_draw import law
from ingle.crafts.cure.history_draw import SOLUTES, Members
from ingle.crafts.cure.history_march import STEPS, pass_through
from ingle.crafts.cure.history_stage import Stage
from ingle.crafts.cure.history_told import left_of, looked
from ingle.physics import histories
from ingle.physics.histories import Depth, Pieces

Floats = NDArray[np.float64]
PART = 512  # most members at once: their arrays still lie in the processor's own memory, and calls are few
Given = TypeVar("Given")
Found = TypeVar("Found")


class Each(Protocol):
    """Whatever does one work for each of some parts and gives what came out in their order. ``seen`` hears how many are done."""

    def __call__(
        self, work: Callable[[Given], Found], parts: Sequence[Given], seen: Callable[[int], None]
    ) -> list[Found]: ...


@dataclass(frozen=True)
class Part:
    """Some members and what they go through: all that another machine needs to know."""

    cells: Depth
    stages: tuple[Stage, ...]
    grams: float  # green weight without skin
    drawn: Members
    steps: int = STEPS


@dataclass(frozen=True)
class Walk:
    """What the members of a part went through. Members lie in the last axis."""

    hours: Floats  # (T,)
    rows: Floats  # (6, T, M) as `looked` gives them
    ends: tuple[float, ...]  # hour at which each stage ends
    left: Floats  # (4, stages, M) as `left_of` gives them
    now: Pieces
    given: Floats  # (K, M)
    crusts: Floats  # (drying stages, M)
    assumed: tuple[str, ...]

    @property
    def closes(self) -> float:
        """Largest relative gap of any solute's account."""
        gap = np.abs(self.now.total() - self.given) / np.maximum(self.given, 1e-12)
        return float(np.max(gap * (self.given > 0)))


def split(drawn: Members) -> list[Members]:
    """Members in as few parts as hold them, all of nearly one size: a part of a single one would be summed in another order."""
    count = len(drawn.path)
    return [
        Members(**{f.name: getattr(drawn, f.name)[some] for f in fields(Members)})
        for some in np.array_split(np.arange(count), -(-count // PART))
    ]


def walk(part: Part, ended: Callable[[int], None] | None = None) -> Walk:
    """Take the members of a part through their stages; ``ended`` hears how many stages are done."""
    rows: list[tuple[Floats, ...]] = []
    left: list[tuple[Floats, ...]] = []
    when: list[float] = []
    ends: list[float] = []

    def note(hour: float, p: Pieces) -> None:
        when.append(hour)
        rows.append(looked(p))

    def done(number: int, _stage: Stage, hour: float, p: Pieces) -> None:
        ends.append(hour)
        left.append(left_of(p))
        if ended is not None:
            ended(number + 1)

    count = len(part.drawn.path)
    now = histories.fresh(part.cells, np.full(count, law()["water"]["lean"]["value"]), len(SOLUTES))
    note(0.0, now)
    passed = pass_through(part.cells, now, part.stages, part.grams, part.drawn, steps=part.steps, note=note, ended=done)
    return Walk(
        hours=np.array(when),
        rows=np.array(rows).swapaxes(0, 1),
        ends=tuple(ends),
        left=np.array(left).swapaxes(0, 1),
        now=passed.now,
        given=passed.given,
        crusts=np.array(passed.crusts).reshape(len(passed.crusts), count),
        assumed=passed.assumed,
    )


def joined(walks: Sequence[Walk]) -> Walk:
    """Parts as one again, in their order."""
    first = walks[0]
    if len(walks) == 1:
        return first

    def together(things: Sequence[Any], name: str) -> Floats:
        return np.concatenate([getattr(thing, name) for thing in things], axis=-1)

    pieces = [w.now for w in walks]
    return Walk(
        hours=first.hours,
        rows=together(walks, "rows"),
        ends=first.ends,
        left=together(walks, "left"),
        now=Pieces(**{f.name: together(pieces, f.name) for f in fields(Pieces)}),
        given=together(walks, "given"),
        crusts=together(walks, "crusts"),
        assumed=first.assumed,
    )


def walk_all(parts: Sequence[Part], each: Each | None, seen: Callable[[int, int], None] | None) -> Walk:
    """All parts, one after the other here or by ``each``; ``seen`` hears stages done and stages in all, over the parts."""
    stages = len(parts[0].stages)

    def heard(done: int) -> None:
        if seen is not None:
            seen(done, stages * len(parts))

    if each is not None:
        return joined(each(walk, parts, lambda done: heard(done * stages)))
    walks: list[Walk] = []
    for part in parts:
        walks.append(walk(part, lambda done: heard(len(walks) * stages + done)))
    return joined(walks)
