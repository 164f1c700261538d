"""Histories in a drawn cut: what must hold of any, the slab that becomes the plain history, and drying by another integrator."""

import json
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from ingle.crafts.cure import history_draw, history_surface, section_history, section_map
from ingle.crafts.cure.history_march import pass_through
from ingle.crafts.cure.history_stage import Record, Stage
from ingle.crafts.cure.history_told import after_of, looked
from ingle.crafts.cure.mix import mix
from ingle.crafts.cure.section_body import body_of
from ingle.crafts.cure.section_file import section_of, shipped_sections
from ingle.faces.cli.main import main
from ingle.ground.errors import IngleError
from ingle.jobs.section import drawing
from ingle.jobs.section_stages import section_by_stages
from ingle.physics import histories

D = 2.5e-10


def layers(*rows, width="40mm", goes_on=("left", "right")):
    made = [{"tissue": tissue, "thick": thick} for tissue, thick in rows]
    return section_of({"section": {"name": "s", "shape": "layers", "width": width, "goes_on": list(goes_on), "layers": made}})


SLAB = layers(("lean", "40mm"))
RUB = Stage("rub", 7 * 24.0, add=mix({"salt": "24g", "curing-salt@6.25%": "1.9g", "sugar": "10g", "saltpetre": "0.2g"}))
DRY = Stage("dry", 110.0, 12.0, humidity=0.8)
SIX = (RUB, Stage("rinse", 5 / 60, 8.0), Stage("soak", 1.0, 8.0), Stage("rest", 48.0), Stage("smoke", 8.0, 15.0), DRY)
HISTORIES = {
    "six stages": SIX,
    "drip poured, then dry": (
        Stage("rub", 72.0, add=mix({"salt": "40g"}), drip="poured"), Stage("rest", 48.0, humidity=0.85), Stage("dry", 72.0, 12.0, humidity=0.75),
    ),
    "pump, cover, soak": (
        Stage("pump", 0.0, add=mix({"salt": "10g", "water": "90g", "curing-salt@6.25%": "1.9g"})),
        Stage("immerse", 96.0, add=mix({"salt": "60g", "water": "940g"})), Stage("soak", 12.0, 6.0), Stage("rest", 72.0),
    ),
}  # fmt: skip


def taken(stages, section=SLAB, across=4, down=48, **more):
    return section_history.run(section, 1000.0, stages, across=across, down=down, **more)


@pytest.fixture(scope="module")
def belly():
    return taken(SIX, drawing("belly"), 48, 24)


def plain(stages, steps, cells=40):
    """The same member through the stages by the other engine: what each stage left, and where the piece is."""
    after, grid = [], histories.depth("slab", cells)
    raw = histories.fresh(grid, np.full(1, 0.74), 4)
    ended = lambda _, stage, hour, pieces: after.append(after_of(stage, hour, pieces))  # noqa: E731
    return after, pass_through(grid, raw, stages, 1000.0, section_history.likely(0.020, D), steps=steps, ended=ended)


@pytest.mark.parametrize("name", HISTORIES)
def test_a_lean_slab_drawn_in_layers_is_the_plain_history(name):
    """At 320 steps a stage, for at its usual 40 the plain history dries 0.3 to 1.5 points too much (its face dries in jumps).

    Cells here are 0.8 mm all through, there 0.1 mm at the face: salt within 1.5 %, weight within 0.3 points of green weight.
    """
    (after, one), two = plain(HISTORIES[name], 320), taken(HISTORIES[name], diffusivity=D)
    assert [a.mean_salt.likely for a in two.after] == pytest.approx([a.mean_salt.likely for a in after], rel=0.015)
    assert [a.change_pct.likely for a in two.after] == pytest.approx([a.change_pct.likely for a in after], abs=0.3)
    assert [a.brine_g_per_kg.likely for a in two.after] == pytest.approx([a.brine_g_per_kg.likely for a in after], abs=0.05)
    core, _, _, nitrite, _, _ = (float(v[0]) for v in looked(one.now))
    assert two.core[-1] == pytest.approx(core, rel=0.015)
    assert two.nitrite_core[-1] == pytest.approx(nitrite, rel=0.015)
    assert two.hardening == pytest.approx(max((float(c[0]) for c in one.crusts), default=0.0), abs=0.05)


