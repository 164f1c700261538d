"""Records of water activity, nitrite and drying: known words, a source, order, plausible numbers."""

from __future__ import annotations

import itertools

import pytest

from ingle.crafts.cure import laws
from ingle.ground.sources import SURE
from ingle.ground.tables import data_path, toml_table

FILES = ("water_activity", "nitrite", "drying")


def records(name):
    for key, said in toml_table("laws", f"{name}.toml").items():
        if key == "sugar":
            yield from ((f"{name}.{key}.{one}", record) for one, record in said.items())
        else:
            yield f"{name}.{key}", said


RECORDS = list(itertools.chain.from_iterable(records(name) for name in FILES))


@pytest.mark.parametrize(("key", "said"), RECORDS, ids=[key for key, _ in RECORDS])
def test_record(key, said):
    assert said["about"] and said["clause"], key
    assert said["sure"] in SURE
    assert said["source"] in toml_table("sources.toml")
    assert said.get("doubt") or said["sure"] == "memory"


def test_no_text_says_the_bare_word():
    for name in FILES:
        assert "safe" not in data_path("laws", f"{name}.toml").read_text("utf-8").lower()


def test_salt():
    law = laws.salt_activity()
    assert law is laws.salt_activity()
    assert len(law.debye) == len(law.beta_0) == len(law.beta_1) == len(law.c_phi) == 8
    assert law.molar_mass == pytest.approx(0.02298977 + 0.035453, abs=1e-6)  # Na, Cl
    assert law.water_molar_mass == pytest.approx(2 * 0.001008 + 0.015999, abs=1e-6)
    assert all(b > a for a, b in itertools.pairwise(law.saturation_at))
    assert all(b > a for a, b in itertools.pairwise(law.saturation))
    assert law.saturation_at[0] <= law.valid[0] < law.valid[1] <= law.saturation_at[-1]
    assert law.saturation[-1] / law.molar_mass < law.valid_molality


def test_the_cure_file_tells_the_same_saturation():
    told = toml_table("laws", "cure.toml")["salt"]["saturated"]["value"]
    assert laws.salt_activity().saturation[0] < told < laws.salt_activity().saturation[-1]


def test_sugars():
    for name in toml_table("laws", "water_activity.toml")["sugar"]:
        law = laws.sugar_activity(name)
        assert law.name == name and law.k < 0.0 and 0.17 < law.molar_mass < 0.35


def test_nitrite():
    law, factor = laws.nitrite_half_life(), laws.nitrite_accelerator()
    assert law.valid[0] < law.t_ref < law.valid[1]
    assert 1.0 < factor.low < factor.likely < factor.high <= law.most_accelerated
    assert factor.sure == "common practice"


def test_drying():
    rule, air = laws.hardening(), laws.air()
    assert 0.0 < rule.near < rule.far < 0.2
    assert 0.8 < air.lewis < 1.0
    assert air.gas_constant / air.vapour_gas_constant == pytest.approx(0.622, abs=0.0005)  # 18.015/28.96
    assert len(laws.vapour().n) == 10


def test_base_and_spread():
    assert laws.meat_base().least_water_per_dry < 2.7 < laws.meat_base().most_water_per_dry
    assert 0.005 < laws.water_activity_spread() < 0.02
    assert laws.phase_salt_polynomial().valid == pytest.approx(0.18)
