"""When the core of a piece is done, what it has come through by then, and what it has lost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.heat import forecast as heat
from ingle.crafts.heat.assumed import Assumed, assumed
from ingle.crafts.heat.heated import Heated, spline
from ingle.crafts.heat.joint import Joint
from ingle.crafts.heat.pull import Pull, pull_early
from ingle.crafts.heat.stage import COLD, LIQUID, Stage, said
from ingle.ground import units
from ingle.ground.errors import OutOfRange
from ingle.ground.tables import source, toml_table
from ingle.jobs.heat_rows import band, basis_words, curve_rows, finite, slowest_words, stage_rows
from ingle.safety import cooling, lethality
from ingle.safety.cooling import Stage as RuleStage
from ingle.safety.verdict import Verdict

Floats = NDArray[np.float64]

BOIL_C = 100.0
DRIED_THROUGH = 0.35  # of the weight as vapour: beyond, no roast is left that the dried layer describes (whole roasted losses end there, USDA SR26)
CLIMB_WORDS = "the model's climb at rest is likely too high, and roasts were measured to climb 1 to 5 C."
_BY_CLIMB = "whether it climbs at rest: only by that the rule is met, and measured roasts climbed less than this model has it"
FINEST_S = 60.0  # between points of the curve that is judged, at most


@dataclass(frozen=True)
class CookAnswer:
    """The answer to `cook`."""

    heated: Heated
    core_c: float | None
    product: str
    time_to_core: tuple[float, float, float] | None  # (5 %, likely, 95 %) [s]; infinite: not met
    pull: Pull | None
    lethality: tuple[Verdict, ...]
    assumed: tuple[Assumed, ...]
    cautions: tuple[str, ...]
    not_in_it: tuple[str, ...]
    cooling: tuple[RuleStage, ...]  # where the programme goes on into the cold
    whole_loss: float | None  # of the weight, roasted, drip and all, by the table of the cut [1]

    @property
    def plateau_c(self) -> float | None:
        """Where the core stood in the end when it never met its temperature."""
        if self.time_to_core is None or np.isfinite(self.time_to_core[1]):
            return None
        return float(self.heated.curves.core[-1])

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/cook.md)."""
        h = self.heated
        times = self.time_to_core
        return {
            "time_to_core_s": None if times is None else finite(times[1]),
            "time_to_core_low_s": None if times is None else finite(times[0]),
            "time_to_core_high_s": None if times is None else finite(times[2]),
            "core_c": self.core_c, "start_c": h.start_c, "plateau_c": self.plateau_c,
            "pull_early": None if self.pull is None else {
                "core_c": self.pull.core_c, "s": self.pull.seconds, "rest_s": self.pull.rest_s},
            "peak_core_c": band(h.peak_c),
            "weight_loss": None if h.loss is None else band(h.loss) | {
                "what": "water given off as vapour, per weight", "drip": "not modelled", "whole_roasted_by_table": self.whole_loss},
            "energy_kj": None if h.energy_j is None else band(tuple(v / 1000.0 for v in h.energy_j)),
            "weight_kg": h.mass_kg, "slowest_point": slowest_words(h), "stages": stage_rows(h),
            "curve": curve_rows(h), "lethality": [v.as_dict() for v in self.lethality],
            "cooling": [s.as_dict() for s in self.cooling], "product": self.product,
            "assumed": [vars(a) for a in self.assumed], "not_in_it": list(self.not_in_it), "cautions": list(self.cautions),
            "basis": basis_words(h), "heat_account_closes_to": h.closes,
        }  # fmt: skip


def cook(
    joint: Joint, stages: Sequence[Stage], *, start_c: float | None = None, product: str | None = None, rules: Sequence[str] = (),
    countries: Sequence[str] = (), probe_mm: float | None = None, probe_error_c: float = 0.0, cured: bool = False,
    members: int = 256,
) -> CookAnswer:  # fmt: skip
    """Forecast a cook and judge it at its slowest point.

    Parameters
    ----------
    joint : Joint
        The piece, by a cut's name and what was measured, or by its physical numbers.
    stages : sequence of Stage
        At least one; the last of the heating ones may end at a core, rests follow it.
    start_c : float, optional
        Of the piece [C]; from the fridge when not given.
    product : str, optional
        Of `ingle.safety.lethality`; by the part when not given.
    probe_mm : float, optional
        Depth of a probe under the face [mm].
    probe_error_c : float
        How far the thermometer may be off; taken off before heat is judged. [K]

    Raises
    ------
    OutOfRange, BadBrief
        A size, air or start that cannot be; an oven colder than the core it shall make.
    """
    begun = heat.usual_start() if start_c is None else start_c
    core_c = next((s.until_c for s in stages if s.until_c is not None), None)
    require_possible(stages, begun)
    require_probe(joint, probe_mm)
    told = heat.forecast(joint, stages, begun, probe_mm=probe_mm, members=members)
    times = next((t for t in told.times if t is not None), None)
    kind = product or toml_table("laws", "cooking.toml")["kind"].get(joint.part, "pork")
    hot = [s for s in told.stages if s.kind not in COLD]
    rests = [s for s in told.stages if s.kind == "rest"]
    pull = None
    if rests and core_c is not None and times is not None and np.isfinite(times[1]) and hot[-1].until_c == core_c:
        pull = pull_early(joint, hot, rests[0], begun, core_c, place=told.place, seconds=times[1], most_k=float(said("climb")["high"]))
    verdicts = judged(told, kind, rules, countries, probe_error_c, cured)
    yields = toml_table("laws", "cooking.toml")["yield"]
    whole = round(1.0 - yields[joint.part] / 100.0, 4) if joint.part in yields and not joint.given and any(s.kind == "oven" for s in hot) else None
    return CookAnswer(
        told, core_c, kind, times, pull, verdicts, assumed(joint, told.sizes, told.stages),
        cautions_of(told, kind), missing(told), cooled(told, countries, probe_error_c), whole,
    )  # fmt: skip