def test_drying_is_that_of_another_integrator():
    """The same laws by scipy's BDF on 0.03 to 2 mm cells, water read at the outermost: loss within 1.5 % over 20 days."""
    stage = Stage("dry", 20 * 24.0, 12.0, humidity=0.75)
    drawn = section_history.likely(0.020, D)
    out = history_surface.drying_of(stage, 0.75, drawn, np.ones(1))
    d = float(history_draw.water_pace_of(stage, drawn)(0.0)[0]) * 0.020**2
    edges = np.concatenate([[0.0], np.cumsum(np.geomspace(0.03, 2.0, 60))])
    edges = (edges / edges[-1] * 0.020)[::-1]  # from the core (20 mm deep) to the face
    wide, middle = -np.diff(edges), (edges[1:] + edges[:-1]) / 2
    dry = 1070.0 * 0.26

    def change(_, per_dry):
        lets = dry * d * histories.open_to_pass(per_dry * dry, np.full_like(per_dry, dry))
        across = -np.diff(middle) / 2
        flow = -np.diff(per_dry) / (across / lets[:-1] + across / lets[1:])
        flow = np.concatenate([[0.0], flow, out(np.zeros(1), per_dry[-1:])])
        return -np.diff(flow) / (dry * wide)

    told = solve_ivp(change, (0.0, 20 * 86400.0), np.full(60, 0.74 / 0.26), method="BDF", rtol=1e-6, atol=1e-8)
    loss = 0.26 * (0.74 / 0.26 - np.dot(told.y[:, -1], wide) / 0.020) * 100
    assert loss > 10
    assert -taken((stage,), down=96, diffusivity=D).change_pct[-1] == pytest.approx(loss, rel=0.015)


@pytest.mark.parametrize("name", shipped_sections())
def test_every_substance_and_the_water_are_accounted_for(name):
    for stages in HISTORIES.values():
        told = taken(stages, drawing(name), 48, 24)
        assert told.closes < 1e-9
        assert told.water_closes < 1e-9


def test_fields_stay_within_what_was_put_on(belly):
    for frame in belly.frames:
        salt = frame.water_phase_salt[np.isfinite(frame.water_phase_salt)]
        assert salt.min() >= 0
        assert salt.max() < 26.4  # saturated brine at 4 to 15 C, 35.8 g per 100 g water (CRC Handbook)
        assert (np.isfinite(frame.salt) == ((belly.map.tissue == 1) | (belly.map.tissue == 2))).all()
        activity = frame.water_activity[np.isfinite(frame.water_activity)]
        assert 0.75 < activity.min() <= activity.max() < 1.0
        assert frame.salt == pytest.approx(frame.salt[:, ::-1], rel=2e-3, abs=2e-3, nan_ok=True)  # the belly is its own mirror image


def test_what_is_told_of_a_place_is_what_the_fields_hold_there(belly):
    last = belly.frames[-1]
    for place, tissues in ((belly.worst, (1, 2)), (belly.worst_lean, (1,))):
        column, row = (int(np.searchsorted(edges, mm / 1000) - 1) for mm, edges in zip(place.place_mm, (belly.map.x_m, belly.map.y_m), strict=True))
        assert belly.map.tissue[row, column] == {"lean": 1, "fat": 2}[place.tissue]
        among = np.where(np.isin(belly.map.tissue, tissues), last.water_phase_salt, np.inf)
        assert place.water_phase_salt_pct == last.water_phase_salt[row, column] == among.min()
        assert place.water_activity == last.water_activity[row, column]
        assert place.nitrite_mg_per_kg == last.nitrite[row, column]
    assert belly.worst_lean.water_phase_salt_pct < 0.5 * belly.lean[-1]  # behind fat and far from the sides
    assert 17 < belly.worst_lean.place_mm[1] < 28  # the inner lean of the shipped drawing
    assert belly.core_place_mm == pytest.approx(belly.worst_lean.place_mm, abs=4)


