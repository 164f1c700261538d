"""Rows of the validation page: what was measured, what is predicted, and the published tables both come from."""

from __future__ import annotations

import csv
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from ingle.crafts import _draws
from ingle.crafts.cure import history, laws
from ingle.crafts.cure.forecast_draw import law, normal
from ingle.crafts.cure.history import Stage
from ingle.crafts.cure.mix import mix
from ingle.ground.things import Piece
from ingle.ground.units import HOUR_S, PER_HUNDRED, ZERO_CELSIUS_K
from ingle.physics import histories, water_activity
from ingle.physics.diffusivity import GAS_CONSTANT

DATA = Path(__file__).parents[1] / "tests" / "published" / "data"
MEMBERS = 128
ENDS = (0.05, 0.95)
PAGE_TO_SIGMA = 1.645  # standard deviations from the middle to the 5 and 95 % ends of a normal spread


@dataclass(frozen=True)
class Row:
    """One comparison: what was measured, once or on several pieces, beside one band."""

    what: str
    source: str
    predicted: str
    low: float
    high: float
    values: tuple[float, ...]
    measured: str = ""  # as it is printed, where the bare numbers say too little

    @property
    def inside(self) -> int:
        """How many of the measured values lie in the band."""
        return sum(self.low <= v <= self.high for v in self.values)

    @property
    def verdict(self) -> str:
        """Inside, misses, or how many of how many."""
        if self.inside == len(self.values):
            return "inside"
        return "**misses**" if not self.inside else f"**{self.inside} of {len(self.values)} inside**"

    @property
    def told(self) -> str:
        """The measured values as they stand on the page."""
        return self.measured or ", ".join(f"{v:.2f}" for v in self.values)


def published(name: str) -> list[dict[str, str]]:
    """Rows of a published table; lines that start with ``#`` say where it comes from."""
    lines = (DATA / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(ln for ln in lines if ln and not ln.startswith("#")))


def tilapia() -> list[Row]:
    """Water activity of fish brined to equilibrium: the salt in its water decides."""
    rows, sd = [], laws.water_activity_spread()
    for r in published("even_salt_per_water.csv"):
        if r["food"] == "tilapia":
            strength = float(r["salt"]) / float(r["water"])
            aw = float(water_activity.of_salt(strength, 15.0 + ZERO_CELSIUS_K, laws.salt_activity()))  # 10 to 20 C in the paper
            rows.append(
                Row(f"water activity at {strength:.3f} g salt per g water", "Medina-Vivanco, Sobral, Hubinger, tilapia in brine, abstract (quoted)",
                    f"{aw:.3f}", aw - PAGE_TO_SIGMA * sd, aw + PAGE_TO_SIGMA * sd, (float(r["aw"]),))
            )  # fmt: skip
    return rows


