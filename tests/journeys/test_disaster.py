"""The shipped disaster, asked as a cook would: the fridge failed overnight, and the wrong curing salt."""

import json
import re
import shlex
from pathlib import Path

import pytest

from ingle.ground.tables import data_path

FOLDER = data_path("examples", "disaster")
LINES = [ln.removeprefix("ingle ") for ln in (FOLDER / "commands.txt").read_text("utf-8").splitlines() if ln and not ln.startswith("#")]


@pytest.fixture(autouse=True)
def in_its_folder(monkeypatch):
    monkeypatch.chdir(FOLDER)


def test_the_night_as_it_went(call):
    """Without a reading it is not known, a reading or a log tells, a whole day leaves nothing to choose, the salt is refused."""
    codes, firsts = [], []
    for text in LINES:
        code, out, err = call(text)
        codes.append(code)
        firsts.append(next((ln for ln in (out or err).splitlines() if ln), ""))
        assert all(len(ln) <= 80 for ln in out.splitlines()), text
    assert codes == [3, 3, 3, 3, 1, 0]
    assert firsts[0].startswith("Chill it now, at most 3 C, and eat none of it")
    assert firsts[1].startswith("Chill it now, at most 3 C, and") and "eat none" not in firsts[1]
    assert firsts[2].startswith("Chill it now, at most 3 C, and") and "eat none" not in firsts[2]
    assert firsts[3].startswith("Do not taste it. Throw it away")


def test_json_and_words_tell_the_same(call):
    text = "mishap --stages collar.toml --after 2d --fridge-off 9h --found 11C"
    code, words, _ = call(text)
    told = json.loads(call(text + " --json")[1])
    assert " ".join(words.split()).startswith(told["act"])
    assert code == {"within": 0, "near": 0, "over": 3, "cannot_say": 4}[told["level"]]
    plain = call(text + " --plain")[1].splitlines()
    assert plain[0].split("\t") == ["act", told["urgency"], told["act"]]
    assert sum(ln.startswith("line\t") for ln in plain) == len(told["lines"])


@pytest.mark.parametrize("ending", ["svg", "html", "png"])
def test_the_picture(call, tmp_path, ending):
    path = tmp_path / f"night.{ending}"
    assert call(f"mishap --stages collar.toml --after 2d --fridge-off 9h --found 11C --chart {path}")[0] == 3
    content = path.read_bytes()
    assert len(content) > 5000
    if ending == "svg":
        svg = content.decode()
        for mark in ('class="accident"', 'class="limit"', 'class="core-band"', 'class="salt-before"', 'class="salt-after"', 'class="growth"'):
            assert mark in svg, mark


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("mishap --weight 1kg --thickness 50mm", "mishap"),
        ("mishap --weight 1kg --thickness 50mm --left-out 3h --fridge-off 3h", "mishap"),
        ("mishap --weight 1kg --thickness 50mm --left-out 3h --found 12C", "found"),
        ("mishap --weight 1kg --thickness 50mm --left-out 3h --after 2d", "after"),
        ("mishap --stages collar.toml --left-out 3h", "after"),
        ("mishap --stages collar.toml --after 2d --left-out 3h --weight 1kg", "weight"),
        ("mishap --stages collar.toml --smoker 38C", "smoker"),
        ("mishap --stages collar.toml --smoker 38C,3h", "smoker"),
        ("mishap --weight 1kg --left-out 3h", "thickness"),
        ("mishap --weight 1kg --thickness 50mm --left-out 3", "left-out"),
        ("mishap --weight 1kg --thickness 50mm --left-out 3h --aw wet", "aw"),
        ("mishap --weight 1kg --thickness 50mm --left-out 3h --room 21", "room"),
        ("mishap --weight 1kg --thickness 50mm --record no-such.csv", "log"),
    ],
)  # fmt: skip
def test_refused_with_its_field(call, text, field):
    code, out, err = call(text + " --json")
    assert code == 2
    told = json.loads(out)
    assert told["field"] == field and told["remedy"]
    assert "Traceback" not in err


ROOT = Path(__file__).parents[2]


def test_the_example_of_the_help_runs(call, monkeypatch):
    monkeypatch.chdir(ROOT)  # a clone, as one who reads the help has it
    code, out, _ = call("mishap --help")
    assert code == 0
    words = " ".join(out.split("Example:")[1].split("Options")[0].replace("\\", " ").split())
    example = words[: words.index(".toml") + len(".toml")].removeprefix("ingle ")
    assert call(example)[0] in (0, 3, 4)


def test_the_example_names_only_files_that_are_there():
    for text in LINES:
        for word in shlex.split(text):
            if word.endswith((".toml", ".csv")):
                assert (FOLDER / Path(word)).is_file()


def test_every_file_the_readme_and_the_help_name_is_shipped(call):
    """What a new user copies from either runs in a clone."""
    texts = [(ROOT / "README.md").read_text("utf-8"), *(call(f"{verb} --help")[1] for verb in ("mishap", "read", "plan"))]
    named = [w for text in texts for w in re.findall(r"(?:src/ingle/)?[\w/.-]+\.(?:toml|csv)\b", " ".join(text.split()))]
    assert len(named) >= 6
    assert [w for w in named if not (ROOT / w).is_file()] == []


@pytest.mark.parametrize("line", ["cure --stages", "keep --part collar --record", "mishap --stages"])
def test_the_readmes_lines_with_files_run(call, monkeypatch, line):
    monkeypatch.chdir(ROOT)
    readme = " ".join((ROOT / "README.md").read_text("utf-8").split())
    told = re.search(rf"`ingle ({line} [^`]+)`", readme)
    assert told is not None
    assert call(told[1])[0] in (0, 3, 4)