def test_more_cells_and_steps_change_little(monkeypatch):
    coarse = taken(SIX, drawing("collar"), 48, 36)
    monkeypatch.setattr(section_history, "STEPS", 60)
    fine = taken(SIX, drawing("collar"), 96, 71)
    assert coarse.lean[-1] == pytest.approx(fine.lean[-1], rel=0.02)
    assert coarse.core[-1] == pytest.approx(fine.core[-1], rel=0.06)  # on another cell of a steep field
    assert coarse.change_pct[-1] == pytest.approx(fine.change_pct[-1], abs=0.3)


def test_directions():
    cold, warm = (taken((Stage("rub", 96.0, t, add=RUB.add),)).core[-1] for t in (2.0, 8.0))
    assert warm > cold
    kept, poured = (taken((Stage("rub", 12.0, add=RUB.add, drip=d), Stage("rest", 96.0))).whole[-1] for d in ("kept", "poured"))
    assert poured < kept
    moist, dry = (taken((Stage("dry", 96.0, 12.0, humidity=h),)).change_pct[-1] for h in (0.9, 0.7))
    assert dry < moist < 0
    fat = layers(("fat", "5mm"), ("lean", "30mm"), ("fat", "5mm"))
    assert taken((DRY,)).change_pct[-1] < taken((DRY,), fat).change_pct[-1] < 0  # fat lets little water out
    assert taken((RUB,)).core[-1] > taken((RUB,), fat).core[-1]
    split = (Stage("rub", 48.0, add=RUB.add), Stage("rub", 120.0))
    assert taken(split).core[-1] == pytest.approx(taken((RUB,)).core[-1], rel=0.01)


def test_water_that_is_drunk_brings_its_salt_in_by_the_wet_faces():
    """Half a day in weak pickle: weight is gained, and 20 mm deep there is nothing yet (erfc of 20 mm / 6.6 mm is 2e-5)."""
    told = taken((Stage("immerse", 12.0, add=mix({"salt": "60g", "water": "940g"})),), diffusivity=D)
    assert told.change_pct[-1] > 1
    assert told.core[-1] < 0.002


def test_a_pump_fills_the_lean_alone_and_evenly():
    told = taken((Stage("pump", 0.0, add=mix({"salt": "20g", "water": "80g"})),), drawing("belly"), 48, 24)
    assert told.fat[-1] == 0
    lean = told.frames[0].salt[told.map.tissue == 1]
    assert np.ptp(lean) < 1e-12
    assert told.whole[-1] == pytest.approx(100 * 20 / 1100)


def test_nitrite_fades_by_its_half_life_and_nitrate_stays():
    told = taken((Stage("pump", 0.0, add=mix({"curing-salt@6.25%": "1.9g", "water": "50g"})), Stage("rest", 14 * 24.0)))
    assert 0.4 < told.nitrite_core[-1] / told.nitrite_core[1] < 0.65  # Nordin 1969 (memory): half gone in 13 to 16 days at 4 C


def test_a_rind_thinner_than_a_cell_shuts_and_a_record_counts():
    skin = taken((RUB,), layers(("lean", "30mm"), ("rind", "0.4mm")))
    end = taken((RUB,), layers(("lean", "30mm"), goes_on=("left", "right", "bottom")))
    assert skin.core[-1] == pytest.approx(end.core[-1], rel=0.03)
    cool = Record(np.array([0.0, 168.0]), np.array([8.0, 8.0]))
    by_record = taken((Stage("rub", 168.0, record=cool, add=RUB.add),))
    assert by_record.core[-1] == pytest.approx(taken((Stage("rub", 168.0, 8.0, add=RUB.add),)).core[-1], rel=1e-6)


def test_path_faces_and_matter_are_those_of_the_drawing():
    """The path of a slab of two open faces is its half, of one its whole thickness."""
    for section, path in ((SLAB, 20.0), (layers(("lean", "30mm"), goes_on=("left", "right", "top")), 30.0)):
        body = body_of(section_map.tissue_map(section, 4, 48))
        assert body.path_m * 1000 == pytest.approx(path, rel=0.01)
        assert body.water.sum() + body.holds.sum() + body.lipid.sum() == pytest.approx(1.0)
    a, b = 57.5, 42.5  # the collar is an ellipse of 115 by 85 mm: its rim by Ramanujan 1914, not by the steps of its cells
    rim = np.pi * (3 * (a + b) - np.sqrt((3 * a + b) * (a + 3 * b)))
    assert body_of(section_map.tissue_map(drawing("collar"), 48)).face_m.sum() * 1000 == pytest.approx(rim, rel=1e-3)
    fat = body_of(section_map.tissue_map(drawing("belly"), 48, 24))
    raw = (fat.holds / (fat.water + fat.holds + fat.lipid))[~fat.lean][0]
    assert raw == pytest.approx(0.0292, abs=0.003)  # protein of back fat, USDA NDB 10004: 2.92 % (memory)


