"""Codex Alimentarius, Standard for butter, CXS 279-1971, 3.3.

Fat at least 80 %, water at most 16 %, milk solids-not-fat at most 2 % m/m.
"""

import dataclasses

import pytest

from ingle.crafts import butter

PLAIN = butter.churn(1000.0, 0.36)


@pytest.mark.parametrize(
    ("field", "printed", "inward"),
    [("fat_per_butter", 0.80, +1), ("water_per_butter", 0.16, -1), ("snf_per_butter", 0.02, -1)],
)
def test_a_line_is_met_on_it_and_missed_just_beyond(field, printed, inward):
    def level(value):
        made = dataclasses.replace(PLAIN, **{field: value})
        return {"fat_per_butter": 0, "water_per_butter": 1, "snf_per_butter": 2}[field], made

    for value, wanted in (
        (printed + inward * 0.01, {"within"}),
        (printed, {"near", "within"}),
        (printed - inward * 0.0001, {"over"}),
    ):
        which, made = level(value)
        verdict = butter.judge_composition(made)[which]
        assert verdict.level in wanted
        assert verdict.limit == pytest.approx(printed)
        assert verdict.clause == "3.3"
        assert bool(verdict.act) == (verdict.level != "within")
