"""Cooling rules as printed, every row with from, to and time: FSIS Appendix B 1999, Cal. Code Regs. tit. 3 s. 910.15, Food Code 3-501.14,
James and James 2002 (Tables 16.1, 16.2), CFIA, Standard 3.2.2, UK and New Zealand advice; just at, over and under.

Tolerance: none but arithmetic.
"""

import numpy as np
import pytest
from tests.published.steady import fahrenheit, rows

from ingle.safety import cooling
from ingle.safety.cooling_rules import all_rules

ROWS = rows("cooling_rules.csv")
CURED = {"nitrite_mg_per_kg": 150.0, "brine_pct": 6.5, "ascorbate": True}
KEYS = {
    "FSIS-1.1": ("fsis-1-1", {}), "FSIS-1.2": ("fsis-1-2", {"intact": True}), "FSIS-1.3": ("fsis-1-3", CURED),
    "FSIS-1.4": ("fsis-1-4", CURED), "FSIS-2.x": ("fsis-2", {"partly_cooked": True}), "FDA-A1": ("fda", {}),
    "FDA-A2": ("fda", {}), "FDA-B": ("fda-b", {"ambient": True}), "UK-90min": ("gb-90min", {}),
    "UK-cookchill": ("gb-cook-chill", {}), "CA-uncured": ("ca-uncured", {}), "CA-intact": ("ca-intact", {"intact": True}),
    "CA-slow": ("ca-slow", CURED), "CA-cured": ("ca-cured", CURED), "AU-NZ": ("anz", {}), "NZ-FCP": ("nz-fcp", {}),
}  # fmt: skip
IN_WORDS = {"FSIS-std", "FSIS-eff", "CA-gen", "UK-8C"}
TIMED = [r for r in ROWS if r["max_time_h"] and r["rule_id"] != "UK-8C"]


def name(row):
    good = "-good" if "good" in row["applies_to"] else "-most" if "maximum" in row["applies_to"] else ""
    return f"{row['rule_id']}{good}-{row['segment']}"


def key_and_facts(row):
    if row["rule_id"].startswith("CCFRA"):
        cured = row["rule_id"].endswith("C")
        part = "good" if "good" in row["applies_to"] else "most"
        return f"ccfra-{'cured' if cured else 'uncured'}-{part}", CURED if cured else {}
    return KEYS[row["rule_id"]]


def ends(row):
    """From and to [C] by the test's own conversion; words stay words. Fahrenheit is exact where the source is American."""
    american = row["rule_id"].startswith(("FSIS", "FDA"))

    def one(side):
        f, c = row[f"{side}_F"], row[f"{side}_C"]
        return fahrenheit(f) if american and f else float(c) if c and c[0].isdigit() else c

    return one("from"), one("to")


def falling(start, end, span):
    """From above the first temperature to below the second; between the two exactly ``span`` seconds."""
    lead, step = 600.0, 300.0
    t = np.concatenate((np.linspace(0, lead, 3), lead + np.linspace(0, span, int(span / step) + 2)[1:], [lead + span + 600]))
    c = np.interp(t, [0, lead, lead + span, lead + span + 600], [start + 3, start, end, end - 1])
    return t, c, lead


def stage(row, factor):
    key, facts = key_and_facts(row)
    start, end = ends(row)
    span, more = float(row["max_time_h"]) * 3600 * factor, {}
    if row["segment"] == "start":
        t, c, _ = falling(75.0, 5.0, 8 * 3600.0)
        return next(
            s for s in cooling.judge(t, c, **facts, cook_end_s=0.0, chill_start_s=span) if (s.rule, s.segment) == (key, "start")
        )
    if isinstance(start, str):  # "cook end", "start", or made from ambient ingredients
        t, c, lead = falling(72.0 if start else 20.0, end, span)
        t, c = t[t >= lead] - lead, c[t >= lead]
        more = {"cook_end_s": 0.0} if start else {}
    else:
        t, c, _ = falling(start, end, span)
        more = {"cooked": True}  # a stage that begins at 12 or 27 C is the second of one that began hot
    return next(s for s in cooling.judge(t, c, **facts, **more, is_celsius=True) if (s.rule, s.segment) == (key, row["segment"]))


def test_every_row_is_used_or_is_in_words():
    assert {r["rule_id"] for r in ROWS if r not in TIMED} == IN_WORDS
    carried = sum(len(r.segments) for r in all_rules()) - 1  # the 8 C line has no time
    assert len(TIMED) == carried == 41


@pytest.mark.parametrize("row", TIMED, ids=name)
def test_at_just_over_and_just_under(row):
    start, end = ends(row)
    found = [stage(row, f) for f in (1.0, 0.999, 1.001)]
    assert [s.level for s in found] == ["within", "within", "over"]
    allowed = float(row["max_time_h"]) * 3600
    assert found[0].allowed_s == pytest.approx(allowed) and found[0].taken_s == pytest.approx(allowed, rel=1e-6)
    if isinstance(start, float):
        assert found[0].from_c == pytest.approx(start, abs=1e-9)
    if isinstance(end, float):
        assert found[0].to_c == pytest.approx(end, abs=1e-9)
    assert found[0].sure == {"computed": "derived"}.get(row["certainty"], row["certainty"])
    assert found[0].source and found[0].clause


@pytest.mark.parametrize(("held", "level"), [(7.9, "within"), (8.0, "within"), (8.1, "over")])
def test_held_at_8(held, level):
    """UK chill holding: 8 C; advice 5 C."""
    t = np.arange(0, 4 * 3600.0, 600.0)
    c = np.where(t < 7800, np.maximum(70 - 63 * t / 7200, 7.0), held)
    found = [s for s in cooling.judge(t, c, countries=("gb",)) if s.rule == "gb-8c"]
    assert found[0].level == level and found[0].allowed_s is None


def test_totals_stand_beside_their_stages():
    """Food Code: 2 h to 70 F, 6 h in all. A quick first stage does not shorten the total, a slow one spoils the first only."""
    t = np.arange(0, 7 * 3600.0, 300.0)

    def levels(points):
        c = np.interp(t, [p[0] * 3600 for p in points], [p[1] for p in points])
        return [s.level for s in cooling.judge(t, c, countries=("us",)) if s.rule == "fda"]

    assert levels([(0, 57.3), (1, 21.0), (5.9, 4.9), (7, 4)]) == ["within", "within"]
    assert levels([(0, 57.3), (2.5, 21.0), (5.9, 4.9), (7, 4)]) == ["over", "within"]
    assert levels([(0, 57.3), (1.9, 21.0), (6.2, 4.9), (7, 4)]) == ["within", "over"]
