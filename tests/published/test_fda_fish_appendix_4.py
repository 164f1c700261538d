"""FDA Fish and Fishery Products Hazards and Controls Guidance, Appendix 4: Table A-1 (limits) and A-2 (hours), by rows.

Where the tables and another source differ, the screen keeps the wider range; the tests hold the printed number of each source.
"""

import re

import numpy as np
import pytest
from tests.published.growth_rows import ROWS, VALUE, number, starting

from ingle.ground.tables import toml_table
from ingle.safety import exposure, germs
from ingle.safety.conditions import conditions
from ingle.safety.growth_record import GrowthRecord
from ingle.safety.growth_screen import screen

GERM = {
    "Clostridium botulinum A": "botulinum-1", "Clostridium botulinum E": "botulinum-2", "Listeria": "listeria", "Salmonella": "salmonella",
    "Staphylococcus": "staphylococcus", "Escherichia": "coli", "Campylobacter": "campylobacter", "Shigella": "shigella",
    "Clostridium perfringens": "perfringens", "Yersinia": "yersinia", "Bacillus": "cereus",
}  # fmt: skip
GROWTH = toml_table("limits", "growth.toml")
DAY_H = 24.0


def germ_of(key):
    return next(v for k, v in GERM.items() if ROWS[key]["organism"].startswith(k))


@pytest.mark.parametrize("key", starting("A1-"))
def test_a_1_as_printed(key):
    aw, low, high, wps, cold, hot = (float(x) for x in ROWS[key][VALUE].split("|"))
    g = germ_of(key)
    said = {f: GROWTH[f"a1-{g}-{f}"]["limit"] for f in ("aw", "ph", "wps", "temperature")}
    assert (said["aw"]["min"], said["ph"]["min"], said["ph"]["max"], said["wps"]["max"]) == (aw, low, high, wps)
    assert (said["temperature"]["min"], said["temperature"]["max"]) == (cold, hot)


@pytest.mark.parametrize("germ", germs.NAMES)
@pytest.mark.parametrize("factor", ["temperature", "ph", "aw", "wps"])
def test_ruled_out_only_beyond_the_wider_range(germ, factor):
    """Just inside both ends growth is possible, just beyond it is ruled out."""
    found = germs.ranges(germ).get(factor)
    if found is None:
        pytest.fail(f"no {factor} for {germ}")
    place = {"aw": 0.99, "ph": 6.5, "wps": 1.0, "aw_error": 0.0, "ph_error": 0.0}
    steps = {"temperature": 0.05, "ph": 0.01, "aw": 0.0005, "wps": 0.05}
    for bound, outward in ((found.least, -1), (found.most, 1)):
        if bound is None:
            continue
        for beyond in (True, False):
            value = bound.value + outward * steps[factor] * (1 if beyond else -1)
            warm = 35.0 if factor != "temperature" else value
            c = conditions(**(place if factor == "temperature" else place | {factor: value}))
            assert screen(germ, GrowthRecord(np.array([0.0, 60.0]), np.full(2, warm)), c).everywhere is beyond


def test_ic_06_two_sources_differ_and_the_lower_rules():
    assert germs.ranges("perfringens")["temperature"].least.value == 4.0
    assert germs.ranges("salmonella")["ph"].least.value == 3.7
    assert germs.ranges("staphylococcus")["temperature"].most.value == 50.0
    assert germs.ranges("yersinia")["wps"].most.value == 7.0


@pytest.mark.parametrize("key", [k for k in starting("A2-") if k != "A2-40"])
def test_a_2_hours_as_printed(key):
    """In the middle of each printed band: just within the hours, and just beyond."""
    band = re.search(r"(-?[\d.]+) to ([\d.]+) C|above ([\d.]+) C", ROWS[key]["conditions"])
    low, high = (float(band[1]), float(band[2])) if band[1] else (float(band[3]), float(band[3]) + 10)
    limit = number(key) * (DAY_H if ROWS[key]["unit"] == "d" else 1.0)
    c = conditions(aw=0.99, ph=6.5)
    for share, level in ((0.99, "within"), (1.01, "over")):
        record = GrowthRecord(np.array([0.0, limit * share * 3600]), np.full(2, (low + high) / 2))
        (found,) = exposure.judge(record, c, [germ_of(key)])
        assert (found.level, found.limit) == (level, limit)


def test_a_2_is_steps_with_no_line_between():
    """5.0 C is the colder band, 5.1 the warmer one: nothing is drawn between 7 days and 1 day."""
    c = conditions(aw=0.99, ph=6.5)
    for celsius, limit in ((5.0, 168.0), (5.1, 24.0)):
        (found,) = exposure.judge(GrowthRecord(np.array([0.0, 3600.0]), np.full(2, celsius)), c, ["listeria"])
        assert found.limit == limit


def test_a_2_40_raw_and_ready_to_eat():
    """Once above 21.1 C: 2 h in all between 10 and 57.2 C."""
    warm = GrowthRecord(np.array([0.0, 1.0, 2.1]) * 3600, np.array([15.0, 25.0, 15.0]))
    found = {v.rule: v for v in exposure.judge_rule(warm, "ready")}
    assert found["exposure.ready-raw-ever-above-21"].limit == float(ROWS["A2-40"][VALUE][0])
    assert found["exposure.ready-raw-ever-above-21"].level == "over"
    mild = GrowthRecord(np.array([0.0, 4.9]) * 3600, np.array([15.0, 15.0]))
    assert "exposure.ready-raw-ever-above-21" not in {v.rule for v in exposure.judge_rule(mild, "ready")}


def test_ic_05_cereus():
    said = GROWTH["icmsf-cereus-temperature"]["limit"], GROWTH["icmsf-cereus-ph"]["limit"], GROWTH["icmsf-cereus-aw"]["limit"]
    assert (said[0]["min"], said[0]["max"], said[1]["min"], said[1]["max"], said[2]["min"]) == (4, 55, 5.0, 8.8, 0.93)
