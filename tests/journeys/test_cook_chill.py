"""``ingle cook`` and ``ingle chill`` as a person calls them."""

import json
import shlex
import subprocess
import sys

import numpy as np
import pytest
from pytest import approx

COOK = "cook --part collar --weight 1.3kg --thickness 70mm --oven 160C --fan --core 71C"
CHILL = "chill --part ham --weight 1.5kg --thickness 70mm --start 72C --air 4C --fan"


def test_the_roast_by_its_physical_numbers(call):
    code, out, _ = call(
        "cook --shape cylinder --diameter 100mm --length 200mm --oven 110C --start 4C --core 68C --h 25 --conductivity 0.45"
        " --density 1070 --specific-heat 3500 --json"
    )
    told = json.loads(out)
    assert code in (0, 3)
    assert told["time_to_core_s"] == approx(8381.34, rel=1e-5)
    assert told["time_to_core_low_s"] < told["time_to_core_s"] < told["time_to_core_high_s"]
    assert {"s", "core", "surface", "mean"} <= set(told["curve"][0]) and told["curve"][-1]["core"] == approx(68.0, abs=1e-3)
    assert {"rule", "log10", "required", "level"} <= set(told["lethality"][0])
    assert told["basis"].startswith("closed form") and told["weight_loss"] is None


def test_a_slab_is_chilled_by_every_rule(call):
    code, out, _ = call("chill --shape slab --thickness 80mm --start 72C --air 3C --h 15 --json")
    told = json.loads(out)
    assert code == 3 and told["level"] == "over"
    for stage in told["stages"]:
        assert {"rule", "clause", "from_c", "to_c", "allowed_s", "taken_s", "level", "not_checked"} <= set(stage)
    assert told["remedies"][0]["level"] == "within"
    ranks = [{"within": 0, "cannot_say": 1, "near": 2, "over": 3}[r["level"]] for r in told["remedies"]]
    assert ranks == sorted(ranks)


def test_a_start_that_no_cook_left_starts_no_clock_and_says_so(call):
    """20 C all through: no clock from 54.4 C begins; told how it came there, the hours count or another rule does."""
    words = "chill --part ham --weight 2kg --thickness 90mm --start 20C"
    code, out, _ = call(words)
    assert code == 4 and "their clocks do not begin" in " ".join(out.split()) and "All told: cannot say" in out and "OVER" not in out
    assert call(words + " --cooked")[0] == 3
    code, out, _ = call(words + " --never-cooked --json")
    assert code == 3 and {s["rule"] for s in json.loads(out)["stages"]} == {"fda-b", "gb-8c"}
    assert "do not begin" not in call(words.replace("20C", "72C"))[1]


def test_the_remedy_that_is_named_helps_when_it_is_done(call):
    """Re-judge after the advice: sliced, in ice and water, then the fridge."""
    _, out, _ = call("chill --shape slab --thickness 80mm --start 72C --air 3C --h 15 --json")
    best = json.loads(out)["remedies"][0]
    assert "25 mm" in best["act"] and "ice" in best["act"]
    code, out, _ = call("chill --shape slab --thickness 25mm --start 72C --first ice-bath=0C,1h --air 3C --h 15 --json")
    assert code == 0 and json.loads(out)["level"] in ("within", "near")


def test_a_cook_in_words_tells_what_it_took(call):
    code, out, _ = call(COOK + " --rest 20min --json")
    told = json.loads(out)
    assert code == 0
    assert told["time_to_core_low_s"] < told["time_to_core_s"] < told["time_to_core_high_s"]
    assert told["pull_early"]["core_c"] < 71 and told["pull_early"]["s"] < told["time_to_core_s"]
    assert told["weight_loss"]["drip"] == "not modelled" and 0.05 < told["weight_loss"]["likely"] < 0.3
    assert {a["sure"] for a in told["assumed"]} <= {"quoted", "memory", "derived", "common practice"}
    assert told["heat_account_closes_to"] < 1e-6
    assert [s["kind"] for s in told["stages"]] == ["oven", "rest"]


@pytest.mark.parametrize("line", [COOK + " --rest 20min", CHILL, "chill --liquid still --diameter 240mm --depth 120mm --start 95C",
                                  "cook --part poultry --weight 1.8kg --shape sphere --smoker 110C --core 74C"])  # fmt: skip