def judged(
    told: Heated, product: str, rules: Sequence[str], countries: Sequence[str], error: float, cured: bool
) -> tuple[Verdict, ...]:  # fmt: skip
    """Verdicts at the slowest point of the likely piece; near where one that is done early or peaks low would not meet the rule."""
    c = told.curves
    hot = [e for s, e in zip(told.stages, told.ends, strict=True) if s.kind not in COLD]
    facts: dict[str, Any] = {
        "product": product, "rules": rules, "countries": countries, "probe_error_c": error, "cured": cured,
        "heat_ends_s": hot[-1] if hot else None, "moved": False,
    }  # fmt: skip
    likely = lethality.judge(c.seconds, np.minimum(c.core, BOIL_C), **facts)
    if told.members == 1:
        return likely
    others = [_at_ends(seconds, core, facts) for seconds, core in (told.fast, told.cool)]
    least = _least_climb(told)
    climbed = {} if least is None else _at_ends(*least, facts)
    found = []
    for v in likely:
        by_climb = climbed.get(v.rule, "within") in ("over", "near")
        touched = v.level == "within" and (by_climb or any(other.get(v.rule, "within") in ("over", "near") for other in others))
        said_of = (_BY_CLIMB, *v.not_checked) if touched and by_climb else v.not_checked
        found.append(replace(v, level="near", not_checked=said_of) if touched else v)
    return tuple(found)


def _least_climb(told: Heated) -> tuple[Floats, Floats] | None:
    """The likely core, climbing at rest by no more than the least that was measured; None where it does not rest after the heat."""
    kinds = [s.kind for s in told.stages]
    hot = [i for i, kind in enumerate(kinds) if kind not in COLD]
    if not hot or "rest" not in kinds[hot[-1] :]:
        return None
    c, off = told.curves, told.ends[hot[-1]]
    most = float(np.interp(off, c.seconds, c.core)) + float(said("climb")["low"])
    return c.seconds, np.where(c.seconds > off, np.minimum(c.core, most), c.core)


def _at_ends(seconds: Floats, core: Floats, facts: dict[str, Any]) -> dict[str, str]:
    """Levels along one member's core."""
    if seconds.size < 2:
        return {}
    grid = np.append(np.arange(0.0, seconds[-1], FINEST_S), seconds[-1])
    return {v.rule: v.level for v in lethality.judge(grid, np.minimum(spline(seconds, core, grid), BOIL_C), **(facts | {"heat_ends_s": None}))}


def cooled(told: Heated, countries: Sequence[str], error: float) -> tuple[RuleStage, ...]:
    """Rules on cooling along the whole curve, where a programme ends in the cold."""
    if told.stages[-1].kind not in COLD or told.stages[-1].kind == "rest":
        return ()
    c = told.curves
    hot = [e for s, e in zip(told.stages, told.ends, strict=True) if s.kind not in COLD]
    chill = next(b for b, s in zip((0.0, *told.ends), told.stages, strict=False) if s.kind in COLD and s.kind != "rest")
    return cooling.judge(
        c.seconds, np.minimum(c.core, BOIL_C), countries=countries, probe_error_c=error, is_celsius=True, cook_end_s=hot[-1] if hot else 0.0, chill_start_s=chill,
        moved=False,
    )


