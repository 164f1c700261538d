"""Every record of laws/thermal.toml: known words, a source, order, a plausible range."""

from __future__ import annotations

import pytest

from ingle.crafts.heat import laws
from ingle.ground.sources import SURE
from ingle.ground.tables import data_path, toml_table
from ingle.physics import matter, mixed_conductivity

SAID = toml_table("laws", "thermal.toml")
NESTED = ("component", "disputed", "film", "composition")
RECORDS = [(f"{k}.{n}", r) for k in NESTED for n, r in SAID[k].items()] + [(k, r) for k, r in SAID.items() if k not in NESTED]


@pytest.mark.parametrize(("key", "said"), RECORDS, ids=[key for key, _ in RECORDS])
def test_record(key, said):
    assert said["sure"] in SURE and said["clause"]
    assert said["source"] in toml_table("sources.toml")
    assert said.get("about") or key.startswith("component")
    assert said.get("doubt") or said["sure"] in ("quoted", "memory", "common practice") or key.startswith("composition")


@pytest.mark.parametrize("name", laws.names("film"))
def test_film(name):
    film = laws.film(name)
    assert 1.0 < film.low < film.likely < film.high <= laws.transfer().most_film
    low, high = film.convection
    assert 1.0 < low < film.likely_convection < high
    if film.liquid:
        assert film.convection == (film.low, film.high) and film.low > 50.0
    else:  # radiation is 3 to 17 W/m2K in a kitchen: what the air brings is less than the whole
        assert low < film.low and high < film.high


@pytest.mark.parametrize("name", laws.names("composition"))
def test_composition(name):
    meat, law = laws.composition(name), laws.matter()
    assert meat.water + sum(meat.dry) == pytest.approx(1.0)
    assert -7.0 < matter.freezing_point(meat, law) < -0.2
    assert 0.15 < float(matter.conductivity(meat, law, 20.0)) < 0.55
    assert 900.0 < float(matter.density(meat, law, 20.0)) < 1100.0
    assert 2000.0 < float(matter.sensible_heat(meat, law, 20.0)) < 3700.0


def test_fat_band_and_ice():
    law = laws.matter()
    assert law.fat.latent_low < law.fat.latent < law.fat.latent_high
    assert law.freezing.form in ("tchigeov", "raoult") and law.conductivity in mixed_conductivity.HOW


def test_the_steam_coefficients_are_the_ones_of_the_drying_laws():
    assert list(laws.moist_air().water.n) == toml_table("laws", "drying.toml")["vapour"]["n"]
    assert laws.moist_air().water.valid[1] < 647.096  # the critical point, where the curve ends


def test_no_text_says_the_bare_word():
    assert "safe" not in data_path("laws", "thermal.toml").read_text("utf-8").lower()