def test_the_text_fits_80_columns_and_is_plain(call, line):
    _, out, _ = call(line)
    assert max(len(ln) for ln in out.splitlines()) <= 80 and out.isascii()
    for word in ("within", "not checked"):
        assert word in out


@pytest.mark.parametrize("kind", ["svg", "png", "html"])
def test_pictures_are_written(call, tmp_path, kind):
    for line in (COOK, "chill --shape slab --thickness 60mm --start 72C --air 3C --h 15"):
        path = tmp_path / f"p.{kind}"
        call(f"{line} --chart {path}")
        data = path.read_bytes()
        assert len(data) > 2000
        if kind == "svg":
            text = data.decode()
            assert all(f'class="{what}"' in text for what in ("core", "surface", "mean", "band")) and "<desc" in text


def test_a_picture_of_no_kind_is_refused(call, tmp_path):
    code, _, err = call(f"{COOK} --chart {tmp_path / 'p.bmp'}")
    assert code == 2 and ".svg" in err


def test_stages_from_a_file(call, tmp_path):
    (tmp_path / "air.csv").write_text("s,celsius\n0,150\n1800,220\n3600,220\n", encoding="utf-8")
    path = tmp_path / "roast.toml"
    path.write_text(
        '[piece]\npart = "shoulder"\nweight = "2kg"\nthickness = "90mm"\nstart = "5C"\n'
        '[[stage]]\nkind = "oven"\nrecord = "air.csv"\nlasts = "30min"\n'
        '[[stage]]\nkind = "oven"\ntemperature = "160C"\ncore = "70C"\nfan = true\non = "rack"\n'
        '[[stage]]\nkind = "rest"\nlasts = "20min"\nwrapped = true\n',
        encoding="utf-8",
    )
    code, out, _ = call(f"cook --stages {path} --json")
    told = json.loads(out)
    assert code in (0, 3) and [s["kind"] for s in told["stages"]] == ["oven", "oven", "rest"]
    assert told["stages"][0]["ends_s"] == 1800 and told["start_c"] == 5
    assert told["time_to_core_s"] == approx(told["stages"][1]["ends_s"])


@pytest.mark.parametrize(
    ("spoilt", "field"),
    [
        ('kind = "oven"\ntemperature = "160C"', "stage[0].lasts"),
        ('kind = "ovn"\nlasts = "1h"', "stage[0].kind"),
        ('kind = "oven"\nlasts = "1h"', "stage[0].temperature"),
        ('kind = "oven"\ntemperature = "160C"\nlasts = "1h"\nfan = "yes"', "stage[0].fan"),
        ('kind = "oven"\ntemperature = 160\nlasts = "1h"', "stage[0].temperature"),
        ('kind = "oven"\ntemperature = "160C"\nlasts = "1h"\nheatup = "5min"', "stage[0].heatup"),
        ('kind = "oven"\nrecord = "no.csv"\nlasts = "1h"', "stage[0].record"),
    ],
)
def test_a_spoilt_file_names_its_place(call, tmp_path, spoilt, field):
    path = tmp_path / "roast.toml"
    path.write_text(f'[piece]\nweight = "1kg"\nthickness = "60mm"\n[[stage]]\n{spoilt}\n', encoding="utf-8")
    code, out, _ = call(f"cook --stages {path} --json")
    assert code == 2 and json.loads(out)["field"] == field


