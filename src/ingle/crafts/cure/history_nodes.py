"""What places inside a curing piece hold, hour by hour: salt in the water, water activity, nitrite.

For judges of growth: a mean is no place. Told are the likely piece and the one in twenty that holds least.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.base import base_of
from ingle.crafts.cure.forecast_draw import law
from ingle.crafts.cure.history_draw import SOLUTES, cells_of, draw
from ingle.crafts.cure.history_march import CELLS, STEPS, pass_through
from ingle.crafts.cure.history_stage import Stage, require_stages, require_temperatures
from ingle.crafts.cure.history_surface import activity_of
from ingle.ground import units
from ingle.ground.errors import OutOfRange
from ingle.ground.spread import quantiles
from ingle.ground.things import Piece
from ingle.physics import histories
from ingle.physics.histories import Pieces

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Nodes:
    """Places by hours. ``*_low`` is what nineteen of twenty pieces hold at least; ``aw_high`` the same for water activity."""

    hours: Floats  # (n,)
    depth: Floats  # (p,) 0 core, 1 surface
    names: tuple[str, ...]
    salt_phase: Floats  # (p, n) likely salt in the water phase [%]
    salt_phase_low: Floats
    aw: Floats
    aw_high: Floats
    nitrite_low: Floats  # what is left there [mg NaNO2/kg]

    def at(self, hours: Floats) -> Nodes:
        """The same at other hours: of the hours known on both sides, what favours growth more."""
        after = np.clip(np.searchsorted(self.hours, hours, side="left"), 0, self.hours.size - 1)
        before = np.maximum(after - 1, 0)
        least = {n: np.minimum(getattr(self, n)[:, before], getattr(self, n)[:, after]) for n in ("salt_phase", "salt_phase_low", "nitrite_low")}
        most = {n: np.maximum(getattr(self, n)[:, before], getattr(self, n)[:, after]) for n in ("aw", "aw_high")}
        return Nodes(hours=hours, depth=self.depth, names=self.names, **least, **most)


def nodes(piece: Piece, stages: tuple[Stage, ...], *, places: int = 8, members: int = 96, steps: int = STEPS) -> Nodes:
    """Take a piece through its stages and note what some places hold.

    Parameters
    ----------
    places : int
        From the core to the surface, both among them; 2 to 30.

    Raises
    ------
    OutOfRange
        As `history.run`; fewer than two places.
    """
    if not 2 <= places <= CELLS:
        raise OutOfRange(f"{places} places.", field="places", value=places, limit=f"2 to {CELLS}", remedy="Ask for 8.")
    require_stages(stages)
    require_temperatures(stages)
    drawn = draw(piece, members, None)
    cells, _ = cells_of(piece, CELLS)
    picked = _picked(cells.middle, places)
    rows: list[tuple[Floats, ...]] = []
    when: list[float] = []
    ends = [0.0, *np.cumsum([s.lasts_h for s in stages]).tolist()]

    def note(hour: float, p: Pieces) -> None:
        number = max(0, min(int(np.searchsorted(ends, hour - 1e-9)) - 1, len(stages) - 1))
        celsius = stages[number].celsius(hour - ends[number])
        when.append(hour)
        rows.append(_held(p, picked, celsius))

    now = histories.fresh(cells, np.full(members, law()["water"]["lean"]["value"]), len(SOLUTES))
    note(0.0, now)
    pass_through(cells, now, stages, base_of(piece).skin_free_g, drawn, steps=steps, note=note)
    told = [np.array(column).T for column in zip(*rows, strict=True)]
    deep = (1.0 - cells.middle[picked]) * float(np.median(drawn.path)) * 1000
    names = tuple(
        "core" if i == 0 else "surface" if i == picked.size - 1 else f"{d:.0f} mm under the surface" for i, d in enumerate(deep)
    )
    return Nodes(np.array(when), cells.middle[picked], names, *told)


def places_of(piece: Piece, places: int = 8) -> Floats:
    """Depths (0 core, 1 surface) of the places that `nodes` notes, shape (p,)."""
    middle = cells_of(piece, CELLS)[0].middle
    return np.asarray(middle[_picked(middle, places)])


def _picked(middle: Floats, places: int) -> NDArray[np.intp]:
    wanted = np.linspace(middle[0], middle[-1], places)
    return np.unique(np.abs(middle[:, None] - wanted).argmin(axis=0))


def _held(p: Pieces, picked: NDArray[np.intp], celsius: float) -> tuple[Floats, ...]:
    """Salt in the water (likely, low), water activity (likely, high), nitrite (low); each (places,)."""
    water, solute, dry = p.water[picked], p.solute[picked], p.dry_matter[picked]
    salt = solute[:, 0]
    low, likely, _ = quantiles(salt / (salt + water) * units.PER_HUNDRED, axis=1)
    _, aw, high = quantiles(activity_of(water, salt, dry, celsius), axis=1)
    nitrite = quantiles(solute[:, 1] / (water + dry + solute.sum(1)) * 1e6, axis=1)[0]
    return likely, low, aw, high, nitrite
