"""How fast a hot piece or pot gets cold, against every named rule stage by stage, and what would make it faster."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ingle.crafts.heat import forecast as heat
from ingle.crafts.heat.assumed import Assumed, assumed
from ingle.crafts.heat.heated import Heated
from ingle.crafts.heat.joint import Joint
from ingle.crafts.heat.stage import LIQUID, Stage
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.jobs.chill_remedies import STIRRED_W_MK, Remedy, remedies
from ingle.jobs.cook import BOIL_C
from ingle.jobs.heat_rows import band, basis_words, curve_rows, finite, slowest_words, stage_rows
from ingle.jobs.thermal_log import Log
from ingle.safety import cooling
from ingle.safety.cooling import Stage as RuleStage
from ingle.safety.probe_runs import Marked, Run, marked
from ingle.safety.thermal_record import read

NEAR_AIR_K = 0.3  # a core so close to its air has come to it; a fridge of 4 C then shows the 40 F (4.4 C) at which US rules end
BELIEVED = "If nobody moved the probe and it is sound, say so, and every reading counts"
_MILD_C = 25.0  # air above it cools no food to a fridge's cold
_FRIDGE_F = (33.0, 50.0)


@dataclass(frozen=True)
class Facts:
    """What rules on cooling ask beside temperatures; None = not told."""

    nitrite_mg_per_kg: float | None = None
    brine_pct: float | None = None
    aw: float | None = None
    ascorbate: bool | None = None
    intact: bool | None = None
    cooked: bool | None = None  # before the first reading; None = taken by its heat

    def as_words(self) -> dict[str, Any]:
        """As `ingle.safety.cooling.judge` takes them."""
        return dict(vars(self))


@dataclass(frozen=True)
class ChillAnswer:
    """The answer to `chill`."""

    heated: Heated | None  # None: a log was judged
    log: Log | None
    stages: tuple[RuleStage, ...]
    level: str
    strictest: str
    remedies: tuple[Remedy, ...]
    assumed: tuple[Assumed, ...]
    cautions: tuple[str, ...]
    not_in_it: tuple[str, ...]
    runs: tuple[Run, ...] = ()  # of a log: readings that no middle of food can show

    @property
    def deciding(self) -> str:
        """The strictest rule as people call it, with its country."""
        return next((f"{s.title} ({s.country.upper()})" for s in self.stages if s.rule == self.strictest), "")

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/chill.md)."""
        h = self.heated
        told: dict[str, Any] = {
            "level": self.level, "strictest": self.strictest, "stages": [s.as_dict() for s in self.stages],
            "remedies": [r.as_dict() for r in self.remedies],
        }  # fmt: skip
        if h is not None:
            told |= {
                "start_c": h.start_c, "air_c": h.stages[0].air_c, "to_5c_s": finite(core_time(h, 5.0)),
                "weight_loss": None if h.loss is None else band(h.loss), "slowest_point": slowest_words(h),
                "programme": stage_rows(h), "curve": curve_rows(h), "basis": basis_words(h), "heat_account_closes_to": h.closes,
            }  # fmt: skip
        if self.log is not None:
            told |= {"log": {"readings": int(self.log.celsius.size), "from": self.log.begun, "lost": int(np.isnan(self.log.celsius).sum()),
                             "marked": [r.as_dict() for r in self.runs]}}
        return told | {
            "assumed": [vars(a) for a in self.assumed], "not_in_it": list(self.not_in_it), "cautions": list(self.cautions),
        }  # fmt: skip