@pytest.mark.parametrize(
    ("line", "field"),
    [
        (COOK.replace("160C", "350C"), "oven"), (COOK.replace("160C", "65C"), "core"), (COOK.replace("71C", "120C"), "core"),
        (COOK + " --start 80C", "start"), (COOK + " --start=-300C", "start"), (COOK.replace("160C", "160"), "oven"),
        (COOK + " --h 25mm", "h"), (COOK + " --h 5000", "h"), (COOK + " --probe-depth 60mm", "probe-depth"),
        (COOK.replace("--oven 160C", ""), "oven"), (COOK + " --smoker 110C", "oven"), (COOK.replace("--core 71C", ""), "core"),
        (COOK.replace("--thickness 70mm", "--thickness 90mm --width 80mm"), "thickness"), (COOK + " --conductivity -1", "conductivity"),
        (CHILL.replace("--air 4C", "--air 39C"), "air"), (CHILL.replace("--air 4C", "--air 90C"), "air"),
        (CHILL.replace("--start 72C", "--start 162C"), "start"), (CHILL.replace("--start 72C", ""), "start"),
        (CHILL + " --first ice-bath", "first"), ("chill --liquid still --diameter 200mm --start 90C", "depth"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_its_field(call, line, field):
    code, out, err = call(line + " --json")
    told = json.loads(out)
    assert code == 2 and told["field"] == field and told["remedy"] and "Traceback" not in err


def test_a_fridge_at_39_f_is_read_and_at_39_c_is_asked(call):
    assert call(CHILL.replace("--air 4C", "--air 39F") + " --json")[0] in (0, 3)
    assert "Fahrenheit" in call(CHILL.replace("--air 4C", "--air 39C"))[2] or "39 F" in call(CHILL.replace("--air 4C", "--air 39C"))[2]


def test_a_core_that_stalls_is_told_with_its_plateau(call):
    _, out, _ = call("cook --part collar --weight 1.3kg --thickness 70mm --oven 80C --still --core 78C --json")
    told = json.loads(out)
    assert told["time_to_core_s"] is None and 65 < told["plateau_c"] < 78


def test_a_log_is_judged(call, tmp_path):
    t = np.arange(0, 9 * 3600, 300)
    fast = 3 + 69 * np.exp(-t / 4500.0)
    path = tmp_path / "log.csv"

    def write(head, values):
        path.write_text(head + "\n" + "\n".join(f"{s},{v}" for s, v in zip(t, values, strict=True)), encoding="utf-8")

    write("s,temperature_c", [f"{v:.2f}" for v in fast])
    code, out, _ = call(f"chill --log {path} --rules us --json")
    quick = json.loads(out)
    assert code == 0 and quick["log"]["lost"] == 0
    write("s,temperature_f", [f"{v * 1.8 + 32:.2f}" for v in fast])
    assert json.loads(call(f"chill --log {path} --rules us --json")[1])["level"] == quick["level"]
    write("s,temperature_c", ["--" if 20 < i < 40 else f"{v:.2f}" for i, v in enumerate(fast)])
    holed = json.loads(call(f"chill --log {path} --rules us --json")[1])
    assert holed["log"]["lost"] == 19 and holed["level"] != "within"
    write("s,temperature_c", [f"{v:.2f}" for v in 3 + 69 * np.exp(-t / 12000.0)])
    assert call(f"chill --log {path} --rules us")[0] == 3


def test_a_log_that_jumps_is_asked_and_a_still_probe_believed(call, tmp_path):
    t = np.arange(0, 8 * 3600, 300)
    c = 3 + 69 * np.exp(-t / 12000)
    c[18:22] = 4.0
    log = tmp_path / "core.csv"
    log.write_text("time,temperature_c\n" + "\n".join(f"{a},{b:.2f}" for a, b in zip(t, c, strict=True)), encoding="utf-8")
    code, out, _ = call(f"chill --log {log} --thickness 90mm")
    assert code in (3, 4) and "4 readings of 4.0 C" in " ".join(out.split()) and "nobody moved the probe" in " ".join(out.split())
    assert all(len(line) <= 80 for line in out.splitlines())
    told = json.loads(call(f"chill --log {log} --thickness 90mm --json")[1])
    assert told["log"]["marked"] == [{"from_s": 5400.0, "to_s": 6300.0, "readings": 4, "lowest_c": 4.0, "highest_c": 4.0}]
    still = json.loads(call(f"chill --log {log} --probe-still --json")[1])
    assert still["log"]["marked"] == [] and {s["level"] for s in still["stages"]} != {s["level"] for s in told["stages"]}


@pytest.mark.parametrize(
    "text", ["", "time,celsius\n1,2\n", "s,temperature_c\n0,70\n0,60\n10,50\n", "s,temperature_c\n0,70\n10,hot\n20,50\n", "s,temperature_c\n0,70\n"]
)
def test_a_broken_log_is_refused(call, tmp_path, text):
    path = tmp_path / "log.csv"
    path.write_text(text, encoding="utf-8")
    code, out, _ = call(f"chill --log {path} --json")
    assert code == 2 and json.loads(out)["field"] == "log"


def test_more_facts_open_slower_rules(call):
    plain = json.loads(call(CHILL + " --rules us --json")[1])
    cured = json.loads(call(CHILL + " --rules us --nitrite 120 --brine 3.5% --ascorbate --intact --json")[1])
    assert {s["rule"] for s in cured["stages"]} > {s["rule"] for s in plain["stages"]}


def test_a_stirred_pot_cools_sooner_than_a_still_one(call):
    stirred, still = (
        json.loads(call(f"chill --liquid {how} --diameter 240mm --depth 120mm --start 95C --json")[1])["to_5c_s"] for how in ("well-mixed", "still")
    )
    assert stirred < 0.8 * still


def test_nothing_heavy_is_loaded_for_a_cook():
    heavy = "numba,scipy,pint,sqlalchemy,ortools,typst,jinja2"
    code = (
        "import sys; from ingle.faces.cli.main import main\n"
        f"main({shlex.split(COOK + ' --json')!r})\n"
        f"print([m for m in {heavy.split(',')!r} if m in sys.modules], file=sys.stderr)"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stderr.strip().splitlines()[-1] == "[]"


def test_a_programme_that_ends_in_the_cold_is_judged_for_both(call, tmp_path):
    path = tmp_path / "ham.toml"
    path.write_text(
        '[piece]\npart = "leg"\nweight = "1.5kg"\nthickness = "70mm"\n'
        '[[stage]]\nkind = "smoker"\ntemperature = "75C"\nwet_bulb = "65C"\ncore = "68C"\n'
        '[[stage]]\nkind = "ice-bath"\nlasts = "1h"\n[[stage]]\nkind = "fridge"\nlasts = "8h"\n',
        encoding="utf-8",
    )
    code, out, _ = call(f"cook --stages {path} --json")
    told = json.loads(out)
    assert told["lethality"] and {s["rule"] for s in told["cooling"]} and code in (0, 3)
    start = next(s for s in told["cooling"] if s["from_c"] is not None and s["allowed_s"])
    assert start["taken_s"] > 0


def test_humidity_above_boiling_is_given_by_a_wet_bulb(call):
    code, _, err = call(COOK + " --humidity 30%")
    assert code == 2 and "wet bulb" in err


def test_humid_air_cooks_sooner_and_more_so_in_a_cool_oven(call):
    """Gredell et al.: humidity cut the time of cooking strongly, more at 80 than at 204 C."""

    def saved(oven, dry, wet):
        line = COOK.replace("160C", f"{oven}C").replace("71C", "62C")
        slow, quick = (json.loads(call(f"{line} --wet-bulb {t}C --json")[1])["time_to_core_s"] for t in (dry, wet))
        return 1.0 - quick / slow

    cool, hot = saved(80, 35, 70), saved(204, 50, 85)
    assert cool > 0.25 and hot > 0.03 and cool > 2 * hot


def test_a_probe_near_the_face_reads_more_than_the_core(call):
    told = json.loads(call(COOK + " --probe-depth 15mm --json")[1])
    assert all(row["core"] - 0.05 <= row["probe"] <= row["surface"] + 0.6 for row in told["curve"][20:])
    assert "probe at its depth" in call(COOK + " --probe-depth 15mm")[1]


@pytest.mark.parametrize("option", ["--probe-error 1.2.3C", "--probe-error .C", "--offset 1..5C", "--h 2.5.1", "--density ..", "--conductivity 1e"])
def test_a_number_with_two_points_is_asked_and_no_traceback(call, option):
    code, out, err = call(f"{COOK} {option}")
    assert code == 2 and not out
    assert err.startswith("BadBrief") and "Write it like" in err


def test_a_difference_is_read_alike_in_every_scale(call):
    told = [json.loads(call(f"{COOK} --offset {said} --json")[1])["time_to_core_s"] for said in ("5C", "5K", "9F", "+5.0C")]
    assert told[1:] == approx([told[0]] * 3)
