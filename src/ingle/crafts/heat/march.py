"""A programme of stages run on a piece: once exactly, and once for all members together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.heat.draw import Draws
from ingle.crafts.heat.outside import Air, air_of
from ingle.crafts.heat.stage import Stage
from ingle.ground.units import ZERO_CELSIUS_K
from ingle.physics import heating
from ingle.physics.heating import Body, Course, Flux, Matter

Floats = NDArray[np.float64]

LONGEST_S = 48 * 3600.0
"""After so long a core that has not met its temperature is said not to."""


@dataclass(frozen=True)
class Ran:
    """One piece through its stages."""

    course: Course
    ends: tuple[float, ...]  # of the stages that were run [s]
    met: tuple[bool, ...]  # whether each met its core, where it asked for one


@dataclass
class Programme:
    """The outside of many members that go from stage to stage each at its own time."""

    airs: Sequence[Air]
    members: int
    core: Floats  # at the start [K]
    goals: dict[int, Floats] = field(default_factory=dict)  # cores (M,) at which members leave a stage, in place of its own [K]
    at: NDArray[np.intp] = field(init=False)  # stage of each
    since: Floats = field(init=False)  # when it began [s]
    ended: Floats = field(init=False)  # (stages, M) [s]; nan before

    def __post_init__(self) -> None:
        self.at = np.zeros(self.members, np.intp)
        self.since = np.zeros(self.members)
        self.ended = np.full((len(self.airs), self.members), np.nan)

    def __call__(self, face: str, surface: Floats, time: float, lost: Floats) -> Flux:
        """Flux of each member in its own stage."""
        if (self.at == self.at[0]).all():
            return self.airs[self.at[0]].flux(face, surface, max(time - float(self.since[0]), 0.0), lost)
        parts = [np.broadcast_to(np.zeros(()), surface.shape).copy() for _ in range(4)]
        for i in sorted(set(self.at.tolist())):
            here = np.flatnonzero(self.at == i)
            begun = float(np.median(self.since[here]))
            found = self.airs[i].only(here).flux(face, surface[..., here], max(time - begun, 0.0), lost[..., here])
            for whole, part in zip(parts, (found.heat, found.slope, found.vapour, found.vapour_slope), strict=True):
                whole[..., here] = part
        return Flux(*parts)

    def after(self, time: float, core: Floats) -> bool:
        """Send members on whose stage is over; True when the last has ended."""
        last = len(self.airs) - 1
        ahead = core + 0.5 * (core - self.core)  # half a step ahead, so that members end on the whole neither late nor early
        self.core = core
        for i, air in enumerate(self.airs):
            s = air.stage
            here = (self.at == i) & np.isnan(self.ended[i])
            over = here & (time - self.since >= (s.lasts_s if s.lasts_s is not None else LONGEST_S) - 1e-6)
            if s.until_c is not None:
                goal = self.goals.get(i, np.full(self.members, s.until_c + ZERO_CELSIUS_K))
                over |= here & (ahead >= goal if s.air_c > s.until_c else ahead <= goal)
            self.ended[i][over] = time
            if i < last:
                self.at[over] = i + 1
                self.since[over] = time
        return bool(np.isfinite(self.ended[last]).all())


def run_one(
    body: Body, matter: Matter, start_c: float | Floats, stages: Sequence[Stage], draws: Draws, *, place: float = 0.0,
    probe: float | None = None, fineness: float = 1.5,
) -> Ran:  # fmt: skip
    """One member through all stages; each ends at the very moment its core is met.

    A stage whose core is not met within its time (or 48 h) ends there, and the stages after it are run all the same.
    """
    state = heating.begin(body, matter, np.asarray(start_c) + ZERO_CELSIUS_K)
    course: Course | None = None
    ends, met = [], []
    for stage in stages:
        air = air_of(stage, draws)
        begun = state.time

        def outside(face: str, surface: Floats, time: float, lost: Floats, air: Air = air, begun: float = begun) -> Flux:
            return air.flux(face, surface, max(time - begun, 0.0), lost)

        part = heating.run(
            body, matter, state, outside, begun + (LONGEST_S if stage.lasts_s is None else stage.lasts_s),
            until=None if stage.until_c is None else stage.until_c + ZERO_CELSIUS_K,
            breaks=() if stage.heat_up_s <= 0.0 else (begun + stage.heat_up_s,), place=place, probe=probe, fineness=fineness,
        )  # fmt: skip
        course = part if course is None else heating.join(course, part)
        state = part.state
        ends.append(state.time)
        met.append(stage.until_c is None or part.reached is not None)
    assert course is not None
    return Ran(course, tuple(ends), tuple(met))


def run_all(
    body: Body, matter: Matter, start_c: Floats, stages: Sequence[Stage], draws: Draws, *, end: float, place: float = 0.0,
    probe: float | None = None, goals: dict[int, Floats] | None = None, fineness: float = 0.8,
) -> tuple[Course, Floats]:  # fmt: skip
    """All members through their stages, at most to ``end`` [s]; the course and when each stage ended (stages, M), nan: not."""
    programme = Programme([air_of(s, draws) for s in stages], draws.members, start_c + ZERO_CELSIUS_K, goals or {})
    fixed, breaks = 0.0, []
    for stage in stages:  # hours at which every member changes its stage, as long as no core decides
        if stage.heat_up_s > 0.0:
            breaks.append(fixed + stage.heat_up_s)
        if stage.lasts_s is None or stage.until_c is not None:
            break
        fixed += stage.lasts_s
        breaks.append(fixed)
    course = heating.run(
        body, matter, heating.begin(body, matter, start_c + ZERO_CELSIUS_K), programme, end, after=programme.after,
        breaks=[b for b in breaks if b < end], place=place, probe=probe, fineness=fineness,
    )  # fmt: skip
    return course, programme.ended
