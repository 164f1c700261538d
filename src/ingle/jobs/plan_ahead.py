"""What a plan knows before the hours are laid: the dose of every box, the length of every step that is forecast."""

from __future__ import annotations

from ingle.crafts import dough
from ingle.crafts.cure import harm
from ingle.ground.things import Forecast
from ingle.jobs.cure_told import DEFAULT_STEP_G
from ingle.jobs.plan_cook import roast
from ingle.planning.brief import Brief
from ingle.planning.doses import BoxDose, dose_of, ready
from ingle.planning.kit import Kit
from ingle.planning.parts import Part
from ingle.planning.pieces import cure_step
from ingle.planning.quantities import Quantities
from ingle.planning.tasks import ForecastNeed, Forecasts, StepTime, forecast_needs

USUAL_LOAF_G = 900.0  # mass of dough that cools by itself (common practice)
Doses = dict[tuple[str, str], BoxDose]  # by (part, step with its box)


def doses_of(parts: dict[str, Part], kit: Kit, amounts: Quantities) -> Doses:
    """What every box of cure gets, weighed on the kitchen's finest scale."""
    step_g = min(kit.scale_steps_g, default=DEFAULT_STEP_G)
    found: Doses = {}
    for key, mass in amounts.parts.items():
        cure, step = parts[key].cure, cure_step(parts[key])
        if cure is None or step is None:
            continue
        for box in mass.boxes:
            dose = dose_of(key, cure, box, step_g)
            harm.require_not_toxic(
                dose.mix.content(dose.base.skin_free_g).nitrite_as_sodium, already_on=box.started is not None
            )
            found[key, step + box.suffix] = dose
    return found


def times_of(brief: Brief, parts: dict[str, Part], kit: Kit, amounts: Quantities, doses: Doses) -> Forecasts:
    """Every forecast length: cures by the closed form, proofs by the dough's own temperature, roasts by their core."""
    found: dict[tuple[str, str], StepTime] = {}
    for need in forecast_needs(parts, kit, amounts):
        key = (need.part, need.step)
        cure = parts[need.part].cure
        if need.kind == "cure" and cure is not None and key in doses:
            warm = 4.0 if need.temperature_c is None else need.temperature_c
            found[key] = ready(doses[key], cure, warm, _sd(kit, need), brief.ready_chance)
        elif need.kind == "dough":
            found[key] = _proof(need)
        elif need.spec.roast is not None:
            boxes = (need.box,) if need.box is not None else amounts.parts[need.part].boxes
            found[key] = roast(need, [p for box in boxes for p in box.pieces], kit)
        elif need.spec.lasts is not None:
            lasts = need.spec.lasts
            found[key] = StepTime(lasts.likely / 60, max(lasts.likely, need.spec.most_min or 0) / 60)
    return found


def _sd(kit: Kit, need: ForecastNeed) -> float:
    """Spread of the fridge that a step is held in [C]."""
    spreads = [c.sd_c for c in kit.fridges if need.temperature_c is None or c.temperature_c == need.temperature_c]
    return max(spreads, default=1.0)


def _proof(need: ForecastNeed) -> StepTime:
    loaves = max(1, round(need.mass_g / USUAL_LOAF_G))
    told = dough.cold_proof(need.mass_g / loaves, 4.0 if need.temperature_c is None else need.temperature_c)
    forecast = Forecast(
        what=f"the proof of {loaves} loaves is ready",
        earliest_h=told.earliest_h,
        likely_h=told.best_h,
        latest_h=told.latest_h,
        basis="a dough's own temperature while it cools, dose of the usual cold proof",
        not_in_it=("strength of this yeast or starter",),
    )
    return StepTime(told.earliest_h, told.latest_h, forecast)
