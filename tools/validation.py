"""Writes docs/validation.md: predictions beside measurements that are published, with bands, and where the model misses.

Run by ``make validation``. No row is fitted to: the prior's sources are other studies. Rows come from open abstracts and tables;
none of them gives geometry, dose and time together, and the page says so.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from tools import validation_growth, validation_hams, validation_heat
from tools.validation_rows import Row, tilapia, weights, xuanwei

PAGE = Path(__file__).parents[1] / "docs" / "validation.md"

LEFT_OUT = (
    ("hams ripened with starters, eight groups, to day 42, 20 and 25 C (Food Sci. Anim. Resour. 2023, 43(3):454, table 4)",
     "salt and water activity without water, size or place of the sample; water activity follows from salt per water alone"),
    ("swordfish, injected (Foods 2022, 11(2):164, table 1)", "0.26 % before, 2.39 % after; neither brine nor amount injected"),
    ("Italian-type ham, end of salting (handbook, web copy)", "\"above 0.96\" inside: any thick piece meets it"),
    ("Iberian ham at 30 and 60 g/kg (Eur. Food Res. Technol. 2005)", "doses only; its results were not seen"),
    ("dry-cured ham, nitrate 37 and nitrite 2.2 mg/kg in the inner zone (Armenteros, Aristoy, Toldra 2012)",
     "dose and days not seen"),
)  # fmt: skip


def hams_words(told: validation_hams.Predicted) -> list[str]:
    """What the pickled hams say beyond their rows."""
    water = validation_hams.fat_water_asked()
    asked, usual = validation_hams.fourier_asked(told), validation_hams.fourier_usual()
    fat, found = told.ratio("D", "C"), [s["D"][0] / s["C"][0] for s in validation_hams.measured().values()]
    rest = float(np.median(fat[:, -1]))
    return [
        f"- Fat: in a piece that takes its brine from the lean face alone, fat never holds more salt per water than the lean beside it, so at most {fat.max():.2f}",
        f"  of its salt with 5 to 15 % water in the fat. The hams show more. Even with salt at rest their fat slices would need {min(water):.0%} to {max(water):.0%} water; fat cut",
        "  from joints has 25 % (USDA SR 26, NDB 10006), for lean sticks to it. So either there was lean in the slices, or salt reached the fat by another way",
        f"  (seams, vessels, the rind). Forecasts of salt in a fat cap, {rest:.2f} of the lean's when all is even, are too low against these hams by {min(found) / rest:.1f} to {max(found) / rest:.1f} times.",
        "- Saltpetre: taken to move nearly as salt does (0.97), it should stand to salt as in the pickle, a little less deeper in. It does not: towards the bone",
        "  its share rises in the three sour hams and falls in the three sound ones, and above the bone it is higher in all six. The shank was pumped, maybe with",
        "  another pickle, and saltpetre turns to nitrite: neither is on the page that was read, nor in this prediction.",
        f"- The fall from face to middle, with the slices taken as thirds of the lean, asks for Fourier numbers of {min(asked):.2f} to {max(asked):.2f}. Days by farm advice (42 to 64, 3 C,",
        f"  80 to 140 mm of lean taken) give {usual[1]:.2f} ({usual[0]:.2f} to {usual[2]:.2f}). Not a test: days and thickness of these hams are unknown, and the pump may have put salt to the bone.",
    ]  # fmt: skip


def page(rows: list[Row], hams: validation_hams.Predicted) -> str:
    """The page in Markdown."""
    lines = [
        "# Predictions beside measurements", "",
        "Salt and water first, then heat, then growth.", "",
        "Rebuilt by `make validation`; the published values stand in `tests/published/data`. Nothing here was fitted to: the prior's sources are other",
        "studies (`docs/models/cure.md`). Band: 5 to 95 % of the ensemble, or 1.645 standard deviations of the method. \"Taken\" is what the source does not",
        "print and we put in its place. \"At whatever hour\": over Fourier numbers from 0.05 to 3 and all pieces drawn, so that neither time nor thickness enters.",
        "Hams are drawn as a half ellipse of lean, fat and rind, brine at the flat lean face only. Slices: A next to that face, B at the bone, C above it, D fat.", "",
    ]  # fmt: skip
    lines += [*table(rows), "", "## Where it misses", ""]
    missed = [r for r in rows if r.inside < len(r.values)]
    lines += [f"- {r.what}: measured {r.told}, predicted {r.predicted} ({r.low:.3g} to {r.high:.3g})." for r in missed]
    lines += [
        "- Strong pickles: the exchange of water takes meat to gain in a 20 % pickle about what it gains in a 10 % one; farm figures are nearer zero above",
        "  the neutral strength. The band does not cover this; forecasts of weight in strong pickle are too heavy.",
        "- Smoke and store begin with the weight the cure is said to leave, and carry its miss along; their bands are wide because their air and days are taken.",
        *hams_words(hams),
        "- Nitrite: the rate of loss is from memory of one equation for cooked ham; the first day is faster than that in reality.",
        "", "## What no open row tests", "",
        "**Time.** No published row found gives geometry, dose and days together with salt in the middle, so no forecast of *when* has been tested",
        "against an experiment. What would close it, in any kitchen: weigh the piece before and after, note thickness, temperature and days, and",
        "cut one plug through the middle on a known day (best when about half done): a chloride strip on the middle third and on the whole.",
        "", "## Published rows that are left out, and why", "",
    ]  # fmt: skip
    lines += [f"- {what}: {why}." for what, why in LEFT_OUT]
    lines += ["", *validation_heat.lines(), "", *growth_words()]
    return "\n".join([*lines, ""])


def table(rows: list[Row]) -> list[str]:
    """Rows as a table."""
    head = ["| what | measured | predicted | band | | source |", "|---|---|---|---|---|---|"]
    return head + [f"| {r.what} | {r.told} | {r.predicted} | {r.low:.3g} to {r.high:.3g} | {r.verdict} | {r.source} |" for r in rows]


def growth_words() -> list[str]:
    """Growth beside what was seen."""
    head = [
        "## Growth beside what was seen", "",
        "Nothing is fitted. Band: the spread of the model's rate (a factor of 1.5 at one sigma) and the readings' errors, 5 to 95 %; forecasts carry no lag, so a gain that",
        "was measured with one should lie below them.", "",
    ]  # fmt: skip
    return [*head, *table(validation_growth.rows()), "", "Misses, plainly:", "", *validation_growth.misses()]


def main() -> None:
    """Write the page."""
    hams = validation_hams.predicted()
    rows = [*tilapia(), *xuanwei(), *validation_hams.rows(hams), *weights()]
    PAGE.write_text(page(rows, hams), encoding="utf-8")
    for r in rows:
        print(f"{r.verdict.strip('*'):16} {r.what}: {r.told}, predicted {r.predicted} ({r.low:.3g} to {r.high:.3g})")


if __name__ == "__main__":
    main()
