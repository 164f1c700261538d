"""A drawn section taken through stages: salt, nitrite, nitrate, sugar and water at every place of the cut.

The stages, their laws and their order of work are those of ``history``; what differs is that the piece is drawn (lean, fat, rind)
and that there is one piece, the likely one, in place of an ensemble.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure import history_draw, section_map
from ingle.crafts.cure.forecast_draw import law
from ingle.crafts.cure.history_draw import SOLUTES, Members
from ingle.crafts.cure.history_stage import TURNED, TURNING, Stage, require_stages, require_temperatures
from ingle.crafts.cure.history_surface import activity_of, begin, crust_of, surface_of, water_given
from ingle.crafts.cure.history_told import After, after_of, first_hours_of
from ingle.crafts.cure.section import Section
from ingle.crafts.cure.section_body import Body, body_of
from ingle.crafts.cure.section_map import TissueMap
from ingle.crafts.cure.section_march import dried_face, march
from ingle.ground import units
from ingle.ground.errors import OutOfRange
from ingle.ground.things import Piece
from ingle.physics import histories
from ingle.physics.histories import Pieces, Surface

Floats = NDArray[np.float64]
ACROSS = 96
STEPS, STILL = 20, 4  # in a stage where water moves, and in one where it does not; drip is poured off at every other one


@dataclass(frozen=True)
class Place:
    """The place with the least salt in its water at the end."""

    place_mm: tuple[float, float]  # from the left and from the top
    tissue: str
    water_phase_salt_pct: float
    water_activity: float
    nitrite_mg_per_kg: float


@dataclass(frozen=True)
class Frame:
    """The cut at the end of a stage: fields in rows and columns, not a number outside the piece and in the rind."""

    kind: str
    hours: float  # from the start
    salt: Floats  # g per 100 g
    nitrite: Floats  # mg/kg
    water_phase_salt: Floats  # g per 100 g of salt and water
    water_activity: Floats  # 1
    water: Floats  # g per 100 g


@dataclass(frozen=True)
class SectionTold:
    """A history of a drawn section as it comes out. Arrays along ``hours``; salt in g per 100 g."""

    map: TissueMap
    stages: tuple[Stage, ...]
    hours: Floats
    core: Floats  # the place in the lean that salt reaches last
    lean: Floats  # means
    fat: Floats  # not a number where there is none
    whole: Floats
    surface: Floats
    nitrite_core: Floats  # mg/kg
    change_pct: Floats  # of the green weight without rind
    core_place_mm: tuple[float, float]
    after: tuple[After, ...]
    frames: tuple[Frame, ...]
    worst: Place  # of lean and fat
    worst_lean: Place
    ready_h: float  # first hour at which the core holds 90 % of the wished salt; infinite: not by the end
    closes: float  # largest relative gap of any solute's account
    water_closes: float  # relative gap of the water's account
    hardening: float
    assumed: tuple[str, ...]


def likely(path_m: float, diffusivity: float | None = None) -> Members:
    """One member with everything at its middle; ``diffusivity`` [m2/s] as in `history.run`."""
    prior = law()
    salt, taken = prior["salt"]["lean"], prior["taken"]
    stand_in = Piece(1000.0, units.millimetres(2 * path_m))
    drawn = history_draw.draw(stand_in, 1, salt["d_ref_m2_s"] if diffusivity is None else diffusivity)
    if diffusivity is not None:
        return drawn
    return replace(drawn, e_a=np.array([float(salt["e_a_j_mol"])]), taken=np.array([(taken["low"] + taken["high"]) / 2]))


def run(
    section: Section, grams: float, stages: tuple[Stage, ...], *, wished: float | None = None, diffusivity: float | None = None,
    across: int = ACROSS, down: int | None = None, seen: Callable[[int, int], None] | None = None,
) -> SectionTold:  # fmt: skip
    """Take a drawn piece through its stages.

    Parameters
    ----------
    grams : float
        Green weight without rind of the whole piece: what is added counts on it. [g]
    stages : tuple of Stage
    wished : float, optional
        Salt wished at the table, per green weight; all salt that was given when left out.
    diffusivity : float, optional
        Of salt in lean [m2/s], at every temperature; nothing falls off then, as in `history.run`.
    across, down : int
        Cells; ``down`` left out: nearly square.
    seen : callable, optional
        Told stages done and stages in all.

    Raises
    ------
    BadBrief
        No stage.
    OutOfRange
        No weight; frozen or warm beyond the prior's range; a drawing without lean or without a wet face.
    """
    if not grams > 0:
        raise OutOfRange(f"The piece weighs {grams:g} g.", field="grams", value=grams, limit="above 0 g", remedy="Weigh the piece.")
    require_stages(stages)
    require_temperatures(stages)
    body = body_of(section_map.tissue_map(section, across, down))
    drawn = likely(body.path_m, diffusivity)
    now = body.fresh(len(SOLUTES))
    given, poured_in = np.zeros((len(SOLUTES), 1)), float(now.water.sum())
    at, crust = 0.0, 0.0
    assumed = [TURNING] if any(stage.kind in TURNED for stage in stages) else []
    when, rows, after, frames = [0.0], [_looked(body, now)], list[After](), list[Frame]()

    def note(second: float, p: Pieces) -> None:
        when.append(at + second / units.HOUR_S)
        rows.append(_looked(body, p))

    for number, stage in enumerate(stages):
        now, put = begin(body.pumped, now, stage, grams, drawn)
        given, poured_in = given + put, poured_in + water_given(stage, grams)
        surface, dries, said = surface_of(stage, drawn, np.ones(1))  # per m2: the faces are drawn
        assumed += said
        now = _through(body, now, stage, _of_piece(surface, body), dries, drawn, note)
        at += stage.lasts_h
        if surface.drying is not None:
            d_water = float(history_draw.water_pace_of(stage, drawn)(stage.lasts_h * units.HOUR_S)[0]) * body.path_m**2
            crust = max(crust, crust_of(stage, *_faces(body, now, dried_face(body, now, d_water, surface.drying))))
        if stage.drip == "poured" or stage.kind in ("immerse", "soak"):
            now = histories.pour(now)
        after.append(after_of(stage, at, now))
        frames.append(_frame(body, now, stage, at))
        if seen is not None:
            seen(number + 1, len(stages))
    return _told(body, now, stages, wished, grams, drawn, when, rows, after, frames, given, poured_in, crust, assumed)


def _through(
    body: Body, now: Pieces, stage: Stage, surface: Surface, dries: bool, drawn: Members, seen: Callable[[float, Pieces], None]
) -> Pieces:  # fmt: skip
    """One stage, its drip poured off as it comes where that is asked."""
    if stage.lasts_h <= 0:
        seen(0.0, now)
        return now
    path2 = body.path_m**2
    pace, water_pace = history_draw.pace_of(stage, drawn), history_draw.water_pace_of(stage, drawn)
    moves = dries or surface.exchange is not None
    seconds = histories.steps_of(stage.lasts_h * units.HOUR_S, STEPS if moves or stage.record is not None else STILL)
    for part in histories.parts_of(seconds, stage.drip == "poured" and surface.saturated is not None):
        now = march(
            body, now, part, lambda s: pace(s) * path2, history_draw.loss_of(stage, drawn), surface,
            water_diffusivity=(lambda s: water_pace(s) * path2) if dries else None, seen=seen,
        )  # fmt: skip
        if len(part) < len(seconds):
            now = histories.pour(now, surface.saturated)
    return now


def _of_piece(surface: Surface, body: Body) -> Surface:
    """What the lean's water tends to, for a piece that holds less water by its fat."""
    if surface.exchange is None:
        return surface
    tends, share = surface.exchange, float(body.water.sum()) / law()["water"]["lean"]["value"]
    return replace(surface, exchange=lambda strength: tends(strength) * share)


