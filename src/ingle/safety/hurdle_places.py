"""Which places are beyond a published hurdle at which hour: time there does not count as time in a germ's range."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ingle.ground.tables import toml_table
from ingle.safety.conditions import Conditions
from ingle.safety.growth_record import GrowthRecord

_NOISE = 1e-9
_FAR_BELOW_C = 0.0  # no botulism rule counts time here, nor within any thermometer's error of it


def beyond(group: str, c: Conditions) -> NDArray[np.bool_]:
    """Whether a place meets any hurdle of a group that stands on water activity, salt in the water or pH alone; shape of ``c.aw``.

    The error of readings lies on the far side; a factor that nobody measured meets nothing.
    """
    met = np.zeros(c.aw.shape, bool)
    for row in toml_table("limits", "hurdles.toml").values():
        if row.get("group") != group or row.get("heated") or row.get("fermented"):
            continue
        asked = []
        if "aw_max" in row:
            asked.append((c.aw + c.aw_error <= row["aw_max"] + _NOISE) & ("aw" not in c.unmeasured))
        if "ph_max" in row:
            asked.append((c.ph + c.ph_error <= row["ph_max"] + _NOISE) & ("ph" not in c.unmeasured))
        if "wps_min" in row:
            asked.append(c.wps >= row["wps_min"] - _NOISE)  # nan, not told, is not at least
        if "nitrite_min" in row:
            asked.append(c.nitrite >= row["nitrite_min"])
        if asked:
            met |= np.logical_and.reduce(asked)
    return met


def uncounted(record: GrowthRecord, met: NDArray[np.bool_]) -> GrowthRecord:
    """The record with places beyond their hurdle taken as cold; a step counts in full unless both its ends are beyond.

    Shapes: ``record.celsius`` (n,) or (places, n), ``met`` (places, n).
    """
    inside = met.copy()
    inside[:, 1:] &= met[:, :-1]
    inside[:, :-1] &= met[:, 1:]
    rows = np.broadcast_to(record.celsius, met.shape)
    return replace(record, celsius=np.where(inside, np.minimum(rows, _FAR_BELOW_C), rows))
