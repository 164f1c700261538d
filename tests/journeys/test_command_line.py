"""The commands as a person calls them: exits, JSON, 80 columns, errors without traceback, cheap starts."""

import json
import os
import shlex
import subprocess
import sys

import pytest

from ingle.faces.cli import main as door
from ingle.faces.cli.main import COMMANDS, cli, main

INGLE = [sys.executable, "-m", "ingle"]


def test_weigh_with_the_keys_of_its_schema(call):
    code, out, _ = call("weigh --weight 1.38kg --salt 2.5% --nitrite 118 --curing-salt 6.25% --sugar 1% --rules us,eu --json")
    told = json.loads(out)
    assert code == 0
    assert told["grams"] == {"salt": 32.1, "curing_salt": 2.6, "sugar": 13.8}
    assert told["ingoing"]["sodium_nitrite_mg_per_kg"] == pytest.approx(2.6 * 0.0625 / 1.38 * 1000)
    assert told["salt_per_green_weight"] == pytest.approx((32.1 + 2.6 * 0.9375) / 1380)
    assert {"rule", "clause", "level", "value", "limit", "unit"} <= set(told["verdicts"][0])
    assert {v["country"] for v in told["verdicts"]} == {"us", "eu"}


def test_judge_with_the_keys_of_its_schema(call):
    code, out, _ = call("judge --weight 1kg --add salt=50g --add curing-salt@6.25%=2.5g --add sugar=50g --thickness 50mm --temperature 4C --days 6 --json")
    told = json.loads(out)
    assert code == 3
    assert told["ingoing"]["sodium_nitrite_mg_per_kg"] == pytest.approx(156.25)
    forecast = told["forecast"]
    for key in ("core_salt_g_per_100g", "mean_salt_g_per_100g"):
        assert forecast[key + "_low"] < forecast[key] < forecast[key + "_high"]


def test_cure_answers_with_a_window_and_a_curve(call):
    code, out, _ = call("cure --weight 1.284kg --thickness 40mm --add salt=32g --temperature 4C --json")
    told = json.loads(out)
    assert code == 0
    assert told["window_h"]["earliest"] < told["window_h"]["likely"] < told["window_h"]["latest"]
    assert {"h", "core", "mean", "surface"} <= set(told["curve"][0])


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("weigh --weight 1kg --curing-salt 6.25% --rules gb", 0),
        ("judge --weight 1kg --add salt=25g --add curing-salt@6.25%=4g --rules gb", 3),
        ("judge --weight 1kg --add salt=25g --add curing-salt@6.25%=1.9g --rules anz", 4),
        ("judge --weight 1kg --add 'curing-salt@6.25%=1/4 tsp'", 1),
        ("judge --weight 1kg --add sodium-nitrite=1g", 1),
        ("judge --weight 1kg --add curing-salt@6.25%=25g", 1),
        ("weigh --weight 1kg --nitrite 1200 --curing-salt 6.25%", 1),
        ("weigh --weight 1kg", 2),
        ("weigh", 2),
        ("stew", 2),
        ("weigh --weight '1.380 g' --curing-salt 6.25%", 2),
        ("plan no-such-brief.toml", 2),
        ("sources no-such-word-in-any-record", 2),
    ],
    ids=str,
)
def test_exit_codes(call, line, code):
    assert call(line)[0] == code


def test_a_piece_that_was_not_measured_is_timed_by_its_weight_and_said_so(call):
    code, out, _ = call("cure --weight 1kg --add salt=25g")
    assert code == 0 and "assumed: thickness not measured" in out and "timed as 98 mm" in out  # a kilogram of lean as a cube: 97.8 mm
    assert max(map(len, out.splitlines())) <= 80


@pytest.mark.parametrize(
    "line",
    [
        "weigh --weight 0kg --curing-salt 6.25%",
        "weigh --weight 1kg --curing-salt 6.25",
        "weigh --weight 1kg --salt 40% --curing-salt 6.25%",
        "weigh --weight 1kg --salt 0.1% --nitrite 0",
        "weigh --weight 1kg --salt 2 --nitrite 0",
        "weigh --weight 1kg --sugar 80% --nitrite 0",
        "weigh --weight 1kg --nitrite -5 --curing-salt 6.25%",
        "weigh --weight 1kg --nitrite 0 --rules mars",
        "weigh --weight 1kg --nitrite 0 --on yesterday",
        "weigh --weight 1kg --method pump --curing-salt 6.25%",
        "weigh --weight 1kg --method pump --water 1kg --curing-salt 6.25%",
        "weigh --weight 1kg --water 1kg --nitrite 0",
        "weigh --weight 1kg --salt 1.5% --nitrite 118 --curing-salt 0.6%",
        "weigh --weight 1kg --skin one-face --skin-weight 900g --nitrite 0",
        "weigh --weight 1kg --scale 0g --nitrite 0",
        "weigh --weight 1kg --salt-basis finished --nitrite 0",
        "judge --weight 1kg --add salt",
        "judge --weight 1kg --add =5g",
        "judge --weight 1kg --add salt=5",
        "judge --weight 1kg --add salt=50g --thickness 50mm --thickness 40mm",
        "judge --weight 1kg --add salt=50g --thickness 50mm --temperature 39",
        "judge --weight 1kg --add salt=50g --thickness 50mm --temperature 39C",
        "judge --weight 1kg --add salt=50g --thickness 50mm --temperature -18C",
        "judge --weight 1kg --add salt=50g --thickness 50mm --days -3",
        "judge --weight 1kg --add salt=50g --days soon",
        "judge --weight 1kg --add salt=50g --thickness 340mm --width 120mm",
        "judge --weight 1kg --add salt=900g --thickness 50mm",
        "judge --weight 1kg --add salt=50g --pick-up 10%",
        "cure --weight 1kg --weight 2kg --thickness 40mm --thickness 50mm --add salt=25g",
        "cure --weight 1kg --thickness 40mm --add salt=25g --diffusivity 1",
        "cure --weight 1kg --thickness 40mm --add salt=25g --chance 20%",
        "cure --weight 1kg --thickness 40mm --add salt=25g --chart picture.bmp",
        "cure --weight 1kg --thickness 40mm --add sugar=25g",
        "sheet no.plan --day mon",
        "plan .",
    ],
    ids=str,
)
def test_bad_input_is_answered_with_field_value_limit_and_remedy(call, line):
    sheet = line.startswith("sheet ")
    code, out, err = call(line if sheet else f"{line} --json")
    assert code in (1, 2)
    assert "Traceback" not in err + out
    if not sheet:
        told = json.loads(out)
        assert told["field"]
        assert told["value"] is not None
        assert told["limit"] is not None or told["remedy"]
        assert told["remedy"], told
    assert len(err.strip()) > 20


