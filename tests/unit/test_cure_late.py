"""What lying too long does to an excess cure, and that what brings it back does."""

import json

import numpy as np
import pytest

from ingle.crafts.cure import forecast, history
from ingle.crafts.cure.history_soak import SLICE_MM, levelled, soaks
from ingle.crafts.cure.history_stage import Stage
from ingle.crafts.cure.late import even_dose, late_by_stages, wish_of
from ingle.crafts.cure.mix import mix
from ingle.faces.cli.main import main
from ingle.ground.things import Piece
from ingle.jobs.cure import cure
from ingle.physics import histories, series

SLAB = Piece(1000.0, 50.0)
SALTY = mix({"salt": "50g"})
D = 3e-10


def asked(*words, capsys):
    assert main(["cure", *words]) == 0
    return capsys.readouterr().out


EXCESS = ("--weight", "1kg", "--thickness", "50mm", "--add", "salt=50g")


def test_the_plain_form_tells_the_price_of_a_day(capsys):
    told = json.loads(asked(*EXCESS, "--json", capsys=capsys))
    late = told["late"]
    assert late["pull_h"] == pytest.approx(told["whole_holds_wish_h"]["likely"])
    assert late["out_h"] == pytest.approx(late["pull_h"] + 24)
    gain = late["gain_per_day_g_per_100g"]
    assert 0 < gain["low"] < gain["likely"] < gain["high"]
    assert told["salt_gain_per_day_late_g_per_100g"] == gain["likely"]
    grid = [row["h"] for row in told["curve"]]
    mean = np.interp([late["pull_h"], late["out_h"]], grid, [row["mean"] for row in told["curve"]])
    assert gain["likely"] == pytest.approx(mean[1] - mean[0], abs=0.15)  # middles of a difference and of its ends
    assert told["at_days"] is None
    assert any("turned daily" in said for said in told["assumed"])


def test_the_day_that_is_asked_is_the_day_that_is_told(capsys):
    told = json.loads(asked(*EXCESS, "--days", "6", "--json", capsys=capsys))
    last = told["curve"][-1]
    assert told["late"]["out_h"] == 6 * 24
    assert told["late"]["mean_g_per_100g"]["likely"] == pytest.approx(last["mean"], rel=1e-6)
    assert told["at_days"]["core"]["high"] == pytest.approx(last["core_high"], rel=1e-6)
    early = json.loads(asked(*EXCESS, "--days", "0.05", "--json", capsys=capsys))
    assert early["late"]["out_h"] > 24  # not late by then: a day after the pull is told


def test_an_equilibrium_cure_is_not_given_a_clock(capsys):
    words = ("--weight", "1kg", "--thickness", "40mm", "--add", "salt=25g", "--days", "9")
    told = json.loads(asked(*words, "--json", capsys=capsys))
    assert told["late"] is None
    assert told["salt_gain_per_day_late_g_per_100g"] is None
    assert told["at_days"]["days"] == 9
    text = asked(*words, capsys=capsys)
    assert "no harm by salt" in text
    assert "soak" not in text
    long = cure(Piece(1000.0, 40.0), mix({"salt": "25g"}), days=200.0)  # what the sentence says is what the model holds
    assert max(long.curves.mean_high) <= 2.5
    assert long.curves.mean[-1] == pytest.approx(long.curves.left, rel=0.01)


def test_a_thick_piece_gains_less_in_a_day():
    thin, thick = (forecast.gain(Piece(1000.0, mm), 0.1, 4.0, 24.0) for mm in (40.0, 80.0))
    assert thick.likely < thin.likely
    fixed = forecast.gain(SLAB, 0.1, 4.0, 24.0, diffusivity=D)
    curve = forecast.curves(SLAB, 0.1, 4.0, hours=np.array([24.0, 48.0]), diffusivity=D)
    assert fixed.low == fixed.high == pytest.approx(curve.mean[1] - curve.mean[0], rel=1e-9)


def test_the_soak_that_is_told_brings_whole_and_slices_back():
    """Half of the pieces are at the wish after the likely soak, and all but one in twenty after the longest."""
    laid = (Stage("rub", 30.0, add=SALTY),)
    told = soaks(SLAB, laid, 0.0235)
    whole = [
        history.run(SLAB, (*laid, Stage("soak", h)), members=64).mean_of[-1]
        for h in (told.whole.likely, told.whole.high)
    ]
    shares = [float(np.mean(salt <= 2.35 * 1.01)) for salt in whole]
    assert 0.4 < shares[0] < 0.75
    assert shares[1] >= 0.9
    assert told.sliced.likely < told.whole.likely / 2


def test_slices_hold_what_the_piece_took_up_and_not_the_whole_mix():
    """Thick, much salt, pulled early: the piece holds half of the mix, and a slice of it needs less than one that holds all."""
    thick = Piece(3000.0, 90.0)
    laid = (Stage("rub", 3 * 24.0, add=mix({"salt": "210g"})),)
    early = soaks(thick, laid, 0.0235)
    assert early.holds.likely < 0.9 * 6.5
    filled = history.soak_needed(
        Piece(3000.0, SLICE_MM), laid, 0.0235, longest_h=48.0
    )  # the old way: a slice in the mix itself
    assert early.sliced.likely < filled.likely


