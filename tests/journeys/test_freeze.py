"""``ingle chill --freezer``: pork frozen against trichinae, in a cook's words and from a log."""

import json

import numpy as np
import pytest

WORDS = "chill --freezer -20C --days 20 --thickness 5cm"


def test_twenty_days_at_minus_twenty(call):
    """9 CFR 318.10 table 1: to 6 in thick, 20 d at 5 F (-15 C)."""
    code, out, _ = call(WORDS)
    told = " ".join(out.split())
    assert json.loads(call(WORDS + " --json")[1])["not_needed"] == ["eu-trichinella-1-thin"]
    assert code == 0 and all(len(line) <= 80 for line in out.splitlines())
    assert "All told, Trichinella spiralis in pork: within" in told and "not needed" in told
    for said in ("318.10(c)(2), Table 1, group 1", "Annex II, B, freezing method 2 [memory]", "kinds of Trichinella that bear frost", "toxoplasma",
                 "frost halts them, and most live on", "no country was named", "chilled to 40 F"):  # fmt: skip
        assert said in told, said


@pytest.mark.parametrize(("words", "code", "level"), [
    ("--freezer -15C --days 20 --thickness 15cm", 0, "within"), ("--freezer -15C --days 19.9 --thickness 15cm", 3, "over"),
    ("--freezer -14.9C --days 40 --thickness 15cm", 3, "over"), ("--freezer -15C --days 20 --thickness 16cm", 3, "over"),
    ("--freezer -15C --days 30 --thickness 16cm", 0, "within"), ("--freezer -15C --days 20", 3, "over"), ("--freezer -15C --days 30", 0, "within"),
    ("--freezer -10F --days 10 --thickness 6in --rules us", 0, "within"), ("--freezer -15C --days 20 --thickness 5cm --probe-error 1C", 0, "near"),
    ("--freezer -18C --days 60 --thickness 5cm --game", 4, "cannot_say"),
])  # fmt: skip
def test_just_below_at_and_above_the_rows(call, words, code, level):
    got, out, _ = call(f"chill {words} --json")
    told = json.loads(out)
    assert (got, told["level"]) == (code, level)
    assert all({"rule", "level", "value", "limit", "clause", "sure", "country", "not_checked"} <= set(v) for v in told["freezing"])


@pytest.mark.parametrize(("words", "field"), [
    ("--freezer 20C --days 20", "freezer"), ("--freezer -20 --days 20", "freezer"), ("--freezer -20C", "days"), ("--freezer -20C --days 0", "days"),
    ("--freezer -20C --days 20 --thickness 2m", "thickness_mm"), ("--freezer room", "log"), ("--days 20", "days"), ("--game", "game"),
])  # fmt: skip
def test_refused_with_its_field(call, words, field):
    code, out, _ = call(f"chill {words} --json")
    assert code == 2 and json.loads(out)["field"] == field


def log_of(path, celsius, step=1800.0):
    path.write_text("time,temperature_c\n" + "\n".join(f"{i * step:.0f},{c:.2f}" for i, c in enumerate(celsius)), encoding="utf-8")
    return path


def test_a_log_of_the_room_and_of_the_core(call, tmp_path):
    down = -18.0 + 22.0 * np.exp(-np.arange(21 * 48) / 10.0)
    log = log_of(tmp_path / "room.csv", down)
    code, out, _ = call(f"chill --freezer room --log {log} --thickness 5cm --json")
    told = json.loads(out)
    assert code == 0 and told["log"]["readings"] == 21 * 48 and {v["rule"] for v in told["freezing"]} >= {"trichinae-freeze-thin", "eu-trichinella-2-thin"}
    code, out, _ = call(f"chill --freezer core --log {log} --thickness 5cm --json")
    told = {v["rule"]: v["level"] for v in json.loads(out)["freezing"]}
    assert told["trichinae-freeze-core"] == told["kotula-freeze-core"] == "within"  # -17.8 C for 106 h; 63 h at -15 C
    assert call(f"chill --freezer -18C --log {log}")[0] == 2


def test_a_thaw_breaks_the_stretch_and_a_failed_logger_is_asked(call, tmp_path):
    held = np.full(22 * 48, -18.0)
    thawed = held.copy()
    thawed[400:440] = -3.0
    code, out, _ = call(f"chill --freezer room --log {log_of(tmp_path / 'a.csv', thawed)} --thickness 5cm")
    assert code == 3 and "whether the meat thawed when the air came warmer than" in " ".join(out.split())
    failed = held.copy()
    failed[400:403] = 85.0
    code, out, _ = call(f"chill --freezer room --log {log_of(tmp_path / 'b.csv', failed)} --thickness 5cm")
    assert code == 4 and "3 readings that no air of a cold place shows" in " ".join(out.split())