def chill(
    joint: Joint, stages: Sequence[Stage], *, start_c: float, facts: Facts | None = None, countries: Sequence[str] = (),
    probe_error_c: float = 0.0, members: int = 256, with_remedies: bool = True, liquid: str = "",
) -> ChillAnswer:  # fmt: skip
    """Forecast the cooling of a piece and judge it.

    Parameters
    ----------
    joint, stages
        As `ingle.jobs.cook.cook`; the last stage is followed until the core has come to its air (`NEAR_AIR_K`), or as long
        as it lasts.
    start_c : float
        Of the hot piece, all through. [C]
    facts : Facts
        Nitrite, brine and others that open a slower rule.
    liquid : {"", "well-mixed", "still"}
        Kept for the words of the remedies: a stirred pot or a thick one that sets.

    Raises
    ------
    OutOfRange, BadBrief
        Air that is not colder than the piece; a fridge that reads as Fahrenheit.
    """
    known = facts or Facts()
    require_cooling(stages, start_c)
    told = heat.forecast(joint, followed(stages, start_c), start_c, members=members)
    found = judged(told, known, countries, probe_error_c)
    level = cooling.worst(found)
    offered: tuple[Remedy, ...] = ()
    if with_remedies and level in ("over", "near"):

        def again(other: Joint, way: Sequence[Stage]) -> tuple[Heated, tuple[RuleStage, ...]]:
            h = heat.forecast(other, followed(way, start_c), start_c, members=48, quick=True)
            return h, judged(h, known, countries, probe_error_c)

        offered = remedies(joint, tuple(stages), liquid, again, {"within": 0, "cannot_say": 1, "near": 2, "over": 3}[level])
    return ChillAnswer(
        told, None, found, level, cooling.strictest(found), offered, assumed(joint, told.sizes, told.stages),
        cautions(level, start_c, known), missing(told, liquid),
    )  # fmt: skip


def chill_log(
    log: Log, *, facts: Facts | None = None, countries: Sequence[str] = (), probe_error_c: float = 0.0, thickness_mm: float | None = None,
    moved: bool | None = None,
) -> ChillAnswer:  # fmt: skip
    """Judge a measured log of the warmest point.

    ``thickness_mm`` of the piece and ``moved`` as `ingle.safety.cooling.judge`: readings that no middle of food can show are holes, and
    asked about, unless it is said that the probe was not moved.
    """
    known = facts or Facts()
    found = cooling.judge(
        log.seconds, log.celsius, countries=countries, probe_error_c=probe_error_c, is_celsius=log.asked, thickness_mm=thickness_mm, moved=moved,
        **known.as_words(),
    )  # fmt: skip
    level = cooling.worst(found)
    record = read(log.seconds, log.celsius, longest_gap_s=cooling.LONGEST_GAP_S)
    seen = Marked(record) if moved is False else marked(record, thickness_mm)
    told = cautions(level, float(seen.record.celsius.max()), known)
    return ChillAnswer(None, log, found, level, cooling.strictest(found), (), (), (*told, *asked_of(seen)), (), seen.runs)


def asked_of(seen: Marked) -> tuple[str, ...]:
    """What a log that jumps is asked."""
    if not seen.asked:
        return ()
    first = seen.asked[0]
    return (f"{first[0].upper()}{first[1:]}. {BELIEVED}.",)


def judged(told: Heated, known: Facts, countries: Sequence[str], error: float) -> tuple[RuleStage, ...]:
    """Every rule along the curve of the slowest point, with its band at the same clock."""
    c = told.curves
    heat_off = 0.0 if told.start_c > cooling.WARMEST_RAW_C else None  # colder than that nobody heated it just now
    ends: dict[str, Any] = {}
    if told.members > 1:
        ends = {"celsius_low": np.minimum(c.core_low, c.core), "celsius_high": np.maximum(c.core_high, c.core)}
    found = cooling.judge(
        c.seconds, c.core, countries=countries, probe_error_c=error, cook_end_s=heat_off, chill_start_s=0.0, is_celsius=True, moved=False,
        **ends, **known.as_words(),
    )  # fmt: skip
    return tuple(_banded(s) for s in found)


def _banded(s: RuleStage) -> RuleStage:
    """An end of the band that the curve stops before is not told: the slow member did not get there."""
    if s.taken_s is None:
        return s
    low, high = s.taken_low_s, s.taken_high_s
    return replace(
        s, taken_low_s=None if low is None or low > s.taken_s else low, taken_high_s=None if high is None or high < s.taken_s else high
    )


def followed(stages: Sequence[Stage], start_c: float) -> tuple[Stage, ...]:
    """The last stage goes on until the core has come to its air."""
    *before, last = stages
    if last.until_c is None and last.lasts_s is None:
        raise BadBrief("The last stage has no end.", field="lasts", value="missing", limit="a time or a core")
    if last.until_c is not None and last.until_c >= start_c:
        raise OutOfRange(
            f"core {last.until_c:g} C is not below the start {start_c:g} C.", field="core", value=f"{last.until_c:g} C",
            limit=f"below {start_c:g} C", remedy="Give a colder core.",
        )  # fmt: skip
    return (*before, last)


