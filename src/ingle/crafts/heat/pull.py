"""When to take a piece out so that its core comes to its temperature while it rests."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ingle.crafts.heat import draw, march
from ingle.crafts.heat.joint import Joint, sizes
from ingle.crafts.heat.joint_body import body_of, matter_of
from ingle.crafts.heat.stage import Stage
from ingle.ground.units import ZERO_CELSIUS_K

_TRIED = 10
_MOST_CLIMB = 25.0  # [K] by which a core is looked for to climb


@dataclass(frozen=True)
class Pull:
    """Take it out at ``core_c``, ``seconds`` after the start; the core then climbs for ``rest_s``."""

    core_c: float
    seconds: float
    rest_s: float


def pull_early(
    joint: Joint, heat: Sequence[Stage], rest: Stage, start_c: float, core_c: float, *, place: float, seconds: float,
    most_k: float = _MOST_CLIMB,
) -> Pull | None:  # fmt: skip
    """The core at which to pull for a core of ``core_c`` after the rest, by ten pieces pulled at ten temperatures.

    ``seconds``: when the core would meet it without. ``most_k``: no climb beyond this is counted on. [K] None where even the earliest of
    them overshoots, or the last stage of heat does not ask for a core.
    """
    told = sizes(joint)
    tray = any(s.support == "tray" for s in heat) and told.shape in ("slab", "box")
    middle = draw.middle()
    many = replace(middle, **{name: np.repeat(getattr(middle, name), _TRIED) for name in draw.KNOWN})
    lowest = max(core_c - _MOST_CLIMB, start_c + 1.0)
    wanted = core_c - (core_c - lowest) * np.linspace(1.0, 0.0, _TRIED) ** 1.5
    last = len(heat) - 1
    stages = (*heat[:-1], replace(heat[-1], until_c=core_c), replace(rest, lasts_s=max(rest.lasts_s or 0.0, 2.0 * 3600.0), until_c=None))
    course, ended = march.run_all(
        body_of(told, many, fine=False, tray=tray), matter_of(joint, many), np.full(_TRIED, start_c), stages, many,
        end=1.2 * seconds + 3.0 * 3600.0, place=place, goals={last: wanted + ZERO_CELSIUS_K}, fineness=2.0,
    )  # fmt: skip
    at = np.searchsorted(course.times, ended[last])
    each = np.arange(_TRIED)
    pulled = course.core[at, each] - ZERO_CELSIUS_K
    peak, risen = course.core.max(axis=0) - ZERO_CELSIUS_K, course.times[course.core.argmax(axis=0)]
    other = np.append(True, np.diff(pulled) > 0)  # two that left in one step of time are one
    pulled, peak, risen, left = pulled[other], peak[other], risen[other], ended[last][other]
    too_late = peak[0] >= core_c and most_k >= _MOST_CLIMB  # even the earliest of them overshoots, and all of it is believed
    if too_late or core_c >= peak[-1] or pulled.size < 3:
        return None
    core = max(float(np.interp(core_c, peak, pulled)), core_c - most_k)
    when = float(np.interp(core, pulled, left))
    return Pull(core, when, float(np.interp(core, pulled, risen)) - when)
