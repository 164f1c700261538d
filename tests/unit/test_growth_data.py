"""Every record of growth: known unit, known source, plausible for its kind, and its line just below, at and above."""

from itertools import pairwise

import numpy as np
import pytest

from ingle.ground.sources import SURE
from ingle.ground.tables import sources, toml_table
from ingle.jobs.sources import records
from ingle.safety import exposure, germs, hurdles
from ingle.safety.conditions import conditions
from ingle.safety.growth_record import GrowthRecord

FILES = ("growth", "exposure", "hurdles", "keeping")
ROWS = [(f, k) for f in FILES for k, v in toml_table("limits", f"{f}.toml").items() if "limit" in v]
PLAUSIBLE = {
    "degC": (-2.0, 60.0), "pH": (3.5, 10.0), "1": (0.8, 1.0), "aw": (0.8, 1.0), "%": (1.0, 21.0), "h": (0.5, 600.0), "d": (1.0, 400.0),
    "log10": (0.5, 4.0), "log10/g": (6.0, 10.0), "F h": (800.0, 1300.0), "min": (1.0, 30.0),
}  # fmt: skip
HOUR = 3600.0


@pytest.mark.parametrize(("file", "key"), ROWS)
def test_record(file, key):
    said = toml_table("limits", f"{file}.toml")[key]
    assert said["source"] in sources() and said["clause"] and said["about"]
    assert said["sure"] in SURE and said["sure"] != "gap"
    low, high = (-40.0, -10.0) if key == "frozen-quality" else PLAUSIBLE[said["limit"]["unit"]]  # of a freezer
    for end in ("min", "max"):
        if end in said["limit"]:
            assert low <= said["limit"][end] <= high, (key, end)
    if {"min", "max"} <= set(said["limit"]):
        assert said["limit"]["min"] <= said["limit"]["max"]


def laws(table, path=""):
    for key, said in table.items():
        if isinstance(said, dict):
            if "source" in said:
                yield f"{path}{key}", said
            else:
                yield from laws(said, f"{path}{key}.")


@pytest.mark.parametrize(("key", "said"), list(laws(toml_table("laws", "growth.toml"))), ids=lambda v: v if isinstance(v, str) else "")
def test_law(key, said):
    assert said["source"] in sources() and said["clause"] and said["about"], key
    assert said["sure"] in SURE
    for name in ("t", "ph") if isinstance(said.get("t"), list) else ():
        if name in said:
            least, best, most = said[name]
            assert least < best < most
    if "fastest" in said and "valid_c" in said:
        assert 0.5 < said["fastest"] < 2.5 and said["valid_c"][0] < said["valid_c"][1]


@pytest.mark.parametrize("germ", germs.NAMES)
def test_bands_touch_and_shorten_with_warmth(germ):
    bands = [said for _, said in exposure.bands(germ)]
    assert bands, germ
    for cold, warm in pairwise(bands):
        assert cold["to_c"] == warm["from_c"]
        assert cold["limit"]["max"] > warm["limit"]["max"]
    least = germs.ranges(germ)["temperature"].least.value
    assert bands[0]["from_c"] >= least - 1e-9
    assert all(b["toxin"] is (germ in germs.TOXIN_FORMERS) for b in bands)


@pytest.mark.parametrize(("germ", "key"), [(g, k) for g in germs.NAMES for k, _ in exposure.bands(g)])
def test_hours_just_below_at_and_above(germ, key):
    said = toml_table("limits", "exposure.toml")[key]
    limit, middle = said["limit"]["max"], (said["from_c"] + said["to_c"]) / 2
    for hours, level in ((limit * 0.999, "within"), (limit, "within"), (limit * 1.001, "over")):
        record = GrowthRecord(np.array([0.0, hours * HOUR]), np.full(2, middle))
        (found,) = [v for v in exposure.judge(record, conditions(aw=0.995, ph=6.5), [germ]) if v.rule == f"exposure.{key}"]
        assert found.level == level and found.clause and found.not_checked


@pytest.mark.parametrize("key", [k for k, r in toml_table("limits", "hurdles.toml").items() if r.get("group") in ("listeria", "vacuum", "interior", "shelf", "fish", "fish-air") and not r.get("heated")])
def test_hurdles_just_on_each_side(key):
    said = toml_table("limits", "hurdles.toml")[key]
    plain = {"aw": 0.99, "ph": 6.5, "wps": 0.5, "nitrite": said.get("nitrite_min", 0.0), "aw_error": 0.0, "ph_error": 0.0}
    place = plain | {k: said[f] for k, f in (("aw", "aw_max"), ("ph", "ph_max"), ("wps", "wps_min")) if f in said}
    found = hurdles.met_everywhere(said["group"], conditions(**place), fermented=True)
    assert found is not None
    for k, f, off in (("aw", "aw_max", 0.001), ("ph", "ph_max", 0.01), ("wps", "wps_min", -0.01)):
        if f in said:
            missed = hurdles.met_everywhere(said["group"], conditions(**(place | {k: said[f] + off})), fermented=True)
            assert missed is None or missed.rule != key


def test_every_line_and_ceiling_is_there():
    for germ in germs.FORECAST:
        assert 0 < germs.line(germ)["limit"]["max"] < germs.ceiling(germ)


def test_sources_command_knows_them():
    told = {r.key for r in records("listeria")}
    assert {"growth.a1-listeria-aw", "exposure.a2-listeria-10", "hurdles.listeria-both", "growth.listeria"} <= told
