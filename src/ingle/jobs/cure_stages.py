"""A history of stages: what the piece holds on the way, when it is ready, what lying too long costs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure import forecast, history
from ingle.crafts.cure.history import Stage, Told
from ingle.crafts.cure.history_file import read_history
from ingle.crafts.cure.history_parts import Each
from ingle.crafts.cure.history_told import first_hours_of
from ingle.crafts.cure.late import Late, even_dose, late_by_stages, wish_of
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.ground.things import Forecast, Piece
from ingle.jobs.cure import CAUTIONS
from ingle.jobs.windows import after_rows, late_dict, weight_rows, window_dict
from ingle.jobs.workers import workers

WINDOW_MEMBERS = 512
FEWEST, MOST = 40, 50_000  # two members beyond each end of the band; what a few gigabytes hold


@dataclass(frozen=True)
class HistoryAnswer:
    """The answer to `cure` with a file of stages."""

    piece: Piece
    stages: tuple[Stage, ...]
    told: Told
    wished_salt: float
    excess: bool
    ready_chance: float
    late: Late | None  # excess cures
    cautions: tuple[str, ...] = CAUTIONS

    @property
    def ready(self) -> Forecast:
        """When the core holds 90 % of the wished salt; infinite where the history ends before."""
        return self._window("core holds 90 % of the wished salt", self.told.ready_h)

    @property
    def whole(self) -> Forecast | None:
        """Excess cures: when the whole piece holds the wished salt."""
        if not self.excess:
            return None
        goal = forecast.wished_in_tissue(self.wished_salt) * units.PER_HUNDRED
        first = first_hours_of(self.told.hours, self.told.mean_of, goal)
        return self._window(f"whole piece holds {units.show_fraction(self.wished_salt)} salt", first)

    def _window(self, what: str, hours: NDArray[np.float64]) -> Forecast:
        ranked = np.sort(hours)

        def at(chance: float) -> float:
            return float(ranked[min(len(ranked) - 1, max(0, int(np.ceil(chance * len(ranked))) - 1))])

        return Forecast(
            what=what, earliest_h=at(0.05), likely_h=at(0.5), latest_h=at(0.95),
            quantiles_h=tuple(at(q) for q in forecast.GRAINS), at_chance={f"{self.ready_chance:g}": at(self.ready_chance)},
            basis=f"{len(ranked)} members through {len(self.stages)} stages", not_in_it=("fat and seams in the piece",),
        )  # fmt: skip

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/README.md)."""
        told, window = self.told, window_dict(self.ready)
        columns = {"core": told.core, "mean": told.mean, "surface": told.surface, "nitrite_core": told.nitrite_core}
        return {
            "window_h": {k: window[k] for k in ("earliest", "likely", "latest")}, "what": self.ready.what,
            "kind": "excess" if self.excess else "equilibrium", "wished_salt": self.wished_salt, "late": late_dict(self.late),
            "whole_holds_wish_h": None if self.whole is None else window_dict(self.whole),
            "curve": [
                {"h": float(h)}
                | {k: float(v[1][i]) for k, v in columns.items()}
                | {f"{k}_low": float(v[0][i]) for k, v in columns.items()}
                | {f"{k}_high": float(v[2][i]) for k, v in columns.items()}
                for i, h in enumerate(told.hours)
            ],
            "unit": "g salt per 100 g of tissue; nitrite mg/kg", "weight": weight_rows(told), "after": after_rows(told),
            "worst": vars(told.worst),
            "profile": [{"depth_mm": float(d), "salt_g_per_100g": float(s)} for d, s in zip(*told.profile, strict=True)],
            "hardening": told.hardening, "assumed": list(told.assumed), "closes": told.closes, "basis": self.ready.basis,
            "not_in_it": list(self.ready.not_in_it), "cautions": list(self.cautions),
        }  # fmt: skip


def cure_by_stages(
    path: Path, *, wished_salt: float | None = None, ready_chance: float = 0.95, diffusivity: float | None = None,
    members: int | None = None, cores: int | None = None, cluster: str | None = None,
    progress: Callable[[int, int, int, int], None] | None = None,
) -> HistoryAnswer:  # fmt: skip
    """Forecast a history of stages from its file.

    Parameters
    ----------
    members : int, optional
        Pieces that are drawn; `WINDOW_MEMBERS` when left out, one with a fixed ``diffusivity``.
    cores, cluster : optional
        Who works them out, see `workers.workers`. The numbers are the same.
    progress : callable, optional
        Told members, stages, and of the stages of all parts how many are done and how many there are.
    """
    piece, stages = read_history(path)
    drawn = _members(members, diffusivity)
    seen = None if progress is None else lambda done, total: progress(drawn, len(stages), done, total)
    with workers(cores, cluster) as each:
        return cure_of_stages(
            piece, stages, wished_salt=wished_salt, ready_chance=ready_chance, diffusivity=diffusivity, members=drawn, seen=seen, each=each
        )


def cure_of_stages(
    piece: Piece, stages: tuple[Stage, ...], *, wished_salt: float | None = None, ready_chance: float = 0.95,
    diffusivity: float | None = None, members: int = WINDOW_MEMBERS, seen: Callable[[int, int], None] | None = None,
    each: Each | None = None,
) -> HistoryAnswer:  # fmt: skip
    """Forecast a history that is at hand; as `cure_by_stages`, ``seen`` and ``each`` as `history.run`."""
    wish, excess = wish_of(even_dose(piece, stages), wished_salt)
    told = history.run(piece, stages, wished=wish, members=members, diffusivity=diffusivity, seen=seen, each=each)
    answer = HistoryAnswer(piece, stages, told, wish, excess, ready_chance, None)
    if answer.whole is None:
        return answer
    late = late_by_stages(
        piece, stages, forecast.wished_in_tissue(wish), due_h=answer.whole.likely_h, diffusivity=diffusivity
    )
    return replace(answer, late=late)


def _members(members: int | None, diffusivity: float | None) -> int:
    """How many are drawn; refuses what tells no band or fills the memory."""
    if members is None:
        return WINDOW_MEMBERS if diffusivity is None else 1
    if diffusivity is not None:
        raise BadBrief(
            f"--members {members} and --diffusivity were both given; a fixed diffusivity is one member.", field="members",
            value=members, limit="one of members, diffusivity", remedy="Leave one of them out.",
        )  # fmt: skip
    if not FEWEST <= members <= MOST:
        raise BadBrief(
            f"members is {members:,}; a band is told from {FEWEST} to {MOST:,}.", field="members", value=members,
            limit=f"{FEWEST} to {MOST:,}", remedy=f"Give {FEWEST} to {MOST:,}; {WINDOW_MEMBERS} is usual.",
        )  # fmt: skip
    return members