@pytest.mark.parametrize(
    "call",
    [
        lambda: taken(()),
        lambda: taken((Stage("rub", 24.0, -8.0, add=RUB.add),)),
        lambda: taken((RUB,), layers(("lean", "40mm"), goes_on=("left", "right", "top", "bottom"))),
        lambda: taken((RUB,), layers(("fat", "40mm"))),
        lambda: taken((RUB,), across=1),
        lambda: section_history.run(SLAB, 0.0, (RUB,), across=4),
    ],
)
def test_refusals(call):
    with pytest.raises(IngleError) as caught:
        call()
    assert caught.value.field
    assert caught.value.remedy


FILE = """
[piece]
weight = "1.1kg"
[[stage]]
kind = "rub"
lasts = "3d"
add = { salt = "24g", "curing-salt@6.25%" = "1.9g" }
[[stage]]
kind = "dry"
lasts = "1d"
temperature = "12C"
humidity = "75%"
"""


def test_the_command_tells_and_draws(tmp_path, capsys):
    (tmp_path / "h.toml").write_text(FILE)
    words = ["cure", "--section", "belly", "--stages", str(tmp_path / "h.toml")]
    assert main([*words, "--chart", str(tmp_path / "c.svg")]) == 0
    out = capsys.readouterr().out
    assert "Least salt in the water of the lean" in out
    assert "assumed: the rind is 7 % of the weight, by the drawing" in out
    assert all(len(line) <= 80 for line in out.splitlines() if not line.startswith("drawn:"))
    texts = [e.text for e in ET.fromstring((tmp_path / "c.svg").read_text()).iter() if e.tag.endswith("text")]
    assert "rub, 3 d" in texts
    assert "dry, 4 d" in texts
    assert main([*words, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [f["kind"] for f in told["frames"]] == ["rub", "dry"]
    assert told["base_g"] == pytest.approx(1100 * (1 - 3 * 1050 / (20 * 1070 + 22 * 940 + 3 * 1050)), rel=1e-6)  # by its layers
    assert told["closes"] < 1e-9
    assert told["curve"][-1]["core"] == pytest.approx(section_by_stages("belly", tmp_path / "h.toml").told.core[-1])
    assert main([*words, "--plain"]) == 0
    assert [line.split("\t")[0] for line in capsys.readouterr().out.splitlines()] == ["rub", "dry"]


@pytest.mark.parametrize(
    ("section", "old", "new", "more", "field"),
    [
        ("collar", 'weight = "1.1kg"', 'weight = "1.1kg"\nskin = "one-face"', [], "piece.skin"),
        ("belly", 'weight = "1.1kg"', 'weight = "1.1kg"\nthickness = "80mm"', [], "piece.thickness"),
        ("belly", "", "", ["--add", "salt=3g"], "add"),
        ("belly", "", "", ["--weight", "2kg"], "weight"),
        ("nose", "", "", [], "section"),
        ("belly", 'humidity = "75%"', "", [], "humidity"),
        ("belly", 'lasts = "3d"', 'lasts = "3"', [], "stage[0].lasts"),
        ("belly", "", "", ["--chart", "c.bmp"], "chart"),
    ],
)
def test_what_does_not_fit_is_answered(tmp_path, capsys, section, old, new, more, field):
    (tmp_path / "h.toml").write_text(FILE.replace(old, new) if old else FILE)
    assert main(["cure", "--section", section, "--stages", str(tmp_path / "h.toml"), "--json", *more]) in (1, 2)
    told = json.loads(capsys.readouterr().out)
    assert told["field"] == field
    assert told["remedy"]