def xuanwei() -> list[Row]:
    """Two muscles of one ham, 44 and 55 % water: salt per water evens out though salt does not.

    Path, days and warmth are not printed: 60 to 120 mm, 60 days under salt at 5 C, then 200 to 300 sealed at 15 C are taken. What
    a muscle holds beside the same brine has its own spread (the partition), and may differ between two muscles.
    """
    outer, inner = ({k: float(r[k]) for k in ("salt", "water")} for r in published("even_salt_per_water.csv") if r["food"] == "xuanwei")
    z, u = normal(MEMBERS, 5)[:, 0], _draws.uniform(MEMBERS, 5)[:, 1:]
    salt, partition = law()["salt"]["lean"], law()["partition"]
    reference = salt["d_ref_m2_s"] * salt["spread_gsd"] ** z / (0.06 + 0.06 * u[:, 0]) ** 2  # at 5 C [1/s]
    warmer = np.exp(-salt["e_a_j_mol"] / GAS_CONSTANT * (1 / (15.0 + ZERO_CELSIUS_K) - 1 / (salt["t_ref_c"] + ZERO_CELSIUS_K)))
    water = [m["water"] / (PER_HUNDRED - m["salt"]) for m in (outer, inner)]  # per salt-free tissue
    grid = histories.depth("slab", 40)
    p = histories.fresh(grid, np.full(MEMBERS, 0.5), 1)
    p = replace(p, water=np.repeat((grid.share * np.where(grid.middle > 0.5, *water))[:, None], MEMBERS, axis=1))
    p = histories.add(p, np.full(MEMBERS, 0.01), np.full((1, MEMBERS), 0.1))
    day, none = 24 * HOUR_S, np.zeros((1, MEMBERS))
    stages = (
        (60 * day, reference, histories.Surface(saturated=np.array([law()["salt"]["saturated"]["value"]]))),
        (250 * day, reference * warmer * (200 + 100 * u[:, 1]) / 250, histories.Surface(open=False)),  # days of each member's own
    )
    for seconds, pace, surface in stages:
        p = histories.march(grid, p, histories.steps_of(seconds, 200), lambda _s, pace=pace: pace[None], lambda _s: none, surface)
    per_water = p.strength[:, 0]
    keeps = [partition["low"] + (partition["high"] - partition["low"]) * u[:, k] for k in (2, 3)]
    ratio = per_water[grid.middle > 0.5].mean(0) * keeps[0] / (per_water[grid.middle < 0.5].mean(0) * keeps[1])
    low, likely, high = np.quantile(ratio, (ENDS[0], 0.5, ENDS[1]))
    found = (outer["salt"] / outer["water"]) / (inner["salt"] / inner["water"])
    return [
        Row("salt per water, outer over inner muscle of an aged ham (path, days, warmth taken)",
            "Qiao, Ma et al. 2006, Food Science (China) 27(2):136, Xuanwei ham, abstract (quoted)",
            f"{likely:.2f}", float(low), float(high), (found,), f"{found:.3f} (salt itself {outer['salt'] / inner['salt']:.2f})")
    ]  # fmt: skip


def _after(stages: tuple[Stage, ...]) -> history.Band:
    """Weight change of a ham-sized slab after its last stage. [%]"""
    return history.run(Piece(5000.0, 100.0), stages, members=MEMBERS).after[-1].change_pct


def weights() -> list[Row]:
    """Farm cures, smoke and store: sign and range only.

    The table prints no size, dose, strength, days in cure or smoke, or air: usual ones are taken, between two ends where they
    matter most, and the band runs from the 5 % of one end to the 95 % of the other.
    """
    cures = {
        "dry": ("8 % salt, 100 mm, 25 d taken", Stage("rub", 25 * 24.0, 3.0, add=mix({"salt": "400g", "sugar": "100g"}), drip="poured")),
        "brine": ("20 %, 1:1, 100 mm, 28 d taken", Stage("immerse", 28 * 24.0, 3.0, add=mix({"salt": "1kg", "water": "4kg"}))),
    }
    smoked = [Stage("smoke", d * 24.0, 15.0, humidity=0.75) for d in (1, 5)]
    stored = [Stage("dry", 365 * 24.0, 15.0, humidity=h) for h in (0.80, 0.60)]
    said = {"cured": "", "smoked": "; 1 to 5 d smoke taken", "stored 12 months": "; 15 C, 60 to 80 % humidity taken"}
    rows = []
    for r in published("usda_1944_yields.csv"):
        taken, cure = cures[r["cure"]]
        tails = {"cured": [()], "smoked": [(s,) for s in smoked], "stored 12 months": [(smoked[0], s) for s in stored]}[r["stage"]]
        bands = [_after((cure, *tail)) for tail in tails]
        low, high = min(b.low for b in bands), max(b.high for b in bands)
        middle = " and ".join(dict.fromkeys(f"{b.likely:+.0f} %" for b in bands))
        measured = tuple(dict.fromkeys(float(r[k]) - PER_HUNDRED for k in ("low", "high")))
        rows.append(
            Row(f"weight, {r['cure']} cure, {r['stage']} ({taken}{said[r['stage']]})", "USDA AWI-108, Curing Pork, 1944, table of yields (quoted)",
                middle, low, high, measured, " to ".join(f"{v:+.0f} %" for v in measured))
        )  # fmt: skip
    return rows
