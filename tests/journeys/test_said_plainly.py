"""What commands print is what people say: rules by their titles and not by their keys, times without decimals of an hour, units in words."""

import re
from pathlib import Path

import numpy as np
import pytest

from ingle.ground import tables

NIGHT = tables.data_path("examples", "disaster", "night.csv")
COLLAR = tables.data_path("examples", "disaster", "collar.toml")
LINES = (
    "chill --part ham --weight 2kg --thickness 90mm --start 72C --air 4C --nitrite 150 --brine 3.5%", "chill --freezer -16C --days 12 --thickness 5cm",
    "chill --log cool.csv --thickness 150mm", "cook --part collar --weight 1.3kg --thickness 70mm --oven 160C --fan --core 71C --rest 20min",
    "judge --weight 1kg --add salt=50g --add curing-salt@6.25%=2.5g --thickness 50mm --days 6", f"keep --part collar --record {NIGHT}",
    f"mishap --stages {COLLAR} --after 3d --fridge-off 9h --found 14C", "crackle --weight 180g --thickness 3mm --fridge 12h --oven 220C,20min --oven 180C,60min",
    "read cool.csv --limits cooling --probe temperature=core --zone UTC --thickness 150mm",
)  # fmt: skip
FILES = ("cooling", "freezing", "lethality", "exposure", "hurdles", "growth", "keeping", "smoke", "mishap", "holding")
KEYS = {key for file in FILES for key in tables.toml_table("limits", f"{file}.toml") if re.search(r"[-_]", key)}
DECIMAL_TIME = re.compile(r"\d[.,]\d+ (?:h|min|d)\b")
SPELT = re.compile(r"degC|log10|\b[a-z]+_[a-z_]+\b")


@pytest.fixture
def cool(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A core that cools over a night, its probe moved for half an hour."""
    minutes = np.arange(0, 750, 5)
    core = 4 + 68 * np.exp(-minutes / 117.0)
    core[60:66] = 18.0
    rows = [f"2026-02-01T{m // 60:02d}:{m % 60:02d}:00+00:00,{c:.1f}" for m, c in zip(minutes, core, strict=True)]
    (tmp_path / "cool.csv").write_text("time,temperature_c\n" + "\n".join(rows) + "\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("INGLE_NOTEBOOK", raising=False)


@pytest.mark.usefixtures("cool")
@pytest.mark.parametrize("line", LINES, ids=lambda line: " ".join(line.split()[:2]))
def test_no_key_no_decimal_hour_and_no_spelling_of_the_data(call, line):
    code, out, err = call(line)
    assert code in (0, 3, 4), err
    told = " ".join(out.replace("time | temperature_c", "").split())  # rows of a file stand as they are
    assert len(told) > 300 and max(map(len, out.splitlines())) <= 80
    assert [key for key in KEYS if re.search(rf"(?<![\w-]){re.escape(key)}(?![\w-])", told)] == []
    assert DECIMAL_TIME.findall(told) == [] and SPELT.findall(told) == []


def test_a_source_is_told_by_what_it_is_about_and_its_key_stands_last(call):
    out = call("sources fridge advised")[1].splitlines()
    assert out[0] == "fridge, advised" and out[1].strip() == "at most 5 C" and "(holding.gb-advice)" in [line.strip() for line in out]
    assert "at most 29.4 C" in call("sources smoke home")[1] and "degC" not in call("sources smoke")[1]
    assert "1 record: " in call("sources nitrite half")[1]


def test_an_hour_of_heat_and_half_a_minute_are_said_so(call):
    told = " ".join(call(LINES[3])[1].split())
    assert "49 min, at most 6 h" in told and "at least 30 s" in told and "meat, 6.5 log Salmonella" in told
    assert "OVER, by uncured cooked meat, longest (GB)" in " ".join(call("chill --part ham --weight 2kg --thickness 90mm --start 72C --air 4C")[1].split())