def _faces(body: Body, p: Pieces, per_dry: Floats) -> tuple[Floats, Floats, Floats]:
    """Water, salt and what holds the water at the wet faces of lean, from their water per dry matter (F,); at all if none is lean."""
    at = body.face_cell
    told = body.lean[at] if body.lean[at].any() else np.ones(at.size, bool)
    water = (per_dry * body.holds[at])[told]
    return water, water * (p.solute[:, 0, 0] / p.water[:, 0])[at][told], body.holds[at][told]


def _looked(body: Body, p: Pieces) -> tuple[float, ...]:
    """Salt in core, lean, fat, whole and surface [g/100 g], core nitrite [mg/kg], weight change [%], core salt per water."""
    local, salt = _weights(p), p.solute[:, 0, 0]
    core, lean, at = body.core, body.lean, body.face_cell
    fat = float(salt[~lean].sum() / local[~lean].sum()) if not lean.all() else math.nan
    surface = np.dot(body.face_m, salt[at] / local[at]) / body.face_m.sum()
    weight = float(p.weight[0])
    return (
        salt[core] / local[core] * 100, salt[lean].sum() / local[lean].sum() * 100, fat * 100, salt.sum() / weight * 100,
        float(surface) * 100, p.solute[core, 1, 0] / local[core] * 1e6, (weight - 1) * 100, salt[core] / p.water[core, 0],
    )  # fmt: skip