def test_a_slice_soaks_as_the_series_says():
    """Even slab of 10 mm into 3 kg water per kg, its closed form (Crank 1975, limited bath): up to a fifth later than told, for
    soaking meat swells (0.05 to 0.14 of its weight), which thins its salt and lets it out more freely.
    """
    told = soaks(SLAB, (Stage("rub", 40 * 24.0, add=SALTY),), 0.0235, diffusivity=D)
    water = 0.74
    start, goal = (
        told.holds.likely / (100 - told.holds.likely),
        2.35 / 97.65,
    )  # per salt-free tissue: water stays in the series
    hours = np.linspace(0.01, 40, 4000)
    alpha = 3.0 / water
    fourier = D * hours * 3600 / 0.005**2
    gone = series.bath("slab", fourier, np.array(alpha))[0]  # share of the way to even
    salt = start * (1 - gone * alpha / (1 + alpha))
    by_series = float(np.interp(-goal, -salt, hours))
    assert 0.8 * by_series < told.sliced.likely < by_series


def test_levelling_keeps_every_gram():
    cells = histories.depth("slab", 20)
    p = histories.fresh(cells, np.array([0.74, 0.7]), 4)
    p = histories.pump(np.linspace(0, 2, 20) / 20, p, np.array([0.1, 0.1]), np.full((4, 2), 0.01))
    flat = levelled(p, histories.depth("slab", 30).share)
    assert flat.total() == pytest.approx(p.total(), rel=1e-12)
    assert flat.weight == pytest.approx(p.weight, rel=1e-12)
    assert np.ptp(flat.strength, axis=0) == pytest.approx(0.0, abs=1e-12)


FILE = """
[piece]
weight = "1kg"
thickness = "50mm"
[[stage]]
kind = "rub"
lasts = "{lasts}"
add = {{ salt = "{salt}" }}
[[stage]]
kind = "rinse"
[[stage]]
kind = "{then}"
lasts = "20h"
"""


@pytest.mark.parametrize("salt", ["50g", "25g"])
def test_stages_tell_the_same(tmp_path, capsys, salt):
    file = tmp_path / "h.toml"
    file.write_text(FILE.format(lasts="6d", salt=salt, then="rest"))
    told = json.loads(asked("--stages", str(file), "--json", capsys=capsys))
    text = asked("--stages", str(file), capsys=capsys)
    assert all(len(line) <= 80 for line in text.splitlines())
    assert "turned daily" in text
    if salt == "25g":
        assert told["kind"] == "equilibrium"
        assert told["late"] is None
        assert "no harm by salt" in text
        return
    assert told["kind"] == "excess"
    late = told["late"]
    assert late["out_h"] == 6 * 24
    assert late["pull_h"] == told["whole_holds_wish_h"]["likely"]
    grid = [row["h"] for row in told["curve"]]
    mean = np.interp([late["pull_h"], late["pull_h"] + 24], grid, [row["mean"] for row in told["curve"]])
    assert late["gain_per_day_g_per_100g"]["likely"] == pytest.approx(
        mean[1] - mean[0], abs=0.08
    )  # 256 members beside 512, and the middle of a difference
    assert late["mean_g_per_100g"]["likely"] == pytest.approx(told["after"][0]["mean_salt_g_per_100g"], rel=0.02)
    assert late["slice_soak_h"]["likely"] < late["soak_h"]["likely"]
    file.write_text(FILE.format(lasts="90min", salt=salt, then="rest"))
    assert (
        json.loads(asked("--stages", str(file), "--json", capsys=capsys))["late"]["pull_h"] == 1.5
    )  # pulled before it is due
    file.write_text(FILE.format(lasts="6d", salt=salt, then="soak"))
    soaked = json.loads(asked("--stages", str(file), "--json", capsys=capsys))["late"]
    assert soaked["out_h"] == pytest.approx(6 * 24 + 5 / 60 + 20, abs=0.01)
    assert soaked["mean_g_per_100g"]["likely"] < late["mean_g_per_100g"]["likely"]
    assert soaked["soak_h"]["likely"] < late["soak_h"]["likely"]


def test_pulled_in_time_needs_no_soak():
    stages = (Stage("rub", 2.0, add=SALTY), Stage("rest", 48.0))
    wish, excess = wish_of(even_dose(SLAB, stages), None)
    assert excess
    late = late_by_stages(SLAB, stages, forecast.wished_in_tissue(wish))
    assert late.soaks.whole.likely == 0
    assert late.per_day.likely > 1
    assert late_by_stages(SLAB, (Stage("pump", 0.0, add=mix({"salt": "50g", "water": "100g"})),), 0.0235) is None


def test_the_wish_of_the_tissue_is_where_an_equilibrium_cure_ends():
    left = forecast.curves(SLAB, 0.025, 4.0, days=1.0).left
    assert forecast.wished_in_tissue(0.025) * 100 == pytest.approx(left, rel=0.02)
