"""``ingle brine``, ``smoke``, ``bread``, ``dough``, ``butter``, ``sauce`` as a person calls them: in 80 columns, with units, each figure with its source."""

import json
import re
from pathlib import Path

import pytest

from ingle.faces.cli.main import cli
from ingle.ground import tables

CALLS = {
    "brine --strength 10% --volume 5l --to 12%": 0, "brine --salt 500g --water 1kg": 0, "brine --salometer 70 --water 4kg": 0,
    "smoke --run 8h,9C": 0, "smoke --run 8h,18C --run 6h,12C": 3, "smoke --kind fish --run 20h,18C --barred": 0, "smoke --kind butter --run 2h,12C --fuel tube": 0,
    "bread --loaf 800g --pieces 2 --hydration 68% --preferment 20% --also yeast=1%": 0, "bread --flour 800g --water 500g --salt-weight 18g --starter 200g,100%": 0,
    "dough --flour 1kg --flour-temperature 22C --water 650g --tap 24C --to 24C --piece 900g --fridge 6C": 0,
    "butter --cream 1kg --fat 36% --salt 1.5% --cream-temperature 12C --ripen 20C": 0, "butter --butter 500g --fat 36% --use sale": 3,
    "sauce --part 2kg,6% --part 200g,5% --to 30% --vinegar 200g,5% --ph 3.9": 0, "sauce --vinegar 200g,5% --sauce 1kg": 4, "sauce --syrup 500g,500g --gravity 1.2": 0,
}  # fmt: skip
NAMES = ("brine", "smoke", "bread", "dough", "butter", "sauce")


@pytest.mark.parametrize("line", CALLS)
def test_an_answer_stands_in_80_columns_with_a_source_for_every_figure(call, line):
    code, out, err = call(line)
    assert code == CALLS[line] and not err
    assert all(len(s) <= 80 for s in out.splitlines()), [s for s in out.splitlines() if len(s) > 80]
    told = json.loads(call(f"{line} --json")[1])
    names = {tables.source(f["source"]).name for f in told["figures"].values()}
    flat = " ".join(out.split())
    assert names and all(n in flat for n in names) and not re.search(r"degC|\bnan\b|\binf\b|None|\bsafe\b", out)
    for figure in told["figures"].values():
        assert figure["record"] and figure["unit"] is not None and figure["sure"]
    rows = [s.split("\t") for s in call(f"{line} --plain")[1].splitlines()]
    assert [r[1] for r in rows if r[0] == "figure"] == list(told["figures"])


@pytest.mark.parametrize(("line", "field"), [
    ("brine", "salt"), ("brine --salt 500g --strength 10%", "salt"), ("brine --strength 10", "strength"), ("brine --strength 30%", "strength"), ("brine --strength 10% --temperature 60C", "temperature"),
    ("smoke --run 8h", "run"), ("smoke --run 8h,18", "run"), ("bread", "loaf"), ("bread --loaf 800g --also salt=1%", "also"), ("bread --loaf 800g --also yeast=1% --also yeast=2%", "also"),
    ("bread --loaf 800g --starter 200g,100%", "starter"), ("bread --flour 1kg --water 600g --hydration 65%", "water"), ("bread --flour 1kg --pieces 3", "pieces"),
    ("dough", "flour"), ("dough --piece 900g --friction 6K", "friction"), ("dough --flour 1kg", "flour-temperature"), ("dough --flour 1kg --flour-temperature 20C", "water"), ("dough --flour 1kg --water 650g --flour-temperature 20C", "tap"),
    ("dough --piece 900g --fridge 20C", "fridge"), ("butter --cream 1kg", "fat"), ("butter --cream 1kg --fat 36% --churned 10min", "churned"),
    ("sauce", "part"), ("sauce --to 30%", "to"), ("sauce --ph 15", "ph"), ("sauce --titration 10g,12ml", "titration"),
])  # fmt: skip
def test_refused_with_its_field_and_remedy(call, line, field):
    code, out, _ = call(f"{line} --json")
    told = json.loads(out)
    assert code == 2 and told["field"] == field and told["remedy"]


@pytest.mark.parametrize("name", NAMES)
def test_the_examples_of_the_help_are_answered(call, name):
    command = cli.get_command(None, name)
    examples = re.findall(r"Example:  ingle (.*?)(?=\n\s*Example:|\Z)", command.help.replace("\\\n", " "), re.S)
    assert examples
    for example in examples:
        code, out, err = call(" ".join(example.split()))
        assert code in (0, 3) and out and not err


def test_a_record_of_a_dough_says_how_far_it_has_come(call, tmp_path):
    log = tmp_path / "dough.csv"
    log.write_text("time,temperature_c\n" + "\n".join(f"{600 * i},{24 if i != 5 else ''}" for i in range(25)), encoding="utf-8")
    code, out, _ = call(f"dough --log {log}")
    assert code == 0 and "4 h" in out and "Bake it soon" in out


def test_its_page_of_keys_names_every_figure():
    """docs/schema/bench.md holds every key that these calls give."""
    page = (Path(__file__).parents[2] / "docs/schema/bench.md").read_text("utf-8")
    words = set(re.findall(r"\w+", page))
    from tests.unit.test_bench_jobs import answers

    own = {"mix_malt_powder_g", "malt_powder_per_flour", "butter_per_flour", "mix_butter_g"}  # names a cook gave
    keys = {key for answer in answers().values() for key in answer.as_dict()["figures"]} - own
    assert keys <= words, keys - words
    assert {*next(iter(answers().values())).as_dict()} <= words
