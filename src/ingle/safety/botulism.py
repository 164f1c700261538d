"""Clostridium botulinum: no forecast of growth is trusted here, only published times and hurdles. Beyond them is a hard stop.

Early in a cure the core is raw, unsalted meat: nothing but the cold protects it. "Not vacuum-packed" does not make a thick piece
airy inside, so the proteolytic kind is judged in every piece; the non-proteolytic kind in packs, oil and fat without air.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.tables import toml_table
from ingle.ground.units import HOUR_S, show_fraction, show_hours
from ingle.safety import exposure, germs, hurdles
from ingle.safety.conditions import Conditions
from ingle.safety.growth_answer import LEVEL_OF, NOT_CHECKED, Growth
from ingle.safety.growth_record import GrowthRecord, time_in
from ingle.safety.growth_screen import screen
from ingle.safety.verdict import Verdict, level_of_max

Floats = NDArray[np.float64]
DAY_S = 24 * HOUR_S
NEAR_DOSE, STOP_DOSE = 0.5, 1.0
STOP = "Do not taste it. Throw it away where nobody and no animal finds it."
_PACKED = ("vacuum", "oil")


def lag_days(celsius: ArrayLike) -> Floats:
    """Shortest days to growth of the non-proteolytic kind, a lower bound over the literature; infinite below 3 C. [C -> d]"""
    p = toml_table("laws", "growth.toml")["botulinum_lag"]
    T = np.clip(np.asarray(celsius, float), *p["valid_c"])
    days = 10.0 ** (p["one"] + p["t"] * T + p["inverse"] / T)
    return np.where(np.asarray(celsius, float) < p["valid_c"][0], np.inf, days)


def lag_dose(record: GrowthRecord) -> float:
    """Share of the shortest lag that is used up, summed along the record at the worst place. [1]"""
    pace = 1.0 / lag_days(record.celsius)
    steps = np.diff(record.seconds) / DAY_S
    # each step at its faster end: the pace is not straight between readings
    return float((np.maximum(pace[..., 1:], pace[..., :-1]) * steps).sum(-1).max())


def proteolytic(record: GrowthRecord, c: Conditions, probe_error: float = 0.0) -> Growth:
    """Types A and proteolytic B, F in the interior: hours from 10 C on, against 11 h up to 21 C and 2 h above."""
    ruled = screen("botulinum-1", record, c, probe_error)
    barred = hurdles.met_everywhere("interior", c)
    lines = [(said, exposure.hours_in(record, said), exposure.hours_in(record.warmer(probe_error), said)) for _, said in exposure.bands("botulinum-1")]
    over = [(said, taken) for said, taken, _ in lines if taken > said["limit"]["max"] * (1 + 1e-6)]
    share = sum(taken / said["limit"]["max"] for said, taken, _ in lines)
    touched = share > 1.0 or any(most > said["limit"]["max"] for said, _, most in lines)
    told = " and ".join(f"{show_hours(taken)} at {said['from_c']:g} to {said['to_c']:g} C (at most {show_hours(said['limit']['max'])})" if said["to_c"] < 50
                        else f"{show_hours(taken)} above {said['from_c']:g} C (at most {show_hours(said['limit']['max'])})" for said, taken, _ in lines if taken > 0)  # fmt: skip
    if ruled.everywhere or barred is not None:
        why = ruled.words if ruled.everywhere else barred.about if barred else ""
        return _answer("botulinum-1", "outside_range", "within", record, c, f"outside the published growth range: {why}.", ruled=why)
    if over:
        text = f"{told}: longer than the published time in its range, inside any piece, in air or not."
        return _answer("botulinum-1", "above", "over", record, c, text, stop=True)
    if touched:
        text = f"{told}. Near the published time: the bands add up to {show_fraction(share, 0)} of it."
        return _answer("botulinum-1", "below", "near", record, c, text, act="Chill it now, and let it come no warmer than 10 C again.")
    return _answer("botulinum-1", "below", "within", record, c, f"{told or 'no time above 10 C'}: within the published time.")


def non_proteolytic(record: GrowthRecord, c: Conditions, probe_error: float = 0.0, heated: bool = False) -> Growth:
    """Types E and non-proteolytic B, F in a pack, oil or fat: the ten days, the shortest lag, the hours above 8 C."""
    ruled = screen("botulinum-2", record, c, probe_error)
    if ruled.everywhere:
        return _answer("botulinum-2", "outside_range", "within", record, c, f"outside the published growth range: {ruled.words}.", ruled=ruled.words)
    cold, warm, most = (_line(k) for k in ("vacuum-coldest", "vacuum-warmest", "vacuum-days"))
    days, days_most = (float(time_in(r, cold, warm).max()) / DAY_S for r in (record, record.warmer(probe_error)))
    above = [(said, _over_eight(record, said, warm)) for _, said in exposure.bands("botulinum-2") if said["to_c"] > warm]
    dose, dose_most = lag_dose(record), lag_dose(record.warmer(probe_error))
    too_warm = next((f"{show_hours(h)} above {max(said['from_c'], warm):g} C (at most {show_hours(said['limit']['max'])})" for said, h in above if h > said["limit"]["max"]), "")
    met = hurdles.met_everywhere("vacuum", c, heated=heated)
    if met is not None and not too_warm:
        return _answer("botulinum-2", "below", "within", record, c, f"a published hurdle is met at every place told of: {met.about}.", sure=met.sure)
    used = f"{days:.1f} of {most:g} days used at {cold:g} to {warm:g} C, {show_fraction(dose, 0)} of the shortest lag"
    if too_warm or days > most or dose >= STOP_DOSE:
        return _answer("botulinum-2", "above", "over", record, c, f"{used}{', ' + too_warm if too_warm else ''}: longer than published for a pack without air and without a hurdle.", stop=True)
    if days_most > most or dose >= NEAR_DOSE or dose_most >= STOP_DOSE:
        return _answer("botulinum-2", "below", "near", record, c, f"{used}. Not covered by a hurdle.", act="Eat it within the days left, or freeze it now.")
    return _answer("botulinum-2", "below", "within", record, c, f"{used}. Not covered by a hurdle.")


def judge(record: GrowthRecord, c: Conditions, *, packed: str = "air", probe_error: float = 0.0, heated: bool = False) -> tuple[Growth, ...]:
    """Both kinds where each is to be judged."""
    found = (proteolytic(record, c, probe_error),)
    return (*found, non_proteolytic(record, c, probe_error, heated)) if packed in _PACKED else found


def raw_core(record: GrowthRecord, least_wps: ArrayLike, *, packed: str = "air", probe_error: float = 0.0) -> Verdict:
    """Hours too warm while the worst place of a curing piece still holds too little salt in its water.

    Parameters
    ----------
    least_wps : array_like, shape (n,) or ()
        Salt in the water phase at the place that holds least, at each reading. [%]
    packed : {"air", "vacuum"}
        In a bag without air the line is 3 C, else 40 F.
    """
    key = "cure-cold-vacuum" if packed in _PACKED else "cure-cold"
    said = toml_table("limits", "hurdles.toml")[key]
    line = float(said["limit"]["max"])
    raw = np.broadcast_to(np.asarray(least_wps, float), record.seconds.shape) < _line("vacuum-salt", "min")
    steps = np.diff(record.seconds) / HOUR_S * raw[:-1]  # a step counts as raw until its end

    def too_warm(moved: GrowthRecord) -> float:
        hottest = np.maximum(moved.celsius[..., :-1], moved.celsius[..., 1:])
        return float((steps * (hottest > line + 1e-9)).sum(-1).max())

    hours, most = too_warm(record), too_warm(record.warmer(probe_error))
    out_of_cold = float(toml_table("limits", "exposure.toml")["out-two-hours"]["limit"]["max"])
    level = "over" if hours > out_of_cold * (1 + 1e-6) else "near" if hours > 0 or most > out_of_cold else level_of_max(hours, out_of_cold)
    return Verdict(
        rule=f"hurdles.{key}", title=f"hours above {line:.1f} C while the core is raw", level=level, value=hours, limit=out_of_cold,
        unit="h", clause=said["clause"], source=said["source"], sure=said["sure"], kind="practice", high=most,
        basis="until the place with least salt holds 3.5 % in its water; two hours are the home rule for food out of the cold",
        act="" if level == "within" else "Bring it below the line at once; only the cold protects a raw core.", not_checked=NOT_CHECKED,
    )  # fmt: skip


def _over_eight(record: GrowthRecord, said: dict[str, Any], warm: float) -> float:
    """Hours of a band that lie above the warmest of the ten-day rule."""
    return float(time_in(record, max(said["from_c"], warm), said["to_c"]).max()) / HOUR_S


def _line(key: str, end: str = "max") -> float:
    return float(toml_table("limits", "hurdles.toml")[key]["limit"][end])


def _answer(
    germ: str, answer: str, level: str, record: GrowthRecord, c: Conditions, text: str, *, stop: bool = False, act: str = "",
    ruled: str = "", sure: str = "memory",
) -> Growth:  # fmt: skip
    source, clause = ("fda-fish-hazards", "Appendix 4, Tables A-1 and A-2") if germ == "botulinum-1" else ("uk-vacuum-10-day", "at most 10 days at 3 to 8 C without a hurdle")
    assert answer == "below" or LEVEL_OF[answer] == level
    return Growth(
        organism=germs.NAMES[germ], key=germ, answer=answer, level=level, log10_low=None, log10=None, log10_high=None,
        place="inside" if germ == "botulinum-1" else "in the pack", hours=record.hours, line=None, line_clause=clause, source=source,
        sure=sure, text=f"{germs.NAMES[germ]}: {text}", act=STOP if stop else act, hard_stop=stop, ruled_out_by=ruled,
        assumed=c.assumed, notes=record.notes,
    )  # fmt: skip