def _weights(p: Pieces) -> Floats:
    return np.asarray((p.water + p.dry_matter + p.solute.sum(1))[:, 0])


def _frame(body: Body, p: Pieces, stage: Stage, hours: float) -> Frame:
    local, water, salt = _weights(p), p.water[:, 0], p.solute[:, 0, 0]
    activity = activity_of(water, salt, body.holds, stage.celsius(stage.lasts_h))
    fields = (salt / local * 100, p.solute[:, 1, 0] / local * 1e6, salt / (salt + water) * 100, activity, water / local * 100)
    return Frame(stage.kind, hours, *(body.field(f, math.nan) for f in fields))


def _worst(body: Body, last: Frame, among: NDArray[np.bool_]) -> Place:
    """Least salt in the water, among some of the cells."""
    phase = last.water_phase_salt.ravel()[body.at]
    k = int(np.argmin(np.where(among, phase, np.inf)))
    of = lambda f: float(f.ravel()[body.at[k]])  # noqa: E731
    return Place(
        body.place_mm(k), "lean" if body.lean[k] else "fat", float(phase[k]), of(last.water_activity), of(last.nitrite)
    )


def _told(
    body: Body, now: Pieces, stages: tuple[Stage, ...], wished: float | None, grams: float, drawn: Members, when: list[float],
    rows: list[tuple[float, ...]], after: list[After], frames: list[Frame], given: Floats, water: float, crust: float, assumed: list[str],
) -> SectionTold:  # fmt: skip
    hours = np.array(when)
    core, lean, fat, whole, surface, nitrite, change, strength = np.array(rows).T
    salt = sum(s.add.salt for s in stages) / grams
    goal = 0.9 * (wished or salt) * float(drawn.taken[0]) / float(body.water.sum()) if salt else math.inf
    gone = float((now.water.sum(0) + now.brine + now.poured_water + now.evaporated)[0])
    return SectionTold(
        map=body.found, stages=stages, hours=hours, core=core, lean=lean, fat=fat, whole=whole, surface=surface, nitrite_core=nitrite,
        change_pct=change, core_place_mm=body.place_mm(body.core), after=tuple(after), frames=tuple(frames), worst=_worst(body, frames[-1], body.water > 0),
        worst_lean=_worst(body, frames[-1], body.lean),
        ready_h=float(first_hours_of(hours, strength[:, None], goal)[0]),
        closes=float(np.max(np.abs(now.total() - given) / np.maximum(given, 1e-12) * (given > 0))),
        water_closes=abs(gone / water - 1), hardening=crust, assumed=tuple(dict.fromkeys(assumed)),
    )  # fmt: skip