def to_the_end(kind: str, air_c: float, **more: Any) -> Stage:
    """A last stage that goes on until the core has come to the air, within `NEAR_AIR_K`."""
    return Stage(kind, air_c, until_c=air_c + NEAR_AIR_K, **more)


def require_cooling(stages: Sequence[Stage], start_c: float) -> None:
    """Air that is warmer than the piece, or a fridge in Fahrenheit, is asked."""
    last = stages[-1]
    if start_c > BOIL_C or start_c < 0.0:
        raise OutOfRange(
            f"start is {start_c:g} C.", field="start", value=f"{start_c:g} C", limit="0 to 100 C",
            remedy="Give the core as it leaves the heat; in Fahrenheit write 162F.",
        )  # fmt: skip
    if last.air_c >= start_c:
        raise OutOfRange(
            f"air {last.air_c:g} C is not colder than the piece, {start_c:g} C.", field="air", value=f"{last.air_c:g} C",
            limit=f"below {start_c:g} C", remedy="Exchange start and air, or give the fridge.",
        )  # fmt: skip
    if last.kind == "fridge" and _FRIDGE_F[0] <= last.air_c <= _FRIDGE_F[1]:
        raise BadBrief(
            f"A fridge at {last.air_c:g} C cools nothing; {last.air_c:g} F is one at {(last.air_c - 32) / 1.8:.0f} C.", field="air",
            value=f"{last.air_c:g} C", limit=f"up to {_MILD_C:g} C", remedy=f"Write {last.air_c:g}F, or the temperature in C.",
        )  # fmt: skip
    if last.kind in LIQUID and last.air_c < -2.0:
        raise OutOfRange(f"water at {last.air_c:g} C is ice.", field="air", value=f"{last.air_c:g} C", limit="0 C and more", remedy="Write 0C.")


def core_time(h: Heated, celsius: float) -> float:
    """When the likely core first is at or below a temperature; infinite when it never is. [s]"""
    c = h.curves
    below = c.core <= celsius
    if not below.any():
        return float("inf")
    i = int(np.argmax(below))
    if i == 0:
        return 0.0
    a, b = c.core[i - 1], c.core[i]
    return float(c.seconds[i - 1] + (c.seconds[i] - c.seconds[i - 1]) * (a - celsius) / (a - b))


def cautions(level: str, start_c: float, known: Facts) -> tuple[str, ...]:
    """Short, where they are of use."""
    found = []
    if start_c <= cooling.WARMEST_RAW_C and known.cooked is None:
        found.append(
            f"It starts at {start_c:g} C, colder than every rule for cooked food begins: their clocks do not begin. Say whether it was cooked and has "
            "cooled since (then the hours before count too), or was never cooked. A raw piece that lay out of the cold is a mishap, not a chill."
        )
    if level == "over":
        found.append("Heating it through again does not undo a slow cooling: toxins and spores of some germs bear the heat.")
    if start_c >= 60.0:
        found.append("Hot liquid and hot fat scald: let a pot stand where nobody can pull it over.")
    return tuple(found)


def missing(told: Heated, liquid: str) -> tuple[str, ...]:
    """Known uncertainty outside the numbers."""
    found = ["how the fridge warms from what is put in", "shelves and neighbours that shut off the air"]
    if told.sizes.shape == "slab":
        found.append("the edges of the piece, which cool it faster")
    if liquid == "well-mixed":
        found.append("the rest between two stirrings: it is taken to be at one temperature all the time")
    if liquid == "still":
        found.append("currents in the pot: a thin stock turns over by itself and is faster than this, a sauce that sets is not")
    return tuple(found)


def joint_of_pot(diameter_mm: float, depth_mm: float, liquid: str) -> Joint:
    """A pot of liquid: a short cylinder of watery sauce, at one temperature when it is stirred, else by conduction alone."""
    stirred = liquid == "well-mixed"
    return Joint(
        "lean-pork", "cylinder", None, diameter_mm, None, depth_mm,
        conductivity=STIRRED_W_MK if stirred else SAUCE["conductivity"], density=SAUCE["density"], specific_heat=SAUCE["specific_heat"],
    )  # fmt: skip


SAUCE = {"conductivity": 0.57, "density": 1010.0, "specific_heat": 4050.0}  # water with a little dissolved (Choi and Okos at 20 C)
