"""The notebook as a person at a terminal uses it: from a bag of meat to the recall sheet, and what goes wrong on the way."""

import json
import os
import re
import shlex
import subprocess
import sys
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from tests.faces.sample_plan import sample_plan

from ingle.faces.cli import record_cmd
from ingle.faces.cli.main import main
from ingle.planning import planfile


@pytest.fixture
def call(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("INGLE_NOTEBOOK", raising=False)

    def run(line, code=0):
        got = main(shlex.split(line))
        told = capsys.readouterr()
        assert got == code, f"{line}: {got}\n{told.out}{told.err}"
        for row in told.out.splitlines():
            assert len(row) <= 80 or "--json" in line or "--plain" in line, row
        return json.loads(told.out) if "--json" in line else told.out + told.err

    return run


def begin(call):
    """A kitchen with a dosed collar; returns the codes."""
    call("record kitchen Fernhollow --zone UTC --rules gb --prefix FH")
    lot = call('record lot "pork collar" --supplier "Hill farm" --amount 5kg --json')["written"][0]["code"]
    piece = call(f'record piece --lot {lot} --name "Collar A" --weight 1.38kg --thickness 52mm --json')["written"][0]["code"]
    batch = call(f"record batch Collar --takes {piece} --json")["written"][0]["code"]
    call(f"record dose {piece} --add salt=31.8g --add curing-salt@6.25%=2.6g --who A")
    return lot, piece, batch


def test_from_a_bag_of_meat_to_the_recall_sheet(call):
    lot, piece, batch = begin(call)
    assert re.fullmatch(r"FH-\d{6}-A", batch) and lot.startswith("FH-IN-") and piece == f"{lot}-1"
    told = call(f"record reading {piece} --weight 1.33kg --temperature 38.84F --depth 25mm --who A --json")["written"][0]
    assert (told["weight_g"], round(told["temperature_c"], 2), told["probe_depth_mm"]) == (1330.0, 3.8, 25.0)
    right = call(f"record correct reading {told['id']} --weight 1.335kg --who B --json")["written"][0]
    assert (right["corrects_id"], right["weight_g"], right["temperature_c"]) == (told["id"], 1335.0, told["temperature_c"])
    call(f"record deviation 'fridge at 9 C' --about {batch} --value 9C --unit C --act 'Move it.'")
    assert "fridge at 9 C" in call("today", 3)
    call("record act 1 moved --product kept --closes")
    assert "fridge at 9 C" not in call("today")
    unsold = call(f"trace {lot}")
    pack = call(f"record pack {batch} --count 6 --net 200g --json")["written"][0]["code"]
    call(f"record hand {pack} --to 'Mrs Appleyard' --count 4")
    assert "more" not in call(f"record hand {pack} --to someone --count 3", 2)
    sheet = call(f"trace {lot}")
    assert "6 made, 2 left" in sheet and "4 to Mrs Appleyard" in sheet and "1 person or business has some of it; 2 packs are left here" in " ".join(sheet.split())
    assert "Nobody was handed any of it; no pack is left here; 1 batch is not packed." in " ".join(unsold.split())
    assert call(f"trace {pack} --json")["lots"] == [lot]
    assert call(f"trace {lot} --plain").split("\n")[0].split("\t")[:3] == ["into", "piece", piece]


def test_a_second_dosing_is_refused_where_nobody_can_be_asked(call):
    _, piece, _ = begin(call)
    told = call(f"record dose {piece} --add salt=31.8g --who B --json", 1)
    assert told["error"] == "AlreadyDosed" and "by A" in told["message"] and "--again" in told["remedy"]
    call(f"record dose {piece} --add salt=31.8g --who B --again")


def test_an_entry_sent_twice_is_there_once(call):
    _, piece, _ = begin(call)
    line = f"record reading {piece} --weight 1.33kg --uid 0e5b1c3c-32a2-4a0c-9d5b-0f5b4b6f7a11 --json"
    assert call(line) == call(line)
    told = call(line.replace("1.33kg", "1.34kg"), 1)
    assert told["error"] == "AlreadyThere"


def test_again_with_less_salt_and_side_by_side(call):
    _, _, batch = begin(call)
    told = call(f"record again {batch} --weight 2.07kg --less-salty --lay-in --json")
    before = (31.8 + 2.6 * 0.9375) / 1380
    assert told["weigh"]["salt_per_green_weight"] == pytest.approx(before * 0.9, abs=0.1 / 2070)  # the scale's step
    assert told["weigh"]["ingoing"]["sodium_nitrite_mg_per_kg"] == pytest.approx(2.6 * 0.0625 / 1.38 * 1000, abs=0.1 * 0.0625 / 2.07 * 1000)
    rows = call(f"record compare {batch} {told['code']} --json")["batches"]
    assert [r["green_weight_g"] for r in rows] == [1380.0, 2070.0]
    assert rows[0]["salt_per_green_weight"] == pytest.approx(before)
    assert call(f"record compare {batch} {told['code']}").splitlines()[0].split()[:2] == ["batch", "green"]
    assert "two batches or more" in call(f"record compare {batch}", 2)


def test_a_copy_an_export_and_back(call, tmp_path):
    lot, _, _ = begin(call)
    assert "Nothing is wrong" in call("backup --check")
    copy = call("backup --to copy --json")["written"]
    call("backup --export out.json")
    call("backup --export sheets")
    for i, source in enumerate((copy, "out.json", "sheets")):
        assert call(f"backup --restore {source} --to new{i} --json")["wrong"] == []
        assert call(f"trace {lot} --notebook new{i} --json") == call(f"trace {lot} --json")
        call(f"backup --export back{i}.json --notebook new{i}")
        assert (tmp_path / f"back{i}.json").read_bytes() == (tmp_path / "out.json").read_bytes()
    assert "exists. Nothing was written" in call("backup --to copy", 1)
    assert "exists. Nothing was written" in call("backup --restore copy --to new0", 1)
    assert "Where to?" in call("backup --restore copy", 2)


def test_a_plan_goes_in_and_a_new_one_moves_what_is_not_begun(call, tmp_path):
    plan = sample_plan()
    folder = tmp_path / "meal.plan"
    planfile.write(plan, folder)
    first = plan.steps[0]
    now = f"--now '{first.start.isoformat()}'"
    assert "not in the notebook" in call(f"today {now}")  # a plan alone is enough
    told = call("record plan meal.plan --json")
    assert sorted(told["new"]) == sorted(s.id for s in plan.steps) and len(told["batches"]) == len({s.part for s in plan.steps})
    assert call("record plan meal.plan --json")["new"] == []
    seen = call(f"today {now} --json")
    assert seen["next"]["step"] == first.id and seen["plans_not_in_notebook"] == []
    call(f"record step {first.id} --began --who A")
    from dataclasses import replace

    late = timedelta(hours=1)
    moved = tuple(replace(s, start=s.start + late, end=s.end + late) for s in plan.steps[:-1])
    planfile.write(replace(plan, number=plan.number + 1, steps=moved), folder)
    assert f"plan {plan.number + 1} of" in call(f"today {now}")
    told = call("record plan meal.plan --json")
    assert told["kept"] == [first.id] and told["dropped"] == [plan.steps[-1].id]
    assert sorted(told["moved"]) == sorted(s.id for s in plan.steps[1:-1])
    begun = call(f"today {now} --json")
    assert first.id in [w["step"] for w in begun["waiting"]] + [t["step"] for t in begun["tasks"]] + [begun["next"]["step"]]


def example(call, name):
    """The example in a verb's help, on one line."""
    return " ".join(call(f"record {name} --help").split("Example:")[1].split("Options")[0].replace("\\", " ").split())


@pytest.mark.parametrize("name", list(record_cmd.COMMANDS))
def test_every_verb_has_an_example_that_is_understood(call, name):
    """Its words are all known options; what it says of codes that are not there is an answer, no traceback."""
    words = example(call, name)
    assert words.startswith(f"ingle record {name}")
    call("record kitchen Other --zone UTC")
    code = main(shlex.split(words)[1:])
    assert code in (0, 1, 2)


def test_what_an_example_says_is_no_wrong_usage(call, capsys):
    begin(call)
    for name in record_cmd.COMMANDS:
        words = example(call, name)
        main(shlex.split(words)[1:])
        said = capsys.readouterr().err
        assert "No such option" not in said and "Missing" not in said and "Usage:" not in said, f"{name}: {said}"


def test_what_goes_wrong_is_said_in_words(call, tmp_path):
    assert "There is no notebook at" in call("record lot salt", 1)
    assert "no plan here" in call("today", 2)
    (tmp_path / "letter.txt").write_text("Dear kitchen")
    assert "is not a notebook" in call("trace X --notebook letter.txt", 1)
    begin(call)
    assert "no lot, piece, batch or pack NOPE" in call("trace NOPE", 1)
    assert "is not a time" in call("record reading --place fridge --temperature 4C --at noonish", 2)
    assert "needs its scale" in call("record reading --place fridge --temperature 4", 2)
    assert "holds nothing" in call("record reading --place fridge", 2)
    assert "lies before the day" in call("record lot cream --use-by 2020-01-01", 2)


def test_which_notebook_is_used_is_said_and_can_be_named(call, tmp_path, monkeypatch):
    monkeypatch.setenv("INGLE_NOTEBOOK", str(tmp_path / "elsewhere.notebook"))
    assert f"notebook: {tmp_path / 'elsewhere.notebook'}" in call("record kitchen Fernhollow --zone UTC")
    assert f"notebook: {tmp_path / 'mine'}" in call("record kitchen Fernhollow --zone UTC --notebook mine")
    assert Path("mine").exists() and not Path("ingle.notebook").exists()


@pytest.mark.parametrize("line", ["sheet none.plan --day mon", "plan none.toml", "sources salt", "weigh --weight 1kg --curing-salt 6.25%"])
def test_commands_that_only_calculate_load_no_database(line):
    code = f"import sys; from ingle.faces.cli.main import main; main({shlex.split(line)!r}); sys.stderr.write('\\n'.join(sys.modules))"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, env=dict(os.environ))
    modules = {m.split(".")[0] for m in told.stderr.splitlines()}
    assert "ingle" in modules and not modules & {"sqlalchemy", "alembic", "sqlite3", "psycopg"}


