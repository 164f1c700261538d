"""Juneja et al., Food Microbiol. 28 (2011) 791: C. perfringens while cooling, with lag and the bound without; computed rows."""

import numpy as np
import pytest
from tests.published.growth_rows import ROWS, VALUE

from ingle.safety import perfringens
from ingle.safety.growth_record import GrowthRecord

MEATS = ("beef", "chicken", "pork")
STAGES = {"BR-C3": [(54.4, 27, 3)], "BR-C5": [(57.2, 21.1, 2), (21.1, 5, 4)]}


def told(key, record):
    lagged, _, bare = ROWS[key][VALUE].partition(";")
    lagged, bare = ([(float(x), len(x.strip().partition(".")[2])) for x in part.split("|")] for part in (lagged, bare or lagged))
    return zip(MEATS, [perfringens.cooling(record, m) for m in MEATS], lagged, bare, strict=True)


@pytest.mark.parametrize("key", STAGES)
def test_straight_stages(key):
    for _, found, (lagged, d1), (bare, d2) in told(key, perfringens.linear(STAGES[key])):
        assert found.with_lag == pytest.approx(lagged, abs=0.51 * 10**-d1)
        assert found.no_lag == pytest.approx(bare, abs=0.51 * 10**-d2)


def test_br_c6_a_log_linear_fall():
    share = np.linspace(0, 1, 4001)
    record = GrowthRecord(share * 8 * 3600, 51 * (12 / 51) ** share)
    for _, found, (lagged, digits), _ in told("BR-C6", record):
        assert found.with_lag == pytest.approx(lagged, abs=0.51 * 10**-digits)


def test_the_bound_without_lag_is_never_below():
    for meat in MEATS:
        found = perfringens.cooling(perfringens.linear([(54.4, 26.7, 4), (26.7, 4.4, 8)]), meat)
        assert found.no_lag > found.with_lag


@pytest.mark.parametrize(("nitrite", "key"), [(0, "CP-01"), (50, "CP-02"), (75, "CP-03")])
def test_cured_ham_is_looked_up(nitrite, key):
    assert perfringens.cured_cooling_seen(nitrite, 547).log10 == float(ROWS[key][VALUE])


def test_cured_ham_between_rows_takes_the_poorer_cure():
    assert perfringens.cured_cooling_seen(99, 547).log10 == 1.9
    assert perfringens.cured_cooling_seen(150, 547).less_than
    assert perfringens.cured_cooling_seen(150, 0) is None  # nothing was seen without erythorbate
    assert perfringens.cured_cooling_seen(0, 0, brine_pct=3.1).log10 == 0.0