def test_help_of_every_command_ends_with_an_example(call):
    code, out, _ = call("--help")
    assert code == 0
    assert "Example:" in out
    for name in COMMANDS:
        command = cli.get_command(None, name)
        assert "Example:" in command.help, name
        assert f"ingle {name}" in command.help, name


@pytest.mark.parametrize(
    "line",
    [
        "--help",
        *(f"{name} --help" for name in COMMANDS),
        "weigh --weight 1.38kg --curing-salt 6.25%",
        "judge --weight 1kg --add salt=50g --add curing-salt@6.25%=2.5g --thickness 50mm",
        "cure --weight 1kg --thickness 40mm --add salt=25g",
        "sources",
    ],
    ids=str,
)
def test_nothing_is_wider_than_eighty_columns(call, line):
    _, out, _ = call(line)
    wide = [
        line for line in out.splitlines() if len(line) > 80 and "[bacon_dry|" not in line and "[dry-bacon|" not in line
    ]
    assert not wide


def test_output_is_ascii_and_without_colour_in_a_pipe():
    env = dict(os.environ, LC_ALL="C", PYTHONIOENCODING="ascii")
    told = subprocess.run(
        [*INGLE, *shlex.split("judge --weight 1kg --add salt=50g --add curing-salt@6.25%=4g")],
        capture_output=True,
        env=env,
        check=False,
    )
    assert told.returncode == 3
    assert told.stdout.isascii()
    assert b"\x1b" not in told.stdout


def imported(line):
    code = f"import sys; from ingle.faces.cli.main import main; main({shlex.split(line)!r}); sys.stderr.write('\\n'.join(sys.modules))"
    return set(subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False).stderr.split())


HEAVY = {
    "numba",
    "scipy",
    "pint",
    "sqlalchemy",
    "ortools",
    "pandas",
    "jinja2",
    "typst",
    "icalendar",
    "msgspec",
}


def test_help_imports_neither_numpy_nor_a_job():
    modules = imported("--help")
    assert not modules & (HEAVY | {"numpy"})
    assert not any(m.startswith(("ingle.jobs", "ingle.crafts", "ingle.planning")) for m in modules)


@pytest.mark.parametrize(
    "line",
    [
        "weigh --weight 1.38kg --curing-salt 6.25% --json",
        "judge --weight 1kg --add salt=50g --thickness 50mm --json",
        "cure --weight 1kg --thickness 40mm --add salt=25g --json",
        "cook --part collar --weight 1kg --thickness 50mm --oven 160C --core 71C --json",
        "chill --part collar --weight 1kg --thickness 50mm --start 72C --air 4C --json",
        "keep --part collar --fridge 3C..7C --json",
        "crackle --weight 180g --thickness 3mm --fridge 12h --oven 220C,20min --json",
        "mishap --weight 1kg --thickness 50mm --left-out 2h --json",
    ],
    ids=lambda line: line.split()[0],
)
def test_calculations_import_nothing_heavier_than_numpy(line):
    modules = imported(line)
    assert not modules & HEAVY
    assert "ingle.planning" not in modules or line.startswith("keep")  # it asks a part how its food is kept


def test_weigh_needs_no_numpy():
    assert "numpy" not in imported("weigh --weight 1.38kg --curing-salt 6.25% --json")


def test_a_broken_pipe_and_a_stop_are_no_traceback(monkeypatch, capsys):
    def stopped(*_a, **_k):
        raise KeyboardInterrupt

    monkeypatch.setattr(door.cli, "main", stopped)
    assert main(["weigh"]) == 130
    assert "Stopped" in capsys.readouterr().err


@pytest.mark.parametrize("words", [(c,) for c in COMMANDS] + [("print", k) for k in ("sheet", "tag", "label", "record")] + [("record", k) for k in ("lot", "dose", "reading", "step")], ids=" ".join)
def test_help_fits_eighty_columns(words, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    assert main([*words, "--help"]) == 0
    assert not [line for line in capsys.readouterr().out.splitlines() if len(line) > 80]