def test_an_error_is_wrapped_for_a_screen_and_whole_in_a_pipe(monkeypatch, capsys):
    line = ["backup", "--restore", __file__, "--to", "no-such-folder/that-anyone-made/new.notebook", "--json"]
    assert main(line) == 1
    whole = capsys.readouterr().err
    assert "There is no folder no-such-folder/that-anyone-made. Nothing was written." in whole
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    assert main(line) == 1
    shown = capsys.readouterr().err
    assert all(len(row) <= 80 for row in shown.splitlines()) and shown.split() == whole.split()


def test_a_thing_of_another_kind_is_called_what_it_is(call):
    batch = begin(call)[2]
    assert f"{batch} is a batch, not a pack" in call(f"print label {batch}", 1)


def test_what_lay_there_before_the_plan_is_not_to_be_laid_in(call, tmp_path):
    plan = sample_plan()
    cure = next(s for s in plan.steps if s.id == "collar.a.cure")
    begun = replace(plan, plan_from=cure.start + timedelta(days=1), steps=(replace(cure, attended=()),))
    (tmp_path / "begun.plan").mkdir()
    planfile.write(begun, tmp_path / "begun.plan")
    told = call(f"today begun.plan --now {begun.plan_from:%Y-%m-%dT%H:%M}")
    assert "Waiting" in told and "Lay collar A in the cure  [" not in told.partition("Waiting")[0]
    assert re.search(r"ready between \w{3} \d+.* and \w{3} \d+ \w{3}, most likely \w{3} \d+", " ".join(told.split()))


def test_two_pieces_in_a_box_are_told_apart_as_soon_as_they_have_their_salt(call):
    call("record kitchen Test --zone Europe/London --prefix TK")
    codes = [call(f"record piece --name {n} --weight {w} --thickness {t} --json")["written"][0]["code"] for n, w, t in (("A", "1.2kg", "40mm"), ("B", "900g", "55mm"))]
    box = call(f"record batch Loin --takes {codes[0]} --takes {codes[1]} --fridge 3C --json")["written"][0]["code"]
    out = " ".join(call(f"record dose {box} --add salt=52.5g").split())
    assert "A: 1.20 kg, 40 mm thick; ready between" in out and "B: 900 g, 55 mm thick; ready between" in out and "pull no sooner than" in out
    (waits,) = call("today --json")["waiting"]
    assert [p["name"] for p in waits["pieces"]] == ["A", "B"] and all(len(p["ready"]) == 3 for p in waits["pieces"])
    assert "fridge" in call("record batch Loin --fridge 60C", 2)
