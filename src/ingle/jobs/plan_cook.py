"""How long a piece is in the oven: the forecast of its core, in the ovens this kitchen has."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from ingle.crafts.cure.thick import as_measured, assumed_words
from ingle.crafts.heat import forecast as heat
from ingle.crafts.heat.joint import Joint
from ingle.crafts.heat.stage import Stage
from ingle.ground import units
from ingle.ground.errors import NoPlan
from ingle.ground.things import Forecast, Piece
from ingle.jobs.cook import missing, require_possible
from ingle.planning.kit import AnyPlace, Kit, Oven
from ingle.planning.kit_use import places_for
from ingle.planning.parts import Roast
from ingle.planning.tasks import ForecastNeed, StepTime

MEMBERS = 64


def roast(need: ForecastNeed, pieces: Sequence[Piece], kit: Kit) -> StepTime:
    """The length of a step that ends at its core.

    Of all places that would do the slowest counts, and of all pieces the last: which place it will be is not known before the hours are
    laid. The plan allows for the late end (95 %); the probe says when it is done. An oven whose dial is off is set so that its chamber
    has the heat of the part file; what is left is how far it is off from time to time.

    Raises
    ------
    OutOfRange
        A core that the heat cannot give.
    NoPlan
        The core does not come there within any time that is reckoned with.
    """
    assert need.spec.roast is not None and need.spec.core_c is not None
    use = next(u for u in need.spec.kit if u.mode_c is not None)
    where = f"{need.part}.{need.step}"
    start = heat.usual_start()
    joints = _joints(need.spec.roast, pieces)
    each: list[tuple[Piece | None, Forecast]] = []
    stages = {_stage(place, float(use.mode_c or 0), need.spec.core_c) for place in places_for(use, kit, where)}
    for stage in stages:
        require_possible((stage,), start)
    for piece, joint in joints:
        told = max((_told(where, joint, stage, start, piece) for stage in stages), key=lambda f: f.latest_h)
        each.append((piece, told))
    last = max((f for _, f in each), key=lambda f: f.latest_h)
    most = max(last.latest_h, units.hours(60.0 * (need.spec.most_min or 0)))
    apart = tuple((p, f) for p, f in each if p is not None)
    return StepTime(last.latest_h, most, last, apart if len(apart) > 1 else ())


def _joints(spec: Roast, pieces: Sequence[Piece]) -> list[tuple[Piece | None, Joint]]:
    if spec.thickness_mm is not None:
        return [(None, Joint(spec.cut, "slab", thickness_mm=spec.thickness_mm))]
    return [(p, _joint(spec.cut, as_measured(p))) for p in pieces]


def _joint(cut: str, piece: Piece) -> Joint:
    """A slab has ends in an oven; where its sides are known they count, else its weight tells them."""
    shape = "box" if piece.shape == "slab" else piece.shape
    sides: dict[str, Any] = {"thickness_mm": piece.thickness_mm, "width_mm": piece.width_mm, "length_mm": piece.length_mm}
    known = piece.length_mm is not None and (piece.width_mm is not None or shape == "cylinder")
    return Joint(cut, shape, None if known or shape == "sphere" else piece.weight_g, **sides)


def _stage(place: AnyPlace, mode_c: float, core_c: float) -> Stage:
    if not isinstance(place, Oven):
        return Stage("smoker", mode_c, until_c=core_c)
    offset = None if place.offset_mean_c is None else 0.0  # the dial takes the mean up
    return Stage("oven", mode_c, until_c=core_c, fan=place.fan, offset_c=offset, offset_sd_c=place.offset_sd_c)


def _told(where: str, joint: Joint, stage: Stage, start_c: float, piece: Piece | None) -> Forecast:
    times, missed = _marched(joint, stage, start_c)
    low, likely, high = (units.hours(t) for t in times)
    if not math.isfinite(high):
        raise NoPlan(
            f"{where}: the core may never come to {stage.until_c:g} C in {stage.kind} air of {stage.air_c:g} C.",
            clash=(f"{where}: {stage.until_c:g} C in the middle", f"{stage.kind} at {stage.air_c:g} C"), field="core", value=f"{stage.until_c:g} C",
            remedy="A hotter oven, or a lower core.",
        )  # fmt: skip
    fan = "" if stage.fan is None else ", fan on" if stage.fan else ", no fan"
    assumed = assumed_words(piece) if piece is not None else ()
    return Forecast(
        f"{stage.until_c:g} C in the middle", low, likely, high,
        basis=f"march by enthalpy, {MEMBERS} members; {stage.kind} {stage.air_c:g} C{fan}", not_in_it=(*assumed, *missed),
    )  # fmt: skip


@lru_cache(maxsize=64)
def _marched(joint: Joint, stage: Stage, start_c: float) -> tuple[tuple[float, float, float], tuple[str, ...]]:
    """When the core is met (5 %, likely, 95 %) [s], and what is not in it; pieces alike are reckoned once."""
    found = heat.forecast(joint, (stage,), start_c, members=MEMBERS, quick=True)
    return found.times[0] or (math.inf,) * 3, missing(found)