def require_possible(stages: Sequence[Stage], start_c: float) -> None:
    """Heat flows from warm to cold: what can never come about is refused with the reason."""
    dial = said("oven")["range"]
    for i, s in enumerate(stages):
        where = "oven" if s.kind == "oven" else s.kind
        if s.kind == "oven" and not dial["low_c"] <= s.air_c <= dial["high_c"]:
            raise OutOfRange(
                f"{where} is {s.air_c:g} C; ovens for the home go from {dial['low_c']:g} to {dial['high_c']:g} C.", field=where,
                value=f"{s.air_c:g} C", limit=f"{dial['low_c']:g} to {dial['high_c']:g} C",
                remedy=f"If that is what a dial in Fahrenheit says, write {s.air_c:g}F.",
            )  # fmt: skip
        if s.kind in LIQUID and not -2.0 <= s.air_c <= BOIL_C:
            raise OutOfRange(
                f"{where} is {s.air_c:g} C; water is between 0 and 100.", field=where, value=f"{s.air_c:g} C", limit="0 to 100 C",
                remedy="Give the temperature of the water.",
            )  # fmt: skip
        if s.until_c is None or s.kind in COLD:
            continue
        air = s.air_c + (s.offset_c or 0.0)  # in the chamber, whatever the dial says
        if s.until_c >= air:
            raise OutOfRange(
                f"core {s.until_c:g} C in {where} air of {air:g} C: it would never get there.", field="core", value=f"{s.until_c:g} C",
                limit=f"below {air:g} C", remedy="A hotter oven, or a lower core.",
            )  # fmt: skip
        if s.until_c >= BOIL_C:
            raise OutOfRange(
                f"core {s.until_c:g} C: what holds water does not get above {BOIL_C:g} C inside.", field="core", value=f"{s.until_c:g} C",
                limit=f"below {BOIL_C:g} C", remedy="Was it meant in Fahrenheit? Write 160F.",
            )  # fmt: skip
        if i == 0 and s.until_c <= start_c:
            raise OutOfRange(
                f"start {start_c:g} C is not below the core {s.until_c:g} C that is wanted.", field="start", value=f"{start_c:g} C",
                limit=f"below {s.until_c:g} C", remedy="Give the temperature of the raw piece: --start 4C.",
            )  # fmt: skip
    if start_c > BOIL_C or start_c < -40.0:
        raise OutOfRange(f"start is {start_c:g} C.", field="start", value=f"{start_c:g} C", limit="-40 to 100 C", remedy="Give the temperature of the piece.")


def require_probe(joint: Joint, probe_mm: float | None) -> None:
    """A probe stands inside the piece."""
    half = (joint.thickness_mm or 0.0) / 2.0
    if probe_mm is not None and not 0.0 <= probe_mm <= half:
        raise OutOfRange(
            f"probe depth {probe_mm:g} mm is beyond the middle of the piece, {half:g} mm under its face.", field="probe-depth",
            value=f"{probe_mm:g} mm", limit=f"0 to {half:g} mm", remedy="Measure from the nearest face, straight in.",
        )  # fmt: skip


def cautions_of(told: Heated, product: str) -> tuple[str, ...]:
    """Short, and only where they are of use."""
    found = []
    kinds = {s.kind for s in told.stages}
    peak = told.peak_c[1]
    if product == "pork" and peak < 71.0:
        found.append("Pork under 71 C inside is undercooked for whoever is pregnant, very young, old or ill (USDA: 63 C and 3 min of rest for whole cuts).")
    if product in ("poultry", "chicken") and peak < 74.0:
        found.append("Poultry under 74 C inside is undercooked (USDA).")
    if product == "burger" and peak < 71.0:
        found.append("Mince under 71 C inside is undercooked (USDA): what was outside is inside now.")
    if "oven" in kinds and max(s.air_c for s in told.stages) >= 180.0:
        found.append("Hot fat spits and burns: a deep tray, dry hands, no water on burning fat.")
    if any(s.humidity is not None or s.ratio is not None for s in told.stages) or "water-bath" in kinds:
        found.append("Steam burns before it is seen: open the door or lid away from you.")
    if "smoker" in kinds:
        found.append("Burn wood and charcoal outdoors only: smoke kills indoors.")
    return tuple(found)


def missing(told: Heated) -> tuple[str, ...]:
    """Known uncertainty outside the numbers."""
    found = ["seams, bone and fat caps in the piece", "shrinkage, and heat that juice carries"]
    if told.loss is not None and told.loss[1] > DRIED_THROUGH:
        found.insert(0, f"drying through: {units.show_fraction(told.loss[1], 0)} of the weight given off is more than this model knows, so the time is no more than an order of size")
    if told.curves.core.max() > BOIL_C:
        found.insert(0, f"boiling: what holds water stays at {BOIL_C:g} C inside, and rules on heat are given no more; the curve above it is of a piece gone dry")
    if told.loss is not None:
        found.append("drip, which sets in at about 65 C (Bengtsson 1976)")
    if any(s.kind == "rest" for s in told.stages):
        law = said("climb")
        found.append(
            f"how far a core climbs at rest: the model's climb is likely too high. Roasts of 3 to 8 kg were measured to climb {law['low']:g} to {law['high']:g} C "
            f"({source(law['source']).name}); believe the probe"
        )
    found.append("how the air differs from place to place in the oven, and the door")
    if told.sizes.shape in ("cylinder", "sphere") and any(s.support == "tray" for s in told.stages):
        found.append("the tray under a round piece")
    if float(told.curves.surface.max()) > 150.0:
        found.append("a crust above 150 C: properties of 150 C are carried on")
    return tuple(found)
